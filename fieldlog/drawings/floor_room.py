"""Where a floor's stations and walls lie on the sheet: one scale, the room's own shape.

A station stands for its own cell, the square of one spacing around it, as far as the room goes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from fieldlog.drawings.survey import Cell, Ring, Survey
from fieldlog.drawings.svg import PAD, Box, Point, text_width

_SIZES = (17.0, 16.0, 15.0, 14.0)
_LARGEST, _TALLEST = 56.0, 640.0


@dataclass(frozen=True)
class Room:
    """Units: a cell's side, text size, and every how many stations a number is written.

    `left` and `top` are the corner of the first station's cell.
    """

    cell: float
    size: float
    every: int
    left: float
    top: float
    rings: tuple[tuple[Point, ...], ...]

    def corner(self, cell: Cell) -> Point:
        """The upper left corner of a station's cell."""
        return self.left + cell[1] * self.cell, self.top + cell[0] * self.cell

    def middle(self, cell: Cell) -> Point:
        """Where the station is."""
        return self.at(cell[1], cell[0])

    def at(self, column: float, row: float) -> Point:
        """A place between stations."""
        return self.left + (column + 0.5) * self.cell, self.top + (row + 0.5) * self.cell

    def within(self, cell: Cell, width: float) -> Point:
        """The middle of what is written so wide at a station: at it, but inside the walls."""
        x, y = self.middle(cell)
        half = width / 2 + 2.0
        return max(min(x, self.frame.right - half), self.frame.left + half), y

    @cached_property
    def frame(self) -> Box:
        """The room's extent."""
        xs, ys = [x for x, _ in self.rings[0]], [y for _, y in self.rings[0]]
        return Box(min(xs), min(ys), max(xs), max(ys))

    def ground(self, cell: Cell) -> list[Point]:
        """The station's cell as far as the room goes; [] where nothing of it does."""
        x, y = self.corner(cell)
        return clipped(self.rings[0], Box(x, y, x + self.cell, y + self.cell))


def room_of(
    survey: Survey, names: float, right: float, written: Sequence[str] | None = None
) -> Room:
    """The largest scale at which the numbers fit up to `right`, the sheet's edge.

    `names` is the room that bars' names need. `written` is what is written at stations where
    that is not their heights; there are no bars beside it then.
    """
    rings = survey.rings or (_cells(survey),)
    low_x, low_y, high_x, high_y = _extent(rings[0])
    rows, columns = high_y - low_y, high_x - low_x
    edge = PAD + text_width(str(survey.size[0]), 14.0) + 6.0
    cell = min(_LARGEST, (right - edge - names) / columns, max(_TALLEST / rows, 20.0))
    left, top = edge - (low_x + 0.5) * cell, 22.0 - (low_y + 0.5) * cell
    size, every = _numbers(survey, cell, written)
    placed = tuple(
        tuple((left + (x + 0.5) * cell, top + (y + 0.5) * cell) for x, y in ring) for ring in rings
    )
    return Room(cell, size, every, left, top, placed)


def _numbers(survey: Survey, cell: float, written: Sequence[str] | None) -> tuple[float, int]:
    """Text size, and every how many stations a number is written."""
    rows, columns = survey.size
    numbers = written or [
        survey.written((r, c)) or "0" for r in range(rows) for c in range(columns)
    ]
    longest = max(numbers, key=len)
    # A bar along a column runs beside the numbers, one along a row above or below them.
    beside = 18.0 if any(not b.along_row for b in survey.bars) else 9.0
    if written is not None:
        beside = 4.0
    for every in (1, 2, 3, 4, 6, 8):
        for size in _SIZES:
            wide = text_width(longest, size, bold=True)
            inward = max(wide / 2 + 2.0 - cell / 2, 0.0)  # the wall pushes the first and the last
            fits = max(wide + beside, wide + inward + 3.0) <= cell * every
            if fits and size <= cell * every - 13.0:
                return size, every
    return _SIZES[-1], 12


def _cells(survey: Survey) -> Ring:
    rows, columns = survey.size
    right, low = columns - 0.5, rows - 0.5
    return ((-0.5, -0.5), (right, -0.5), (right, low), (-0.5, low))


def _extent(ring: Ring) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def clipped(ring: tuple[Point, ...], box: Box) -> list[Point]:
    """The part of an outline within a box, side by side (Sutherland and Hodgman, 1974)."""
    shape = list(ring)
    sides = ((0, 1, box.left), (0, -1, box.right), (1, 1, box.top), (1, -1, box.bottom))
    for axis, sign, bound in sides:
        kept: list[Point] = []
        for a, b in zip(shape, (*shape[1:], *shape[:1]), strict=True):
            before, after = sign * (a[axis] - bound), sign * (b[axis] - bound)
            if before >= 0:
                kept.append(a)
            if before * after < 0:
                t = before / (before - after)
                kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
        shape = kept
    return shape
