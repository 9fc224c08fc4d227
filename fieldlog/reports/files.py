"""Reports as files: each as a page that can be mailed, and as text; photos lie beside them.

A file is written whole or not at all, and takes the place of the one written before it.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from pathlib import Path

from fieldlog.calc.house import House
from fieldlog.calc.trade_order import Sequence
from fieldlog.reports import daily, punch, weekly
from fieldlog.reports.render import Facts, Name, PhotoUrl, html
from fieldlog.reports.words import Words, words
from fieldlog.store import photos
from fieldlog.store.durable import write_durably
from fieldlog.store.files import load_order

PHOTOS = "photos"
SHOWN = 16
"""Digits of a photo's SHA-256 in its file name."""


class Files:
    """Writes the reports of one house into a folder. `data` is the house's data folder."""

    def __init__(
        self,
        out: Path,
        conn: sqlite3.Connection,
        house: House,
        data: os.PathLike[str] | str,
        w: Words | None = None,
    ) -> None:
        self._out, self._conn, self._house, self._data = out, conn, house, data
        self._w = w or words()

    def daily(self, day: str) -> list[Path]:
        """The daily report of an ISO date: `daily-2026-03-03.html` and `.txt`."""
        facts = daily.gather(self._conn, self._house, day, self._w)
        return self._both("daily", f"daily-{day}", facts, daily.text(facts, self._w))

    def punch(self, trade: str, day: str) -> list[Path]:
        """A crew's list as it stands: `punch-stair-2026-03-03.html` and `.txt`."""
        facts = punch.gather(self._conn, self._house, trade, day, self._w)
        return self._both("punch", f"punch-{trade}-{day}", facts, punch.text(facts, self._w))

    def weekly(self, week: str, sequence: Sequence | None = None) -> list[Path]:
        """The letter of a Friday: `letter-2026-03-06.html` and `.txt`."""
        order = sequence or load_order(self._data)
        facts = weekly.gather(self._conn, self._house, week, order, self._w)
        return self._both("weekly", f"letter-{week}", facts, weekly.text(facts, self._w))

    def _both(self, name: Name, stem: str, facts: Facts, text: str) -> list[Path]:
        page = html(name, facts, photo_url=self._photo(), standalone=True, w=self._w)
        return [self._write(f"{stem}.html", page), self._write(f"{stem}.txt", text)]

    def _write(self, name: str, text: str) -> Path:
        return write_whole(self._out / name, text.encode())

    def _photo(self) -> PhotoUrl:
        return lambda sha256, side: self._photo_beside(sha256, side)

    def _photo_beside(self, sha256: str, side: int) -> str:
        """The relative link of a copy in the folder. A photo whose file is gone has a dead one."""
        name = f"{PHOTOS}/{sha256[:SHOWN]}-{side}.jpg"
        try:
            copy = photos.rendition(self._data, sha256, side)
        except FileNotFoundError:
            return name
        if not (self._out / name).is_file():
            write_whole(self._out / name, copy.read_bytes())
        return name


def write_files(
    out: Path,
    conn: sqlite3.Connection,
    house: House,
    data: os.PathLike[str] | str,
    *,
    day: str,
    sequence: Sequence | None = None,
) -> list[Path]:
    """Every report of one day: the daily, each crew's list, and the letter of that week.

    `day` is an ISO date. Raises OSError where the folder can't be written to.
    """
    files = Files(out, conn, house, data)
    written = files.daily(day)
    for trade in house.trades:
        written += files.punch(trade.id, day)
    return written + files.weekly(weekly.friday_of(day), sequence)


def keep_issued(conn: sqlite3.Connection, house: House, data: Path, day: str) -> Path | None:
    """Keep the text of a day's last issue in the house's `reports/`, named by its SHA-256.

    Call it once the entry is stored. None where the day was not issued.
    """
    facts = daily.gather(conn, house, day)
    if facts.issue is None or facts.reworded:
        return None
    path = data / "reports" / f"daily-{day}-{facts.issue.text_sha256[:SHOWN]}.txt"
    write_durably(path, daily.text(daily.as_issued(facts)).encode())
    return path


def write_whole(path: Path, data: bytes) -> Path:
    """Write a file whole or not at all. Raises OSError.

    It is not forced to the disk: it can be written again from the journal at any time.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    descriptor, beside = tempfile.mkstemp(dir=path.parent, suffix=".tmp")
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
        # mkstemp makes a file for its owner only; a report is for handing on.
        os.chmod(beside, 0o644)
        os.replace(beside, path)
    finally:
        Path(beside).unlink(missing_ok=True)
    return path
