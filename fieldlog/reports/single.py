"""One report, as text, as one page that carries its photos, or as files in a folder."""

from __future__ import annotations

import base64
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from fieldlog.calc.house import House
from fieldlog.calc.shape import is_day
from fieldlog.calc.trade_order import Sequence
from fieldlog.reports import daily, punch, weekly
from fieldlog.reports.files import Files, write_whole
from fieldlog.reports.render import Facts, Name, PhotoUrl, html
from fieldlog.store import photos

PAGE, TEXT = ".html", ".txt"


class NoSuchReport(ValueError):
    """The day or crew asked for is none of this house's; the message says what there is."""


@dataclass(frozen=True, slots=True)
class Single:
    """Which report: its kind, an ISO date (a letter is that of the date's week), a crew's id."""

    kind: Name
    day: str
    trade: str = ""
    sequence: Sequence | None = None

    def check(self, house: House) -> None:
        """Raises NoSuchReport for what is no day, and a punch list without a crew."""
        if not is_day(self.day):
            raise NoSuchReport(f'"{self.day}" is not a day such as 2026-03-05.')
        if self.kind == "punch" and house.trade(self.trade) is None:
            crews = ", ".join(trade.id for trade in house.trades)
            raise NoSuchReport(f"A punch list is of a crew, one of: {crews}.")

    def facts(self, conn: sqlite3.Connection, house: House) -> tuple[Facts, str]:
        """The report's facts and its text."""
        if self.kind == "daily":
            day = daily.gather(conn, house, self.day)
            return day, daily.text(day)
        if self.kind == "punch":
            listed = punch.gather(conn, house, self.trade, self.day)
            return listed, punch.text(listed)
        letter = weekly.gather(conn, house, weekly.friday_of(self.day), self.sequence)
        return letter, weekly.text(letter)

    def in_folder(self, files: Files) -> list[Path]:
        """Page and text with their usual names. Raises OSError."""
        if self.kind == "daily":
            return files.daily(self.day)
        if self.kind == "punch":
            return files.punch(self.trade, self.day)
        return files.weekly(weekly.friday_of(self.day), self.sequence)


def write(
    asked: Single, out: Path, conn: sqlite3.Connection, house: House, data: Path
) -> list[Path]:
    """Write to `out`: a file when it ends in .html or .txt, else a folder. Raises OSError."""
    if out.suffix not in (PAGE, TEXT):
        return asked.in_folder(Files(out, conn, house, data))
    facts, text = asked.facts(conn, house)
    if out.suffix == PAGE:
        text = html(asked.kind, facts, photo_url=photo_within(data), standalone=True)
    write_whole(out, text.encode())
    return [out]


def photo_within(data: Path) -> PhotoUrl:
    """Gives a photo's copy as a data address, so that the page needs no other file."""

    def address(sha256: str, side: int) -> str:
        try:
            copy = photos.rendition(data, sha256, side).read_bytes()
        except FileNotFoundError:
            return ""
        return "data:image/jpeg;base64," + base64.b64encode(copy).decode()

    return address
