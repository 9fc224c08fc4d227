"""An opening's casing in elevation with the rip line: what stays, what goes, what is beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fieldlog.drawings.calc_told import Told, hint, said
from fieldlog.drawings.labels import notes
from fieldlog.drawings.svg import INK, PAD, PAPER, PENCIL, SMALL, WIDTH, Sheet

_TOP, _FLOOR = 60.0, 300.0


@dataclass(frozen=True)
class _Opening:
    """Where its middle is on the sheet, half its width, and how wide a full casing is drawn."""

    middle: float
    open: float
    casing: float


def draw_rip(raw: Mapping[str, Any], wide: float = WIDTH) -> str:
    """Both legs at their new width, the old edge dashed, the wall where it was measured."""
    told, sheet = Told(raw), Sheet(width=wide)
    at = _Opening(wide / 2, 40.0, 84.0) if sheet.narrow else _Opening(wide / 2, 62.0, 92.0)
    scale = at.casing / told.size("casing")
    width, profile = told.size("width") * scale, told.size("profile") * scale
    for side in (-1.0, 1.0):
        _leg(sheet, at, side, width, profile)
    _head(sheet, at, width)
    spaces = told.sizes("spaces")
    for side, space in zip((-1.0, 1.0), (spaces * 2)[:2], strict=True):
        _wall(sheet, at.middle + side * (at.open + min(space * scale, at.middle - at.open - 8.0)))
    sheet.line([(PAD, _FLOOR), (sheet.right, _FLOOR)], width=3.0)
    _labels(sheet, told, at, width)
    key = "Casing widths to scale, the opening not. Dashed: the full casing. Thick: the wall."
    height = notes(sheet, _FLOOR + 20.0, [*map(said, _says(told)), hint(key)])
    return sheet.finish(height + PAD, "Casing with its rip line", _says(told))


def _leg(sheet: Sheet, at: _Opening, side: float, width: float, profile: float) -> None:
    inner = at.middle + side * at.open
    outer, full = inner + side * width, inner + side * at.casing
    sheet.shape(
        [
            (inner, _TOP + at.casing),
            (outer, _TOP + at.casing - width),
            (outer, _FLOOR),
            (inner, _FLOOR),
        ],
        width=2.0,
        fill=PAPER,
    )
    if profile:
        edge = outer - side * profile
        sheet.line([(edge, _TOP + at.casing - width + profile), (edge, _FLOOR)], width=1.2)
    if width < at.casing:
        sheet.line([(full, _TOP), (full, _FLOOR)], width=1.6, stroke=PENCIL, dash="6 4")


def _head(sheet: Sheet, at: _Opening, width: float) -> None:
    """The head, ripped like the legs so that its miters are even."""
    low, high = _TOP + at.casing, _TOP + at.casing - width
    sheet.shape(
        [
            (at.middle - at.open, low),
            (at.middle - at.open - width, high),
            (at.middle + at.open + width, high),
            (at.middle + at.open, low),
        ],
        width=2.0,
        fill=PAPER,
    )


def _wall(sheet: Sheet, x: float) -> None:
    sheet.line([(x, _TOP - 20.0), (x, _FLOOR)], width=4.0, stroke=INK)


def _labels(sheet: Sheet, told: Told, at: _Opening, width: float) -> None:
    sheet.text(at.middle, _TOP - 34.0, f"Every leg {told.text('width')}", 16.0, bold=True,
               anchor="middle")  # fmt: skip
    y = _FLOOR - 60.0
    start, end = at.middle - at.open - width, at.middle - at.open
    sheet.line([(start, y), (end, y)], width=1.4)
    for x in (start, end):
        sheet.line([(x, y - 5.0), (x, y + 5.0)], width=1.4)
    sheet.text((start + end) / 2, y - 8.0, told.text("width"), SMALL, anchor="middle", halo=True)


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
