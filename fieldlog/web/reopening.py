"""Checks that a change of layers opens again: what they hang on is no longer what it was."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.layers import finishes_of, rooms_of
from fieldlog.store import reading
from fieldlog.store.reading_layers import laid, layers_before
from fieldlog.store.views import CheckLine
from fieldlog.web import request as at


@dataclass(frozen=True)
class Reopened:
    """A check whose question is open again. `can_judge`: its readings still hold, because
    nothing was laid meanwhile; otherwise only measuring again tells.
    """

    check: CheckLine
    says: tuple[str, ...]
    can_judge: bool


def reopened_of(check: CheckLine) -> Reopened | None:
    """Why a check has to be looked at again, or None."""
    sheet = at.library().sheets.get(check.sheet)
    if check.struck or sheet is None or not (sheet.finished or sheet.from_layers):
        return None
    from fieldlog.calc.finished import reopened  # brings the evaluator along

    entry, house = entry_of(check), at.house()
    now = finishes_of(house, entry, partial(reading.layers, at.conn()))
    said = reopened(check.judgement, sheet, now, at.library().words, house.system)
    if not said:
        return None
    rooms = rooms_of(house, entry).values()
    return Reopened(check, tuple(said), all(_laid_as_then(room, check.seq) for room in rooms))


def reopened_by(room: str) -> list[Reopened]:
    """Latest checks anywhere in the house that the layers of a room open again."""
    found = (reopened_of(c) for c in reading.latest_lines(at.conn()))
    hang = (one for one in found if one is not None)
    return [r for r in hang if room in rooms_of(at.house(), entry_of(r.check)).values()]


def entry_of(check: CheckLine) -> CheckEntry:
    """A check as it was entered, without its books: they are the planned ones again."""
    return CheckEntry(
        room=check.room, sheet=check.sheet, readings=check.readings,
        instrument=check.instrument, place=check.place, photos=check.photos, note=check.note,
    )  # fmt: skip


def _laid_as_then(room: str, seq: int) -> bool:
    now = reading.layers(at.conn(), room)
    return laid(layers_before(at.conn(), room, seq)) == laid(now)
