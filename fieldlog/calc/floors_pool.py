"""Pouring a self-leveller: a level pool within its dam in each low place.

It finds level, not flat. A pool covers everything within its dam that lies below its level, so
on a floor that slopes it runs to the dam on the low side and stands there as a step, which is
feathered out with trowelled compound. Levels are found from below: wherever the floor, pools
and feathering in it, still has a hollow, the pool over it rises as much as that station wants
(outside of dams that station alone is trowelled up), and again, until nothing rises. Raising
never asks another place to be lower, so these are the lowest levels with those dams. Where a
hump is left, the lower end of its chord rises, at most to the limit below the hump.

Dams are drawn as near around the low places as they can be, or one or two stations wider, or at
the walls alone; whichever takes the least material is chosen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fieldlog.calc.floors_plan_chords import Chords, Floats, Run, broken, wanted
from fieldlog.calc.floors_plan_patches import grown, labelled
from fieldlog.calc.floors_plan_programme import CannotPass
from fieldlog.calc.floors_plan_task import FloorTask, broken_keeps
from fieldlog.calc.floors_plan_watch import Watch
from fieldlog.calc.floors_survey import Bools, Ints

WIDER = 3
"""Dams are tried around the low places and up to so many stations less one farther out."""
MICRON = 1_000
"""nm. What rises for a hump rises in whole steps of this, so that two ends can't take turns."""


class NothingToPour(ValueError):
    """No low place is as deep as the product's least lift: it is all trowelling."""


@dataclass(frozen=True, eq=False, slots=True)
class Pool:
    """One pool: `level` nm as the stations' heights count, `stations` it covers, the depth of
    its deepest one, and the length of dam (nm) where the floor beside it lies lower."""

    number: int
    level: int
    stations: int
    deepest: int
    dam: int


@dataclass(frozen=True, eq=False, slots=True)
class Poured:
    """Pools and what is trowelled; arrays are (rows, columns).

    `depths` nm in all; `body` where the self-leveller lies (as thick as its least lift or
    more), the rest of `depths` is trowelled; `pool` the number of the pool over a station, 0.
    """

    depths: Ints
    body: Bools
    pool: Ints
    pools: tuple[Pool, ...]
    volume: np.float64


def pour(task: FloorTask, low_places: Ints, least_lift: int, watch: Watch | None = None) -> Poured:
    """Pools in the low places that make the floor pass, with the feathering around them.

    `low_places` are depths (rows, columns, nm) of a least fill: where something is low.
    Raises NothingToPour, CannotPass where a height that is kept stands against it, Stopped.
    """
    watch = watch or Watch()
    best: Poured | None = None
    refused: CannotPass | None = None
    for dams in _dams(task, low_places, least_lift):
        try:
            poured = _within(task, dams, least_lift, watch)
        except CannotPass as err:
            refused = err
            continue
        if poured.pools and (best is None or poured.volume < best.volume):
            best = poured
    if best is not None:
        return best
    if refused is not None:
        raise refused
    raise NothingToPour("no low place is as deep as the least lift")


def _dams(task: FloorTask, low_places: Ints, least_lift: int) -> Iterator[Ints]:
    """For each station the number of the dam around it, 0 outside of all."""
    labels, count = labelled(low_places > 0)
    deepest = np.zeros(count + 1, dtype=np.int64)
    np.maximum.at(deepest, labels.ravel(), low_places.ravel())
    deep = (deepest >= least_lift)[labels] & (labels > 0)
    if not deep.any():
        return
    for wider in range(WIDER):
        yield labelled(grown(deep, wider) & task.stations.mask)[0]
    yield task.stations.mask.astype(np.int64)


def _within(task: FloorTask, dams: Ints, least_lift: int, watch: Watch) -> Poured:
    """The pools of these dams; those that stay too thin are given up and trowelled instead."""
    while True:
        rising = _Rising(task, dams)
        rising.run(watch)
        depths = rising.depths()
        if kept := broken_keeps(task, depths):
            raise CannotPass(f"{kept[0].what} would have to be raised")
        deepest = np.zeros(int(dams.max()) + 1, dtype=np.int64)
        np.maximum.at(deepest, dams.ravel(), depths.ravel())
        thin = (deepest < least_lift)[dams] & (dams > 0)
        if not thin.any():
            return _poured(task, rising, dams, depths, least_lift)
        dams = np.where(thin, 0, dams)


class _Rising:
    """A floor whose pools rise until it passes."""

    def __init__(self, task: FloorTask, dams: Ints) -> None:
        self._task, self._lines = task, task.lines
        self._dam = np.asarray(task.lines.room(dams), dtype=np.int64)
        self.levels = np.full(int(dams.max()) + 1, -np.inf)
        self.surface = task.surface.copy()

    def run(self, watch: Watch) -> None:
        """Raise what has to rise until nothing does. Raises Stopped."""
        humps = any(run.sign < 0 for run in self._lines.runs)
        while self._level_up() | self._fill_hollows() or (humps and self._ease_humps()):
            watch.breathe()

    def depths(self) -> Ints:
        """How much each station has risen, nm (rows, columns)."""
        z = np.where(self._task.stations.mask, self._task.stations.z, 0)
        return self._lines.heights(self.surface) - z

    def _level_up(self) -> bool:
        if self._task.level is None or np.isnan(self.surface).all():
            return False
        low = np.nanmax(self.surface) - self._task.level
        return self._raise(self.surface < low, np.full(len(self.surface), low))

    def _fill_hollows(self) -> bool:
        rose = False
        for run in self._lines.runs:
            if run.sign > 0:
                rose |= self._fill(run)
        return rose

    def _fill(self, run: Run) -> bool:
        high = wanted(self.surface, run)
        return self._raise(high > self.surface, high)

    def _ease_humps(self) -> bool:
        """Raise the lower end of each chord that a station stands too high above."""
        chords = broken(self._lines, self.surface)
        if not len(chords):
            return False
        places, to = _eased(self.surface, chords)
        want = np.full(len(self.surface), -np.inf)
        np.maximum.at(want, places, to)
        return self._raise(want > self.surface, want)

    def _raise(self, rises: Bools, to: Floats) -> bool:
        """Raise those places: each by itself, or the whole pool that it is in."""
        if not rises.any():
            return False
        np.maximum.at(self.levels, self._dam[rises], to[rises])
        self.levels[0] = -np.inf
        np.copyto(self.surface, to, where=rises & (self._dam == 0))
        np.fmax(self.surface, self.levels[self._dam], out=self.surface, where=self._lines.known)
        return True


def _eased(surface: Floats, chords: Chords) -> tuple[Ints, Floats]:
    """Which end of each hump's chord has to rise, and how high: whole MICRONs."""
    start_lower = surface[chords.start] <= surface[chords.end]
    low = np.where(start_lower, chords.start, chords.end)
    high = np.where(start_lower, chords.end, chords.start)
    own = np.where(start_lower, chords.after, chords.before)
    run = chords.before + chords.after
    top = surface[chords.at] - chords.limit
    need = (top * run - surface[high] * (run - own)) / own
    to = np.minimum(np.ceil(need / MICRON) * MICRON, top)
    return low, np.maximum(to, surface[low] + 1)


def _poured(task: FloorTask, rising: _Rising, dams: Ints, depths: Ints, least: int) -> Poured:
    pool = np.where(depths > 0, dams, 0)
    numbers = [int(n) for n in np.unique(pool) if n > 0]
    pools = tuple(
        Pool(
            number, round(rising.levels[n]) + task.lines.low, int((pool == n).sum()),
            int(depths[pool == n].max()), _dam_length(task, depths, pool == n),
        )
        for number, n in enumerate(numbers, start=1)
    )  # fmt: skip
    renumbered = np.zeros(int(dams.max()) + 1, dtype=np.int64)
    renumbered[numbers] = np.arange(1, len(numbers) + 1)
    body = (pool > 0) & (depths >= least)
    weights = task.areas / task.stations.spacing**2
    return Poured(depths, body, renumbered[pool], pools, np.float64((depths * weights).sum()))


def _dam_length(task: FloorTask, depths: Ints, pool: Bools) -> int:
    """How much of a pool's rim has a lower station beside it, nm."""
    after = np.where(task.stations.mask, task.stations.z + depths, np.iinfo(np.int64).max)
    count = 0
    for axis in (0, 1):
        for one, other in ((slice(None, -1), slice(1, None)), (slice(1, None), slice(None, -1))):
            here = (one, slice(None)) if axis == 0 else (slice(None), one)
            there = (other, slice(None)) if axis == 0 else (slice(None), other)
            count += int((pool[here] & ~pool[there] & (after[there] < after[here])).sum())
    return count * task.stations.spacing
