"""A day as the journal had it at one of its heads: what came later, and later strikes, are off.

An issued report is read from the head it was issued from, so that its words stay the same
whatever is entered afterwards; what came later is told apart.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace

from fieldlog.calc.bodies import Day, PhotoEntry, Strike
from fieldlog.calc.entries import parse_body, role_of, trade_of
from fieldlog.calc.items import Event, fold
from fieldlog.store import journal, reading
from fieldlog.store.views import CheckView, EntryView, Head, ItemAct, ItemView

QUIET = ("report/1", "letter/1", "house/1")
"""Types that a daily report does not tell: reports themselves, the owner's letter, the house."""


@dataclass(frozen=True, slots=True)
class Act:
    """An act of the day on an item, and the crew that owned the item then."""

    act: ItemAct
    item: ItemView
    crew: str


@dataclass(frozen=True, slots=True)
class DayAsOf:
    """The entries of a day up to a head. `strikes` maps a struck entry's id to the reason."""

    conn: sqlite3.Connection
    day: str
    head: Head
    entries: tuple[EntryView, ...]
    strikes: dict[str, str]

    def checks(self) -> list[CheckView]:
        """The day's checks in the order they came; struck ones say why."""
        found = (reading.check(self.conn, e.id) for e in self._of("check/1"))
        return [replace(c, struck=self.strikes.get(c.id, "")) for c in found if c]

    def photos(self) -> list[PhotoEntry]:
        """The day's photos, each once, without struck ones."""
        kept: dict[str, PhotoEntry] = {}
        for entry in self._of("photo/1"):
            body = parse_body(entry.type, entry.body)
            if isinstance(body, PhotoEntry) and entry.id not in self.strikes:
                kept.setdefault(body.sha256, body)
        return list(kept.values())

    def facts(self) -> Day | None:
        """The day's facts as last typed."""
        typed = [e for e in self._of("day/1") if e.id not in self.strikes]
        body = parse_body(typed[-1].type, typed[-1].body) if typed else None
        return body if isinstance(body, Day) else None

    def acts(self) -> list[Act]:
        """What was done about items that day, in journal order."""
        subjects = [e.subject for e in self.entries if e.type in ("item/1", "act/1")]
        found = [a for s in dict.fromkeys(subjects) for a in self._acts_of(s.partition(":")[2])]
        return sorted(found, key=lambda a: a.act.seq)

    def superintendents(self) -> tuple[str, ...]:
        """Names of those who walked that day, in the order they came."""
        names = (e.author.partition("/")[2] for e in self._told() if not trade_of(e.author))
        return tuple(dict.fromkeys(names))

    def refused(self) -> int:
        """How many entries of the day were refused."""
        return sum(1 for e in self.entries if e.refused)

    def _told(self) -> list[EntryView]:
        return [e for e in self.entries if not e.refused and e.type not in QUIET]

    def _of(self, entry_type: str) -> list[EntryView]:
        return [e for e in self.entries if e.type == entry_type and not e.refused]

    def _acts_of(self, item_id: str) -> list[Act]:
        item = reading.item(self.conn, item_id)
        if item is None:
            return []
        known = [
            replace(a, struck=self.strikes.get(a.id, ""))
            for a in reading.item_history(self.conn, item_id)
            if a.seq <= self.head.seq
        ]
        state = fold([_event(a) for a in known])
        told, crew = [], ""
        for act, line in zip(known, state.lines, strict=True):
            crew = act.trade if act.act == "opened" else crew
            seen = replace(act, effect=line.effect, why_no_effect=line.why)
            if act.day == self.day:
                told.append(Act(seen, item, crew))
            crew = act.trade if act.act == "passed_on" and line.effect else crew
        return told


def day_as_of(conn: sqlite3.Connection, day: str, head: Head) -> DayAsOf:
    """The day as the journal had it when its head was `head`."""
    entries = tuple(e for e in journal.entries(conn, day=day) if e.seq <= head.seq)
    strikes = {
        strike.entry: strike.reason for entry, strike in _strikes(conn, 0) if entry.seq <= head.seq
    }
    return DayAsOf(conn, day, head, entries, strikes)


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
