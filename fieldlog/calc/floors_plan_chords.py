"""The chords a floor must keep within its limits, as the plans need them: heights and triples.

A plan looks for a surface on which every chord of every limit is kept, in four directions. The
surface is one flat float64 array of whole nm above the lowest station, NaN where nothing is
known, with room at the end of each row so that no line wraps; a line in any direction is every
`step`-th value. A chord is found by the passes described in `floors_passes`.

Whole numbers stay exact here: a chord's height is a multiple of 1/run, run less than MOST_REACH,
so rounding up after taking off HAIR is exact while heights differ by less than 10 m, as those
of `floors_survey` do (the float's own error is then below 1/100 of HAIR).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_passes import DIRECTIONS, far
from fieldlog.calc.floors_survey import Bools, Ints, Stations, SurveyNotUsable

Floats = NDArray[np.float64]

MOST_REACH = 2048
HAIR = 1 / (2 * MOST_REACH)


class Run(NamedTuple):
    """One limit along one direction: stations `step` apart in the flat array, `reach` of them.

    `sign` 1: no hollow deeper than `limit` nm; -1: no hump higher.
    """

    step: int
    reach: int
    limit: int
    sign: int


@dataclass(frozen=True, eq=False, slots=True)
class Lines:
    """A floor laid flat, and every run that its limits ask for.

    `known` is flat; `width` is a row with its room at the end, `columns` of it are stations;
    `low` is the height (nm) that counts as 0 in the surfaces.
    """

    known: Bools
    width: int
    columns: int
    low: int
    runs: tuple[Run, ...]

    def flat(self, values: Ints) -> Floats:
        """Heights (rows, columns) in nm as a surface: whole nm above `low`, NaN where unknown."""
        flat = np.full(len(self.known), np.nan)
        flat.reshape(-1, self.width)[:, : self.columns] = values - self.low
        flat[~self.known] = np.nan
        return flat

    def room(self, values: NDArray[np.generic]) -> NDArray[np.generic]:
        """Any (rows, columns) array laid flat in the same way, 0 in the room between."""
        flat = np.zeros(len(self.known), dtype=values.dtype)
        flat.reshape(-1, self.width)[:, : self.columns] = values
        return flat

    def grid(self, flat: NDArray[np.generic]) -> NDArray[np.generic]:
        """A flat array as (rows, columns)."""
        return flat.reshape(-1, self.width)[:, : self.columns]

    def heights(self, surface: Floats) -> Ints:
        """A surface as heights in nm (rows, columns); 0 where unknown."""
        whole = np.where(self.known, np.rint(np.nan_to_num(surface)) + self.low, 0)
        return np.ascontiguousarray(self.grid(whole.astype(np.int64))).astype(np.int64)


class Chords(NamedTuple):
    """Chords as flat indices: from `start` to `end`, over (or under) `at`, `before` + `after` long.

    `sign` 1: the station may lie at most `limit` nm below the chord (a hollow); -1: above it.
    """

    start: Ints
    end: Ints
    at: Ints
    before: Ints
    after: Ints
    sign: Ints
    limit: Ints

    def __len__(self) -> int:  # of chords, not of fields
        return self.at.size


def lines_of(stations: Stations, limits: Iterable[EdgeLimit]) -> Lines:
    """Lay a floor flat. A limit that the spacing can't resolve along a direction has no run there.

    Raises SurveyNotUsable for an edge that spans MOST_REACH stations or more.
    """
    rows, columns = stations.shape
    kept = undominated(list(limits))
    reaches = [[far(stations, limit.edge, way) for way in DIRECTIONS] for limit in kept]
    longest = max((max(reach) for reach in reaches), default=0)
    if longest >= MOST_REACH:
        raise SurveyNotUsable(
            f"An edge reaches over {longest} stations. Grid the survey in larger cells first."
        )
    width = columns + max(longest, 1)
    steps = (1, width, width + 1, width - 1)
    known = np.zeros((rows, width), dtype=bool)
    known[:, :columns] = stations.mask
    low = int(stations.z[stations.mask].min()) if stations.mask.any() else 0
    runs = tuple(
        Run(step, reach, limit.limit, 1 if limit.kind == "hollow" else -1)
        for limit, ways in zip(kept, reaches, strict=True)
        for step, reach in zip(steps, ways, strict=True)
        if reach >= 2
    )
    return Lines(known.ravel(), width, columns, low, runs)


def undominated(limits: Sequence[EdgeLimit]) -> list[EdgeLimit]:
    """Without the limits that another one, on an edge as long or longer, already holds."""
    return [
        one
        for n, one in enumerate(limits)
        if not any(_holds(other, one, m < n) for m, other in enumerate(limits) if m != n)
    ]


def _holds(other: EdgeLimit, one: EdgeLimit, earlier: bool) -> bool:
    if other.kind != one.kind or other.edge < one.edge or other.limit > one.limit:
        return False
    return earlier or (other.edge, other.limit) != (one.edge, one.limit)


def highest_chord(surface: Floats, step: int, reach: int) -> Floats:
    """The height of the highest chord over each place of a line; NaN where there is none."""
    high, slope = np.full(len(surface), np.nan), np.full(len(surface), np.nan)
    for d in range(reach, 0, -1):
        size = len(surface) - d * step
        if size <= 0:
            continue
        here, there = surface[:size], surface[d * step :]
        if d < reach:
            over = high[d * step :]
            np.fmax(over, here + slope[:size] * d, out=over)
        np.fmax(slope[:size], (there - here) / d, out=slope[:size])
    return high


def wanted(surface: Floats, run: Run) -> Floats:
    """How high each place must be at least so that it is no hollow of this run; whole nm."""
    return np.ceil(highest_chord(surface, run.step, run.reach) - HAIR) - run.limit


def broken(lines: Lines, surface: Floats) -> Chords:
    """For each station, run and kind the worst chord whose limit is broken; exact.

    `surface` may have fewer known places than `lines`: chords with an unknown one don't count.
    """
    found = [_broken_along(run.sign * surface, run) for run in lines.runs]
    return joined([chords for chords in found if len(chords)])


def keeps(lines: Lines, surface: Floats) -> bool:
    """Whether every chord of every limit is kept; exact."""
    return not any(
        np.any(wanted(run.sign * surface, run) > run.sign * surface) for run in lines.runs
    )


def joined(chords: Sequence[Chords]) -> Chords:
    """Several sets of chords as one."""
    if not chords:
        none = np.zeros(0, dtype=np.int64)
        return Chords(none, none, none, none, none, none, none)
    return Chords(*(np.concatenate(parts) for parts in zip(*chords, strict=True)))


def _broken_along(surface: Floats, run: Run) -> Chords:
    at = np.flatnonzero(wanted(surface, run) > surface)
    if not at.size:
        return joined([])
    before, after = _ends(surface, run, at)
    return Chords(
        at - before * run.step, at + after * run.step, at, before, after,
        np.full(at.size, run.sign), np.full(at.size, run.limit),
    )  # fmt: skip


ONE_STEP = 2_000
"""What one step of NumPy costs however short its arrays are, in elements: pairs take reach**2 / 2
steps over the stations that break a limit, passes take reach over the whole floor."""


def _ends(surface: Floats, run: Run, at: Ints) -> tuple[Ints, Ints]:
    """How many stations before and after each of `at` the ends of the highest chord over it lie."""
    few = run.reach * (ONE_STEP + at.size) < 2 * (ONE_STEP + len(surface))
    return _ends_by_pairs(surface, run, at) if few else _ends_by_passes(surface, run, at)


def _ends_by_pairs(surface: Floats, run: Run, at: Ints) -> tuple[Ints, Ints]:
    """Every pair of ends, over these stations alone."""
    high = np.full(at.size, -np.inf)
    before, after = np.ones(at.size, dtype=np.int64), np.ones(at.size, dtype=np.int64)
    size = len(surface)
    for a in range(1, run.reach):
        starts = at - a * run.step
        start = np.where(starts >= 0, surface[np.maximum(starts, 0)], np.nan)
        for b in range(1, run.reach - a + 1):
            ends = at + b * run.step
            end = np.where(ends < size, surface[np.minimum(ends, size - 1)], np.nan)
            higher = (line := (start * b + end * a) / (a + b)) > high
            np.copyto(high, line, where=higher)
            np.copyto(before, a, where=higher)
            np.copyto(after, b, where=higher)
    return before, after


def _ends_by_passes(surface: Floats, run: Run, at: Ints) -> tuple[Ints, Ints]:
    """The passes of `highest_chord`, with the ends kept."""
    size = len(surface)
    slope, far_end = np.full(size, -np.inf), np.zeros(size, dtype=np.int32)
    high = np.full(at.size, -np.inf)
    before, run_of = np.zeros(at.size, dtype=np.int64), np.ones(at.size, dtype=np.int64)
    for d in range(run.reach, 0, -1):
        count = size - d * run.step
        if count <= 0:
            continue
        if d < run.reach:
            start = np.maximum(at - d * run.step, 0)
            line = np.where(at >= d * run.step, surface[start] + slope[start] * d, np.nan)
            higher = line > high
            np.copyto(high, line, where=higher)
            np.copyto(before, d, where=higher)
            np.copyto(run_of, far_end[start], where=higher)
        climb = (surface[d * run.step :] - surface[:count]) / d
        steeper = climb > slope[:count]
        np.copyto(slope[:count], climb, where=steeper)
        np.copyto(far_end[:count], d, where=steeper)
    return before, run_of - before
