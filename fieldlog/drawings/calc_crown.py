"""Crown: how it stands on the wall, the miter seen from above, the bevel seen along the fence."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin, tan
from typing import Any

from fieldlog.drawings.calc_told import Told, hint, said
from fieldlog.drawings.labels import notes
from fieldlog.drawings.svg import PAD, PAPER, PENCIL, SMALL, WIDTH, Sheet

_TOP, _LOW, _VIEW = 40.0, 190.0, 236.0


def draw_crown(raw: Mapping[str, Any], width: float = WIDTH) -> str:
    """Three small views, beside each other or one under the other, angles to scale."""
    told, sheet = Told(raw), Sheet(width=width)
    third = (width - 2 * PAD) / 3
    across = [width / 2] * 3 if sheet.narrow else [PAD + third * (n + 0.5) for n in range(3)]
    downs = [_VIEW * n if sheet.narrow else 0.0 for n in range(3)]
    names = (
        ("On the wall", f"spring {told.text('spring')}"),
        ("From above", f"miter {told.text('miter')}"),
        ("Along the fence", f"bevel {told.text('bevel')}"),
    )
    for middle, down, (name, value) in zip(across, downs, names, strict=True):
        sheet.text(middle, down + 20.0, name, SMALL, anchor="middle", fill=PENCIL)
        sheet.text(middle, down + _LOW + 24.0, value, 15.0, anchor="middle", bold=True)
    _on_the_wall(sheet, across[0], downs[0], radians(told.size("spring")))
    _from_above(sheet, across[1], downs[1], radians(told.size("miter")))
    _along_the_fence(sheet, across[2], downs[2], radians(told.size("bevel")))
    key = "Angles to scale. Dashed: a square cut. The crown lies flat, its face up."
    height = notes(sheet, downs[2] + _LOW + 44.0, [said(_says(told)), hint(key)])
    return sheet.finish(height + PAD, "Crown on the saw", [_says(told)])


def _on_the_wall(sheet: Sheet, middle: float, down: float, spring: float) -> None:
    """Wall at the left, ceiling on top, the crown leaning away from the wall."""
    x, y, size = middle - 50.0, down + _TOP + 10.0, 110.0
    sheet.line([(x, down + _LOW), (x, y), (middle + 66.0, y)], width=3.0)
    foot, top = (x, y + size * cos(spring)), (x + size * sin(spring), y)
    out = (8.0 * cos(spring), 8.0 * sin(spring))
    sheet.shape(
        [foot, top, (top[0] + out[0], top[1] + out[1]), (foot[0] + out[0], foot[1] + out[1])],
        width=1.6,
        fill=PAPER,
    )


def _from_above(sheet: Sheet, middle: float, down: float, miter: float) -> None:
    """Fence on top, the board against it, the cut across it."""
    top, low = down + 78.0, down + 140.0
    half = min((low - top) / 2 * tan(miter), 64.0)
    sheet.line([(middle - 76.0, top - 6.0), (middle + 76.0, top - 6.0)], width=5.0, stroke=PENCIL)
    ends = ((middle - 74.0, top), (middle + half, top), (middle - half, low), (middle - 74.0, low))
    sheet.shape(ends, width=1.6, fill=PAPER)
    sheet.line([(middle, top), (middle, low + 22.0)], width=1.2, stroke=PENCIL, dash="4 3")


def _along_the_fence(sheet: Sheet, middle: float, down: float, bevel: float) -> None:
    """Table below, the board lying on it, the blade leaning."""
    table, thick, reach = down + 150.0, 20.0, 92.0
    lean = thick * tan(bevel)
    sheet.line([(middle - 76.0, table + 3.0), (middle + 76.0, table + 3.0)], width=5.0,
               stroke=PENCIL)  # fmt: skip
    corners = [(middle - 74.0, table), (middle, table)]
    corners += [(middle + lean, table - thick), (middle - 74.0, table - thick)]
    sheet.shape(corners, width=1.6, fill=PAPER)
    tip = (middle + reach * sin(bevel), table - reach * cos(bevel))
    sheet.line([(middle, table), tip], width=2.6)
    sheet.line([(middle, table), (middle, table - reach)], width=1.2, stroke=PENCIL, dash="4 3")


def _says(told: Told) -> str:
    return (
        f"Corner {told.text('corner')}, spring {told.text('spring')} from the wall: set the miter "
        f"to {told.text('miter')} and the bevel to {told.text('bevel')}."
    )
