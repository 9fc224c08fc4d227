"""Readings to ask about: a height a foot off among sixteenths is more likely a slip than a floor.

Nothing is dropped. Each station is compared with the median of what its neighbors say of it:
the middle of the two on both sides, and two in a row drawn on, in all eight directions, so that
a slope is nobody's fault and one wrong neighbor is outvoted. What is off by more than ten times
what is usual on this floor, and by an inch at least, is asked about. Both are ours: a drain or
a sill is asked about too, and the answer is "yes, it is so".
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fieldlog.calc.floors_passes import Floats
from fieldlog.calc.floors_survey import Cell, Stations
from fieldlog.calc.lengths import NM_PER_INCH

_TIMES = 10
_LEAST = NM_PER_INCH
_ENOUGH = 2  # so many must say so before a station is doubted
_AROUND = ((0, 1), (1, 0), (1, 1), (1, -1), (0, -1), (-1, 0), (-1, -1), (-1, 1))
_ROWS = 64  # worked on at once


@dataclass(frozen=True, slots=True)
class Doubt:
    """A station to ask about: `height` read, `expected` from its neighbors, nm."""

    cell: Cell
    height: int
    expected: int

    @property
    def off(self) -> int:
        """How far the reading is above (or below zero: under) what was expected, nm."""
        return self.height - self.expected


def doubts(stations: Stations, most: int = 10) -> tuple[Doubt, ...]:
    """Stations to ask about, the farthest off first, at most so many."""
    heights = np.where(stations.mask, stations.z, np.nan)
    around = np.pad(heights, 2, constant_values=np.nan)
    expected = np.full(stations.shape, np.nan)
    for top in range(0, stations.shape[0], _ROWS):
        block = heights[top : top + _ROWS]
        low, high = _expected(around[top : top + _ROWS + 4])
        expected[top : top + _ROWS] = np.minimum(np.maximum(block, low), high)
    off = np.abs(heights - expected)
    told = off[~np.isnan(off)]
    if not len(told):
        return ()
    bound = max(_TIMES * int(np.median(told)), _LEAST)
    cells = np.argwhere(np.nan_to_num(off) > bound)
    farthest = cells[np.argsort(-off[cells[:, 0], cells[:, 1]], kind="stable")][:most]
    return tuple(_doubt(stations, expected, (int(r), int(c))) for r, c in farthest)


def _doubt(stations: Stations, expected: Floats, cell: Cell) -> Doubt:
    return Doubt(cell, int(stations.z[cell]), int(expected[cell]))


def _expected(around: Floats) -> tuple[Floats, Floats]:
    """What the neighbors say of each station of a padded block; NaN where too few do.

    The median, from and to: where the neighbors are two to two it is all that lies between.
    """
    said = np.stack(list(_said(around)))
    told = (~np.isnan(said)).sum(axis=0)
    in_order = np.sort(said, axis=0)  # NaN last
    lower = np.take_along_axis(in_order, np.maximum(told - 1, 0)[None] // 2, axis=0)[0]
    upper = np.take_along_axis(in_order, told[None] // 2, axis=0)[0]
    enough = told >= _ENOUGH
    return np.where(enough, lower, np.nan), np.where(enough, upper, np.nan)


def _said(around: Floats) -> Iterator[Floats]:
    for step in _AROUND[:4]:
        yield (_shifted(around, step, 1) + _shifted(around, step, -1)) / 2
    for step in _AROUND:
        yield 2 * _shifted(around, step, 1) - _shifted(around, step, 2)


def _shifted(around: Floats, step: Cell, times: int) -> Floats:
    """Each station's neighbor so many steps away; the block is padded by two."""
    rows, columns = around.shape
    row, column = 2 + step[0] * times, 2 + step[1] * times
    return around[row : rows - 4 + row, column : columns - 4 + column]
