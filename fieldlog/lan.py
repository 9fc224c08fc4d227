"""One house at three doors, in one process with one writer.

- this machine's own, plain HTTP on a loopback address: the superintendent, without a login
- the tablets', HTTPS under the house's one name
- the guide's and the crews', plain HTTP: never a page of the superintendent's

Each is an app of its own with its own cookies, its own server and its own threads, so that slow
phones at one door hold up nobody at another. The name is announced by mDNS (RFC 6762).
"""

from __future__ import annotations

import ssl
import sys
import threading
from collections import Counter, deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from ipaddress import ip_address
from typing import Any

from cheroot.server import HTTPConnection
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server

from fieldlog import tls
from fieldlog.app import SERVER_THREADS, create_app
from fieldlog.config import Config, Lan
from fieldlog.store import access_db
from fieldlog.store.access import draw_lan_name
from fieldlog.web import request
from fieldlog.web.settled import settle_soon

LAN_THREADS = 10
"""More than at the machine's door: a thread waits for each phone that sends a photo slowly."""
MOST_OF_ONE, MOST_WAITING = 4, 50
"""Threads that one address may hold at a door beyond this machine, and connections that wait for
its turn. A slow photo is one of them; whoever half-sends requests holds up themselves."""
IDLE_SECONDS = 15
SERVICE = "_https._tcp.local."
LOOK_EVERY = 20.0
"""Seconds between looks at this machine's addresses: a hotspot comes and goes."""


@dataclass(frozen=True)
class Doors:
    """Where the two doors beyond this machine listen, and whether their name is announced."""

    address: str
    tls_port: int
    plain_port: int
    announce: bool = True


def prepared(config: Config, doors: Doors) -> Config:
    """The configuration with the house's name and certificate, each made where there is none."""
    conn = access_db.open_access(config.folder)
    try:
        name = access_db.keep_lan_name(conn, draw_lan_name())
    finally:
        conn.close()
    kept = tls.kept(config.folder) or tls.renew(config.folder, name, config.clock())
    return replace(config, lan=Lan(name, doors.tls_port, doors.plain_port, kept.ends))


def serve_lan(config: Config, doors: Doors, ready: Callable[[], None]) -> None:
    """Serve at all three doors until interrupted; `config` comes from `prepared`.

    Calls `ready` once every door is open. Raises HouseBusy, and OSError for a port that is taken.
    """
    servers = _servers(config, doors)
    held = servers[0].wsgi_app.extensions[request.KEY]
    with held.writing():
        pass
    threads = [threading.Thread(target=server.serve, daemon=True) for server in servers]
    try:
        for server in servers:
            server.prepare()
        for thread in threads:
            thread.start()
        settle_soon(server.wsgi_app for server in servers)
        assert config.lan is not None
        with announced(config.lan) if doors.announce else _silent():
            ready()
            for thread in threads:
                while thread.is_alive():  # a join without end would not see Ctrl-C everywhere
                    thread.join(1.0)
    finally:
        for server in servers:
            server.stop()
        held.close()


def _servers(config: Config, doors: Doors) -> list[Door]:
    assert config.lan is not None
    machine = create_app(config)
    held = machine.extensions[request.KEY]
    names = (config.lan.name,)
    at = {
        "tls": ((doors.address, doors.tls_port), replace(config, front="tls", allowed_hosts=names)),
        "plain": (
            (doors.address, doors.plain_port),
            replace(config, front="plain", allowed_hosts=names),
        ),
    }
    own = Door((config.host, config.port), machine, numthreads=SERVER_THREADS)
    beyond = [
        SharedDoor(bind, create_app(its, held), numthreads=LAN_THREADS, timeout=IDLE_SECONDS)
        for bind, its in at.values()
    ]
    kept = tls.kept(config.folder)
    assert kept is not None
    beyond[0].ssl_adapter = LateHandshake(str(kept.leaf), str(kept.leaf))
    return [own, *beyond]


class LateHandshake(BuiltinSSLAdapter):
    """TLS whose handshake is done by the thread that serves the connection.

    The library's own does it in the one thread that accepts connections: a phone that connects
    and then says nothing would hold up every tablet until it times out.
    """

    def wrap(self, sock: Any) -> tuple[ssl.SSLSocket, dict[str, str]]:
        """The socket, not shaken hands yet, and what a request is told of it."""
        wrapped = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        return wrapped, {"wsgi.url_scheme": "https", "HTTPS": "on"}


class Door(Server):
    """A server that says of a connection that broke what it was, in one line and without a trace.

    Nothing that was asked for stands in its log: an address may be somebody's.
    """

    # The library's own limit is 10: with 20 tablets every page would need a handshake of its own.
    keep_alive_conn_limit = 100

    def process_conn(self, conn: Any) -> None:
        """Have it served. A new one that has said nothing yet waits without a thread."""
        if conn.last_used is None:
            self.put_conn(conn)
        else:
            super().process_conn(conn)

    def error_log(self, msg: str = "", level: int = 20, traceback: bool = False) -> None:  # noqa: ARG002
        """Say it, but for a failed handshake: a tablet that does not trust us yet hangs up."""
        kind, fault, _ = sys.exc_info()
        if not (traceback and isinstance(fault, (ssl.SSLError, TimeoutError, ConnectionError))):
            print(f"{msg.strip()} {kind.__name__ if kind else ''}".strip(), file=sys.stderr)


class _Turn(HTTPConnection):
    """A connection that gives its address's turn on when its request is done with."""

    def communicate(self) -> bool:
        try:
            return bool(super().communicate())  # type: ignore[no-untyped-call]
        finally:
            self.server.turn_ends(self.remote_addr)


class SharedDoor(Door):
    """A door at which no address holds more than its share of the threads.

    What is asked with is not known before it is read, and a thread reads it: the address is all
    that tells the one who sends half a request ten times from the others.
    """

    ConnectionClass = _Turn

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._turns = threading.Lock()
        self._busy = Counter[str]()
        self._waiting: dict[str, deque[Any]] = {}

    def process_conn(self, conn: Any) -> None:
        """Have it served now, or when another of its address is done with."""
        if conn.last_used is not None and not self._has_turn(conn):
            return
        super().process_conn(conn)

    def _has_turn(self, conn: Any) -> bool:
        with self._turns:
            if self._busy[conn.remote_addr] < MOST_OF_ONE:
                self._busy[conn.remote_addr] += 1
                return True
            waiting = self._waiting.setdefault(conn.remote_addr, deque())
            if room := len(waiting) < MOST_WAITING:
                waiting.append(conn)
        if not room:
            conn.close()
        return False

    def turn_ends(self, address: str) -> None:
        """The next of that address has its turn."""
        with self._turns:
            waiting = self._waiting.get(address)
            following = waiting.popleft() if waiting else None
            if following is None:
                self._waiting.pop(address, None)
                self._busy[address] -= 1
                if not self._busy[address]:
                    del self._busy[address]
        if following is not None:
            super().process_conn(following)


def own_addresses() -> list[str]:
    """This machine's IPv4 addresses on its networks, loopback left out."""
    import ifaddr

    found = [str(ip.ip) for card in ifaddr.get_adapters() for ip in card.ips if ip.is_IPv4]
    return sorted(one for one in found if not ip_address(one).is_loopback)


@contextmanager
def announced(lan: Lan, only_on: list[str] | None = None) -> Iterator[None]:
    """Answer mDNS questions for the house's name with this machine's addresses, as they are now.

    `only_on` are the addresses of the networks to answer on; all where it is None.
    """
    from zeroconf import InterfaceChoice, IPVersion, Zeroconf

    zc = Zeroconf(interfaces=only_on or InterfaceChoice.All, ip_version=IPVersion.V4Only)
    addresses = only_on or own_addresses()
    done = threading.Event()
    watch = threading.Thread(target=_follow, args=(zc, lan, addresses, done), daemon=True)
    try:
        zc.register_service(service_of(lan, addresses))
        if only_on is None:
            watch.start()
        yield
    finally:
        done.set()
        zc.close()


def service_of(lan: Lan, addresses: list[str]) -> Any:
    """The announcement: the name with its addresses, and that HTTPS is served there."""
    from zeroconf import ServiceInfo

    short = lan.name.removesuffix(".local")
    return ServiceInfo(
        SERVICE,
        f"{short}.{SERVICE}",
        port=lan.tls_port,
        server=f"{lan.name}.",
        parsed_addresses=addresses,
    )


def _follow(zc: Any, lan: Lan, known: list[str], done: threading.Event) -> None:
    """Announce anew when this machine's addresses change."""
    while not done.wait(LOOK_EVERY):
        now = own_addresses()
        if now != known and now:
            zc.update_service(service_of(lan, now))
            known = now


@contextmanager
def _silent() -> Iterator[None]:
    yield
