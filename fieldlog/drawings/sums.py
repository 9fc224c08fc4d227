"""Drawings of what a calculation gave, by the name that its answer carries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fieldlog.drawings.calc_drawn import TRIM
from fieldlog.drawings.svg import NARROW, WIDTH

SUMS: dict[str, Callable[[Mapping[str, Any], float], str]] = {**TRIM}
"""From the whole answer (`calc/calculations/running.py`) and a sheet's width to an SVG element."""


def draw_sum(told: Mapping[str, Any], narrow: bool = False) -> str:
    """The answer's drawing, "" where there is none of that name; `narrow` for a phone.

    As everywhere: presentation attributes only, a text twin in `<title>` and `<desc>`.
    """
    paint = SUMS.get(str(told.get("drawing", "")))
    return paint(told, NARROW if narrow else WIDTH) if paint else ""
