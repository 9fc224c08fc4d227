"""Drawings in SVG from a judgement. Pure: imports `calc` only; page and report use the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fieldlog.drawings.arch import draw_arch
from fieldlog.drawings.casing import draw_casing
from fieldlog.drawings.door import draw_door
from fieldlog.drawings.floor_map import draw_map
from fieldlog.drawings.guard import draw_guard
from fieldlog.drawings.handrail import draw_handrail
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.pocket_door import draw_pocket_door
from fieldlog.drawings.slab import draw_slab
from fieldlog.drawings.stair import draw_stair
from fieldlog.drawings.sunken import draw_sunken
from fieldlog.drawings.svg import LETTER, NARROW, WIDTH
from fieldlog.drawings.threshold import draw_threshold
from fieldlog.drawings.tile import draw_tile
from fieldlog.drawings.trend import draw_air, draw_wood
from fieldlog.drawings.wall import draw_wall

_DRAW: dict[str, Callable[[Judged, float], str]] = {
    "casing": draw_casing,
    "guard": draw_guard,
    "handrail": draw_handrail,
    "stair-section": draw_stair,
    "floor-grid": draw_map,
    "air-history": draw_air,
    "arch": draw_arch,
    "wood-trend": draw_wood,
    "door": draw_door,
    "pocket-door": draw_pocket_door,
    "slab": draw_slab,
    "sunken-floor": draw_sunken,
    "threshold": draw_threshold,
    "tile": draw_tile,
    "wall": draw_wall,
}


def draw(judgement: Mapping[str, Any], narrow: bool = False) -> str:
    """The judgement's drawing as an SVG element, "" where its sheet has none.

    The drawing is by presentation attributes only, has a text twin in `<title>` and `<desc>`,
    no size of its own (give it a width: about 500 px, or 350 px where `narrow`), and is the
    same for the same judgement.
    """
    paint = _DRAW.get(judgement["sheet"]["drawing"])
    return paint(Judged(judgement), NARROW if narrow else WIDTH) if paint else ""


def draw_for_paper(judgement: Mapping[str, Any], rail: Mapping[str, Any] | None = None) -> str:
    """The drawing for a page of paper, "" where there is none.

    A stair is drawn across the whole page, with the line of its handrail where `rail`, the
    judgement of the handrail's check, is given.
    """
    if judgement["sheet"]["drawing"] != "stair-section":
        return draw(judgement)
    return draw_stair(Judged(judgement), LETTER, Judged(rail) if rail else None)
