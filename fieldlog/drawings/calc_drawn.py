"""Which drawing a calculation of trim, arches and tile asks for, by the name in its answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fieldlog.drawings.calc_arch import draw_arch, draw_built
from fieldlog.drawings.calc_casing import draw_rip
from fieldlog.drawings.calc_crown import draw_crown
from fieldlog.drawings.calc_cut_list import draw_cut_list
from fieldlog.drawings.calc_tiles import draw_tiles

TRIM: dict[str, Callable[[Mapping[str, Any], float], str]] = {
    "arch": draw_arch,
    "arch-built": draw_built,
    "tile-fan": draw_tiles,
    "cut-list": draw_cut_list,
    "casing-rip": draw_rip,
    "crown-saw": draw_crown,
}
