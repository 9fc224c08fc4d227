"""Labels in a column on either side of a thing, with a thin line from each to its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fieldlog.drawings.figures import Shown
from fieldlog.drawings.labels import Label, Piece, write
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.svg import PAD, PENCIL, SMALL, Point, Sheet, wrapped

_SIZE, _NAME, _VALUE, _APART = 15.0, 16.0, 17.0, 7.0


@dataclass(frozen=True)
class Spot:
    """A value, what it is called here, where on the sheet it was measured, and its side."""

    name: str
    value: Shown
    target: Point
    right: bool


def annotate(sheet: Sheet, spots: Sequence[Spot], edge: float, top: float) -> float:
    """Write the spots' labels outside `edge` (from either side), as high as their places where
    there is room; gives the height that the lowest reaches.
    """
    lowest = top
    for right in (False, True):
        at = top
        for spot in sorted((s for s in spots if s.right == right), key=lambda s: s.target[1]):
            names = wrapped(spot.name, SMALL, edge - PAD)
            wanted = spot.target[1] - len(names) * _NAME - _VALUE / 2
            at = _one(sheet, spot, names, edge, max(at, wanted)) + _APART
        lowest = max(lowest, at)
    return lowest


def _one(sheet: Sheet, spot: Spot, names: list[str], edge: float, top: float) -> float:
    """One label from `top` down; gives where it ends."""
    x = sheet.width - edge if spot.right else edge
    for row in names:
        sheet.text(x, top + 13.0, row, SMALL, anchor="start" if spot.right else "end", fill=PENCIL)
        top += _NAME
    value, *more = _rows(spot.value)
    middle = top + _VALUE / 2
    box = write(sheet, value, x, middle, _SIZE, end=not spot.right)
    for nth, line in enumerate(more, start=1):
        write(sheet, line, x, middle + nth * _VALUE, _SIZE, end=not spot.right)
    verdict = spot.value.finding.verdict
    marked = verdict in ("fail", "too_close")
    stroke, width = (COLORS[verdict], 2.2) if marked else (PENCIL, 1.0)
    near = box.left - 4.0 if spot.right else box.right + 4.0
    sheet.line([(near, middle), spot.target], width=width, stroke=stroke)
    sheet.circle(spot.target, 2.6, width=1.0, stroke=stroke, fill=stroke)
    return top + _VALUE * (1 + len(more))


def _rows(value: Shown) -> list[Label]:
    verdict = value.finding.verdict
    if not value.text:
        return [(Piece(verdict="not_measured"),)]
    if verdict not in ("fail", "too_close"):
        return [(Piece(value.text, bold=True),)]
    color = COLORS[verdict]
    rows: list[Label] = [(Piece(verdict=verdict), Piece(value.text, bold=True, fill=color))]
    return [*rows, (Piece(value.finding.word, bold=True, fill=color),)]


def twin(spots: Sequence[Spot]) -> list[str]:
    """The same in sentences."""
    return [f"{s.name.capitalize()}: {s.value.said}." for s in spots]
