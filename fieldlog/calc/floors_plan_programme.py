"""The least costly change of a floor that keeps given chords: a linear programme for HiGHS.

The programme is  min sum(fill * f + grind * g)  so that every chord is kept by the heights
z + f - g, with 0 <= f <= most_fill and 0 <= g <= most_grind. What is handed to HiGHS is its
dual: a row for each station, a column for each chord, so that a chord found later is a column
more and the primal simplex goes on from where it was. A station's change is its row's dual
value. Any feasible point of the dual is a lower bound of the cost, also when stopped early.

Chords are kept `tight` closer than asked, and changes below SNAP are dropped, so that heights
rounded to whole nm still keep them; `bound` takes that back, so it holds for the limits as asked.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from fieldlog.calc.floors_plan_chords import Chords, Floats
from fieldlog.calc.floors_plan_watch import Watch
from fieldlog.calc.floors_survey import Bools, Ints

if TYPE_CHECKING:
    import highspy

TIGHT = 10
"""nm. Two changes dropped and one rounding move a chord against its station by less."""
SNAP = 4
"""nm."""
UNIT = 1_000_000
"""nm in the unit that HiGHS calculates in, a millimeter: its tolerance of 1e-7 is 0.1 nm."""
SLACK = 1
"""mm."""
SLICE, SHORTEST_SLICE, SLICED_ROWS = 2_000, 50, 400
"""Simplex iterations between two questions whether to go on: so many up to 400 rows, then fewer,
because one takes the longer the more rows there are."""

PRIMAL, DUAL = 4, 1  # HiGHS's numbers for the two simplex methods


class CannotPass(ValueError):
    """No change that is allowed keeps the limits: fixed heights stand against them."""


@dataclass(frozen=True, eq=False, slots=True)
class Effort:
    """What a change costs, for each flat place.

    `fill` and `grind` cost a millimeter of it (in any one measure); `most_fill` and `most_grind`
    are the most change in mm: infinite where nothing forbids, 0 where the height is kept.
    """

    fill: Floats
    grind: Floats
    most_fill: Floats
    most_grind: Floats

    def free(self) -> Bools:
        """Where something may be done."""
        return (self.most_fill > 0) | (self.most_grind > 0)

    def within(self, places: Bools) -> Effort:
        """The same where nothing may be done outside of `places`."""
        fill, grind = np.where(places, self.most_fill, 0), np.where(places, self.most_grind, 0)
        return Effort(self.fill, self.grind, fill, grind)

    def of(self, change: Floats) -> np.float64:
        """What a change (flat, nm, NaN counts as none) costs."""
        mm = np.nan_to_num(change) / UNIT
        up, down = np.maximum(mm, 0), np.maximum(-mm, 0)
        return np.float64((self.fill * up).sum() + (np.where(down > 0, self.grind, 0) * down).sum())


class Programme:
    """One floor's programme: add chords, solve, read the change; again until none is broken."""

    def __init__(self, surface: Floats, effort: Effort, tight: int = TIGHT) -> None:
        self._tight = tight
        self._surface = surface
        self._effort = effort
        self._free = effort.free()
        self._row_of = np.full(len(surface), -1, dtype=np.int64)
        self._places: Ints = np.zeros(0, dtype=np.int64)
        self._tightened: Bools = np.zeros(0, dtype=bool)  # by column
        self._chords: Bools = np.zeros(0, dtype=bool)
        self.work = 0  # simplex iterations so far
        self._solver = _solver()

    def add(self, chords: Chords) -> None:
        """Ask for these chords to be kept. Raises CannotPass where nothing can be done for one."""
        run = chords.before + chords.after
        weights = np.stack([chords.after, chords.before, -run], axis=1) / run[:, None]
        places = np.stack([chords.start, chords.end, chords.at], axis=1)
        self.keep(places, weights * chords.sign[:, None], chords.limit.astype(np.float64))
        self._chords[-len(chords) :] = True

    def keep(self, places: Ints, weights: Floats, most: Floats) -> None:
        """Ask that `sum(weights * height)` be at most `most` nm, for each row of places (n, w).

        Raises CannotPass where none of the heights may change and the sum is above it.
        """
        now = (weights * self._surface[places]).sum(axis=1)
        free = self._free[places]
        if np.any(~free.any(axis=1) & (now > most)):
            raise CannotPass("a limit is broken between heights that are kept")
        self._rows_for(np.unique(places[free]))
        starts = np.concatenate([[0], np.cumsum(free.sum(axis=1))[:-1]])
        self._add_columns(
            (most - self._tight - now) / UNIT, starts, self._row_of[places[free]], weights[free]
        )
        self._tightened[-len(most) :] = True

    def solve(self, watch: Watch, method: int = PRIMAL) -> None:
        """Find the least costly change for the chords so far. Raises CannotPass, Stopped."""
        solver = self._solver
        solver.setOptionValue("simplex_strategy", method)
        done = 0
        while True:
            watch.breathe()
            done += max(SLICE * SLICED_ROWS // max(len(self._places), SLICED_ROWS), SHORTEST_SLICE)
            solver.setOptionValue("simplex_iteration_limit", done)
            solver.run()
            status = solver.getModelStatus().name
            if status == "kIterationLimit":
                continue
            if status in ("kOptimal", "kModelEmpty"):
                self.work += max(solver.getInfo().simplex_iteration_count, 0)
                return
            if status in ("kUnbounded", "kUnboundedOrInfeasible"):
                raise CannotPass("fixed heights stand against the limits")
            raise ArithmeticError(f"HiGHS ended with {status}")

    def change(self) -> Floats:
        """The change of each place, whole nm; 0 where unknown. After `solve`."""
        nm = np.zeros(len(self._surface))
        nm[self._places] = np.rint(np.array(self._solver.getSolution().row_dual) * UNIT)
        nm[np.abs(nm) <= SNAP] = 0
        return nm

    def bound(self) -> np.float64:
        """A lower bound of the cost under the limits as asked, from the last `solve`."""
        weights = np.array(self._solver.getSolution().col_value)
        tight = weights[self._tightened].sum() * self._tight / UNIT
        return np.float64(max(-self._solver.getInfo().objective_function_value - tight, 0))

    def drop_slack(self) -> None:
        """Leave out the chords that are SLACK or more from breaking. After `solve`.

        They decide nothing now, and each iteration is the slower for them; one that breaks
        later is found again.
        """
        solution = self._solver.getSolution()
        slack = np.array(solution.col_dual) > SLACK
        far = np.flatnonzero(self._chords & slack & (np.array(solution.col_value) == 0))
        if far.size:
            self._solver.deleteCols(far.size, far.astype(np.int32))
            self._tightened = np.delete(self._tightened, far)
            self._chords = np.delete(self._chords, far)

    def reprice(self, effort: Effort) -> None:
        """Other prices of the same changes; solve again by DUAL."""
        self._effort = effort
        prices = zip(*self._prices(self._places), strict=True)
        for row, (lower, upper) in enumerate(prices):
            self._solver.changeRowBounds(row, lower, upper)

    def _rows_for(self, places: Ints) -> None:
        """A row for each place that has none yet, and a column for each of its own limits."""
        new = places[self._row_of[places] < 0]
        if not new.size:
            return
        rows = np.arange(len(self._places), len(self._places) + new.size)
        self._row_of[new] = rows
        self._places = np.concatenate([self._places, new])
        lower, upper = self._prices(new)
        none = np.zeros(0)
        self._solver.addRows(
            new.size, lower, upper, 0, np.zeros(new.size, np.int32), none.astype(np.int32), none
        )
        for most, sign in ((self._effort.most_fill, 1), (self._effort.most_grind, -1)):
            capped = np.isfinite(most[new]) & (most[new] > 0)
            if capped.any():
                at = rows[capped]
                self._add_columns(
                    most[new][capped], np.arange(at.size), at, np.full(at.size, sign * 1)
                )

    def _prices(self, places: Ints) -> tuple[Floats, Floats]:
        effort = self._effort
        lower = np.where(effort.most_fill[places] > 0, -effort.fill[places], -np.inf)
        upper = np.where(effort.most_grind[places] > 0, effort.grind[places], np.inf)
        return lower, upper

    def _add_columns(self, cost: Floats, starts: Ints, rows: Ints, values: NDArray[Any]) -> None:
        count = len(cost)
        self._solver.addCols(
            count, cost, np.zeros(count), np.full(count, np.inf), len(rows),
            starts.astype(np.int32), rows.astype(np.int32), values.astype(np.float64),
        )  # fmt: skip
        none = np.zeros(count, dtype=bool)
        self._tightened = np.concatenate([self._tightened, none])
        self._chords = np.concatenate([self._chords, none])


def _solver() -> highspy.Highs:
    """HiGHS on one thread, repeatable, and silent: what it prints would stand in a JSON answer."""
    import highspy

    class Silent(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802 - HiGHS's name; it is where it first prints
            self.silent()

    solver: highspy.Highs = Silent()  # type: ignore[no-untyped-call]
    # weights are at most 1 already: scaling them only costs time
    scaling = "simplex_scale_strategy"
    options: dict[str, int | str] = {"threads": 1, "solver": "simplex", "presolve": "off"}
    for option, value in (options | {scaling: 0}).items():
        solver.setOptionValue(option, value)
    return solver
