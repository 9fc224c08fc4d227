"""The server's process is killed in the middle of batches: what it acknowledged is there once."""

from __future__ import annotations

import hashlib
import itertools
import threading
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from keeping import GOOD_DOOR, PAT, START, start
from served import UNREACHED, Browser, free_port, serve

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.entries import encode_body
from fieldlog.calc.ids import new_id
from fieldlog.store import folds, journal
from fieldlog.store.db import open_writer

BODY = encode_body(CheckEntry("hall", "visual", GOOD_DOOR, "eye"))


def batch(hello: Any, numbers: range) -> list[dict[str, Any]]:
    """Checks with these numbers of the device."""
    return [
        {
            "id": new_id(START, hashlib.sha256(b"%d" % n).digest()[:10]), "job": hello["job"],
            "device": hello["device"], "device_seq": n, "claimed_ms": 0, "offset_min": 0,
            "author": PAT, "type": "check/1", "subject": "check:hall/visual", "seen": "",
            "body": BODY,
        }
        for n in numbers
    ]  # fmt: skip


def killed_in_a_batch(folder: Path, browser: Browser, port: int, after: float) -> set[str]:
    """Send batches until the process is gone; ids that were acknowledged."""
    acknowledged: set[str] = set()
    with serve(folder, port) as process:
        hello = browser.greets()
        first = hello["next_device_seq"]
        try:
            for low in itertools.count(first, 20):
                if low == first + 20:  # the first one waits for the judge to be loaded
                    threading.Timer(after, process.kill).start()
                sent = browser.posts({"entries": batch(hello, range(low, low + 20))})
                acknowledged |= {a["id"] for a in sent["answers"] if "stored" in a["status"]}
        except UNREACHED:
            pass
        process.wait()
    return acknowledged


def holds(tmp_path: Path, delays: tuple[float, ...]) -> None:
    """Kill it after each of these times, then look."""
    kept = start(tmp_path / "house")
    kept.conn.close()
    port = free_port()
    browser = Browser(port)
    acknowledged: set[str] = set()
    for after in delays:
        acknowledged |= killed_in_a_batch(kept.folder, browser, port, after)
    assert acknowledged
    with closing(open_writer(kept.folder)) as conn:
        ids = [row.entry.id for row in journal.rows(conn)]
        numbers = [row.entry.device_seq for row in journal.rows(conn) if row.seq > 1]
        assert acknowledged <= set(ids)
        assert len(ids) == len(set(ids))
        assert numbers == list(range(1, len(numbers) + 1)), "a batch is stored whole or not at all"
        assert len(numbers) % 20 == 0
        assert journal.verify(conn) == []
        live = folds.dump(conn)
        folds.rebuild(conn)
        assert folds.dump(conn) == live


def test_nothing_acknowledged_is_lost_or_doubled_by_a_kill(tmp_path: Path) -> None:
    holds(tmp_path, (0.4, 0.15))


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_or_doubled_by_many_kills(tmp_path: Path) -> None:
    holds(tmp_path, tuple(0.05 + 0.07 * n for n in range(12)))
