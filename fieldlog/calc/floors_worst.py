"""The worst straightedge of a judged grid, and its verdict as the worst of many noisy gaps.

What `hollow_under` and `hump_under` of the expressions find, kept with the number, so that a
limit is judged by `floors_noise` and not as if the worst had been the only gap looked at.
NumPy is imported here: import this only where a floor is judged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from fieldlog.calc.floors import Grid, Kind
from fieldlog.calc.floors_doubt import Doubt, doubts
from fieldlog.calc.floors_edge import EdgeWorst, Under, look_under
from fieldlog.calc.floors_noise import (
    EdgeVerdict,
    Tool,
    gaps_looked_at,
    judge_edge,
    noise_of,
    normal_part,
    root_up,
)
from fieldlog.calc.floors_passes import reach
from fieldlog.calc.floors_survey import Stations, stations_of
from fieldlog.calc.uncertainty import ErrorPart
from fieldlog.calc.values import Grid as Levels


@dataclass(frozen=True, slots=True)
class WorstOf:
    """The worst gap, how many gaps it is the worst of, and the edge's reach in spacings.

    `readings` is the fewest readings whose median a height is; `planes` the most that two
    set-ups' planes of light differ by, in variances of one reading (`floors_setups`); `sight`
    what the line of sight was found to be off by (`tested`).
    """

    edge: EdgeWorst
    gaps: int
    reach: int
    readings: int = 1
    planes: Fraction = Fraction(0)
    sight: ErrorPart | None = None

    def judged(self, limit: int, parts: Sequence[ErrorPart], tools: Sequence[Tool]) -> EdgeVerdict:
        """Against a limit in nm; `parts` are the errors of the tool that read the stations."""
        noise = noise_of((*parts, *self._besides(parts)), self.readings)
        return judge_edge(self.edge, limit, noise, self.gaps, self.reach, tools)

    def _besides(self, parts: Sequence[ErrorPart]) -> Iterator[ErrorPart]:
        """What each height errs by besides the reading itself.

        A gap's weights sum to 0 and those above 0 to 1, so it hangs on the planes of light by
        no more than one difference of two; the squares of its weights sum to 1.5 or more.
        """
        each = sum((p.variance for p in parts if p.scope == "each"), Fraction(0))
        if self.planes * each:
            yield normal_part("joining of set-ups", root_up(4 * each * self.planes))
        if self.sight:
            yield self.sight


def half_width_squared(found: EdgeVerdict) -> Fraction:
    """u**2 in nm**2 that makes `margin**2 < 4 u**2` the same decision: half the allowance on
    the failing side, half the guard on the passing side."""
    wide = found.allowance if found.plain == "fail" else found.guard
    return Fraction(wide * wide, 4)


def worst_of(grid: Grid, edge: int, kind: Kind, levels: Levels) -> WorstOf | None:
    """The worst hollow or hump of a grid in four directions; None where none can be seen.

    `levels` are the readings that the plain grid is of.
    """
    under = look(grid, edge)
    worst = under.worst(kind) if under else None
    if worst is None:
        return None
    gaps = _gaps(grid, edge)
    return WorstOf(
        worst, gaps, reach(grid.spacing, edge, "row"), levels.readings,
        levels.joining.spread if levels.joining else Fraction(0),
        next((part for one in levels.tested if (part := one.part(edge))), None),
    )  # fmt: skip


@lru_cache(maxsize=16)
def look(grid: Grid, edge: int) -> Under | None:
    """Everything an edge of that length (nm) shows; None where no station was read."""
    stations = _stations(grid)
    return look_under(stations, edge) if stations is not None else None


def doubtful(grid: Grid) -> tuple[Doubt, ...]:
    """Stations whose reading is far from what their neighbors say, the farthest first."""
    stations = _stations(grid)
    return doubts(stations) if stations is not None else ()


@lru_cache(maxsize=16)
def _gaps(grid: Grid, edge: int) -> int:
    stations = _stations(grid)
    return gaps_looked_at(stations, edge) if stations is not None else 0


@lru_cache(maxsize=4)
def _stations(grid: Grid) -> Stations | None:
    if not any(z is not None for row in grid.rows for z in row):
        return None
    return stations_of(grid.rows, grid.spacing, grid.outside)
