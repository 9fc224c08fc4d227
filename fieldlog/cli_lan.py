"""Serving beyond this machine, and the commands `pair` and `tls`."""

from __future__ import annotations

import argparse
import socket
import sys
from contextlib import closing
from datetime import datetime
from pathlib import Path

from fieldlog.cli_parts import Clock, Refused, folder_of
from fieldlog.config import Config

EVERYWHERE = "0.0.0.0"
NO_NAME = "This house was not served beyond this machine yet. First: fieldlog serve --lan"


def serve_lan(args: argparse.Namespace, config: Config) -> int:
    """Serve a house on this machine and on its networks until interrupted."""
    from fieldlog import lan

    doors = lan.Doors(args.host or EVERYWHERE, args.tls_port, args.plain_port, not args.no_announce)
    for port in (doors.tls_port, doors.plain_port):
        _free(doors.address, port)
    config = lan.prepared(config, doors)
    numbers = lan.own_addresses() if doors.address == EVERYWHERE else [doors.address]
    lan.serve_lan(config, doors, lambda: _say(config, numbers))
    return 0


def _say(config: Config, addresses: list[str]) -> None:
    """Where everything is, with the guide's QR where this is a terminal."""
    at = config.lan
    assert at is not None
    print(f"\nAt this machine:  http://{config.host}:{config.port}/  (no login here)")
    print(f"Tablets:          {at.tls}/  (paired ones; a code: fieldlog pair)")
    print(f"Guide and crews:  {at.plain}/guide")
    for one in addresses:
        print(f"  by number:      http://{one}:{at.plain_port}/guide")
    print(_certificate(at.ends, config.clock()))
    if sys.stdout.isatty():
        import segno

        segno.make(f"{at.plain}/guide", micro=False).terminal(compact=True)
    print(f"Ctrl-C stops it. Data: {config.folder}", flush=True)


def pair(args: argparse.Namespace, clock: Clock) -> int:
    """Make a pairing code for one tablet."""
    from fieldlog.store import access_db, access_devices
    from fieldlog.store.access import draw_pairing_code

    folder = _served_before(folder_of(args))
    with closing(access_db.open_access(folder)) as conn:
        name, code = access_db.lan_name(conn), draw_pairing_code()
        if not name:
            raise Refused(NO_NAME)
        access_devices.make_code(conn, code, clock())
    minutes = access_devices.CODE_MINUTES
    print(f"{code[:3]} {code[3:]}\n")
    print(f"Type it into the tablet, at {name}, under /pair, within {minutes} minutes. It is good")
    print("once, and takes the place of an earlier code.")
    return 0


def tls(args: argparse.Namespace, clock: Clock) -> int:
    """Say until when the tablets' certificate holds, or make a new one."""
    from fieldlog import tls as certificates
    from fieldlog.store import access_db

    folder = _served_before(folder_of(args))
    with closing(access_db.open_access(folder)) as conn:
        name = access_db.lan_name(conn)
    kept = certificates.kept(folder)
    if not name or kept is None:
        raise Refused(NO_NAME)
    if args.action == "show":
        print(f"{name}. {_certificate(kept.ends, clock())}")
        return 0
    kept = certificates.renew(folder, name, clock())
    print(f"{name}: a new certificate. {_certificate(kept.ends, clock())}")
    print("Start the server again. Then take every tablet through steps 2 and 3 of the guide: it")
    print("does not trust the new one yet. What it has not sent stays on it: the name is the same.")
    return 0


def _served_before(folder: Path) -> Path:
    """Raises Refused where no house was served beyond this machine: nothing is made by asking."""
    from fieldlog.store.access_db import path_of

    if not path_of(folder).is_file():
        raise Refused(NO_NAME)
    return folder


def _certificate(ends: datetime, now: datetime) -> str:
    days = (ends - now).days
    if days < 0:
        return f"The certificate ended {ends.date()}. Renew it: fieldlog tls renew"
    soon = "  Renew it soon: fieldlog tls renew" if days <= 60 else ""
    return f"Certificate until {ends.date()}, {days} days.{soon}"


def _free(host: str, port: int) -> None:
    """Raises Refused for a port that is taken or not ours to take."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as err:
            raise Refused(
                f"Port {port} on {host} can't be used ({err.strerror}). Give others with "
                "--tls-port and --plain-port."
            ) from err
