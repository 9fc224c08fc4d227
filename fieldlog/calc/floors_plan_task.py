"""What a plan has to do with a floor: limits to meet, heights to keep, the area of each station.

Everything is whole nm and nm2. A change of a floor is a (rows, columns) int64 array of nm:
positive is filled, negative is ground away, 0 where nothing is done.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_plan_chords import Floats, Lines, lines_of
from fieldlog.calc.floors_plan_programme import UNIT, Effort
from fieldlog.calc.floors_survey import Bools, Cell, Ints, Stations

FREE = 10**12
"""nm of change that nobody would make: nothing forbids it."""


@dataclass(frozen=True, slots=True)
class Keep:
    """A height that is not free: at `cell` at most `fill` nm may be added and `grind` taken off.

    `what` names it in a sentence: "the door sill", "the drain".
    """

    cell: Cell
    what: str
    fill: int = 0
    grind: int = 0


@dataclass(frozen=True)
class FloorTask:
    """A floor and what has to come of it.

    `limits` are kept in every direction that the spacing resolves; with `level` the highest and
    the lowest station may differ by at most so many nm when done. `area` (rows, columns) is the
    nm2 that each station stands for; the spacing squared where not given.
    """

    stations: Stations
    limits: tuple[EdgeLimit, ...]
    level: int | None = None
    keeps: tuple[Keep, ...] = ()
    area: Ints | None = field(default=None, repr=False)

    @cached_property
    def lines(self) -> Lines:
        """The floor laid flat with the runs of its limits."""
        return lines_of(self.stations, self.limits)

    @cached_property
    def surface(self) -> Floats:
        """The floor as it is, flat."""
        return self.lines.flat(self.stations.z)

    @cached_property
    def areas(self) -> Ints:
        """nm2 of each station; 0 where it is not known."""
        area = self.stations.spacing**2 if self.area is None else self.area
        return np.where(self.stations.mask, area, 0).astype(np.int64)

    @cached_property
    def weights(self) -> Floats:
        """Each place's area as a part of the spacing squared, flat."""
        return self.lines.room(self.areas / self.stations.spacing**2).astype(np.float64)

    def effort(self, fill: Floats, grind: Floats | None = None, deepest: int = 0) -> Effort:
        """The effort of changes where `fill` and `grind` are the price of a millimeter.

        Prices are flat and already hold the areas. Without `grind` nothing is taken off; with
        it at most `deepest` nm. Heights that are kept limit both.
        """
        known = self.lines.known
        most_fill = self._most("fill", FREE)
        most_grind = self._most("grind", deepest if grind is not None else 0)
        nothing = np.zeros(len(known))
        return Effort(
            fill, nothing if grind is None else grind,
            np.where(known, np.where(most_fill >= FREE, np.inf, most_fill / UNIT), 0),
            np.where(known, most_grind / UNIT, 0),
        )  # fmt: skip

    def _most(self, way: str, free: int) -> Ints:
        most = np.full(self.stations.shape, free, dtype=np.int64)
        for keep in self.keeps:
            most[keep.cell] = min(int(most[keep.cell]), getattr(keep, way))
        return self.lines.room(most).astype(np.int64)

    def on(self, z: Ints) -> FloorTask:
        """The same task on a floor of other heights."""
        return replace(self, stations=self.stations.with_heights(z))

    def window(self, rows: slice, columns: slice, known: Bools) -> FloorTask:
        """A part of the floor as a task of its own, only stations in `known` (of the window)."""
        place = (rows, columns)
        stations = replace(
            self.stations, z=np.where(known, self.stations.z[place], 0), mask=known,
            counts=self.stations.counts[place], order=np.argwhere(known),
        )  # fmt: skip
        top, left = rows.start, columns.start
        keeps = [
            replace(keep, cell=(keep.cell[0] - top, keep.cell[1] - left))
            for keep in self.keeps
            if top <= keep.cell[0] < rows.stop and left <= keep.cell[1] < columns.stop
        ]
        return replace(self, stations=stations, keeps=tuple(keeps), area=self.areas[place].copy())


def broken_keeps(task: FloorTask, change: Ints) -> tuple[Keep, ...]:
    """The kept heights that a change would move more than they may be."""
    return tuple(
        keep
        for keep in task.keeps
        if task.stations.mask[keep.cell] and not -keep.grind <= int(change[keep.cell]) <= keep.fill
    )
