"""The weekly letter to the owner: a draft in plain words from the week's facts, then the entry.

The draft tells rooms and crews, never numbers of things found. The superintendent changes it
and issues it; a letter that was issued is written from its entry alone. What the owner has to
decide is only known where a day's note has a line that begins with "Owner:".
The sentences about rooms and crews are English; the templates are in words/.
"""

from __future__ import annotations

import re
import sqlite3
from datetime import date, timedelta

from fieldlog.calc.bodies import Letter
from fieldlog.calc.house import House
from fieldlog.calc.trade_order import Sequence
from fieldlog.reports.facts import Picture
from fieldlog.reports.facts_letter import WeeklyLetter
from fieldlog.reports.findings import sheet_title
from fieldlog.reports.weekly_facts import Week, week_facts
from fieldlog.reports.weekly_text import text
from fieldlog.reports.words import Words, words
from fieldlog.store import journal, reading
from fieldlog.store.views import PhotoView

__all__ = ["draft", "friday_of", "gather", "photo_says", "text"]

LINES = 6
"""Sentences of a section at most: the letter stays on one page."""

PICTURES = 3


def friday_of(day: str) -> str:
    """The Friday whose letter tells about an ISO date; Saturday begins the next week."""
    at = date.fromisoformat(day)
    return (at + timedelta(days=(4 - at.weekday()) % 7)).isoformat()


def gather(
    conn: sqlite3.Connection,
    house: House,
    week: str,
    sequence: Sequence | None = None,
    w: Words | None = None,
) -> WeeklyLetter:
    """The letter of a Friday: its last entry, or a draft where none was written yet."""
    w = w or words()
    written, _ = reading.letter(conn, week)
    letter = written or draft(conn, house, week, sequence, w)
    return WeeklyLetter(
        house=house.name,
        owner=house.owner,
        by=house.superintendent,
        day=week,
        greeting=letter.greeting,
        finished=_paragraphs(letter.finished),
        need_from_you=_paragraphs(letter.need_from_you),
        next_up=_paragraphs(letter.next_up),
        closing=_paragraphs(letter.closing),
        pictures=_pictures(conn, house, letter.photos, w),
        fixed=letter.fixed,
        issued=_issued(conn, house, week, w) if letter.fixed else "",
    )


def draft(
    conn: sqlite3.Connection,
    house: House,
    week: str,
    sequence: Sequence | None = None,
    w: Words | None = None,
) -> Letter:
    """A draft of the letter of a Friday, from what the journal knows of that week.

    With the house's `sequence` it tells which crews can start somewhere.
    """
    w = w or words()
    known = week_facts(conn, house, week, sequence)
    return Letter(
        week=week,
        greeting=_greeting(house, w),
        finished=_lines(_finished(known, house, w)) or w.say("letter.nothing_done"),
        need_from_you=_lines(_needs(known, w)),
        next_up=_lines(_next(known, house, w)) or w.say("letter.nothing_next"),
        closing=w.say("letter.closing"),
        photos=known.photos[:PICTURES],
    )


def is_plain(told: str, w: Words) -> bool:
    """Whether a text holds none of the words that an owner should not have to look up."""
    marks = "|".join(re.escape(word) for word in w.list("letter.jargon"))
    return re.search(rf"\b({marks})", told, re.IGNORECASE) is None


def in_sentence(name: str) -> str:
    """ "the mezzanine hall" of "Mezzanine hall"; a name of one's own stays as it is."""
    own = name[:1] + name[1:].lower() != name or not re.fullmatch(r"[A-Za-z -]+", name)
    return name if own else f"the {name[0].lower()}{name[1:]}"


def _greeting(house: House, w: Words) -> str:
    owner = house.owner.removeprefix("the ").removeprefix("The ")
    return w.say("letter.greeting", owner=owner) if owner else w.say("letter.greeting_nobody")


def _finished(known: Week, house: House, w: Words) -> list[str]:
    told = []
    if known.rooms_right:
        told.append(w.say("letter.room_right", rooms=_rooms(house, known.rooms_right, w)))
    for trade, did in known.did.items():
        plain = [one for one in did if is_plain(one, w)]
        if plain:
            done = "; ".join(plain).rstrip(". ")
            told.append(w.say("letter.crew_did", crew=_crew(house, trade), did=done))
    for trade, rooms in known.corrected.items():
        where = _rooms(house, rooms, w)
        told.append(w.say("letter.crew_corrected", crew=_crew(house, trade), rooms=where))
    return told


def _needs(known: Week, w: Words) -> list[str]:
    mark = w.say("letter.owner_mark")
    lines = (line.strip() for note in known.notes for line in note.splitlines())
    return [line[len(mark) :].strip() for line in lines if line.lower().startswith(mark.lower())]


def _next(known: Week, house: House, w: Words) -> list[str]:
    told = []
    for trade, rooms in known.starts.items():
        where = _rooms(house, rooms, w)
        told.append(w.say("letter.crew_starts", crew=_crew(house, trade), rooms=where))
    for trade, (rooms, by) in known.back.items():
        key = "letter.crew_back_by" if by else "letter.crew_back"
        day = w.letter_weekday(by) if by else ""
        where = _rooms(house, rooms, w)
        told.append(w.say(key, crew=_crew(house, trade), rooms=where, day=day))
    return told


def _rooms(house: House, rooms: tuple[str, ...], w: Words) -> str:
    names = [r.name for r in house.rooms if r.id in rooms]
    if len(names) > LINES:
        return w.say("letter.rooms_many", n=len(names))
    return w.join([in_sentence(name) for name in names])


def _crew(house: House, trade: str) -> str:
    known = house.trade(trade)
    name = in_sentence(known.name if known else trade)
    return name[:1].upper() + name[1:]


def _lines(told: list[str]) -> str:
    return "\n".join(told[:LINES])


def _paragraphs(told: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in told.splitlines() if line.strip())


def _pictures(
    conn: sqlite3.Connection, house: House, chosen: tuple[str, ...], w: Words
) -> tuple[Picture, ...]:
    found = [p for sha in chosen if (p := reading.photo(conn, sha))]
    return tuple(
        Picture(p.sha256, photo_says(conn, house, p, w), p.width, p.height)
        for p in found[:PICTURES]
    )


def photo_says(
    conn: sqlite3.Connection, house: House, photo: PhotoView, w: Words | None = None
) -> str:
    """A photo's line: where it is and what was looked at, then its caption; plain words only."""
    w = w or words()
    room = house.room(photo.room)
    caption = photo.caption if is_plain(photo.caption, w) else ""
    if room is None or room.name.lower() in caption.lower():
        return caption or w.say("daily.photo")
    what = _what(conn, photo)
    if caption and what and is_plain(what, w):
        return w.say("letter.picture_of", room=room.name, what=what, caption=caption)
    if caption:
        return w.say("letter.picture_in", room=room.name, caption=caption)
    return room.name


def _what(conn: sqlite3.Connection, photo: PhotoView) -> str:
    """ "east window": what the photo's check looked at, or what its item, done with, was about."""
    kind, _, rest = photo.of.partition(":")
    looks = reading.checks_of_subject(conn, photo.of) if kind == "check" else []
    if looks:
        return _lower(looks[-1].place or sheet_title(looks[-1]))
    item = reading.item(conn, rest) if kind == "item" else None
    return _lower(item.words) if item and item.state == "accepted" else ""


def _lower(text: str) -> str:
    """With a small letter first, where the first word is no name or shorthand."""
    return f"{text[:1].lower()}{text[1:]}" if text[1:2].islower() else text


def _issued(conn: sqlite3.Connection, house: House, week: str, w: Words) -> str:
    """When the letter as it stands was entered."""
    told = journal.entries_of(conn, f"letter:{week}")
    last = next(e for e in reversed(told) if e.type == "letter/1" and not e.struck)
    return w.when(last.received, house.zone)
