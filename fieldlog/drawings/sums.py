"""Drawings of what a calculation gave, by the name that its answer carries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fieldlog.drawings.calc_drawn import TRIM

SUMS: dict[str, Callable[[Mapping[str, Any]], str]] = {**TRIM}
"""A drawing takes the whole answer (`calc/calculations/running.py`) and gives an SVG element."""


def draw_sum(told: Mapping[str, Any]) -> str:
    """The answer's drawing, "" where there is none of that name.

    As everywhere: presentation attributes only, a text twin in `<title>` and `<desc>`.
    """
    paint = SUMS.get(str(told.get("drawing", "")))
    return paint(told) if paint else ""
