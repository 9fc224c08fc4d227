"""The passes behind `floors_edge`: the worst gap over every station along one direction.

No triples are listed. From the longest reach `d` down to the shortest, each start keeps the
steepest chord to an end farther off than `d`; laid on the station `d` off, that is the highest
chord over it from this start. Every station keeps the highest of all starts, so after one step
for each length both are known: `reach` steps, not reach squared. Humps are found in the same
steps, by the flattest chord.

The arithmetic is float64 and what leaves is exact. Heights are whole numbers Z and less, so a
gap is a fraction with `reach` R or less under the line; two of those differ by 1/R**2 or not at
all. A computed gap is off by at most 2**-50 Z: difference exact, reciprocal, product, product
and two sums each by 2**-53 of Z or less, and rounding keeps order, so taking the steepest and
the highest adds nothing. While Z R**2 < 2**48 that is less than 1/(4 R**2), and so the nearest
fraction with R or less under the line is the gap, gaps are equal where they are nearer than
1/(2 R**2), and a whole nm is not mistaken for the next one. Where it is not so, the survey is
refused. A station that is not known is NaN.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

import numpy as np
from numpy.typing import NDArray

from fieldlog.calc.floors_survey import Bools, Ints, Stations, SurveyNotUsable

Floats = NDArray[np.float64]

DIRECTIONS = ("row", "column", "diagonal", "cross diagonal")
"""Along x; along y; down and to the right; down and to the left."""

_EXACT = 2**48
_BLOCK = 1 << 13  # starts worked on at once: their arrays stay in a core's own cache


@dataclass(frozen=True, slots=True)
class Field:
    """The grid as one flat array with room at the end of each row, so that no line wraps.

    A line in any direction is every `step`-th value. `z` are heights above the lowest in units
    of `unit` nm, their greatest common divisor, so that they are small; NaN where not known.
    `outside` (flat) is True beyond the walls: no chord passes over such a place.
    """

    z: Floats
    width: int
    columns: int
    unit: int
    outside: Bools | None = None

    def step(self, direction: str) -> int:
        """From a station to the next one along the direction."""
        return {"row": 1, "column": self.width, "diagonal": self.width + 1}.get(
            direction, self.width - 1
        )


@dataclass(frozen=True, slots=True)
class Gaps:
    """The worst gap over each station along one direction, in units, flat; see above.

    Below zero where the station is clear of every chord, -inf or NaN where no chord lies over
    it or it is not known. `reach` is the most that is under a gap's line as a fraction.
    """

    gap: Floats
    reach: int

    def largest(self) -> Fraction | None:
        """The largest gap, exact; None where no chord lies over any station."""
        most = np.fmax.reduce(self.gap)
        return Fraction(most).limit_denominator(self.reach) if np.isfinite(most) else None

    def where(self, gap: Fraction) -> Ints:
        """The flat places of exactly that gap, ascending."""
        near = np.abs(self.gap - gap.numerator / gap.denominator) * (2 * self.reach**2) < 1
        return np.flatnonzero(near)

    def nm_up(self, unit: int) -> Ints:
        """The gaps in whole nm, rounded up, 0 and above; -1 where no chord lies over."""
        seen = np.isfinite(self.gap)
        nm = np.maximum(np.where(seen, self.gap, 0), 0) * unit
        whole: Ints = np.ceil(nm - 1 / (2 * self.reach)).astype(np.int64)
        return np.where(seen, whole, -1)


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
    """The flat field of a survey, padded for an edge of that length (at least one is known)."""
    rows, columns = stations.shape
    width = columns + max(far(stations, edge, "row"), far(stations, edge, "diagonal"), 1)
    heights = stations.z[stations.mask]
    low = int(heights.min())
    spread = int(heights.max()) - low
    unit = int(np.gcd.reduce(heights - low)) or 1
    longest = max(far(stations, edge, "row"), far(stations, edge, "column"), 1)
    if max(spread // unit * longest**2, spread * longest) >= _EXACT:
        raise SurveyNotUsable(
            "So long an edge over so many stations cannot be judged exactly. Take larger cells."
        )
    z = np.full((rows, width), np.nan)
    z[:, :columns] = np.where(stations.mask, (stations.z - low) // unit, np.nan)
    if stations.outside is None:
        return Field(z.ravel(), width, columns, unit)
    outside = np.zeros((rows, width), dtype=bool)
    outside[:, :columns] = stations.outside
    return Field(z.ravel(), width, columns, unit, outside.ravel())


def walls_ahead(field: Field, step: int, reach: int) -> Ints | None:
    """How many steps from each place to the first one beyond the walls; None where there are
    none. More than `reach` is `reach` + 1."""
    if field.outside is None:
        return None
    ahead = np.full(len(field.z), reach + 1)
    for d in range(reach, 0, -1):
        beyond = np.flatnonzero(field.outside[d * step :])
        ahead[beyond] = d
    return ahead


def passes(field: Field, step: int, reach: int) -> tuple[Gaps, Gaps]:
    """Hollows and humps along the direction of `step`, for a reach of 2 spacings or more."""
    z = field.z
    walls = walls_ahead(field, step, reach)
    under, over = np.full(len(z), -np.inf), np.full(len(z), np.inf)
    for start in range(0, len(z), _BLOCK):
        count = min(_BLOCK, len(z) - start)
        steepest, flattest = np.full(count, -np.inf), np.full(count, np.inf)
        line = np.empty(count)
        for d in range(reach, 0, -1):
            size = min(count, len(z) - start - d * step)
            if size <= 0:
                continue
            here, there = (
                slice(start, start + size),
                slice(start + d * step, start + d * step + size),
            )
            rest = line[:size]
            if d < reach:
                for slope, best, keep in ((steepest, under, np.fmax), (flattest, over, np.fmin)):
                    np.multiply(slope[:size], d, out=rest)
                    np.add(rest, z[here], out=rest)
                    keep(best[there], rest, out=best[there])
            np.subtract(z[there], z[here], out=rest)
            np.multiply(rest, 1 / d, out=rest)
            if walls is not None:
                rest[walls[here] < d] = np.nan
            np.fmax(steepest[:size], rest, out=steepest[:size])
            np.fmin(flattest[:size], rest, out=flattest[:size])
    return Gaps(under - z, reach), Gaps(z - over, reach)
