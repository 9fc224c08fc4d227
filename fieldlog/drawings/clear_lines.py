"""Lines that give way to what is written, and labels that look for a free place."""

from __future__ import annotations

from collections.abc import Iterable

from fieldlog.drawings.labels import Label, label_width, write
from fieldlog.drawings.svg import PENCIL, Box, Point, Sheet

_AROUND = 3.0


def clear_line(
    sheet: Sheet, start: Point, end: Point, *, width: float, stroke: str = PENCIL, dash: str = ""
) -> None:
    """A straight line, left out where a text or mark stands."""
    for a, b in _free_stretches(sheet.taken, start, end):
        sheet.line([_along(start, end, a), _along(start, end, b)], width=width, stroke=stroke,
                   dash=dash)  # fmt: skip


def place(sheet: Sheet, label: Label, size: float, spots: Iterable[Point]) -> bool:
    """Write a label at the first spot (left edge, middle) where it is clear; else don't."""
    width = label_width(label, size)
    for x, y in spots:
        if sheet.free(Box(x, y - size / 2, x + width, y + size / 2), 4.0):
            write(sheet, label, x, y, size)
            return True
    return False


def _free_stretches(
    taken: Iterable[Box], start: Point, end: Point
) -> Iterable[tuple[float, float]]:
    """Parts of the way from start (0) to end (1) that no box is on."""
    hidden = sorted(h for h in (_within(box, start, end) for box in taken) if h)
    at = 0.0
    for enters, leaves in hidden:
        if enters > at:
            yield at, enters
        at = max(at, leaves)
    if at < 1.0:
        yield at, 1.0


def _within(box: Box, start: Point, end: Point) -> tuple[float, float] | None:
    """Where a line enters and leaves a box with some air around (Liang and Barsky, 1984)."""
    enters, leaves = 0.0, 1.0
    bounds = ((box.left, box.right), (box.top, box.bottom))
    for axis, (low, high) in enumerate(bounds):
        way = end[axis] - start[axis]
        near, far = low - _AROUND - start[axis], high + _AROUND - start[axis]
        if abs(way) < 1e-9:
            if near > 0.0 or far < 0.0:
                return None
            continue
        first, last = sorted((near / way, far / way))
        enters, leaves = max(enters, first), min(leaves, last)
    return (enters, leaves) if enters < leaves else None


def _along(start: Point, end: Point, part: float) -> Point:
    return start[0] + part * (end[0] - start[0]), start[1] + part * (end[1] - start[1])
