"""The daily report's facts, gathered from the folds as of the head it is written from."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from fieldlog.calc.bodies import Day, ReportIssued
from fieldlog.calc.house import House
from fieldlog.reports.asof import DayAsOf, came_later, day_as_of
from fieldlog.reports.daily_acts import acts_of, added_line, name_of
from fieldlog.reports.daily_photos import pictures_of
from fieldlog.reports.daily_text import text
from fieldlog.reports.facts import (
    Check,
    Checks,
    CrewLine,
    Daily,
    Issue,
    RoomLine,
)
from fieldlog.reports.findings import check_facts, limits_of, room_name, sheet_title
from fieldlog.reports.floor import floor_work
from fieldlog.reports.phrases import mark_word
from fieldlog.reports.sums import sum_line
from fieldlog.reports.tools import tool_tests
from fieldlog.reports.words import Words, words
from fieldlog.store import journal, reading
from fieldlog.store.sources import library_at
from fieldlog.store.views import CheckView, Head

__all__ = ["as_issued", "gather", "issue_daily", "text"]


def gather(conn: sqlite3.Connection, house: House, day: str, w: Words | None = None) -> Daily:
    """The report of an ISO date: a draft of what is known, or as it was last issued."""
    w = w or words()
    issued = reading.reports_issued(conn, kind="daily", day=day)
    now = journal.head(conn)
    if not issued:
        return _gather(conn, house, day, now, None, w)
    last = issued[-1]
    issue = Issue(
        number=len(issued),
        when=w.when(last.received, house.zone),
        by=name_of(house, last.author),
        head=Head(last.head_seq, last.head_chain),
        text_sha256=last.text_sha256,
    )
    facts = _gather(conn, house, day, issue.head, issue, w)
    reworded = "" if _sha256(text(facts, w)) == issue.text_sha256 else issue.text_sha256
    added = tuple(added_line(conn, house, *late, w) for late in came_later(conn, day, issue.head))
    return replace(facts, added=added, now=now, reworded=reworded)


def as_issued(facts: Daily) -> Daily:
    """The report without what came in after it was issued."""
    return replace(facts, added=(), now=facts.head, reworded="")


def issue_daily(
    conn: sqlite3.Connection,
    house: House,
    day: str,
    *,
    now: datetime,
    author: str,
    w: Words | None = None,
) -> ReportIssued:
    """The body of the entry that issues the day's report from the present head.

    `now` and `author` must be those the entry is then recorded with: they stand in the text
    whose SHA-256 it carries.
    """
    w = w or words()
    before = reading.reports_issued(conn, kind="daily", day=day)
    when = w.when(journal.stamp(now), house.zone)
    head = journal.head(conn)
    issue = Issue(len(before) + 1, when, name_of(house, author), head)
    told = text(_gather(conn, house, day, head, issue, w), w)
    return ReportIssued(
        kind="daily",
        day=day,
        head_seq=head.seq,
        head_chain=head.chain,
        text_sha256=_sha256(told),
    )


def _gather(
    conn: sqlite3.Connection, house: House, day: str, head: Head, issue: Issue | None, w: Words
) -> Daily:
    known = day_as_of(conn, day, head)
    told = _again([check_facts(c, house, w) for c in known.checks], known.checks, w)
    told = [
        replace(t, floor=floor_work(conn, c, head.seq))
        for t, c in zip(told, known.checks, strict=True)
    ]
    facts = Daily(
        house=house.name,
        by=w.join(known.walkers) or house.superintendent,
        day=day,
        head=head,
        now=head,
        issue=issue,
        rooms=_rooms(known, house, w),
        outcomes=_outcomes([c for c in told if not c.struck], known.checks),
        struck=tuple(c for c in told if c.struck),
        acts=acts_of(conn, known, house, {c.id for c in told}, w),
        sums=tuple(sum_line(one, house, w) for one in known.sums),
        tests=tool_tests(known.tests, known.checks, house, library_at(conn, head.seq), w),
        pictures=pictures_of(conn, house, known, w),
        limits=limits_of([c.judgement for c in known.checks if not c.struck], w),
        refused=known.refused,
    )
    return _typed(facts, house, known.typed) if known.typed else facts


def _typed(facts: Daily, house: House, day: Day) -> Daily:
    crews = (CrewLine(name_of(house, f"crew/{c.trade}"), c.people, c.did) for c in day.crews)
    return replace(
        facts,
        weather=day.weather,
        crews=tuple(crews),
        deliveries=day.deliveries,
        delays=day.delays,
        note=day.note,
    )


def _again(told: list[Check], checks: Sequence[CheckView], w: Words) -> list[Check]:
    """Each check with how the last later look at the same thing came out that day."""
    last = {c.subject: c for c in checks if not c.struck}
    facts = {c.id: c for c in told}
    answer = []
    for check, view in zip(told, checks, strict=True):
        later = last.get(view.subject)
        if later is not None and later.seq > view.seq:
            seen = facts[later.id]
            mark = mark_word(seen.mark, seen.plain, w).lower()
            check = replace(check, again=w.say("daily.again", at=seen.at, mark=mark))
        answer.append(check)
    return answer


def _outcomes(told: list[Check], checks: Sequence[CheckView]) -> dict[str, tuple[Checks, ...]]:
    titles = {c.sheet: sheet_title(c) for c in checks}
    by_mark: dict[str, dict[str, list[Check]]] = {}
    for check in sorted(told, key=lambda c: c.rank):
        by_mark.setdefault(check.mark, {}).setdefault(check.sheet, []).append(check)
    return {
        mark: tuple(
            Checks(sheet, titles[sheet], group[0].caution, tuple(group))
            for sheet, group in sheets.items()
        )
        for mark, sheets in by_mark.items()
    }


def _rooms(known: DayAsOf, house: House, w: Words) -> tuple[RoomLine, ...]:
    seen: dict[str, RoomLine] = {}
    for room, kind in _looked_at(known):
        line = seen.setdefault(room, RoomLine(room_name(house, room, w), 0, 0, 0))
        if kind:
            seen[room] = replace(line, **{kind: getattr(line, kind) + 1})
    order = [r.id for r in house.rooms]
    return tuple(seen[r] for r in sorted(seen, key=lambda r: (r not in order, _at(order, r), r)))


def _at(order: list[str], room: str) -> int:
    return order.index(room) if room in order else 0


def _looked_at(known: DayAsOf) -> Iterable[tuple[str, str]]:
    """Rooms that a superintendent entered something in, and what is counted for each entry."""
    yield from ((c.room, "checks") for c in known.checks if not c.struck)
    for line in known.acts:
        if line.act.effect and line.act.author.startswith("superintendent/"):
            yield line.item.room, "items" if line.act.act == "opened" else ""
    yield from ((s.room, "") for s in known.sums if not s.struck)
    yield from ((p.room, "photos") for p in known.photos if p.room)


def _sha256(told: str) -> str:
    return hashlib.sha256(told.encode()).hexdigest()
