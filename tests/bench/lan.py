"""How long 20 tablets wait at their door while three phones send a photo slowly.

    python tests/bench/lan.py

Serves the demo's house over HTTPS on this machine, by `fieldlog.lan`'s own server, once for each
number of threads, with and without the slow phones, and prints a table. Asserts nothing.
"""

from __future__ import annotations

import http.client
import socket
import ssl
import sys
import tempfile
import threading
import time
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

from fieldlog import tls  # noqa: E402
from fieldlog.app import create_app  # noqa: E402
from fieldlog.config import Config, Lan  # noqa: E402
from fieldlog.demo.load import load  # noqa: E402
from fieldlog.demo.seed import read_seed  # noqa: E402
from fieldlog.lan import Door, LateHandshake  # noqa: E402
from fieldlog.store import access_db, access_devices  # noqa: E402
from fieldlog.web.access import DEVICE_COOKIE  # noqa: E402
from fieldlog.web.settled import settle_soon  # noqa: E402

NAME, TOKEN = "fieldlog-7k2m.local", "t" * 32
TABLETS, ASKS, PAUSE = 20, 25, 1.0
PHONES, BYTES, PIECE = 3, 400_000, 20_000
PATHS = ("/", "/rooms", "/punch", "/next", "/crews/stair", "/reports")
THREADS = (4, 10)
"""With no more threads than slow phones the tablets wait until the phones are done."""


def main() -> None:
    """Print the table."""
    now = datetime.now(UTC)
    with tempfile.TemporaryDirectory() as at:
        folder = Path(at) / "house"
        load(folder, read_seed(), now, date(2026, 3, 5))
        conn = access_db.open_access(folder)
        access_devices.add_device(conn, "tablet-1", "Bench", TOKEN, now)
        conn.close()
        kept = tls.renew(folder, NAME, now)
        config = Config(folder, allowed_hosts=(NAME,), testing=True)
        lan = Lan(NAME, 1, 1, kept.ends)
        app = create_app(replace(config, front="tls", lan=lan))
        settle_soon([app]).join()
        print(f"{TABLETS} tablets, {ASKS} pages each, one every {PAUSE} s; HTTPS, kept alive\n")
        print("| threads | slow phones | median ms | p99 ms | worst ms |\n|---|---|---|---|---|")
        for threads in THREADS:
            for phones in (0, PHONES):
                waits = sorted(measured(app, kept, threads, phones))
                cut = waits[int(len(waits) * 0.99)]
                middle = waits[len(waits) // 2]
                row = (f"{x * 1000:.0f}" for x in (middle, cut, waits[-1]))
                print(f"| {threads} | {phones} | {' | '.join(row)} |", flush=True)


def measured(app: object, kept: tls.Kept, threads: int, phones: int) -> list[float]:
    """Seconds that each page took."""
    server = Door(("127.0.0.1", 0), app, numthreads=threads, timeout=15)
    server.ssl_adapter = LateHandshake(str(kept.leaf), str(kept.leaf))
    server.prepare()
    threading.Thread(target=server.serve, daemon=True).start()
    context = ssl.create_default_context(cadata=kept.root.read_bytes())
    port, waits, done = server.bind_addr[1], list[float](), threading.Event()
    slow = [threading.Thread(target=phone, args=(context, port, done)) for _ in range(phones)]
    fast = [threading.Thread(target=tablet, args=(context, port, waits, n)) for n in range(TABLETS)]
    for one in (*slow, *fast):
        one.start()
    for one in fast:
        one.join()
    done.set()
    for one in slow:
        one.join()
    server.stop()
    return waits


def tablet(context: ssl.SSLContext, port: int, waits: list[float], number: int) -> None:
    """Ask for page after page, at a walker's pace, over one connection."""
    conn = http.client.HTTPConnection(NAME, port)
    raw = socket.create_connection(("127.0.0.1", port))
    conn.sock = context.wrap_socket(raw, server_hostname=NAME)
    time.sleep(number * PAUSE / TABLETS)
    for n in range(ASKS):
        since = time.perf_counter()
        path = PATHS[(n + number) % len(PATHS)]
        conn.request("GET", path, headers={"Cookie": f"{DEVICE_COOKIE}={TOKEN}"})
        answer = conn.getresponse()
        answer.read()
        assert answer.status == 200, (path, answer.status)
        waits.append(time.perf_counter() - since)
        time.sleep(PAUSE)
    conn.close()


def phone(context: ssl.SSLContext, port: int, done: threading.Event) -> None:
    """Send a photo, 20 KB a second, again and again."""
    head = (
        f"POST /rooms/x/photos HTTP/1.1\r\nHost: {NAME}:{port}\r\n"
        f"Cookie: {DEVICE_COOKIE}={TOKEN}\r\n"
        f"Content-Type: multipart/form-data; boundary=b\r\nContent-Length: {BYTES}\r\n\r\n"
        '--b\r\nContent-Disposition: form-data; name="photo"; filename="p"\r\n\r\n'
    ).encode()
    while not done.is_set():
        raw = socket.create_connection(("127.0.0.1", port))
        with context.wrap_socket(raw, server_hostname=NAME) as sock:
            sock.sendall(head)
            for _ in range(BYTES // PIECE):
                if done.wait(1.0):
                    break
                sock.sendall(b"x" * PIECE)


if __name__ == "__main__":
    main()
