"""Prints how fast tablets hand over: `python tests/bench/sync.py`. Asserts nothing.

A house of the demo's size is served by `fieldlog serve`'s own server in a process of its own.
"A tablet" here sends one check or item and reads a page, every two seconds or so.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import random
import secrets
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import crowd

from fieldlog.calc.bodies import CheckEntry, ItemEntry
from fieldlog.calc.entries import encode_body, subject_of
from fieldlog.calc.ids import new_id
from fieldlog.store.db import open_writer
from fieldlog.store.files import load_library

sys.path.insert(0, str(Path(__file__).parent.parent / "sync"))
from served import UNREACHED, Browser, free_port, serve

NOW = datetime(2026, 3, 3, 14, 15, tzinfo=UTC)
MS = 1000.0
TABLETS, SECONDS, PAUSE = 20, 20.0, 2.0
PAGES = ("/rooms/main-stair", "/punch", "/", "/rooms")
Row = tuple[str, str, str]


class Sender:
    """A browser with a device number of its own."""

    def __init__(self, port: int) -> None:
        self.browser = Browser(port)
        self.hello = self.browser.greets()
        self.next = self.hello["next_device_seq"]

    def entry(self, kind: str, body: Any) -> dict[str, Any]:
        """An envelope."""
        entry_id = new_id(NOW, secrets.token_bytes(10))
        self.next += 1
        return {
            "id": entry_id, "job": self.hello["job"], "device": self.hello["device"],
            "device_seq": self.next - 1, "claimed_ms": 0, "offset_min": 0,
            "author": self.hello["author"], "type": kind, "subject": subject_of(entry_id, body),
            "seen": "", "body": encode_body(body),
        }  # fmt: skip

    def some(self, count: int) -> list[dict[str, Any]]:
        """A third stairs, the rest looks and items, as a walk has them."""
        made = []
        for n in range(count):
            if n % 3 == 0:
                body: Any = CheckEntry("main-stair", "stair", crowd.STAIR, "tape", place=f"p-{n}")
            elif n % 3 == 1:
                body = CheckEntry("main-stair", "visual", crowd.LOOK, "eye", place=f"p-{n}")
            else:
                body = ItemEntry(f"{self.hello['prefix']}-{self.next}", "main-stair", "paint", "x")
            made.append(self.entry("item/1" if n % 3 == 2 else "check/1", body))
        return made


def processor(pid: int) -> float:
    """Seconds of the processor that a process has used (Linux; 0 elsewhere).

    On a machine that is busy with other things only this is to be trusted.
    """
    stat = Path(f"/proc/{pid}/stat")
    if not stat.is_file():
        return 0.0
    fields = stat.read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def five_hundred(port: int, pid: int) -> Row:
    """500 entries, in batches of 50, each acknowledged."""
    sender = Sender(port)
    batches = [sender.some(50) for _ in range(10)]
    times, used = [], processor(pid)
    for batch in batches:
        began = time.perf_counter()
        told = sender.browser.posts({"entries": batch})
        assert all(a["status"] == "stored" for a in told["answers"]), told["answers"][0]
        times.append(time.perf_counter() - began)
    used = processor(pid) - used
    said = f"{sum(times):.2f} s (a batch {shown(times)}), processor {used:.2f} s"
    return ("500 entries acknowledged", said, "5 s")


def hundred_photos(port: int, pid: int) -> Row:
    """100 photos of about 3 MB, one after another as a tablet sends them; copies come later."""
    photos = [photo(n) for n in range(100)]
    browser = Sender(port).browser
    began, used = time.perf_counter(), processor(pid)
    for data in photos:
        name = hashlib.sha256(data).hexdigest()
        assert json.loads(browser.asks("PUT", f"/photos/{name}", data))["sha256"] == name
    took = time.perf_counter() - began
    size = statistics.mean(len(data) for data in photos) / 1e6
    said = f"{took:.1f} s, processor {processor(pid) - used:.1f} s"
    return (f"100 photos of {size:.1f} MB acknowledged", said, "15 s")


_BASE: list[bytes] = []


def photo(number: int) -> bytes:
    """A JPEG of 12 MP with noise; each with another comment, so with another digest."""
    if not _BASE:
        from PIL import Image

        noise = Image.effect_noise((1000, 750), 60).resize((4000, 3000))
        grain = Image.effect_noise((4000, 3000), 18)
        picture = Image.merge("RGB", (Image.blend(noise, grain, 0.4), noise, grain))
        out = BytesIO()
        picture.save(out, "JPEG", quality=72)
        _BASE.append(out.getvalue())
    comment = b"%08d" % number
    return _BASE[0][:2] + b"\xff\xfe\x00\x0a" + comment + _BASE[0][2:]


def twenty(port: int, pid: int, slow: int = 0) -> list[Row]:
    """20 tablets sending and reading at once, with `slow` phones uploading beside them."""
    asked: list[float] = []
    stop = time.monotonic() + SECONDS
    uploading = [threading.Thread(target=_trickle, args=(port, stop)) for _ in range(slow)]
    tablets = [Sender(port) for _ in range(TABLETS)]
    threads = [threading.Thread(target=_walks, args=(t, stop, asked)) for t in tablets]
    used = processor(pid)
    for thread in (*uploading, *threads):
        thread.start()
    for thread in threads:
        thread.join()
    asked.sort()
    beside = f", {slow} phones uploading slowly" if slow else ""
    p99 = asked[int(len(asked) * 0.99)]
    said = (
        f"p50 {asked[len(asked) // 2] * MS:.0f} ms, p99 {p99 * MS:.0f}, most {asked[-1] * MS:.0f}"
    )
    each = (processor(pid) - used) / len(asked) * MS
    said += f", processor {each:.0f} ms each"
    return [(f"20 tablets at once{beside} ({len(asked)} requests)", said, "p99 100 ms")]


def _walks(tablet: Sender, stop: float, asked: list[float]) -> None:
    time.sleep(random.random() * PAUSE)
    while time.monotonic() < stop:
        for work in (
            lambda: tablet.browser.posts({"entries": tablet.some(2)}),
            lambda: tablet.browser.asks("GET", random.choice(PAGES)),
        ):
            began = time.perf_counter()
            with contextlib.suppress(*UNREACHED):  # it waited its 30 seconds: that is its time
                work()
            asked.append(time.perf_counter() - began)
            time.sleep(PAUSE * (0.5 + random.random()) / 2)


def _trickle(port: int, stop: float) -> None:
    """A phone at the edge of reach: a photo at 100 KB/s."""
    import socket

    with socket.create_connection(("127.0.0.1", port)) as line:
        line.sendall(
            b"PUT /photos/" + b"ab" * 32 + b" HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Fieldlog: outbox/1"
            b"\r\nContent-Length: 10000000\r\n\r\n"
        )
        while time.monotonic() < stop:
            line.sendall(bytes(10_000))
            time.sleep(0.1)


def shown(times: list[float]) -> str:
    """Median and slowest, in ms."""
    return f"{statistics.median(times) * MS:.0f} ms, slowest {max(times) * MS:.0f}"


def served(folder: Path) -> list[Row]:
    """All of it, against one server."""
    port = free_port()
    process: subprocess.Popen[bytes] = serve(folder, port)
    try:
        pid = process.pid
        rows = [five_hundred(port, pid), hundred_photos(port, pid)]
        return [*rows, *twenty(port, pid), *twenty(port, pid, slow=3)]
    finally:
        process.terminate()
        process.wait()


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory(dir=os.environ.get("FIELDLOG_BENCH_DIR")) as name:
        house = Path(name) / "house"
        crowd.start(house, NOW)
        conn = open_writer(house)
        crowd.fill(conn, house, load_library(house), NOW, 60, 60)
        conn.close()
        rows = served(house)
    print(f"Python {sys.version.split()[0]}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    print(f"{'what':<62} {'seen':<76} wanted")
    for what, seen, wanted in rows:
        print(f"{what:<62} {seen:<76} {wanted}")


if __name__ == "__main__":
    main()
