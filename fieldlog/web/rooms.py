"""Rooms by story, and one room: what to measure, its items, who can start, its photos."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, render_template

from fieldlog.calc import readiness
from fieldlog.calc.house import Room, Story, slug
from fieldlog.calc.items import UNFINISHED
from fieldlog.calc.sheets import Sheet
from fieldlog.store import reading
from fieldlog.store.reading_sums import sums
from fieldlog.store.views import CheckLine, ItemView, PhotoView
from fieldlog.web import request as at
from fieldlog.web.layers_words import layers_line
from fieldlog.web.names import who
from fieldlog.web.next import Group, about_sheets, grouped, sequence
from fieldlog.web.reopening import Reopened, reopened_of

bp = Blueprint("rooms", __name__)

LOOK_AGAIN = ("fail", "not_measured")
RECENT_PHOTOS = 8
DONE_ITEMS = 5
RECENT_SUMS = 5


@dataclass(frozen=True)
class RoomLine:
    """One room in a list: marks of its latest checks, and what is left."""

    room: Room
    marks: dict[str, int]
    open: int
    left: int


@dataclass(frozen=True)
class ToMeasure:
    """One planned or taken check of a room, with its latest look."""

    sheet: str
    place: str
    title: str
    check: CheckLine | None
    verdict: str
    plain: str | None
    says: str


@bp.get("/rooms")
def all_rooms() -> str:
    """Every room, by story from the top of the house down."""
    return render_template("rooms/all.html", stories=stories())


@bp.get("/rooms/<room>")
def room(room: str) -> str:
    """One room in walking order."""
    place = at.room_or_404(room)
    checks = reading.lines_of_room(at.conn(), place.id)
    items = reading.items(at.conn(), room=place.id)
    lines = to_measure(place, checks)
    planned = {p.sheet for p in place.checks}
    return render_template(
        "rooms/room.html",
        room=place,
        story=at.house().story(place.story),
        lines=lines,
        main=next_line(lines),
        place_of=place_of,
        crews={trade.id: trade.name for trade in at.house().trades},
        gates=_gates(place, checks, items),
        last=_last_here(place),
        sums=sums(at.conn(), place.id)[:RECENT_SUMS],
        layers_line=layers_line(place.id),
        reopened=_reopened(checks),
        others=[sheet for sheet in sheets() if sheet.id not in planned],
        **_photos(place),
        **_items(items),
    )


def _reopened(checks: list[CheckLine]) -> dict[str, Reopened]:
    """Checks whose question is open again, by id."""
    found = (reopened_of(check) for check in checks)
    return {one.check.id: one for one in found if one is not None}


def _gates(room: Room, checks: list[CheckLine], items: list[ItemView]) -> list[Group]:
    gates = readiness.room_gates(sequence(), at.house(), room, checks, items, about_sheets())
    return grouped(list(gates))


def _photos(room: Room) -> dict[str, Any]:
    photos = reading.photos(at.conn(), room=room.id)
    return {"photos": recent_photos(photos), "photo_count": len(photos)}


def recent_photos(photos: list[PhotoView]) -> list[PhotoView]:
    """The last few that a room's page shows, the newest first."""
    return photos[-RECENT_PHOTOS:][::-1]


def _items(items: list[ItemView]) -> dict[str, Any]:
    """Items that wait for somebody, and the last few that are done with."""
    done = [i for i in items if i.state not in UNFINISHED]
    return {
        "waiting": [i for i in items if i.state in UNFINISHED],
        "done": newest(done)[:DONE_ITEMS],
        "done_count": len(done),
    }


def stories() -> list[tuple[Story, list[RoomLine]]]:
    """Stories from the highest down, each with its rooms in the order given."""
    counted = reading.room_marks(at.conn())
    house = at.house()
    return [
        (story, [line_of(r, counted.get(r.id, {})) for r in house.rooms_of(story.id)])
        for story in reversed(house.stories)
    ]


def line_of(room: Room, counted: dict[str, int]) -> RoomLine:
    """A room's line; planned checks that nobody took yet count as not measured."""
    marks = {m: counted.get(m, 0) for m in ("fail", "too_close", "not_measured", "pass")}
    never = max(len(room.checks) - sum(marks.values()), 0)
    marks["not_measured"] += never
    return RoomLine(room, marks, counted.get("open", 0), marks["not_measured"])


def to_measure(room: Room, checks: list[CheckLine]) -> list[ToMeasure]:
    """The planned checks in walking order, then others that were taken here."""
    taken = {c.key: c for c in checks}
    lines = [_line(p.sheet, p.place, taken.pop(p.key, None)) for p in room.checks]
    return lines + [_line(c.sheet, c.place, c) for c in taken.values()]


def next_line(lines: list[ToMeasure]) -> ToMeasure | None:
    """What to measure next: the first that nobody took, else the first that fails."""
    never = (line for line in lines if line.check is None)
    again = (line for line in lines if line.verdict in LOOK_AGAIN)
    return next(never, None) or next(again, None)


def _line(sheet: str, place: str, check: CheckLine | None) -> ToMeasure:
    found = at.library().sheets.get(sheet)
    title = found.title if found else sheet
    if place:
        title = f"{title}, {place[:1].lower()}{place[1:]}"
    if check is None:
        return ToMeasure(sheet, place, title, None, "not_measured", None, "not measured")
    plain, says = latest_sentence(check.judgement)
    return ToMeasure(sheet, place, title, check, check.verdict, plain, says)


def latest_sentence(judged: dict[str, Any]) -> tuple[str | None, str]:
    """The side of a close call, and the gravest finding in a sentence."""
    mine = [f for f in judged["findings"] if f["mark"] == judged["verdict"]]
    if not mine or judged["verdict"] in ("pass", "does_not_apply"):
        count = judged["counts"].get("pass", 0)
        return None, f"passes, {count} limit{'' if count == 1 else 's'}" if count else "looked at"
    more = len(mine) - 1
    first = str(mine[0]["head"]).rstrip(".")
    return mine[0]["plain"], f"{first}, and {more} more" if more else first


def sheets() -> list[Sheet]:
    """Every sheet of the library, in the order of its title."""
    return sorted(at.library().sheets.values(), key=lambda sheet: sheet.title)


def newest(items: list[ItemView]) -> list[ItemView]:
    """Items by when they came into their state, the newest first."""
    return sorted(items, key=lambda i: (i.state_day, i.seq), reverse=True)


def _last_here(room: Room) -> tuple[str, str] | None:
    """Who entered something here last, and when (as stored)."""
    last = reading.last_here(at.conn(), room.id)
    return (who(last[0]), last[2]) if last else None


def place_of(line: ToMeasure) -> str | None:
    """A line's place as it stands in an address."""
    return slug(line.place) or None
