"""What fills a guard between its posts instead of balusters: cables, glass, a solid panel."""

from __future__ import annotations

from fieldlog.drawings.svg import INK, PENCIL, Box, Point, Sheet

_BOW = 34.0
"""Units from the middle that a pair of cables is drawn pushed apart, so that a number fits."""


def fill_in(sheet: Sheet, inside: Box, infill: str, bays: int) -> None:
    """Draw the infill between the posts, the top and the bottom rail."""
    {"cable": _cables, "glass": _glass, "solid": _solid}[infill](sheet, inside, bays)


def _cables(sheet: Sheet, inside: Box, bays: int) -> None:
    """Level cables; in each bay a pair of them pushed apart around its number."""
    middle = (inside.top + inside.bottom) / 2
    bay = (inside.right - inside.left) / bays
    for y in (inside.top + 12.0, inside.bottom - 12.0):
        sheet.line([(inside.left, y), (inside.right, y)], width=1.4)
    for way in (-1.0, 1.0):
        points: list[Point] = []
        for n in range(bays):
            left, at = inside.left + n * bay, middle + way * 10.0
            points += [(left, at), (left + bay * 0.16, at),
                       (left + bay * 0.3, middle + way * _BOW),
                       (left + bay * 0.7, middle + way * _BOW), (left + bay * 0.84, at),
                       (left + bay, at)]  # fmt: skip
        sheet.line(points, width=1.4)


def _glass(sheet: Sheet, inside: Box, _bays: int) -> None:
    """A pane with air around it, and two strokes that say glass."""
    pane = Box(inside.left + 6.0, inside.top + 6.0, inside.right - 6.0, inside.bottom - 6.0)
    sheet.shape(_corners(pane), width=1.2, stroke=INK)
    x, y = (pane.left + pane.right) / 2, (pane.top + pane.bottom) / 2
    for off in (-8.0, 8.0):
        ends = [(x + off - 12.0, y + 16.0), (x + off + 12.0, y - 16.0)]
        sheet.line(ends, width=1.2, stroke=PENCIL)


def _solid(sheet: Sheet, inside: Box, _bays: int) -> None:
    """A panel, hatched."""
    sheet.shape(_corners(inside), width=1.2, stroke=INK)
    high, step = inside.bottom - inside.top, 14.0
    x = inside.left - high + step
    while x < inside.right:
        low = max(x, inside.left), inside.bottom - max(inside.left - x, 0.0)
        right = min(x + high, inside.right)
        sheet.line([low, (right, inside.bottom - (right - x))], width=0.8, stroke=PENCIL)
        x += step


def _corners(box: Box) -> list[Point]:
    return [(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
            (box.left, box.bottom)]  # fmt: skip
