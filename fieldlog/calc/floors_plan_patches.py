"""Connected areas of a floor: which stations hang together, and what one such patch is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldlog.calc.floors_survey import Bools, Cell, Ints

_AROUND = ((0, 1), (1, 0), (1, 1), (1, -1))


def labelled(places: Bools) -> tuple[Ints, int]:
    """Connected areas of a (rows, columns) mask, neighbors at corners included.

    Returns each station's area, numbered from 1 in reading order of their first station (0:
    none), and how many there are.
    """
    parent = np.where(places, np.arange(places.size).reshape(places.shape), -1)
    pairs = np.concatenate([_pairs(places, step) for step in _AROUND])
    root = parent.ravel()
    while True:
        low = np.minimum(root[pairs[:, 0]], root[pairs[:, 1]])
        before = root.copy()
        np.minimum.at(root, root[pairs[:, 0]], low)
        np.minimum.at(root, root[pairs[:, 1]], low)
        known = root >= 0
        root[known] = root[root[known]]
        if np.array_equal(root, before):
            break
    firsts = np.unique(root[root >= 0])
    labels = np.where(root >= 0, np.searchsorted(firsts, root) + 1, 0)
    return labels.reshape(places.shape).astype(np.int64), len(firsts)


def grown(places: Bools, by: int) -> Bools:
    """A mask with everything within `by` stations (corners included) added."""
    wide = places.copy()
    for _ in range(by):
        padded = np.pad(wide, 1)
        rows, columns = wide.shape
        for down in range(3):
            for right in range(3):
                wide |= padded[down : down + rows, right : right + columns]
    return wide


def _pairs(places: Bools, step: Cell) -> Ints:
    """Neighbors along a step that are both in the mask, as flat indices (n, 2)."""
    rows, columns = places.shape
    down, right = step
    number = np.arange(places.size).reshape(places.shape)
    one = (slice(0, rows - down), slice(max(-right, 0), columns - max(right, 0)))
    other = (slice(down, rows), slice(max(right, 0), columns + min(right, 0)))
    both = places[one] & places[other]
    found: Ints = np.stack([number[one][both], number[other][both]], axis=1)
    return found


@dataclass(frozen=True, eq=False, slots=True)
class Patch:
    """A connected area that is filled, or one that is ground.

    `cells` (n, 2) are its stations; `area` nm2 and `volume` nm3 are exact; `deepest` nm (always
    above zero) and `at` the station where it is.
    """

    fills: bool
    cells: Ints
    area: int
    volume: int
    deepest: int
    at: Cell

    @property
    def box(self) -> tuple[int, int, int, int]:
        """First row, first column, last row, last column."""
        (top, left), (bottom, right) = self.cells.min(axis=0), self.cells.max(axis=0)
        return int(top), int(left), int(bottom), int(right)

    def holds(self, cell: Cell) -> bool:
        """Whether a station is one of the patch's."""
        return bool((self.cells == np.array(cell)).all(axis=1).any())


def patches_of(depths: Ints, areas: Ints) -> tuple[Patch, ...]:
    """The patches of a change (nm, negative is ground), the largest first."""
    found = []
    for fills in (True, False):
        labels, count = labelled(depths > 0 if fills else depths < 0)
        order = np.argsort(labels.ravel(), kind="stable")
        ends = np.searchsorted(labels.ravel()[order], np.arange(1, count + 2))
        for n in range(count):
            places = order[ends[n] : ends[n + 1]]
            found.append(_patch(fills, places, np.abs(depths.ravel()), areas.ravel(), depths))
    return tuple(sorted(found, key=lambda patch: (-patch.area, tuple(patch.cells[0]))))


def _patch(fills: bool, places: Ints, deep: Ints, areas: Ints, depths: Ints) -> Patch:
    rows = np.stack(np.divmod(places, depths.shape[1]), axis=1)
    most = int(deep[places].argmax())
    return Patch(
        fills, rows, int_sum(areas[places]), volume(deep[places], areas[places]),
        int(deep[places[most]]), (int(rows[most, 0]), int(rows[most, 1])),
    )  # fmt: skip


def int_sum(values: Ints) -> int:
    """The sum of numbers that may not fit into 64 bits together; exact."""
    half = 1 << 31
    high, low = np.divmod(values, half)
    return int(high.sum()) * half + int(low.sum())


def volume(depths: Ints, areas: Ints) -> int:
    """Sum of depth times area, nm3; exact."""
    total = 0
    for area in np.unique(areas):
        total += int_sum(depths[areas == area]) * int(area)
    return total
