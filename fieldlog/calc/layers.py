"""A room's layers and what they make of a rough stair: the trap of every stair.

Rough risers are right and finished ones are wrong when the floors below and above come up by
another thickness than the treads do. A layer that is still to come raises the floor (pour,
underlay, finish) or lowers the ceiling; carpet and runners give way and count as zero (what
is asked for is measured with them pressed down: common practice); one that is laid is in the
measurement already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fieldlog.calc.bodies import CheckEntry, Layers
from fieldlog.calc.house import House, slug
from fieldlog.calc.lengths import format_length, parse_length

FLOOR = ("pour", "underlay", "finish")
"""Layers that raise a floor; `ceiling` lowers one, carpet and runner count as zero."""

PLACES = {"room_below": "below", "room_above": "above", "room_there": "there"}
"""Text fields of a sheet that name a room, and where that room is."""

LayersOf = Callable[[str], Layers | None]


@dataclass(frozen=True, slots=True)
class ToCome:
    """What is still to come in one room, nm: the floor comes up, the ceiling comes down."""

    room: str
    name: str
    floor: int
    ceiling: int


def to_come(layers: Layers, name: str) -> ToCome:
    """What a room's layers still add; `name` is the room's on screen."""
    sizes = dict.fromkeys((*FLOOR, "ceiling"), 0)
    for layer in layers.layers:
        if layer.kind in sizes and not layer.laid:
            sizes[layer.kind] += parse_length(layer.thickness, layer.unit)
    floor = sum(sizes[kind] for kind in FLOOR)
    return ToCome(layers.room, name, floor, sizes["ceiling"])


def rooms_of(house: House, check: CheckEntry) -> dict[str, str]:
    """The rooms a check hangs on, by place: `here`, and those of PLACES that it names.

    A room is named by its id or as it is called; one that the house does not have is left out.
    """
    found = {"here": check.room}
    for name, place in PLACES.items():
        typed = check.readings.get(name)
        typed = typed.get("value") if isinstance(typed, Mapping) else typed
        room = _room(house, typed) if isinstance(typed, str) else ""
        if room:
            found[place] = room
    return found


def finishes_of(house: House, check: CheckEntry, layers_of: LayersOf) -> dict[str, ToCome]:
    """What is still to come, by place, for the rooms whose layers are recorded."""
    out: dict[str, ToCome] = {}
    for place, room_id in rooms_of(house, check).items():
        layers = layers_of(room_id)
        if layers is not None:
            room = house.room(room_id)
            out[place] = to_come(layers, room.name if room else room_id)
    return out


def as_json(finishes: Mapping[str, ToCome], places: Iterable[str], system: str) -> list[Any]:
    """What a judgement keeps of the layers it was judged with."""
    return [
        {
            "place": place, "room": one.room, "name": one.name,
            "floor": _length(one.floor, system), "ceiling": _length(one.ceiling, system),
        }
        for place, one in finishes.items()
        if place in places
    ]  # fmt: skip


def _length(nm: int, system: str) -> dict[str, str]:
    return {"text": format_length(nm, system), "nm": str(nm)}


def _room(house: House, typed: str) -> str:
    wanted = slug(typed)
    known = (r.id for r in house.rooms if wanted in (r.id, slug(r.name)))
    return next(known, "") if wanted else ""
