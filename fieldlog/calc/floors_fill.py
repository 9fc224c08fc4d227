"""The least fill that makes a floor pass, with a compound that is trowelled to any shape.

For hollows alone there is one surface that lies nowhere above any other that passes: raise each
station to the highest chord over it less the limit, and again, until nothing rises. It lies
under every surface s that passes, because s >= chord(s) - limit, and a chord of something lower
is lower. The heights stay whole nm (STEP) and every chord is compared exactly, so the result
passes as it stands. Floors on which that takes long (wide, deep bowls) go to the programme; what
it finds is rounded up, and then lowered again to where no station could be a nm lower.

With humps there is no such surface: raising either end of a chord eases a hump, and which is
better depends on the rest. The least volume is then a linear programme (`floors_plan_settle`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldlog.calc.floors_plan_chords import Floats, Lines, wanted
from fieldlog.calc.floors_plan_programme import CannotPass, Effort
from fieldlog.calc.floors_plan_settle import settle
from fieldlog.calc.floors_plan_task import FloorTask, broken_keeps
from fieldlog.calc.floors_plan_tiles import settle_in_tiles, too_large
from fieldlog.calc.floors_plan_watch import Watch
from fieldlog.calc.floors_survey import Ints

STEP = 1
"""nm. Heights are whole steps; a surface is the least of those that are."""
SWEEPS = 10
"""After so many without an end the programme is quicker, up to MOST_RAISED stations."""
MOST_RAISED = 3_000
MOST_LOWERINGS = 1_000
"""A rounded programme is a few nm too high, and each of these takes one off somewhere."""


@dataclass(frozen=True, eq=False, slots=True)
class Filled:
    """A least fill: `depths` (rows, columns) nm, 0 and up, and a lower bound of any fill.

    `bound` is in mm times spacing squared, as `FloorTask.weights` count; `volume` is what
    these depths come to in the same measure.
    """

    depths: Ints
    volume: np.float64
    bound: np.float64


def least_fill(task: FloorTask, watch: Watch | None = None) -> Filled:
    """The least volume that meets the limits by filling alone, and where it goes.

    Raises CannotPass where a height that is kept stands against it, Stopped.
    """
    watch = watch or Watch()
    if any(run.sign < 0 for run in task.lines.runs):
        return _by_programme(task, watch)
    surface = least_surface(task.lines, _at_level(task), watch)
    if surface is None:
        found = _by_programme(task, watch)
        filled = task.surface + task.lines.flat(found.depths + task.lines.low)
        surface = lowered(task.lines, filled, _at_level(task), watch)
        return _filled(task, surface, found.bound)
    return _filled(task, surface, None)


def _filled(task: FloorTask, surface: Floats, bound: np.float64 | None) -> Filled:
    """The fill up to a surface; its own bound where there is no lower one."""
    depths = task.lines.heights(surface) - np.where(task.stations.mask, task.stations.z, 0)
    if kept := broken_keeps(task, depths):
        raise CannotPass(f"{kept[0].what} would have to be raised")
    volume = _filling(task).of(surface - task.surface)
    return Filled(depths, volume, volume if bound is None else min(bound, volume))


def lowered(lines: Lines, surface: Floats, floor: Floats, watch: Watch) -> Floats:
    """A surface without hollows, lowered until every raised station is just as high as the
    highest chord over it asks: none could be a whole nm lower.

    Lowering a station lowers chords and raises none, so what passes goes on passing.
    """
    for _ in range(MOST_LOWERINGS):
        watch.breathe()
        asked = floor.copy()
        for run in lines.runs:
            high = wanted(surface, run)
            np.copyto(asked, high, where=high > asked)  # nothing where it is not known
        if np.array_equal(asked, surface, equal_nan=True):
            break
        surface = np.minimum(surface, asked)
    return surface


def least_surface(lines: Lines, surface: Floats, watch: Watch) -> Floats | None:
    """The least surface above this one that has no hollow; None where it takes too long.

    It is the same from every start that lies between the floor and the result.
    """
    risen = surface.copy()
    sweeps = 0
    while _sweep(lines, risen):
        watch.breathe()
        sweeps += 1
        if sweeps == SWEEPS and np.count_nonzero(risen > surface) <= MOST_RAISED:
            return None
    return risen


def _sweep(lines: Lines, surface: Floats) -> bool:
    """Raise every station to what each run wants, in place. Whether anything rose."""
    rose = False
    for run in lines.runs:
        high = wanted(surface, run)
        rises = high > surface
        if rises.any():
            np.copyto(surface, high, where=rises)
            rose = True
    return rose


def _at_level(task: FloorTask) -> Floats:
    """The floor with everything that a level finish needs raised to the lower end of its band."""
    surface = task.surface
    if task.level is None or np.isnan(surface).all():
        return surface
    return np.where(task.lines.known, np.maximum(surface, np.nanmax(surface) - task.level), surface)


def _by_programme(task: FloorTask, watch: Watch) -> Filled:
    effort = _filling(task)
    if too_large(task):
        found = settle_in_tiles(task, _filling, watch)
    else:
        found, _ = settle(task.lines, task.surface, effort, watch, task.level)
    change = task.lines.grid(found.change).astype(np.int64)
    return Filled(change, effort.of(found.change), min(found.bound, effort.of(found.change)))


def _filling(task: FloorTask) -> Effort:
    """A millimeter of fill costs the area it lies on."""
    return task.effort(task.weights)
