"""What a daily report says about punch items, and about what came in after it was issued."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection

from fieldlog.calc.bodies import (
    Act,
    CheckEntry,
    InstrumentTest,
    ItemEntry,
    KeptSum,
    PhotoEntry,
    Strike,
)
from fieldlog.calc.entries import parse_body
from fieldlog.calc.house import House
from fieldlog.reports import asof
from fieldlog.reports.facts import ActLine, Acts, Added
from fieldlog.reports.findings import finding, room_name, title_of
from fieldlog.reports.layout import sentences
from fieldlog.reports.phrases import mark_word
from fieldlog.reports.tools import says_of, title_of_test, tool_name
from fieldlog.reports.words import Words
from fieldlog.store import journal, reading
from fieldlog.store.reading_instruments import tool_test
from fieldlog.store.sources import library_at
from fieldlog.store.views import EntryView, ItemView

ORDER = (
    "opened",
    "corrected",
    "sent_back",
    "accepted",
    "accepted_as_is",
    "not_ours",
    "passed_on",
    "withdrawn",
    "note",
)
"""Acts in the order a report tells them."""


def acts_of(
    conn: sqlite3.Connection,
    known: asof.DayAsOf,
    house: House,
    told: Collection[str],
    w: Words,
) -> tuple[Acts, ...]:
    """The day's acts by name. An item's sentences are left out where its check is in `told`."""
    lines: dict[str, list[ActLine]] = {}
    for one in known.acts:
        lines.setdefault(one.act.act, []).append(_line(conn, house, one, told, w))
    return tuple(Acts(act, tuple(lines[act])) for act in ORDER if act in lines)


def name_of(house: House, author: str) -> str:
    """ "Ada Quill", or the name of the crew that wrote it."""
    role, _, name = author.partition("/")
    trade = house.trade(name) if role == "crew" else None
    return trade.name if trade else name


def item_where(house: House, item: ItemView, w: Words) -> str:
    """ "Mezzanine hall, 2nd floor, wall B"."""
    room = room_name(house, item.room, w)
    return w.say("list.comma").join((room, w.say(f"wall.{item.wall}"))) if item.wall else room


def item_words(item: ItemView, w: Words) -> str:
    """What the item is about, in one line; one that is only a photo says so."""
    return " ".join(item.words.split()) or w.say("daily.see_photo")


def added_line(
    conn: sqlite3.Connection, house: House, entry: EntryView, struck: str, w: Words
) -> Added:
    """An entry that came in after issue; `struck` is the entry that it strikes, or ""."""
    return Added(
        when=w.when(entry.received, house.zone),
        by=name_of(house, entry.author),
        says=_struck(conn, house, entry, struck, w) if struck else _says(conn, house, entry, w),
    )


def _line(
    conn: sqlite3.Connection, house: House, one: asof.Act, told: Collection[str], w: Words
) -> ActLine:
    act, item = one.act, one.item
    new = act.act == "opened"
    return ActLine(
        act=act.act,
        number=item.number,
        crew=name_of(house, f"crew/{one.crew}"),
        where=item_where(house, item, w),
        words=item_words(item, w),
        says=_opened(item, w) if new else _remarks(conn, house, one, w),
        by=name_of(house, act.author),
        at=w.clock(act.received, house.zone),
        findings=tuple(map(finding, item.findings)) if new and item.check not in told else (),
        struck=act.struck,
        no_effect="" if act.effect or act.struck else act.why_no_effect,
        clash=act.clash,
    )


def _opened(item: ItemView, w: Words) -> str:
    by = w.say("punch.needs_by", day=w.short_day(item.needs_by)) if item.needs_by else ""
    return sentences((by, w.say("punch.damaged") if item.damaged_by_other else ""))


def _remarks(conn: sqlite3.Connection, house: House, one: asof.Act, w: Words) -> str:
    act = one.act
    how = act.how.replace(" ", "_")
    check = reading.check(conn, act.check) if act.check else None
    if act.act == "accepted" and check:
        seen = w.say("says.seen_measured_as", mark=mark_word(check.verdict, "", w).lower())
    elif act.act == "accepted":
        seen = w.say(f"says.seen_{how}")
    else:
        seen = w.say(f"says.told_{how}") if how else ""
    to = w.say("says.to_crew", crew=name_of(house, f"crew/{act.trade}"))
    return sentences(
        (
            to if act.act == "passed_on" else "",
            seen,
            w.say("says.reason", reason=act.reason) if act.reason else "",
            w.say("says.agreed", by=act.agreed_by) if act.agreed_by else "",
        )
    )


def _says(conn: sqlite3.Connection, house: House, entry: EntryView, w: Words) -> str:
    body = parse_body(entry.type, entry.body)
    match body:
        case CheckEntry():
            check = reading.check(conn, entry.id)
            if check is not None:
                mark = mark_word(check.verdict, "", w)
                room = room_name(house, body.room, w)
                return w.say("added.check", title=title_of(check), room=room, mark=mark)
        case ItemEntry():
            item = reading.item(conn, entry.id)
            if item is not None:
                crew = name_of(house, f"crew/{body.trade}")
                told = item_words(item, w)
                return w.say("added.item", number=item.number, crew=crew, words=told)
        case Act():
            return _act_says(conn, entry, body, w)
        case PhotoEntry():
            where = room_name(house, body.room, w) if body.room else ""
            return sentences((w.say("added.photo"), body.caption, where))
        case KeptSum():
            title = json.loads(body.answer)["title"]
            room = room_name(house, body.room, w)
            return w.say("added.calculation", title=title, room=room)
        case InstrumentTest():
            view, name = tool_test(entry), tool_name(body.tool, library_at(conn, entry.seq))
            test = title_of_test(view, name, w)
            return w.say("added.instrument", test=test, says=says_of(view, house, w))
    kind = entry.type.partition("/")[0]
    return w.say(f"added.{kind}" if w.has(f"added.{kind}") else "added.other", type=kind)


def _act_says(conn: sqlite3.Connection, entry: EntryView, act: Act, w: Words) -> str:
    item = reading.item(conn, entry.subject.partition(":")[2])
    number = item.number if item else ""
    done = w.say("added.act", number=number, act=w.say(f"act.{act.act}").lower())
    return sentences((done, w.say("says.reason", reason=act.reason) if act.reason else ""))


def _struck(conn: sqlite3.Connection, house: House, entry: EntryView, struck: str, w: Words) -> str:
    body = parse_body(entry.type, entry.body)
    target = journal.entry(conn, struck)
    what = _says(conn, house, target, w) if target else ""
    return w.say("added.strike", what=what, reason=body.reason if isinstance(body, Strike) else "")
