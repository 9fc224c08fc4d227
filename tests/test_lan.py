"""A house served beyond this machine for real: a process, its three doors, HTTPS with the root."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from time import monotonic, sleep

import pytest

from fieldlog import cli, lan, tls
from fieldlog.config import Lan
from fieldlog.store import access_db, access_devices
from tests.keeping import copied

STARTS = 60
"""Seconds that a busy machine may take to start a process."""
HALF = "POST /pair HTTP/1.1\r\nHost: {}\r\nContent-Length: 9\r\n\r\n{{"


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    cookie: str


def answer_of(conn: http.client.HTTPConnection, path: str, headers: dict[str, str]) -> Answer:
    """Ask once, read it all, hang up."""
    conn.request("GET", path, headers={**headers, "Connection": "close"})
    with conn.getresponse() as got:
        got.read()
        answer = Answer(got.status, got.headers.get("Set-Cookie", ""))
    conn.close()
    return answer


@dataclass
class Served:
    """The process, its ports, name and root."""

    process: subprocess.Popen[str]
    folder: Path
    ports: dict[str, int]
    name: str

    def asks(self, path: str, *, trusting: bool = True, name: str = "") -> Answer:
        """GET at the tablets' door, with the house's root as the only one that is trusted."""
        kept = tls.kept(self.folder)
        assert kept is not None
        context = ssl.create_default_context(cadata=kept.root.read_bytes())
        if not trusting:
            context = ssl.create_default_context()
        conn = http.client.HTTPConnection(name or self.name, self.ports["tls"])
        with socket.create_connection(("127.0.0.1", self.ports["tls"]), timeout=10) as raw:
            conn.sock = context.wrap_socket(raw, server_hostname=name or self.name)
            return answer_of(conn, path, {})

    def plainly(self, door: str, path: str, host: str = "") -> Answer:
        """GET at one of the two plain doors."""
        conn = http.client.HTTPConnection("127.0.0.1", self.ports[door], timeout=10)
        return answer_of(conn, path, {"Host": host or f"127.0.0.1:{self.ports[door]}"})


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One process for all tests here; nothing goes over a network but loopback."""
    kept = copied(tmp_path_factory.mktemp("lan") / "house")
    kept.conn.close()
    ports = dict(zip(("port", "tls", "plain"), free_ports(3), strict=True))
    command = [
        sys.executable, "-m", "fieldlog", "serve", "--lan", "--host", "127.0.0.1", "--no-announce",
        "--data", str(kept.folder), "--port", str(ports["port"]),
        "--tls-port", str(ports["tls"]), "--plain-port", str(ports["plain"]),
    ]  # fmt: skip
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        preexec_fn=heed_ctrl_c if os.name == "posix" else None,
    )  # fmt: skip
    said = said_until(process, "Ctrl-C")
    found = re.search(r"https://(fieldlog-\w{4}\.local):", said)
    assert found, said
    yield Served(process, kept.folder, ports, found[1])
    process.kill()
    process.communicate()


def heed_ctrl_c() -> None:
    """In the new process: Ctrl-C ends it again."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def free_ports(count: int) -> list[int]:
    held = [socket.create_server(("127.0.0.1", 0)) for _ in range(count)]
    ports = [one.getsockname()[1] for one in held]
    for one in held:
        one.close()
    return ports


def said_until(process: subprocess.Popen[str], word: str) -> str:
    """What the process prints up to the line with `word`."""
    said, late = "", monotonic() + STARTS
    assert process.stdout is not None
    while word not in said and monotonic() < late:
        line = process.stdout.readline()
        assert line or process.poll() is None, said
        said += line
    return said


def test_a_tablet_that_trusts_the_root_gets_an_answer_over_tls(served: Served) -> None:
    assert served.asks("/guide").status == 200
    assert served.asks("/rooms").status == 403
    assert served.asks("/pair").cookie.startswith("__Host-fieldlog=")


def test_one_that_does_not_trust_it_or_asks_for_another_name_hangs_up(served: Served) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        served.asks("/guide", trusting=False)
    with pytest.raises(ssl.SSLCertVerificationError):
        served.asks("/guide", name="fieldlog-aaaa.local")
    assert served.asks("/guide").status == 200


def test_the_other_doors_answer_as_what_they_are(served: Served) -> None:
    assert served.plainly("port", "/rooms").status == 200
    assert served.plainly("plain", "/guide").status == 200
    assert served.plainly("plain", "/rooms").status == 403
    assert served.plainly("plain", "/guide", host="evil.test").status == 400


def test_whoever_connects_and_says_nothing_holds_up_nobody(served: Served) -> None:
    """Fewer than the door has threads; the library's own handshake let one hold up all."""
    silent = [socket.create_connection(("127.0.0.1", served.ports["tls"])) for _ in range(4)]
    since = monotonic()
    assert served.asks("/guide").status == 200
    assert monotonic() - since < lan.IDLE_SECONDS / 2
    for one in silent:
        one.close()


@pytest.mark.skipif(sys.platform != "linux", reason="only there every 127.x.y.z is this machine")
@pytest.mark.parametrize("said", ["", HALF])
def test_whoever_half_sends_requests_holds_up_only_themselves(served: Served, said: str) -> None:
    """More of them than the door has threads, from an address of their own."""
    port = served.ports["plain"]
    asked = said.format(f"127.0.0.1:{port}").encode()
    half = []
    for _ in range(lan.LAN_THREADS + 2):
        one = socket.create_connection(("127.0.0.1", port), source_address=("127.0.0.2", 0))
        one.sendall(asked)
        half.append(one)
    since = monotonic()
    assert served.plainly("plain", "/guide").status == 200
    assert monotonic() - since < lan.IDLE_SECONDS / 2
    for one in half:
        one.close()
    conn = http.client.HTTPConnection("127.0.0.1", port, 10, source_address=("127.0.0.2", 0))
    assert answer_of(conn, "/guide", {}).status == 200, "and then they have their turn"


def test_a_code_is_made_while_it_serves(served: Served, capsys: pytest.CaptureFixture[str]) -> None:
    clock = lambda: datetime.now(UTC)  # noqa: E731
    assert cli.run(["pair", "--data", str(served.folder)], clock) == 0
    code = "".join(capsys.readouterr().out.split()[:2])
    conn = access_db.open_access(served.folder)
    access_devices.use_code(conn, code, "tablet-1", clock())
    conn.close()


def test_the_certificate_is_shown_renewed_and_the_name_stays(
    served: Served, capsys: pytest.CaptureFixture[str]
) -> None:
    data = ["--data", str(served.folder)]
    assert cli.run(["tls", "show", *data]) == 0
    assert "812 days" in capsys.readouterr().out
    before = tls.kept(served.folder)
    assert before is not None
    root = before.root.read_bytes()
    assert cli.run(["tls", "renew", *data]) == 0
    said = capsys.readouterr().out
    assert served.name in said
    assert "every tablet" in said
    assert before.root.read_bytes() != root
    # What is served until the next start is the old one.
    with pytest.raises(ssl.SSLCertVerificationError):
        served.asks("/guide")


def test_ctrl_c_ends_all_three_without_a_trace(served: Served) -> None:
    served.process.send_signal(2)
    _, err = served.process.communicate(timeout=30)
    assert served.process.returncode == 0, err
    assert "Traceback" not in err


@pytest.mark.parametrize("command", [["pair"], ["tls", "show"], ["tls", "renew"]])
def test_a_house_never_served_beyond_the_machine_says_so(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run([*command, "--data", str(tmp_path)]) == 2
    assert "fieldlog serve --lan" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_the_announcement_carries_name_port_and_addresses(now: datetime) -> None:
    told = lan.service_of(Lan("fieldlog-7k2m.local", 8443, 8322, now), ["10.0.0.2", "10.1.0.2"])
    assert (told.server, told.port) == ("fieldlog-7k2m.local.", 8443)
    assert told.type == "_https._tcp.local."
    assert told.parsed_addresses() == ["10.0.0.2", "10.1.0.2"]


def test_the_name_is_answered_by_mdns_on_loopback(now: datetime) -> None:
    """RFC 6762: a question for the name's address is answered with it."""
    # In a thread of its own: after a browser's test this one has a loop running, which zeroconf
    # would take for its own and wait for.
    with ThreadPoolExecutor(1) as apart:
        assert apart.submit(_answered, now).result() == ["127.0.0.1"]


def _answered(now: datetime) -> list[str]:
    from zeroconf import AddressResolver, IPVersion, Zeroconf

    with lan.announced(Lan("fieldlog-7k2m.local", 8443, 8322, now), ["127.0.0.1"]):
        asking = Zeroconf(interfaces=["127.0.0.1"], ip_version=IPVersion.V4Only)
        try:
            resolver = AddressResolver("fieldlog-7k2m.local.")
            any(resolver.request(asking, 3000) or sleep(0.2) for _ in range(3))
            return resolver.parsed_addresses()
        finally:
            asking.close()
