"""Tiles around or under an arch: the fan they make, and the joints that widen outward."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin
from typing import Any

from fieldlog.drawings.calc_told import Told, hint, said
from fieldlog.drawings.labels import notes
from fieldlog.drawings.svg import PAD, PAPER, PENCIL, WIDTH, Point, Sheet

_TOP, _SIDES, _HIGH, _DRAWN = 16.0, 40.0, 300.0, 24


def draw_tiles(raw: Mapping[str, Any], width: float = WIDTH) -> str:
    """Every tile to scale (the middle ones of very many), the arch's own curve under them."""
    told, sheet = Told(raw), Sheet(width=width)
    count, turn = round(told.size("count")), radians(told.size("turn"))
    inner = told.size("radius_inner")
    outer = inner + told.input_size("depth")
    drawn = min(count, _DRAWN)
    half = turn * drawn / 2
    wide = 2 * outer * (1.0 if half > 1.57 else sin(half)) + told.input_size("width")
    high = outer - inner * cos(min(half, 1.6))
    scale = min((width - _SIDES) / wide, _HIGH / high)
    center = (width / 2, _TOP + outer * scale)

    def place(turned: float, along: float, out: float) -> Point:
        x = along * cos(turned) + out * sin(turned)
        y = out * cos(turned) - along * sin(turned)
        return center[0] + x * scale, center[1] - y * scale

    edge = told.input_size("width") / 2
    for n in range(drawn):
        turned = (n - (drawn - 1) / 2) * turn
        corners = ((-edge, inner), (edge, inner), (edge, outer), (-edge, outer))
        sheet.shape([place(turned, *one) for one in corners], width=1.0, fill=PAPER)
    steps = [half * (n / 30 - 1) for n in range(61)]
    sheet.line([place(t, 0.0, inner) for t in steps], width=1.0, stroke=PENCIL, dash="4 3")
    base = _TOP + max(high, outer - inner) * scale
    height = notes(sheet, base + 20.0, [*map(said, _says(told)), hint(_key(drawn, count))])
    return sheet.finish(height + PAD, "Tiles on the arch", _says(told))


def _key(drawn: int, count: int) -> str:
    if drawn == count:
        return "To scale. The dashed line is the tiles' inner edge."
    return f"The middle {drawn} of {count} tiles, to scale."


def _says(told: Told) -> list[str]:
    lines = [
        f"{told.text('count')} tiles, {told.input_text('width')} wide, turn {told.text('turn')} "
        "each.",
        f"Joint {told.text('joint_inner')} at the inner edge, {told.text('joint_outer')} at the "
        f"outer. {told.text('crown')}",
    ]
    if told.has("pocket_says"):
        lines.append(told.text("pocket_says"))
    return lines
