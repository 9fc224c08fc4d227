"""The passes behind `floors_edge`: the worst gap over every station along one direction, exact.

No triples are listed. From the longest reach `d` down to the shortest, each start keeps the
steepest chord to an end farther off than `d`; laid on the station `d` off, that is the highest
chord over it from this start. Every station keeps the highest of all starts, so after one step
for each length both are known: `reach` steps, not reach squared.

Exact in one of two ways. In units of 1/L, L the least common multiple of 1..reach, every slope
is a whole number, held in float64, which is exact below 2**53. Where that does not fit, slopes
are rise and run in int64, compared crosswise. A station that is not known is NaN, or masked.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isqrt, lcm

import numpy as np
from numpy.typing import NDArray

from fieldlog.calc.floors_survey import Bools, Ints, Stations

Floats = NDArray[np.float64]

DIRECTIONS = ("row", "column", "diagonal", "cross diagonal")
"""Along x; along y; down and to the right; down and to the left."""

_EXACT_FLOAT = 2**53
_EXACT_INT = 2**62
_BLOCK = 1 << 14  # starts worked on at once: their arrays stay in a core's own cache
_MOST_COMMON = 40  # beyond this reach the common multiple never fits


@dataclass(frozen=True, slots=True)
class Field:
    """The grid as one flat array with room at the end of each row, so that no line wraps.

    A line in any direction is every `step`-th value. `z` are heights above the lowest in units
    of `unit` nm, their greatest common divisor, so that they are small numbers.
    """

    z: Ints
    known: Bools
    width: int
    columns: int
    unit: int
    floats: Floats

    def step(self, direction: str) -> int:
        """From a station to the next one along the direction."""
        return {"row": 1, "column": self.width, "diagonal": self.width + 1}.get(
            direction, self.width - 1
        )

    def grid(self, flat: Ints) -> Ints:
        """A flat array as (rows, columns)."""
        return flat.reshape(-1, self.width)[:, : self.columns]


@dataclass(frozen=True, slots=True)
class Gaps:
    """The worst gap over each station along one direction: `top / under` in units, flat.

    Below zero where the station is clear of every chord; meaningless where not `seen`: the
    station is not known or no chord lies over it. `under` is one number or one a station.
    """

    top: Ints
    under: Ints
    seen: Bools


def reach(spacing: int, edge: int, direction: str) -> int:
    """How many spacings fit between the two contacts of an edge (nm) laid in that direction."""
    if direction in ("row", "column"):
        return max(edge, 0) // spacing
    return isqrt(max(edge, 0) ** 2 // (2 * spacing**2))


def far(stations: Stations, edge: int, direction: str) -> int:
    """The same, no longer than the longest line of the grid."""
    rows, columns = stations.shape
    longest = {"row": columns, "column": rows}.get(direction, min(rows, columns))
    return min(reach(stations.spacing, edge, direction), longest - 1)


def field_of(stations: Stations, edge: int) -> Field:
    """The flat field of a survey, padded for an edge of that length."""
    rows, columns = stations.shape
    width = columns + max(far(stations, edge, "row"), far(stations, edge, "diagonal"), 1)
    known = np.zeros((rows, width), dtype=bool)
    known[:, :columns] = stations.mask
    heights = stations.z[stations.mask]
    low = int(heights.min())
    unit = int(np.gcd.reduce(heights - low)) or 1
    z = np.zeros((rows, width), dtype=np.int64)
    z[:, :columns] = np.where(stations.mask, (stations.z - low) // unit, 0)
    floats = np.where(known, z, np.nan)
    return Field(z.ravel(), known.ravel(), width, columns, unit, floats.ravel())


def passes(field: Field, step: int, reach: int) -> tuple[Gaps, Gaps]:
    """Hollows and humps along the direction of `step`, for a reach of 2 spacings or more."""
    scale = lcm(*range(1, reach + 1)) if reach <= _MOST_COMMON else _EXACT_INT
    largest = 2 * (reach + 1) * scale * (int(field.z.max()) + 1)
    if largest < _EXACT_FLOAT and largest * field.unit < _EXACT_INT:
        return _by_common_multiple(field, step, reach, scale)
    return _crosswise(field, step, reach, 1), _crosswise(field, step, reach, -1)


def _by_common_multiple(field: Field, step: int, reach: int, scale: int) -> tuple[Gaps, Gaps]:
    scaled = field.floats * scale
    under, over = np.full(len(scaled), -np.inf), np.full(len(scaled), np.inf)
    for start in range(0, len(scaled), _BLOCK):
        count = min(_BLOCK, len(scaled) - start)
        steepest, flattest = np.full(count, -np.inf), np.full(count, np.inf)
        line = np.empty(count)
        for d in range(reach, 0, -1):
            size = min(count, len(scaled) - start - d * step)
            if size <= 0:
                continue
            here, there = _windows(start, size, d * step)
            rest = line[:size]
            if d < reach:
                for slope, best, keep in ((steepest, under, np.fmax), (flattest, over, np.fmin)):
                    np.multiply(slope[:size], d, out=rest)
                    np.add(rest, scaled[here], out=rest)
                    keep(best[there], rest, out=best[there])
            np.subtract(field.floats[there], field.floats[here], out=rest)
            np.multiply(rest, scale // d, out=rest)
            np.fmax(steepest[:size], rest, out=steepest[:size])
            np.fmin(flattest[:size], rest, out=flattest[:size])
    return _whole(under - scaled, scale), _whole(scaled - over, scale)


def _whole(gap: Floats, scale: int) -> Gaps:
    seen = np.isfinite(gap)
    return Gaps(np.where(seen, gap, 0).astype(np.int64), np.array(scale), seen)


def _crosswise(field: Field, step: int, reach: int, sign: int) -> Gaps:
    """The same with slopes as rise and run, of hollows (sign 1) or humps; `run` 0: none yet."""
    z, known = field.z * sign, field.known
    top, under = np.full(len(z), -1, dtype=np.int64), np.zeros(len(z), dtype=np.int64)
    for start in range(0, len(z), _BLOCK):
        count = min(_BLOCK, len(z) - start)
        rise, run = np.full(count, -1, dtype=np.int64), np.zeros(count, dtype=np.int64)
        for d in range(reach, 0, -1):
            size = min(count, len(z) - start - d * step)
            if size <= 0:
                continue
            here, there = _windows(start, size, d * step)
            a, b = rise[:size], run[:size]
            line = z[here] * b + d * a
            higher = line * under[there] > top[there] * b
            np.copyto(top[there], line, where=higher)
            np.copyto(under[there], b, where=higher)
            climb = z[there] - z[here]
            steeper = (climb * b > a * d) & known[here] & known[there]
            np.copyto(a, climb, where=steeper)
            np.copyto(b, d, where=steeper)
    return Gaps(top - z * under, np.maximum(under, 1), known & (under > 0))


def _windows(start: int, size: int, shift: int) -> tuple[slice, slice]:
    return slice(start, start + size), slice(start + shift, start + shift + size)
