"""Prints how fast the main path is on this machine: `python tests/bench/run.py`. Asserts nothing.

Times are medians, with the slowest beside them. "Cold" is a fresh process; the disk's cache is
not emptied. Ratios hold better from machine to machine than times.
"""

from __future__ import annotations

import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import crowd
from werkzeug.test import TestResponse

from fieldlog.app import create_app
from fieldlog.calc.bodies import CheckEntry, ItemEntry
from fieldlog.calc.judging import judge
from fieldlog.config import Config
from fieldlog.store.db import open_writer
from fieldlog.store.files import load_library

NOW = datetime(2026, 3, 3, 14, 15, tzinfo=UTC)
FIELDLOG = (sys.executable, "-m", "fieldlog")
STARTS, SECONDS, JUDGED, PAGES = 5, 3.0, 200, 50
CHECKS, ITEMS = 200, 300
MS = 1000.0

Row = tuple[str, str, str]


def seconds(work: Callable[[], object]) -> float:
    """How long one call takes."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def repeated(work: Callable[[], object], times: int) -> str:
    """Median and slowest of a call made often, and its share of the processor, in ms.

    On a machine that is busy with other things only the last one is to be trusted.
    """
    work()
    began = time.process_time()
    took = [seconds(work) for _ in range(times)]
    processor = (time.process_time() - began) / times
    return f"{shown(took)}, processor {processor * MS:.1f}"


def per_second(work: Callable[[], object]) -> float:
    """How often a call can be made in a second, tried for SECONDS."""
    began, count = time.perf_counter(), 0
    while time.perf_counter() - began < SECONDS:
        work()
        count += 1
    return count / (time.perf_counter() - began)


def shown(times: list[float]) -> str:
    """Median and slowest, in ms."""
    return f"{statistics.median(times) * MS:.1f} ms (slowest {max(times) * MS:.1f})"


def serve_cold(folder: Path) -> Row:
    """From the command to the whole first page."""
    crowd.start(folder / "cold", NOW)
    times = [_first_page(folder / "cold") for _ in range(STARTS)]
    return "serve: command to first page, cold process", shown(times), "1000 ms"


def _first_page(house: Path) -> float:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [*FIELDLOG, "serve", "--data", str(house), "--port", str(port)]
    began = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as server:
        try:
            while server.poll() is None:
                try:
                    with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as page:
                        page.read()
                except urllib.error.URLError:
                    time.sleep(0.005)
                else:
                    return time.perf_counter() - began
            raise SystemExit("serve ended by itself")
        finally:
            server.terminate()


def entries_stored(folder: Path) -> list[Row]:
    """Judged, stored and folded entries a second, beside the disk's own synced appends."""
    house = folder / "entries"
    crowd.start(house, NOW)
    library = load_library(house)
    stair = CheckEntry("main-stair", "stair", crowd.STAIR, "tape")
    look = CheckEntry("main-stair", "visual", crowd.LOOK, "eye")
    scratch = ItemEntry("", "main-stair", "paint", "Scratch")
    rows: list[Row] = []
    conn = open_writer(house)
    appends = _synced_appends(folder)
    rows.append(("this disk: synced appends of 4 KB", f"{appends:.0f} a second", ""))
    for what, enter in (
        ("a stair of 12 risers", lambda: crowd.check(conn, house, library, NOW, stair)),
        ("a look", lambda: crowd.check(conn, house, library, NOW, look)),
        ("a punch item", lambda: crowd.item(conn, house, library, NOW, scratch)),
    ):
        rate = per_second(enter)
        wanted = "ratio 0.50" if what != "a punch item" else ""
        rows.append(
            (f"entry: {what}, durable", f"{rate:.0f} a second, ratio {rate / appends:.2f}", wanted)
        )
    conn.close()
    return rows


def _synced_appends(folder: Path) -> float:
    block = os.urandom(4096)
    with (folder / "appends").open("ab", buffering=0) as file:

        def append() -> None:
            file.write(block)
            os.fsync(file.fileno())

        return per_second(append)


def stair_judged() -> Row:
    """A stair of 12 risers, judged by the packaged book; nothing stored."""
    library = load_library(None)

    def once() -> object:
        return judge(library, "stair", ["irc-2021"], crowd.STAIR, "tape")

    return "judge: a stair of 12 risers", repeated(once, JUDGED), "8 ms"


def room_page(folder: Path) -> list[Row]:
    """A room's page in a house with CHECKS checks and ITEMS items."""
    house = folder / "full"
    crowd.start(house, NOW)
    conn = open_writer(house)
    crowd.fill(conn, house, load_library(house), NOW, CHECKS, ITEMS)
    conn.close()
    app = create_app(Config(folder=house, clock=lambda: NOW, testing=True))
    client = app.test_client()
    rows: list[Row] = []
    for address in ("/rooms/main-stair", "/", "/rooms", "/punch"):

        def get(at: str = address) -> TestResponse:
            return client.get(at, base_url="http://127.0.0.1")

        page = get()
        size = f"{len(page.data) / 1024:.1f} KB, {repeated(get, PAGES)}, status {page.status_code}"
        wanted = "30 KB, 25 ms" if address.startswith("/rooms/") else ""
        rows.append((f"page: {address}, {CHECKS} checks, {ITEMS} items", size, wanted))
    return rows


def demo_loaded(folder: Path) -> Row:
    """`fieldlog demo --no-serve`, from the command to its end."""
    command = [*FIELDLOG, "demo", "--no-serve", "--out", str(folder / "demo")]
    took = seconds(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL))
    return "demo --no-serve", f"{took:.1f} s", "15 s"


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory(dir=os.environ.get("FIELDLOG_BENCH_DIR")) as name:
        folder = Path(name)
        rows = [stair_judged(), serve_cold(folder), *entries_stored(folder)]
        rows += [*room_page(folder), demo_loaded(folder)]
    print(f"Python {sys.version.split()[0]}, {os.cpu_count()} cores")
    print(f"{'what':<52} {'seen':<62} wanted")
    for what, seen, wanted in rows:
        print(f"{what:<52} {seen:<62} {wanted}")


if __name__ == "__main__":
    main()
