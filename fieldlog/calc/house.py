"""A house: its stories, rooms, trades, and what is planned to be checked in each room.

The house is itself a journal entry (`house/1`), so its shape is this strict structure both in
TOML (`fieldlog new --from`, `seed_data/house.toml`) and in JSON (the entry's body).
"""

from __future__ import annotations

import re
import tomllib
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import msgspec

from fieldlog.calc.room_size import size_fault
from fieldlog.calc.shape import Strict, WrongShape, check_struct

MOST_NAG = 24 * 60
"""Hours: two months, the longest that a tablet may be out of reach unasked."""
MAX_ROOMS = 300
_ZONE = re.compile(r"[A-Za-z][A-Za-z0-9_+/-]{0,63}")


class HouseNotUnderstood(ValueError):
    """A house's description is malformed: the message says what and where."""


class Story(Strict, frozen=True):
    """One floor of the house; stories are listed from the lowest up."""

    id: str
    name: str


class PlannedCheck(Strict, frozen=True):
    """One thing to measure in a room: a sheet, and which one where a room has several."""

    sheet: str
    place: str = ""
    books: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """`stair` or `stair/first-flight`: stable, used in subjects and addresses."""
        return f"{self.sheet}/{slug(self.place)}" if self.place else self.sheet


class Room(Strict, frozen=True):
    """One room; `checks` are in walking order."""

    id: str
    name: str
    story: str
    size: str = ""
    finish: str = ""
    door: str = ""
    checks: tuple[PlannedCheck, ...] = ()


class Trade(Strict, frozen=True):
    """A crew that owns work. `name` is what the page says: "Stair crew"."""

    id: str
    name: str


class House(Strict, frozen=True):
    """A job. `books` and `instruments` are ids; `zone` is an IANA time zone.

    `nag_hours`: how old an entry may grow on a tablet alone before its pages speak up. Some
    tablets come by the office every noon, some once a week.
    """

    name: str
    zone: str
    superintendent: str
    stories: tuple[Story, ...]
    rooms: tuple[Room, ...]
    trades: tuple[Trade, ...]
    books: tuple[str, ...]
    instruments: tuple[str, ...]
    owner: str = ""
    system: str = "us"
    phrases: tuple[str, ...] = ()
    nag_hours: int = 24

    def room(self, room_id: str) -> Room | None:
        """The room of that id, or None."""
        return next((r for r in self.rooms if r.id == room_id), None)

    def trade(self, trade_id: str) -> Trade | None:
        """The trade of that id, or None."""
        return next((t for t in self.trades if t.id == trade_id), None)

    def story(self, story_id: str) -> Story | None:
        """The story of that id, or None."""
        return next((s for s in self.stories if s.id == story_id), None)

    def rooms_of(self, story_id: str) -> tuple[Room, ...]:
        """Rooms of one story, in the order given."""
        return tuple(r for r in self.rooms if r.story == story_id)


def slug(text: str) -> str:
    """Lower-case letters, digits and hyphens, for ids and addresses."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def parse_house(text: str, source: str = "house.toml") -> House:
    """Read a house from TOML. Raises HouseNotUnderstood, naming `source` and the place."""
    try:
        house = msgspec.convert(tomllib.loads(text), House)
    except (ValueError, msgspec.ValidationError) as err:  # ValueError: 4300 digits and more
        raise HouseNotUnderstood(f"{source}: {err}") from err
    except RecursionError as err:
        raise HouseNotUnderstood(f"{source}: nested too deep") from err
    _consistent(house, source)
    for room in house.rooms:  # not of an entry: what was taken before stays readable
        if fault := size_fault(room.size):
            raise HouseNotUnderstood(f'{source}, room "{room.id}", size: {fault}')
    return house


@lru_cache(maxsize=8)
def house_from_body(body: str) -> House:
    """The house in a `house/1` entry. Raises HouseNotUnderstood.

    Remembered: every page asks for the same body, and a House cannot change.
    """
    try:
        house = msgspec.json.decode(body, type=House)
    except (msgspec.DecodeError, RecursionError) as err:
        raise HouseNotUnderstood(f"house entry: {err}") from err
    _consistent(house, "house entry")
    return house


def house_body(house: House) -> str:
    """The JSON body of a `house/1` entry."""
    return msgspec.json.encode(house).decode()


def _consistent(house: House, source: str) -> None:
    try:
        check_struct(house)
    except WrongShape as err:
        raise HouseNotUnderstood(f"{source}: {err}") from err
    for what, ids in (
        ("story", [s.id for s in house.stories]),
        ("room", [r.id for r in house.rooms]),
        ("trade", [t.id for t in house.trades]),
    ):
        _ids_are_sound(what, ids, source)
    _named(house, source)
    _rooms_are_sound(house, source)
    if house.system not in ("us", "metric"):
        raise HouseNotUnderstood(f'{source}: system is "us" or "metric", not "{house.system}"')
    if not 1 <= house.nag_hours <= MOST_NAG:
        raise HouseNotUnderstood(f"{source}: nag_hours is {house.nag_hours}: say 1 to {MOST_NAG}")
    _zone_is_known(house.zone, source)


def _named(house: House, source: str) -> None:
    # The superintendent's name is part of every author, `superintendent/<name>`.
    for what, text in (("name", house.name), ("superintendent", house.superintendent)):
        if not text.strip():
            raise HouseNotUnderstood(f"{source}: {what} is empty")
    for what, members in (
        ("story", house.stories),
        ("room", house.rooms),
        ("trade", house.trades),
    ):
        for member in members:
            if not member.name.strip():
                raise HouseNotUnderstood(f'{source}: {what} "{member.id}" has no name')


def _rooms_are_sound(house: House, source: str) -> None:
    if len(house.rooms) > MAX_ROOMS:
        raise HouseNotUnderstood(f"{source}: {len(house.rooms)} rooms; {MAX_ROOMS} is the most")
    stories = {s.id for s in house.stories}
    for room in house.rooms:
        if room.story not in stories:
            raise HouseNotUnderstood(f'{source}: room "{room.id}" is on no story "{room.story}"')
        for check in room.checks:
            if not check.sheet or check.sheet != slug(check.sheet):
                raise HouseNotUnderstood(
                    f'{source}, room "{room.id}": sheet "{check.sheet}": use a-z, 0-9 and hyphens'
                )
        keys = [c.key for c in room.checks]
        _no_double("planned check", keys, f'{source}, room "{room.id}"')


def _zone_is_known(zone: str, source: str) -> None:
    # The pattern keeps names that would be paths, or no file name at all, from the zone files.
    try:
        if not _ZONE.fullmatch(zone):
            raise ValueError(zone)
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as err:
        raise HouseNotUnderstood(f'{source}: no time zone "{zone}"') from err


def _ids_are_sound(what: str, ids: list[str], source: str) -> None:
    for one in ids:
        if one != slug(one) or not one:
            raise HouseNotUnderstood(f'{source}: {what} id "{one}": use a-z, 0-9 and hyphens')
    _no_double(what, ids, source)


def _no_double(what: str, ids: list[str], source: str) -> None:
    doubled = {i for i in ids if ids.count(i) > 1}
    if doubled:
        raise HouseNotUnderstood(f'{source}: {what} id "{min(doubled)}" is there twice')
