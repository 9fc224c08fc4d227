"""The demo's 25 photos, drawn when the demo is loaded rather than kept as binaries."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from types import MappingProxyType

from PIL import Image

from fieldlog.demo import scenes_built as built
from fieldlog.demo import scenes_finish as finish
from fieldlog.demo import scenes_wet as wet

SCENES: MappingProxyType[str, Callable[[random.Random], Image.Image]] = MappingProxyType(
    {
        "stair-gap": built.stair_gap,
        "stair-half-bars": built.stair_half_bars,
        "stair-bars": built.stair_bars,
        "slab-hollow": built.slab_hollow,
        "plank-hump": built.plank_hump,
        "cracked-board": built.cracked_board,
        "loose-bracket": built.loose_bracket,
        "guard-opening": built.guard_opening,
        "old-beam": built.old_beam,
        "scratched-door": finish.scratched_door,
        "paint-holiday": finish.paint_holiday,
        "kitchen-plate": finish.kitchen_plate,
        "nook-plate": finish.nook_plate,
        "crooked-outlet": finish.crooked_outlet,
        "open-miter": finish.open_miter,
        "closed-miter": finish.closed_miter,
        "scuffed-wall": finish.scuffed_wall,
        "harbor-window": finish.harbor_window,
        "tub-nick": wet.tub_nick,
        "tile-lippage": wet.tile_lippage,
        "grout-haze": wet.grout_haze,
        "chipped-threshold": wet.chipped_threshold,
        "sink-trap": wet.sink_trap,
        "dented-corner": wet.dented_corner,
        "nail-pop": wet.nail_pop,
    }
)
"""Scene by the name that `seed_data/walks/*.toml` uses."""


def drawn(name: str) -> bytes:
    """The JPEG of one scene, 1200 x 900: the same bytes every time."""
    picture = SCENES[name](random.Random(name))
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=82)
    return file.getvalue()
