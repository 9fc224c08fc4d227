"""An opening's casing in elevation with the rip line: what stays, what goes, what is beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.drawings.calc_told import Told, hint, said
from fieldlog.drawings.labels import notes
from fieldlog.drawings.svg import INK, PAD, PAPER, PENCIL, SMALL, WIDTH, Sheet

_TOP, _FLOOR, _CASING, _OPEN = 60.0, 300.0, 92.0, 62.0


def draw_rip(raw: Mapping[str, Any]) -> str:
    """Both legs at their new width, the old edge dashed, the wall where it was measured."""
    told, sheet = Told(raw), Sheet()
    scale = _CASING / told.size("casing")
    middle = WIDTH / 2
    width, profile = told.size("width") * scale, told.size("profile") * scale
    for side in (-1.0, 1.0):
        _leg(sheet, middle, side, width, profile)
    _head(sheet, middle, width)
    spaces = told.sizes("spaces")
    for side, space in zip((-1.0, 1.0), (spaces * 2)[:2], strict=True):
        _wall(sheet, middle + side * (_OPEN + min(space * scale, 150.0)))
    sheet.line([(PAD, _FLOOR), (WIDTH - PAD, _FLOOR)], width=3.0)
    _labels(sheet, told, middle, width)
    key = "Casing widths to scale, the opening not. Dashed: the full casing. Thick: the wall."
    height = notes(sheet, _FLOOR + 20.0, [*map(said, _says(told)), hint(key)])
    return sheet.finish(height + PAD, "Casing with its rip line", _says(told))


def _leg(sheet: Sheet, middle: float, side: float, width: float, profile: float) -> None:
    inner = middle + side * _OPEN
    outer, full = inner + side * width, inner + side * _CASING
    sheet.shape(
        [
            (inner, _TOP + _CASING),
            (outer, _TOP + _CASING - width),
            (outer, _FLOOR),
            (inner, _FLOOR),
        ],
        width=2.0,
        fill=PAPER,
    )
    if profile:
        edge = outer - side * profile
        sheet.line([(edge, _TOP + _CASING - width + profile), (edge, _FLOOR)], width=1.2)
    if width < _CASING:
        sheet.line([(full, _TOP), (full, _FLOOR)], width=1.6, stroke=PENCIL, dash="6 4")


def _head(sheet: Sheet, middle: float, width: float) -> None:
    """The head, ripped like the legs so that its miters are even."""
    low, high = _TOP + _CASING, _TOP + _CASING - width
    sheet.shape(
        [
            (middle - _OPEN, low),
            (middle - _OPEN - width, high),
            (middle + _OPEN + width, high),
            (middle + _OPEN, low),
        ],
        width=2.0,
        fill=PAPER,
    )


def _wall(sheet: Sheet, x: float) -> None:
    sheet.line([(x, _TOP - 20.0), (x, _FLOOR)], width=4.0, stroke=INK)


def _labels(sheet: Sheet, told: Told, middle: float, width: float) -> None:
    sheet.text(middle, _TOP - 34.0, f"Every leg {told.text('width')}", 16.0, bold=True,
               anchor="middle")  # fmt: skip
    y = _FLOOR - 60.0
    start, end = middle - _OPEN - width, middle - _OPEN
    sheet.line([(start, y), (end, y)], width=1.4)
    for x in (start, end):
        sheet.line([(x, y - 5.0), (x, y + 5.0)], width=1.4)
    sheet.text(middle, y + 5.0, told.text("width"), SMALL, anchor="middle")


def _says(told: Told) -> list[str]:
    lines = [
        f"Casing {told.text('casing')}, spaces {told.text('spaces')}.",
        told.text("where"),
        told.text("noticed"),
    ]
    if told.has("miter_leg"):
        lines.append(
            f"With a head of full width: leg {told.text('miter_leg')}, head "
            f"{told.text('miter_head')}."
        )
    return lines
