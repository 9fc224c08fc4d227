"""A house written as the TOML that `parse_house` reads, so that it can be changed in a file."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from fieldlog.calc.house import House, PlannedCheck, Room
from fieldlog.calc.shape import Strict

_TOP = (
    "name", "zone", "superintendent", "owner", "system", "books", "instruments", "phrases",
)  # fmt: skip


def house_toml(house: House) -> str:
    """TOML of a house; what is left open is left out."""
    lines = [*_pairs(house, _TOP)]
    for name in ("stories", "trades"):
        for member in getattr(house, name):
            lines += ["", f"[[{name}]]", *_pairs(member, ("id", "name"))]
    for room in house.rooms:
        lines += ["", "[[rooms]]", *_room(room)]
    return "\n".join(lines) + "\n"


def _room(room: Room) -> Iterator[str]:
    yield from _pairs(room, ("id", "name", "story", "size", "finish", "door"))
    for check in room.checks:
        yield "[[rooms.checks]]"
        yield from _check(check)


def _check(check: PlannedCheck) -> Iterator[str]:
    return _pairs(check, ("sheet", "place", "books"))


def _pairs(struct: Strict, names: Sequence[str]) -> Iterator[str]:
    needed = {f for f in struct.__struct_fields__ if f not in _defaults(struct)}
    for name in names:
        value = getattr(struct, name)
        if value or name in needed:
            yield f"{name} = {_value(value)}"


def _defaults(struct: Strict) -> tuple[str, ...]:
    fields = struct.__struct_fields__
    return fields[len(fields) - len(struct.__struct_defaults__) :]


def _value(value: str | Sequence[str]) -> str:
    # JSON's texts are TOML's: what only JSON would leave bare (a DEL) no house may hold
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return f"[{', '.join(_value(one) for one in value)}]"
