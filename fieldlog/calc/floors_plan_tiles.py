"""A floor too bent to be solved in one piece: tile by tile, with a bound, never a hang.

The time of a programme grows with more than the square of the stations that hang together, so
a large floor of waves is cut into square tiles.

First each tile alone, as if the rest were not there: the sum of their least costs is a lower
bound of the whole, because a floor that passes passes in every tile. Then tile after tile is
joined to what is finished: its stations and a band of the finished ones around it are free, the
others stay as they are. What is finished always passes by itself. Where the finished stations
leave no room for the next tile the band grows, at last to everything, so an end is reached.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from fieldlog.calc.floors_plan_chords import Floats, broken
from fieldlog.calc.floors_plan_programme import CannotPass, Effort
from fieldlog.calc.floors_plan_settle import Settled, Settling
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.floors_plan_watch import Progress, Watch
from fieldlog.calc.floors_survey import Bools

Pricing = Callable[[FloorTask], Effort]
"""What changes of a task cost; asked anew for every window of it."""
Improving = Callable[[FloorTask, Effort, Settling, Settled], Floats]
"""A better change of a window than the one that was found first, by the same settling."""

TILE = 20
"""Stations along the side of a tile: 400 are solved in a fraction of a second."""
BAND = 5
"""Stations around a tile that are free again when it is joined, at first."""
MOST_BENT, MOST_BROKEN = 2_000, 12_000
"""Stations in bent tiles (half of them break a limit), and stations that break one anywhere, up to
which one programme is quicker."""


def too_large(task: FloorTask) -> bool:
    """Whether so much of the floor is bent that it has to be solved in tiles.

    A level finish ties every station to every other: it stays one programme, that can be stopped.
    """
    known = int(task.stations.known)
    if known <= MOST_BENT or task.level is not None:
        return False
    bent = np.zeros(len(task.lines.known), dtype=bool)
    bent[broken(task.lines, task.surface).at] = True
    if bent.sum() > MOST_BROKEN:
        return True
    grid = np.ascontiguousarray(task.lines.grid(bent))
    return sum(int(bent.sum()) for bent in _cut(grid) if 2 * bent.sum() > bent.size) > MOST_BENT


def settle_in_tiles(
    task: FloorTask, pricing: Pricing, watch: Watch, improving: Improving | None = None
) -> Settled:
    """A change that passes, tile by tile, and a lower bound of any. Raises CannotPass, Stopped."""
    tiles = list(_tiles(task.stations.shape))
    bounds: list[np.float64] = []
    for tile in tiles:
        bounds.append(_alone(task, tile, pricing, watch))
        total = np.float64(sum(bounds))
        watch.tell(Progress(0, len(tiles), total, total))
    joining = _Joining(task, pricing, watch, improving)
    for done, tile in enumerate(tiles, start=1):
        joining.join(tile)
        left = np.float64(sum(bounds[done:]))
        change = joining.change.copy()
        watch.tell(Progress(done, len(tiles), total, left, change, joining.finished))
    return Settled(np.asarray(task.lines.room(joining.change), dtype=np.float64), total)


def _alone(
    task: FloorTask, tile: tuple[slice, slice], pricing: Pricing, watch: Watch
) -> np.float64:
    """The least that a tile would cost without its surroundings."""
    window = task.window(*tile, task.stations.mask[tile])
    return Settling(window.lines, window.surface, pricing(window), watch).solve().bound


class _Joining:
    """The finished part of a floor, and the change found for it so far."""

    def __init__(
        self, task: FloorTask, pricing: Pricing, watch: Watch, improving: Improving | None
    ) -> None:
        self._task, self._pricing, self._watch = task, pricing, watch
        self._improving = improving
        self.change = np.zeros(task.stations.shape, dtype=np.int64)
        self.finished = np.zeros(task.stations.shape, dtype=bool)
        self._reach = max((run.reach for run in task.lines.runs), default=1)

    def join(self, tile: tuple[slice, slice]) -> None:
        """Finish one more tile. Raises CannotPass, Stopped."""
        finished = self.finished.copy()
        finished[tile] = self._task.stations.mask[tile]
        band = min(BAND, self._reach)
        while True:
            try:
                self._settle(tile, band, finished)
            except CannotPass:
                if band > max(finished.shape):
                    raise
                band += (band + 1) // 2
            else:
                break
        self.finished = finished

    def _settle(self, tile: tuple[slice, slice], band: int, finished: Bools) -> None:
        shape = finished.shape
        window = _grown(tile, band + self._reach, shape)
        free = np.zeros(shape, dtype=bool)
        free[_grown(tile, band, shape)] = True
        heights = self._task.stations.z + np.where(free, 0, self.change)
        part = self._task.on(heights).window(*window, finished[window])
        effort = self._pricing(part).within(np.asarray(part.lines.room(free[window]), dtype=bool))
        settling = Settling(part.lines, part.surface, effort, self._watch)
        found = settling.solve()
        flat = found.change
        if self._improving is not None:
            flat = self._improving(part, effort, settling, found)
        change = part.lines.grid(flat).astype(np.int64)
        changed = free[window] & finished[window]
        self.change[window] = np.where(changed, change, self.change[window])


def _tiles(shape: tuple[int, int]) -> Iterator[tuple[slice, slice]]:
    """The tiles of a grid, back and forth, so that each is beside the one before."""
    rows, columns = (range(0, size, TILE) for size in shape)
    for n, top in enumerate(rows):
        for left in columns if n % 2 == 0 else reversed(columns):
            yield slice(top, min(top + TILE, shape[0])), slice(left, min(left + TILE, shape[1]))


def _cut(grid: Bools) -> Iterator[Bools]:
    rows, columns = grid.shape
    for tile in _tiles((rows, columns)):
        yield grid[tile]


def _grown(tile: tuple[slice, slice], by: int, shape: tuple[int, ...]) -> tuple[slice, slice]:
    rows, columns = (
        slice(max(side.start - by, 0), min(side.stop + by, size))
        for side, size in zip(tile, shape, strict=True)
    )
    return rows, columns
