"""A day as the journal had it at one of its heads: what came later, and later strikes, are off.

An issued report is read from the head it was issued from, so that its words stay the same
whatever is entered afterwards; what came later is told apart.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, replace

from fieldlog.calc.bodies import Day, PhotoEntry, Strike
from fieldlog.calc.entries import parse_body, role_of, trade_of
from fieldlog.calc.items import Event, fold
from fieldlog.store import journal, reading
from fieldlog.store.reading_instruments import TestView, tool_test
from fieldlog.store.reading_sums import sum_of
from fieldlog.store.views import CheckView, EntryView, Head, ItemAct, ItemView, SumView

QUIET = ("report/1", "letter/1", "house/1", "access/1")
"""Types that no daily report tells: reports, the owner's letter, the house, who may come in."""


@dataclass(frozen=True, slots=True)
class Act:
    """An act of the day on an item, and the crew that owned the item then."""

    act: ItemAct
    item: ItemView
    crew: str


@dataclass(frozen=True, slots=True)
class DayAsOf:
    """What the journal had of a day when its head was `head`.

    `checks`, `sums` and `tests` (of levels) are in the order they came; struck ones say why.
    `photos` are there once each, and `typed` are the day's facts as last typed. `walkers` are the
    superintendents who entered something, in the order they came; `refused` counts entries that
    were not accepted.
    """

    day: str
    head: Head
    checks: tuple[CheckView, ...]
    acts: tuple[Act, ...]
    photos: tuple[PhotoEntry, ...]
    sums: tuple[SumView, ...]
    tests: tuple[TestView, ...]
    typed: Day | None
    walkers: tuple[str, ...]
    refused: int


def day_as_of(conn: sqlite3.Connection, day: str, head: Head) -> DayAsOf:
    """The day (an ISO date) as the journal had it when its head was `head`."""
    known = [e for e in journal.entries(conn, day=day) if e.seq <= head.seq]
    told = [e for e in known if not e.refused and e.type not in QUIET]
    strikes = {s.entry: s.reason for e, s in _strikes(conn, 0) if e.seq <= head.seq}
    standing = [e for e in told if e.id not in strikes]
    walkers = (e.author.partition("/")[2] for e in told if not trade_of(e.author))
    return DayAsOf(
        day=day,
        head=head,
        checks=tuple(_checks(conn, told, strikes)),
        acts=tuple(_acts(conn, told, strikes, day, head)),
        photos=tuple(_photos(standing)),
        sums=tuple(_sums(conn, told, strikes)),
        tests=tuple(_tests(told, strikes)),
        typed=_typed(standing),
        walkers=tuple(dict.fromkeys(walkers)),
        refused=sum(1 for e in known if e.refused),
    )


def _checks(
    conn: sqlite3.Connection, told: list[EntryView], strikes: dict[str, str]
) -> Iterator[CheckView]:
    for entry in told:
        check = reading.check(conn, entry.id) if entry.type == "check/1" else None
        if check is not None:
            yield replace(check, struck=strikes.get(check.id, ""))


def _sums(
    conn: sqlite3.Connection, told: list[EntryView], strikes: dict[str, str]
) -> Iterator[SumView]:
    for entry in told:
        found = sum_of(conn, entry.id) if entry.type == "calculation/1" else None
        if found is not None:
            yield replace(found, struck=strikes.get(found.id, ""))


def _tests(told: list[EntryView], strikes: dict[str, str]) -> Iterator[TestView]:
    for entry in told:
        if entry.type == "instrument/1":
            yield replace(tool_test(entry), struck=strikes.get(entry.id, ""))


def _photos(standing: list[EntryView]) -> list[PhotoEntry]:
    kept: dict[str, PhotoEntry] = {}
    for body in (parse_body(e.type, e.body) for e in standing if e.type == "photo/1"):
        if isinstance(body, PhotoEntry):
            kept.setdefault(body.sha256, body)
    return list(kept.values())


def _typed(standing: list[EntryView]) -> Day | None:
    typed = [e for e in standing if e.type == "day/1"]
    body = parse_body(typed[-1].type, typed[-1].body) if typed else None
    return body if isinstance(body, Day) else None


def _acts(
    conn: sqlite3.Connection,
    told: list[EntryView],
    strikes: dict[str, str],
    day: str,
    head: Head,
) -> list[Act]:
    """What was done about items that day, in journal order."""
    subjects = dict.fromkeys(e.subject for e in told if e.type in ("item/1", "act/1"))
    found = []
    for subject in subjects:
        item = reading.item(conn, subject.partition(":")[2])
        if item is not None:
            history = [a for a in reading.item_history(conn, item.id) if a.seq <= head.seq]
            found += [a for a in _folded(item, history, strikes) if a.act.day == day]
    return sorted(found, key=lambda a: a.act.seq)


def _folded(item: ItemView, history: list[ItemAct], strikes: dict[str, str]) -> Iterator[Act]:
    """Each act with the effect it had then, and the crew that owned the item."""
    known = [replace(a, struck=strikes.get(a.id, "")) for a in history]
    crew = ""
    for act, line in zip(known, fold([_event(a) for a in known]).lines, strict=True):
        crew = act.trade if act.act == "opened" else crew
        yield Act(replace(act, effect=line.effect, why_no_effect=line.why), item, crew)
        crew = act.trade if act.act == "passed_on" and line.effect else crew


def came_later(conn: sqlite3.Connection, day: str, head: Head) -> list[tuple[EntryView, str]]:
    """Entries of the day after `head`, and later strikes of its entries, in journal order.

    With each strike comes the id of the entry it strikes; with any other entry, "".
    """
    strikes = [(e, s.entry) for e, s in _strikes(conn, head.seq) if _is_of(conn, s.entry, day)]
    others = [
        (e, "")
        for e in journal.entries(conn, after=head.seq, day=day)
        if e.type not in (*QUIET, "strike/1") and not e.refused
    ]
    return sorted(strikes + others, key=lambda pair: pair[0].seq)


def _strikes(conn: sqlite3.Connection, after: int) -> list[tuple[EntryView, Strike]]:
    found = []
    for entry in journal.entries(conn, after=after, type="strike/1"):
        body = None if entry.refused else parse_body(entry.type, entry.body)
        if isinstance(body, Strike):
            found.append((entry, body))
    return found


def _is_of(conn: sqlite3.Connection, entry_id: str, day: str) -> bool:
    entry = journal.entry(conn, entry_id)
    return entry is not None and entry.day == day and entry.type not in QUIET


def _event(act: ItemAct) -> Event:
    return Event(
        id=act.id,
        act=act.act,
        role=role_of(act.author),
        day=act.day,
        crew=trade_of(act.author),
        trade=act.trade,
        reason=act.reason,
        struck=act.struck,
    )
