"""Drawings of the finish sheets: judged readings drawn, nothing collides, the twin says it too."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import few, fits, words
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.judging import judge
from fieldlog.calc.layers import ToCome
from fieldlog.calc.lengths import NM_PER_INCH
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.drawings import draw
from fieldlog.store.files import load_library

LIBRARY = load_library()
BOOKS = {
    "tile": "tile-ansi", "wall": "home-tolerances", "slab": "slab-moisture",
    "sunken-floor": "irc-2021",
}  # fmt: skip
SAMPLES: dict[str, dict[str, Any]] = {
    "door": {
        "gap_head": ["1/8", "3/16"], "gap_hinge": ["1/8", "1/8", "1/8"],
        "gap_latch": ["1/16", "1/8", "5/16"], "gap_bottom": ["7/8", "1"], "floor_to_come": "3/4",
        "plumb_off": ["1/8", "1/2"], "plumb_over": "84", "swing": "swings shut", "latches": "yes",
    },
    "pocket-door": {
        "leaf_width": "30", "leaf_height": "80", "opening_width": "61 1/2",
        "opening_height": "84 1/4", "plumb_off": ["1/16", "1/4"], "plumb_over": "80",
        "groove_width": ["1/4", "5/16", "1/4"], "groove_depth": ["1/2", "1/2", "5/8"],
    },
    "tile": {
        "tile_length": "24", "tile_width": "12", "under_10ft": ["1/16", "3/16"],
        "lippage": ["1/32", "1/16", "3/32", "0"], "joint": ["1/8", "3/16", "1/16"],
        "tile_size": ["23 15/16", "24", "24 1/16"], "wet": "yes", "offset": "50 %",
        "pan_fall": ["3/4", "3/8", "1"], "pan_run": ["30", "30", "36"],
    },
    "threshold": {"step": ["-1/8", "0", "1/8"], "beveled": "no", "room_there": "Bath"},
    "wall": {
        "plumb_off": ["1/4", "3/4", "1 1/4"], "plumb_over": "72", "bow": ["1/8", "3/4", "0"],
        "bow_over": "48", "corner_off": ["1/4", "1/2"], "corner_over": "24",
        "finish_wanted": "4", "finish_level": "3",
    },
    "slab": {
        "tubes": "yes", "tubes_located": "yes", "closed_for": "50 h", "area": "1200",
        "thickness": "4", "drying": "one side", "hole_depth": ["1 5/8", "1", "1 9/16"],
        "hole_humidity": ["84 %", "79 %", "81 %"], "most_humidity": "80 %", "gain": ["4 g"],
        "dish_area": "0.5", "exposed": ["66 h"], "most_emission": "3 lb", "ph": ["9", "10.5"],
        "most_ph": "10",
    },
    "sunken-floor": {
        "drop": "28", "riser": ["7", "7", "6 1/2", "7 1/2"], "ceiling_low": "108",
        "ceiling_high": "80", "rail_there": "no", "guard_there": "yes", "guard_height": "36",
    },
    "trim": {
        "casing": ["3 1/2", "3 1/2", "2 3/8", "2 3/8"], "reveal": ["3/16"] * 4,
        "miter_gap": ["0", "1/16"], "base_gap": ["0", "0"], "casing_other": ["3 1/2", "3 7/16"],
        "mullion": ["2 1/2", "2 5/8"], "sill_horn": ["3/4", "1"], "apron_off": ["0", "1/8"],
        "base_height": ["5 1/4", "5 1/2"], "scribe_gap": ["1/32", "1/8"],
    },
}  # fmt: skip
IN_WORDS = {
    "door": ("Latch, bottom: 5/16.", "Undercut then: 1/8, fails."),
    "pocket-door": ("Guide groove width, middle: 5/16.",),
    "tile": ("Lippage, tile to tile, 3: 3/32, fails.", "Fall to the drain, in a foot, 2:"),
    "threshold": ("Step, left, today: -1/8.", "Step, left, then: 5/8"),
    "wall": ("Out of plumb, over 6 ft, 3: 1 1/4, fails.", "Bow, over 4 ft, 2: 3/4"),
    "slab": ("Humidity in the holes, covering's limit 80 %, 1: 84 %", "Hole depth"),
    "sunken-floor": ("Drop: 28.", "Riser 4: 7 1/2"),
    "trim": ("Sill past the casing, right: 1.", "Scribe gap, 2: 1/8, fails."),
}


def sample(sheet: str, readings: dict[str, Any] | None = None) -> dict[str, Any]:
    finishes = {
        "here": ToCome("hall", "Hall", NM_PER_INCH // 2, 0),
        "there": ToCome("bath", "Bath", NM_PER_INCH * 5 // 4, 0),
    }
    said = SAMPLES[sheet] if readings is None else readings
    books = [BOOKS.get(sheet, "our-standard")]
    return judge(LIBRARY, sheet, books, said, "exact", finishes=finishes)


@pytest.mark.parametrize("narrow", [False, True], ids=["wide", "narrow"])
@pytest.mark.parametrize("sheet", SAMPLES)
def test_a_sheet_is_drawn_from_its_numbers_with_its_twin(sheet: str, narrow: bool) -> None:
    svg = draw(sample(sheet), narrow)
    fits(svg)
    twin = ElementTree.fromstring(svg)[1].text or ""
    for said in IN_WORDS[sheet]:
        assert said in twin


@pytest.mark.parametrize("sheet", SAMPLES)
def test_nothing_measured_is_nothing_drawn(sheet: str) -> None:
    assert draw(sample(sheet, {})) == ""


def test_a_failing_reading_is_marked_where_it_stands() -> None:
    shown = words(draw(sample("tile")))
    assert "over" in shown[shown.index("3/32") : shown.index("3/32") + 2]


def test_today_and_the_foretold_step_stand_side_by_side() -> None:
    shown = words(draw(sample("threshold")))
    pairs = [shown[n : n + 4] for n, word in enumerate(shown) if word == "left, today"]
    assert pairs == [["left, today", "-1/8", "left, then", "5/8"]]
    assert any("by the room's layers" in word for word in shown)


def test_a_step_that_is_not_known_has_no_shape() -> None:
    said = SAMPLES["threshold"]
    blind = judge(LIBRARY, "threshold", ["our-standard"], said, "exact")
    known, unknown = draw(sample("threshold")), draw(blind)
    assert unknown.count("<path") < known.count("<path")
    assert "Step, left, then: not measured." in unknown


@few
@given(st.sampled_from(sorted(SAMPLES)), st.booleans(), st.data())
def test_texts_do_not_collide_whatever_was_read(
    sheet: str, narrow: bool, data: st.DataObject
) -> None:
    sixteenths = st.integers(0, 40).map(lambda n: f"{n // 16} {n % 16}/16" if n % 16 else n // 16)
    said: dict[str, Any] = {}
    for field in LIBRARY.sheet(sheet).fields:
        given = SAMPLES[sheet].get(field.name)
        if isinstance(given, list) and field.kind == "length":
            said[field.name] = data.draw(st.lists(sixteenths.map(str), max_size=14))
        elif given is not None and data.draw(st.booleans()):
            said[field.name] = given
    try:
        svg = draw(sample(sheet, said), narrow)
    except ReadingsRefused:
        return
    if svg:
        fits(svg)
