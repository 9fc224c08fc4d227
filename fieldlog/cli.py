"""The command line: each command parses its arguments, calls the part that does it, prints.

Bad input ends with one sentence on standard error and status 2, never with a trace. What a
command needs is imported in it, so that `serve` answers within a second of being typed.
"""

from __future__ import annotations

import argparse
import json
import os
import secrets
import sys
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

from fieldlog import cli_calc, cli_floor, cli_house, cli_keep, cli_lan
from fieldlog.cli_parts import (
    Clock,
    Command,
    Refused,
    add_command,
    command_words,
    folder_of,
    text_of,
)
from fieldlog.config import Config, system_clock

FAULTS, REFUSED = 1, 2
HOME = "127.0.0.1"
SHOWN_ERRORS = 3


def main() -> None:
    """Entry point of `fieldlog`."""
    sys.exit(run(sys.argv[1:]))


def run(argv: Sequence[str], clock: Clock = system_clock) -> int:
    """Run one command. 0: done; 1: `verify` found faults; 2: bad input, said in a sentence."""
    try:
        args = parser().parse_args(argv)
    except SystemExit as stop:  # argparse has printed help, or what is wrong
        return int(stop.code or 0)
    command: Command = args.command
    try:
        return command(args, clock)
    except KeyboardInterrupt:
        print("\nStopped.")
        return 0
    except BrokenPipeError:
        # the reader of a pipe has enough; without this Python complains at its own end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except _refusals() as err:
        sys.stdout.flush()
        print(f"fieldlog: {_sentence(err)}", file=sys.stderr)
        return REFUSED


def parser() -> argparse.ArgumentParser:
    """The commands, with what `words/en-commands.toml` says of each and of its options."""
    said = command_words()
    top = argparse.ArgumentParser(
        prog="fieldlog", description=said["about"], epilog=f"Example: fieldlog {said['example']}"
    )
    added = top.add_subparsers(title="commands", metavar="COMMAND", required=True)
    house, change = cli_house.house, cli_house.change
    for command in (demo, new, house, change, serve, cli_lan.pair, cli_lan.tls, judge):
        add_command(added, command)
    cli_calc.add(added)
    cli_floor.add(added)
    for command in (report, verify, export, cli_keep.backup, cli_keep.restore, cli_keep.take):
        add_command(added, command)
    return top


def demo(args: argparse.Namespace, clock: Clock) -> int:
    """Load an invented house, write its reports, serve it."""
    import tempfile

    from fieldlog.demo.run import prepared

    folder = Path(args.out or tempfile.mkdtemp(prefix="fieldlog-demo-")).resolve()
    print(prepared(folder, clock(), args.date))
    return 0 if args.no_serve else _serve(folder, "127.0.0.1", args.port, clock)


def new(args: argparse.Namespace, clock: Clock) -> int:
    """Start a house."""
    from fieldlog.calc.house import parse_house
    from fieldlog.calc.house_flags import Flags, check_known, house_of, names
    from fieldlog.calc.ids import new_id
    from fieldlog.intake import start_house
    from fieldlog.store.files import load_library

    given = {name: value for name in names() if (value := getattr(args, name)) is not None}
    source = args.source
    house = parse_house(text_of(source), source) if source else house_of(Flags(**given))
    now, folder = clock(), folder_of(args)
    check_known(house, load_library(folder))  # a house may come with its own books
    start_house(folder, house, now, new_id(now, secrets.token_bytes(10)))
    print(f"{house.name}: started in {folder}.")
    print(f"Now: fieldlog serve --data {folder}")
    return 0


def serve(args: argparse.Namespace, clock: Clock) -> int:
    """Serve a house on this machine, and with --lan on its networks."""
    if args.lan:
        config = _at_home(folder_of(args), HOME, args.port, clock)
        return cli_lan.serve_lan(args, config)
    host = HOME if args.host is None else args.host
    if host not in (HOME, "localhost", "::1"):
        why = f'"{host}" may let other machines in. Without --lan a house is served on this'
        raise Refused(f"{why} machine only: leave --host out.")
    return _serve(folder_of(args), host, args.port, clock)


def judge(args: argparse.Namespace, clock: Clock) -> int:  # noqa: ARG001
    """Judge readings given as JSON; nothing is kept."""
    from fieldlog.calc.judge_json import answer, read_question
    from fieldlog.store.files import load_library

    asked = read_question(text_of(args.file))
    library = load_library(folder_of(args) if args.data else None)
    print(json.dumps(answer(library, asked), indent=2))
    return 0


def report(args: argparse.Namespace, clock: Clock) -> int:
    """Print a report, or write it to a file or folder."""
    from fieldlog.reports.single import Single, write
    from fieldlog.store import reading
    from fieldlog.store.db import open_reader
    from fieldlog.store.files import load_order

    folder = folder_of(args)
    with closing(open_reader(folder)) as conn:
        house = reading.house(conn)
        day = args.date or (reading.walk_days(conn) or [_today(house.zone, clock)])[-1]
        asked = Single(args.kind, day, args.trade, load_order(folder))
        asked.check(house)
        if args.out is None:
            print(asked.facts(conn, house)[1], end="")
            return 0
        for path in write(asked, Path(args.out), conn, house, folder):
            print(path)
    return 0


def verify(args: argparse.Namespace, clock: Clock) -> int:  # noqa: ARG001
    """Walk the journal's chain; with --deep judge and fold everything again."""
    from fieldlog.store import journal
    from fieldlog.store.db import open_reader
    from fieldlog.store.photos import verify_photos

    folder = folder_of(args)
    with closing(open_reader(folder)) as conn:
        faults = journal.verify(conn) + verify_photos(conn, folder)
        if args.deep:
            faults += journal.verify_deep(conn)
        head = journal.head(conn)
    for fault in faults:
        print(fault)
    found = _count(len(faults), "fault") if faults else "sound"
    print(f"{_count(head.seq, 'entry', 'entries')}, {found}. Head: {head.seq} {head.chain}")
    return FAULTS if faults else 0


def export(args: argparse.Namespace, clock: Clock) -> int:
    """Write the journal and the photos into a zip."""
    from fieldlog.calc.house import slug
    from fieldlog.store import reading
    from fieldlog.store.db import open_reader
    from fieldlog.store.export import export as write

    folder = folder_of(args)
    with closing(open_reader(folder)) as conn:
        house = reading.house(conn)
        out = Path(args.out or f"{slug(house.name)}-{_today(house.zone, clock)}.zip")
        if out.exists():
            raise Refused(f"{out} is there already. Give another --out.")
        done = write(conn, folder, out)
    print(f"{out}: {done.entries} entries, {done.photos} photos.")
    for sha256 in done.missing:
        print(f"The file of photo {sha256} is gone.", file=sys.stderr)
    return FAULTS if done.missing else 0


def _serve(folder: Path, host: str, port: int, clock: Clock) -> int:
    from fieldlog.app import serve as serve_app

    config = _at_home(folder, host, port, clock)
    shown = f"[{host}]" if ":" in host else host
    print(f"\nOpen http://{shown}:{port}/ (Ctrl-C stops it). Data: {folder}", flush=True)
    serve_app(config)
    return 0


def _at_home(folder: Path, host: str, port: int, clock: Clock) -> Config:
    """What the door of this machine is made with. Raises Refused, HouseMissing, HouseBusy."""
    from fieldlog.store.access import secret
    from fieldlog.store.db import open_writer

    _free(host, port)
    open_writer(folder).close()  # an older house is updated; no house, no secret in the folder
    return Config(folder, host, port, clock, secret=secret(folder))


def _free(host: str, port: int) -> None:
    """Raises Refused for a port that is taken or not ours to take."""
    import socket

    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        if os.name != "nt":  # there it would allow what the server is then refused
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as err:
            why = f"Port {port} can't be used ({err.strerror}). Stop what runs there, or give"
            raise Refused(f"{why} another one: --port {port + 1}.") from err


def _today(zone: str, clock: Clock) -> str:
    from zoneinfo import ZoneInfo

    return clock().astimezone(ZoneInfo(zone)).date().isoformat()


def _refusals() -> tuple[type[Exception], ...]:
    """What a command may raise for bad input; imported only once one was raised."""
    import sqlite3

    from fieldlog.calc.entries import EntryMalformed
    from fieldlog.calc.house import HouseNotUnderstood
    from fieldlog.calc.judge_json import QuestionNotUnderstood
    from fieldlog.calc.library import UnknownSource
    from fieldlog.calc.readings import ReadingsRefused
    from fieldlog.calc.toml_text import DataFileError
    from fieldlog.changing import HouseStays
    from fieldlog.demo.dates import WrongDay
    from fieldlog.demo.load import FolderTaken
    from fieldlog.intake import HouseExists, NotTheHouse
    from fieldlog.reports.single import NoSuchReport
    from fieldlog.store.backup import BackupFailed
    from fieldlog.store.db import HouseBusy, HouseMissing, HouseTooNew, NotStored
    from fieldlog.store.outbox_file import NoOutbox

    return (
        Refused, EntryMalformed, HouseNotUnderstood, QuestionNotUnderstood, UnknownSource,
        ReadingsRefused, DataFileError, WrongDay, NoSuchReport, FolderTaken, HouseExists,
        HouseStays, HouseBusy, HouseMissing, HouseTooNew, NotStored, BackupFailed, NoOutbox,
        NotTheHouse, OSError, sqlite3.DatabaseError,
    )  # fmt: skip


def _sentence(err: Exception) -> str:
    """One line that says what is wrong and where."""
    errors = getattr(err, "errors", ())
    if isinstance(err, OSError) and err.filename:
        return f"{err.filename}: {err.strerror}."
    more = len(errors) - SHOWN_ERRORS
    told = f"{type(err)(errors[:SHOWN_ERRORS])} And {more} more." if more > 0 else str(err)
    # what was typed is repeated in it: nothing of that may steer the terminal
    return "".join(c if c.isprintable() else "?" for c in " ".join(told.split()))


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
