"""Pouring a self-leveller: a level pool within its dam in each low place.

It finds level, not flat. A pool covers everything within its dam that lies below its level, so
on a floor that slopes it runs to the dam on the low side and stands there as a step, which is
feathered out with trowelled compound. Levels are found from below: wherever the floor, pools
and feathering in it, still has a hollow, the pool over it rises as much as that station wants
(outside of dams that station alone is trowelled up), and again, until nothing rises. Raising
never asks another place to be lower, so these are the lowest levels with those dams. Where a
hump is left, either the pools rise on (the lower end of its chord, at most to the limit below
the hump), or what is left is trowelled by the least fill on top of them.

Dams are drawn as near around the low places as they can be, or one or two stations wider, or at
the walls alone; whichever takes the least material is chosen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_plan_chords import Chords, Floats, Run, broken, wanted
from fieldlog.calc.floors_plan_patches import grown, labelled, volume
from fieldlog.calc.floors_plan_programme import CannotPass
from fieldlog.calc.floors_plan_task import FloorTask, broken_keeps
from fieldlog.calc.floors_plan_watch import Watch
from fieldlog.calc.floors_survey import Bools, Cell, Ints

WIDER = 3
"""Dams are tried around the low places and up to so many stations less one farther out."""
MOST_TROWELLED = 2_500
"""Stations up to which the least fill on top of the pools is tried: it takes the longest."""
MICRON = 1_000
"""nm. What rises for a hump rises in whole steps of this, so that two ends can't take turns."""


class NothingToPour(ValueError):
    """No low place is as deep as the product's least lift: it is all trowelling."""


@dataclass(frozen=True, eq=False, slots=True)
class Pool:
    """One pool: `level` nm as the stations' heights count, `stations` it covers, the depth of
    its deepest one and where that is, the length of dam (nm) where the floor beside it lies
    lower, and the self-leveller in it, nm3."""

    number: int
    level: int
    stations: int
    deepest: int
    dam: int
    at: Cell = (0, 0)
    volume: int = 0


@dataclass(frozen=True, eq=False, slots=True)
class Poured:
    """Pools and what is trowelled; arrays are (rows, columns).

    `depths` nm in all, `poured` nm of it is the self-leveller, at least its least lift where it
    lies at all; the rest is trowelled. `pool` is the number of the pool over a station, or 0.
    """

    depths: Ints
    poured: Ints
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
    deep = low_places >= least_lift
    if not deep.any():
        return
    for wider in range(WIDER):
        yield labelled(grown(deep, wider) & task.stations.mask)[0]
    yield task.stations.mask.astype(np.int64)


def _within(task: FloorTask, dams: Ints, least_lift: int, watch: Watch) -> Poured:
    """The pools of these dams; those that stay too thin are given up and trowelled instead."""
    found = [_poured_to_pass(task, dams, least_lift, watch)]
    if any(run.sign < 0 for run in task.lines.runs) and task.stations.known <= MOST_TROWELLED:
        found.append(_trowelled_to_pass(task, dams, least_lift, watch))
    return min((one for one in found if one.pools), key=lambda one: one.volume, default=found[0])


def _poured_to_pass(task: FloorTask, dams: Ints, least_lift: int, watch: Watch) -> Poured:
    """Pools rise until everything passes."""
    while True:
        rising = _Rising(task, dams, humps=True)
        rising.run(watch)
        depths = rising.depths()
        if (thin := _thin(dams, depths, least_lift)).any():
            dams = np.where(thin, 0, dams)
            continue
        return _poured(task, rising, dams, depths, depths, least_lift)


def _trowelled_to_pass(task: FloorTask, dams: Ints, least_lift: int, watch: Watch) -> Poured:
    """Pools rise for the hollows alone; the least fill on top of them does the rest."""
    while True:
        rising = _Rising(task, dams, humps=False)
        rising.run(watch)
        pools = np.where(dams > 0, rising.depths(), 0)
        if (thin := _thin(dams, pools, least_lift)).any():
            dams = np.where(thin, 0, dams)
            continue
        pools = np.where(pools >= least_lift, pools, 0)
        rest = least_fill(_raised(task, pools), Watch(stop=watch.stop)).depths
        return _poured(task, rising, dams, pools, pools + rest, least_lift)


def _thin(dams: Ints, depths: Ints, least_lift: int) -> Bools:
    """Stations in dams whose pool is nowhere as deep as the least lift."""
    deepest = np.zeros(int(dams.max()) + 1, dtype=np.int64)
    np.maximum.at(deepest, dams.ravel(), depths.ravel())
    return (deepest < least_lift)[dams] & (dams > 0)


def _raised(task: FloorTask, pools: Ints) -> FloorTask:
    """The floor with its pools in it; what may still be put on a kept height is the less."""
    keeps = tuple(
        replace(keep, fill=max(keep.fill - int(pools[keep.cell]), 0)) for keep in task.keeps
    )
    return replace(task.on(task.stations.z + pools), keeps=keeps)


class _Rising:
    """A floor whose pools rise until it passes."""

    def __init__(self, task: FloorTask, dams: Ints, humps: bool) -> None:
        self._task, self._lines = task, task.lines
        self._humps = humps and any(run.sign < 0 for run in task.lines.runs)
        self._dam = np.asarray(task.lines.room(dams), dtype=np.int64)
        self.levels = np.full(int(dams.max()) + 1, -np.inf)
        self.surface = task.surface.copy()

    def run(self, watch: Watch) -> None:
        """Raise what has to rise until nothing does. Raises Stopped."""
        while self._level_up() | self._fill_hollows() or (self._humps and self._ease_humps()):
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


def _poured(
    task: FloorTask, rising: _Rising, dams: Ints, pools: Ints, depths: Ints, least: int
) -> Poured:
    """Raises CannotPass where a height that is kept would have to be raised."""
    if kept := broken_keeps(task, depths):
        raise CannotPass(f"{kept[0].what} would have to be raised")
    inside = np.where((pools > 0) & (dams > 0), dams, 0)
    numbers = [int(n) for n in np.unique(inside) if n > 0]
    found = tuple(
        _pool(task, number, round(rising.levels[n]) + task.lines.low, pools, inside == n, least)
        for number, n in enumerate(numbers, start=1)
    )
    renumbered = np.zeros(int(dams.max()) + 1, dtype=np.int64)
    renumbered[numbers] = np.arange(1, len(numbers) + 1)
    poured = np.where((inside > 0) & (pools >= least), pools, 0)
    weights = task.areas / task.stations.spacing**2
    return Poured(depths, poured, renumbered[inside], found, np.float64((depths * weights).sum()))


def _pool(task: FloorTask, number: int, level: int, pools: Ints, inside: Bools, least: int) -> Pool:
    deep = np.where(inside, pools, 0)
    row, column = divmod(int(deep.argmax()), deep.shape[1])
    poured = inside & (pools >= least)
    return Pool(
        number, level, int(inside.sum()), int(deep[row, column]),
        _dam_length(task, pools, inside), (row, column),
        volume(pools[poured], task.areas[poured]),
    )  # fmt: skip


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
