"""The set-ups of a level that a grid of readings was read from, as they were entered.

`{"of": [[1, 1, 2], ...], "again": [...], "allowed": "0.02 ft", "accepted": true}`: which set-up
(from 1) each station was read from, and what was read besides to join them: a station once more
from another set-up, `{"set_up": 2, "at": [3, 4], "reads": "47 1/4"}` (row and column from 1), or
a mark off the floor from several, `{"set_up": 1, "mark": "A", "reads": "48"}`: the foresight
before the laser moved and the backsight after. `allowed` is how far a loop may miss; one that
misses at all is spread only when that is accepted, and one that misses by more never. Heights off a
mark are joined like rod readings: each set-up has a mark of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.values import Away, Grid, Number, ReadingKey

if TYPE_CHECKING:
    from fieldlog.calc.floors_closing import Closing
    from fieldlog.calc.floors_setups import Joined, Spot

MOST_SET_UPS, MOST_AGAIN, LONGEST_MARK = 20, 200, 20
_KEYS = {"of", "again", "allowed", "accepted"}
_AGAIN = {"set_up", "at", "mark", "reads"}

Cells = tuple[tuple[Number | Away, ...], ...]


class SetUpsRefused(ValueError):
    """Set-ups that can't be joined as they stand; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Again:
    """A reading that joins set-ups: from which (from 0), of a station or mark, nm."""

    set_up: int
    spot: Spot
    reads: int


@dataclass(frozen=True, slots=True)
class SetUps:
    """Which set-up (from 0) each station was read from, and the readings that join them.

    `allowed` nm, None where no allowance is named.
    """

    of: tuple[tuple[int, ...], ...]
    again: tuple[Again, ...]
    allowed: int | None
    accepted: bool

    @property
    def count(self) -> int:
        """How many there are."""
        return 1 + max((n for row in self.of for n in row), default=0)

    def keys(self, field: str) -> dict[ReadingKey, Again]:
        """The joining readings, by keys that no station has."""
        return {(field, -1 - one.set_up, n): one for n, one in enumerate(self.again)}


@dataclass(frozen=True, slots=True)
class Joining:
    """What became of the set-ups: how their loops close, and what the joining adds to errors.

    `spread` is the most that two planes' difference varies, in variances of one reading.
    """

    set_ups: SetUps
    closing: Closing
    spread: Fraction


def parse_set_ups(raw: Any, shape: tuple[int, int], unit: str) -> SetUps | None:
    """Set-ups as entered for a grid of that shape. Raises SetUpsRefused."""
    if raw in (None, "", {}):
        return None
    if not isinstance(raw, Mapping) or set(raw) - _KEYS:
        raise SetUpsRefused('Set-ups are {"of": [[1, 2], ...], "again": [...]}.')
    of, again = raw.get("of"), raw.get("again") or []
    if not isinstance(of, list) or [_width(row) for row in of] != [shape[1]] * shape[0]:
        raise SetUpsRefused("Say for every station which set-up it was read from: 1, 2 and so on.")
    numbered = tuple(tuple(_set_up(n) for n in row) for row in of)
    if not isinstance(again, list) or len(again) > MOST_AGAIN:
        raise SetUpsRefused(f"Readings that join set-ups are a list, {MOST_AGAIN} at most.")
    allowed = raw.get("allowed")
    return SetUps(
        numbered, tuple(_again(one, shape, unit) for one in again),
        None if allowed in (None, "") else _length(allowed, unit, "The allowance"),
        raw.get("accepted") is True,
    )  # fmt: skip


def joined_grid(grid: Grid, field: str, set_ups: SetUps, rod: bool) -> Grid:
    """A grid of readings as heights, its set-ups joined: of a rod (which reads down) above the
    first station, of heights off marks above the mark of the first set-up.

    Raises SetUpsRefused for set-ups that share no point, a loop that misses by more than is
    allowed, or one that misses and was not accepted.
    """
    from fieldlog.calc.floors_closing import closing_of
    from fieldlog.calc.floors_setups import join  # NumPy: only where set-ups are joined
    from fieldlog.calc.floors_survey import SurveyNotUsable

    read = readings_of(grid.rows, set_ups, 1 if rod else -1)
    try:
        joined = join(read)
    except SurveyNotUsable as err:
        raise SetUpsRefused(err.sentence) from err
    closing = closing_of(read)
    if set_ups.allowed is not None and closing.misclosure > set_ups.allowed:
        raise SetUpsRefused("The set-ups miss each other by more than is allowed. Read again.")
    if closing.misclosure and not set_ups.accepted:
        raise SetUpsRefused("The set-ups do not quite agree. Accept that it is spread over them.")
    rows = _heights(grid.rows, field, set_ups, joined, rod)
    return replace(grid, rows=rows, joining=Joining(set_ups, closing, joined.spread))


def readings_of(rows: Cells, set_ups: SetUps, sign: int) -> list[dict[Spot, int]]:
    """Every reading by its set-up, those of heights (sign -1) turned over so that they read down.

    Raises SetUpsRefused for one that a set-up took twice.
    """
    read: list[dict[Spot, int]] = [{} for _ in range(set_ups.count)]
    for r, row in enumerate(rows):
        for c, cell in enumerate(row):
            if isinstance(cell, Number) and cell.value is not None:
                read[set_ups.of[r][c]][r, c] = sign * int(cell.value)
    for one in set_ups.again:
        if one.set_up >= set_ups.count:
            raise SetUpsRefused(f"No station was read from set-up {one.set_up + 1}.")
        if one.spot in read[one.set_up]:
            raise SetUpsRefused(
                f"{said(one.spot)} was read from set-up {one.set_up + 1} anyway: "
                "read it again from another one."
            )
        read[one.set_up][one.spot] = sign * one.reads
    for n, readings in enumerate(read, start=1):
        if not readings:
            raise SetUpsRefused(f"Nothing was read from set-up {n} yet.")
    return read


def said(spot: Spot) -> str:
    """A station or mark in words: "Row 3, 4", "Mark A"."""
    return f"Mark {spot}" if isinstance(spot, str) else f"Row {spot[0] + 1}, {spot[1] + 1}"


def _heights(rows: Cells, field: str, set_ups: SetUps, joined: Joined, rod: bool) -> Cells:
    """Each station's height, hanging on every reading that it came from."""
    keys: dict[tuple[int, Spot], ReadingKey] = {
        (one.set_up, one.spot): key for key, one in set_ups.keys(field).items()
    }
    for r, row in enumerate(rows):
        keys |= {(set_ups.of[r][c], (r, c)): (field, r, c) for c in range(len(row))}
    planes = [
        {keys[reading]: weight for reading, weight in plane.items()} for plane in joined.hangs
    ]
    seers: dict[Spot, list[int]] = {}
    for one in set_ups.again:
        seers.setdefault(one.spot, []).append(one.set_up)
    cells = [(r, c) for r, row in enumerate(rows) for c in range(len(row))]
    first = next((joined.heights[cell] for cell in cells if cell in joined.heights), 0)
    first = first if rod else 0
    sign = 1 if rod else -1

    def height(r: int, c: int, cell: Number | Away) -> Number | Away:
        if isinstance(cell, Away) or cell.value is None:
            return cell
        read_from = [set_ups.of[r][c], *seers.get((r, c), ())]
        sens: dict[ReadingKey, Fraction] = {}
        for i in read_from:
            for key, weight in planes[i].items():
                sens[key] = sens.get(key, Fraction(0)) + weight / len(read_from)
            own = keys[i, (r, c)]
            sens[own] = sens.get(own, Fraction(0)) - Fraction(1, len(read_from))
        hangs = {key: sign * weight for key, weight in sens.items() if weight}
        return Number(Fraction(joined.heights[r, c] - first), hangs)

    return tuple(tuple(height(r, c, cell) for c, cell in enumerate(row))
                 for r, row in enumerate(rows))  # fmt: skip


def _width(row: Any) -> int:
    return len(row) if isinstance(row, list) else -1


def _set_up(raw: Any) -> int:
    if not isinstance(raw, int) or isinstance(raw, bool) or not 1 <= raw <= MOST_SET_UPS:
        raise SetUpsRefused(f"Set-ups are counted 1, 2 and so on, up to {MOST_SET_UPS}.")
    return raw - 1


def _again(raw: Any, shape: tuple[int, int], unit: str) -> Again:
    if not isinstance(raw, Mapping) or set(raw) - _AGAIN or ("at" in raw) == ("mark" in raw):
        raise SetUpsRefused('Read again is {"set_up": 2, "at": [3, 4], "reads": "47 1/4"}.')
    spot: Spot = _mark(raw["mark"]) if "mark" in raw else _station(raw["at"], shape)
    reads = _length(raw.get("reads"), unit, f"{said(spot)}, from set-up {raw.get('set_up')}")
    return Again(_set_up(raw.get("set_up")), spot, reads)


def _mark(raw: Any) -> str:
    if not isinstance(raw, str) or not 0 < len(raw.strip()) <= LONGEST_MARK:
        raise SetUpsRefused(f"A mark has a name of {LONGEST_MARK} characters at most.")
    return raw.strip()


def _station(raw: Any, shape: tuple[int, int]) -> tuple[int, int]:
    sound = isinstance(raw, Sequence) and len(raw) == len(shape)
    if not sound or not all(isinstance(n, int) and 1 <= n <= most
                            for n, most in zip(raw, shape, strict=True)):  # fmt: skip
        raise SetUpsRefused("A station is its row and its place in it, both from 1.")
    return raw[0] - 1, raw[1] - 1


def _length(raw: Any, unit: str, what: str) -> int:
    try:
        if not isinstance(raw, str):
            raise LengthNotUnderstood("a length is text, such as 47 1/4")
        return parse_length(raw, unit)
    except LengthNotUnderstood as err:
        raise SetUpsRefused(f"{what}: {err}") from err
