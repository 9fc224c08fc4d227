"""A check entry judged as one house would have it, and the text its judgement is stored as."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import msgspec

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.entries import subject_of
from fieldlog.calc.house import House
from fieldlog.calc.layers import LayersOf, finishes_of
from fieldlog.calc.looks import NOTHING_EARLIER, Earlier, LooksOf, earlier_of, no_looks

PHOTOS = "photos"
"""A sheet's count of this name is that of the check's photos: what is said shows nothing."""

if TYPE_CHECKING:
    from fieldlog.calc.library import Library


class _Verdict(msgspec.Struct):
    verdict: str = ""


_decode = msgspec.json.Decoder(_Verdict).decode


def judge_check(
    library: Library,
    house: House,
    check: CheckEntry,
    layers_of: LayersOf = lambda _room: None,
    looks_of: LooksOf = no_looks,
) -> dict[str, Any]:
    """The judgement of `check`. Raises ReadingsRefused, UnknownSource.

    Books are those the entry names, else those planned for that place, else the house's.
    `layers_of` gives the layers of a room as recorded so far, or None; `looks_of` the checks of
    a sheet as judged so far.
    """
    # Here, because reading a stored judgement must not cost the import of the judge.
    from fieldlog.calc.judging import judge

    return judge(
        library,
        check.sheet,
        check.books or _planned_books(house, check) or house.books,
        _with_photos(library, check),
        check.instrument,
        house.system,
        house.instruments,
        finishes_of(house, check, layers_of),
        _earlier(library, check, looks_of),
    )


def _with_photos(library: Library, check: CheckEntry) -> Mapping[str, Any]:
    field = library.sheet(check.sheet).field(PHOTOS)
    if field is None or field.kind != "count":
        return check.readings
    return {**check.readings, PHOTOS: str(len(check.photos))}


def _earlier(library: Library, check: CheckEntry, looks_of: LooksOf) -> Earlier:
    if not library.sheet(check.sheet).earlier:
        return NOTHING_EARLIER
    return earlier_of(looks_of(check.sheet), subject_of("", check), check.day)


def encode_judgement(judgement: dict[str, Any]) -> str:
    """Compact JSON with sorted keys: the same judgement is the same text."""
    return msgspec.json.encode(judgement, order="sorted").decode()


def verdict_of(judgement: str) -> str:
    """The verdict in a stored judgement; "" for an entry without one."""
    return _decode(judgement).verdict if judgement else ""


def _planned_books(house: House, check: CheckEntry) -> tuple[str, ...]:
    room = house.room(check.room)
    planned = room.checks if room else ()
    return next((p.books for p in planned if p.sheet == check.sheet and p.place == check.place), ())
