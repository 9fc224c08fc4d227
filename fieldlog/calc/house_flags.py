"""A house from what is typed on a command line: `kitchen:Kitchen:main` and the like."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

from fieldlog.calc.house import (
    House,
    HouseNotUnderstood,
    PlannedCheck,
    Room,
    Story,
    Trade,
    house_body,
    house_from_body,
    slug,
)
from fieldlog.calc.library import Library

BOOKS = ("irc-2021", "our-standard")
INSTRUMENTS = ("tape", "steel-rule", "straightedge", "laser-rod", "ball-4in", "eye")
METRIC_INSTRUMENTS = (
    "tape-mm", "steel-rule-mm", "straightedge", "laser-rod", "ball-4in", "eye",
)  # fmt: skip


@dataclass(frozen=True)
class Flags:
    """Texts as typed. `check` is `room:sheet` or `room:sheet:place`; no `instrument`: the usual."""

    name: str
    zone: str
    superintendent: str
    owner: str = ""
    system: str = "us"
    story: Sequence[str] = ()
    room: Sequence[str] = ()
    trade: Sequence[str] = ()
    check: Sequence[str] = ()
    book: Sequence[str] = BOOKS
    instrument: Sequence[str] = ()
    phrase: Sequence[str] = ()


def house_of(flags: Flags) -> House:
    """The house. Raises HouseNotUnderstood, naming the flag and what is wrong with it."""
    if not (flags.room and flags.trade):
        raise HouseNotUnderstood("A house needs at least one --room and one --trade.")
    if not flags.name.strip():
        raise HouseNotUnderstood("--name is empty.")
    rooms = [
        Room(room, name, story)
        for room, name, story in (_parts("--room", text, 3) for text in flags.room)
    ]
    stories = [Story(*_named("--story", text)) for text in flags.story]
    # a story that only a room names is there as well: "main" is shown as "Main"
    known = {story.id for story in stories}
    unnamed = dict.fromkeys(room.story for room in rooms if room.story not in known)
    stories += [Story(story, story.replace("-", " ").capitalize()) for story in unnamed]
    house = House(
        name=flags.name.strip(),
        zone=flags.zone,
        superintendent=flags.superintendent,
        owner=flags.owner,
        system=flags.system,
        stories=tuple(stories),
        rooms=tuple(_with_checks(rooms, flags.check)),
        trades=tuple(Trade(*_named("--trade", text)) for text in flags.trade),
        books=tuple(flags.book),
        instruments=tuple(flags.instrument or _tools_of(flags.system)),
        phrases=tuple(flags.phrase),
    )
    return house_from_body(house_body(house))


def _tools_of(system: str) -> tuple[str, ...]:
    """The tools of a house that names none."""
    return METRIC_INSTRUMENTS if system == "metric" else INSTRUMENTS


def check_known(house: House, library: Library) -> None:
    """Raises UnknownSource for a book, instrument or sheet of a house that there is none of."""
    for book in house.books:
        library.book(book)
    for instrument in house.instruments:
        library.instrument(instrument)
    for planned in (check for room in house.rooms for check in room.checks):
        library.sheet(planned.sheet)
        for book in planned.books:
            library.book(book)


def names() -> tuple[str, ...]:
    """The flags there are."""
    return tuple(field.name for field in dataclasses.fields(Flags))


def _with_checks(rooms: list[Room], checks: Sequence[str]) -> list[Room]:
    planned: dict[str, list[PlannedCheck]] = {room.id: [] for room in rooms}
    for text in checks:
        room, sheet, *place = _parts("--check", text, 2, most=3)
        if room not in planned:
            raise HouseNotUnderstood(f'--check {text}: there is no room "{room}".')
        planned[room].append(PlannedCheck(sheet, place[0] if place else ""))
    return [Room(room.id, room.name, room.story, checks=tuple(planned[room.id])) for room in rooms]


def _named(flag: str, text: str) -> list[str]:
    """`id:name`, or a name alone from which the id is made."""
    parts = _parts(flag, text, 1, most=2)
    return parts if len(parts) == 2 else [slug(parts[0]), parts[0]]


def _parts(flag: str, text: str, least: int, most: int = 0) -> list[str]:
    parts = [part.strip() for part in text.split(":")]
    if not least <= len(parts) <= (most or least) or not all(parts):
        shape = {"--room": "id:name:story", "--check": "room:sheet or room:sheet:place"}
        raise HouseNotUnderstood(
            f'{flag} "{text}": write it as {shape.get(flag, "id:name, or a name alone")}.'
        )
    return parts
