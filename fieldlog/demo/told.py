"""What the demo prints: the walks' verdicts and each crew's items, as a short table."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from fieldlog.calc.house import House
from fieldlog.calc.verdicts import VERDICTS
from fieldlog.reports.files import Files
from fieldlog.reports.weekly import friday_of
from fieldlog.store import reading

_STATES = {
    "open": "open",
    "corrected": "to look at",
    "accepted": "accepted",
    "accepted_as_is": "as is",
    "withdrawn": "withdrawn",
}
"""An item's states and their words; every one of them, so that a line adds up to its items."""


def summary(conn: sqlite3.Connection, house: House) -> str:
    """The table, with a line for each walk and each crew."""
    days = reading.walk_days(conn)
    checks = {day: reading.checks_on(conn, day) for day in days}
    items = reading.items(conn)
    walks = [[_short(day), *_counts([c.verdict for c in checks[day]], VERDICTS)] for day in days]
    crews = [
        [trade.name, *_counts([i.state for i in items if i.trade == trade.id], list(_STATES))]
        for trade in house.trades
    ]
    head = (
        f"{house.name}: {len(days)} walks, {sum(map(len, checks.values()))} checks, "
        f"{len(items)} punch items, {len(reading.photos(conn))} photos."
    )
    verdicts = [verdict.replace("_", " ") for verdict in VERDICTS]
    return "\n\n".join(
        (
            head,
            _table(["Checks, by walk", *verdicts], walks),
            _table(["Punch, by crew", *_STATES.values()], crews),
        )
    )


def write_reports(out: Path, conn: sqlite3.Connection, house: House, folder: Path) -> str:
    """Write the daily reports, punch lists and letter into `out`; says what they are and where.

    Raises OSError.
    """
    files = Files(out, conn, house, folder)
    days = reading.walk_days(conn)
    daily = [files.daily(day)[0].name for day in days]
    punch = [files.punch(trade.id, days[-1])[0].name for trade in house.trades]
    letter = files.weekly(friday_of(days[-1]))[0].name
    return "\n".join(
        (
            f"Reports, each as a page and as text, in {out}:",
            f"  {len(daily)} daily reports, the last one {daily[-1]}",
            f"  {len(punch)} punch lists, such as {punch[0]}",
            f"  the weekly letter, a draft: {letter}",
        )
    )


def _counts(found: Sequence[str], wanted: Sequence[str]) -> list[str]:
    counted = Counter(found)
    return [str(counted[one] or "-") for one in wanted]


def _table(head: list[str], rows: list[list[str]]) -> str:
    first = max(len(row[0]) for row in (head, *rows))
    return "\n".join(
        f"  {row[0]:<{first}}"
        + "".join(f"  {cell:>{len(name)}}" for cell, name in zip(row[1:], head[1:], strict=True))
        for row in (head, *rows)
    )


def _short(day: str) -> str:
    on = date.fromisoformat(day)
    return f"{on:%a}, {on:%b} {on.day}"
