"""Every limit of the finish sheets, against the published values.

Each row is written from the published value, not from the book file: at the limit, and just
inside and outside with the exact instrument. Status of a row:
    primary            seen in the issuing body's own text, or a scan of it
    secondary          seen restated on another public page
    from memory        not confirmed
    common practice    a fact of the trade, without a source
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, NamedTuple

import psychrolib
import pytest

from fieldlog.calc.judging import judge
from fieldlog.calc.library import Library
from fieldlog.store.files import load_library


class Row(NamedTuple):
    """A published limit: the rule it is, what is typed at, inside and outside it."""

    rule: str
    sheet: str
    field: str
    at: str
    inside: str
    outside: str
    source: str
    with_it: dict[str, Any]
    passes_at: bool = True
    many: bool = False


def row(rule: str, sheet: str, field: str, texts: str, source: str, /, *, at: bool = True,
        many: bool = False, **with_it: Any) -> Row:  # fmt: skip
    """`texts` are the readings at the limit, inside it and outside it."""
    limit, inside, outside = texts.split(" | ")
    return Row(rule, sheet, field, limit, inside, outside, source, with_it, at, many)


TILE = {"tile_length": "12", "tile_width": "12", "wet": "no", "offset": "0"}
LARGE = TILE | {"tile_length": "24"}
BOND = LARGE | {"offset": "33"}
PAN = TILE | {"wet": "yes", "pan_run": ["48"]}
PAINT = {"work": "paint", "humidity": "50", "air_temperature": "70 F"}
DRY = {"area": "1000", "closed_for": "48 h", "held": "yes", "tubes": "no"}
HOLE = DRY | {"hole_depth": ["2"], "hole_humidity": ["75"], "thickness": "5", "most_humidity": "75"}
DISH = DRY | {"dish_area": "1", "exposed": ["72 h"], "most_emission": "3 lb"}
WOOD = {"board": ["9"], "air_temperature": "70 F", "humidity": "48"}
FIRE = {"fire_label": "yes"}
RISERS = {"riser": ["7", "7", "7", "7"], "drop": "28"}

A108 = "ANSI A108.02 on public pages, secondary"
NFPA = "NFPA 80 4.8.4 and 6.3.1.7 on four public pages, secondary"
ISO = "ISO 8502-4 / ISO 12944-7 practice on four public pages, secondary"
C840 = "ASTM C840-04 22.6 on a public page, secondary"
ADA = "ADA 303 quoted in the US Access Board tolerances report 2011, primary"
EPA = "EPA moisture control guidance 2013 app. C, primary"
MEMORY = "from memory"

ROWS = [
    row("tile.under-10ft-small", "tile", "under_10ft", "1/4 | 15/64 | 17/64", A108, many=True,
        **TILE),
    row("tile.under-10ft-large", "tile", "under_10ft", "1/8 | 7/64 | 9/64", A108, many=True,
        **LARGE),
    row("tile.under-short-small", "tile", "under_short", "1/16 | 3/64 | 5/64", A108, many=True,
        **TILE),
    row("tile.under-short-large", "tile", "under_short", "1/16 | 3/64 | 5/64", A108, many=True,
        **LARGE),
    row("tile.lippage-narrow", "tile", "lippage", "1/32 | 1/64 | 3/64", A108, many=True,
        joint=["1/8"], **TILE),
    row("tile.lippage-narrow", "tile", "lippage", "1/16 | 3/64 | 5/64", A108, many=True,
        joint=["15/64"], warpage="1/32", **TILE),
    row("tile.lippage-wide", "tile", "lippage", "1/16 | 3/64 | 5/64", A108, many=True,
        joint=["1/4"], **TILE),
    row("tile.joint-least", "tile", "joint", "1/16 | 5/64 | 3/64", A108, many=True, **TILE),
    row("tile.joint-for-size", "tile", "joint", "3/16 | 13/64 | 11/64", A108, many=True,
        tile_size=["12", "12 1/16"], **TILE),
    row("tile.joint-rectified", "tile", "joint", "1/8 | 9/64 | 7/64", A108, many=True,
        edges="rectified", **BOND),
    row("tile.joint-rectified", "tile", "joint", "5/32 | 11/64 | 9/64",
        "an expert's answer, secondary", many=True, edges='rectified', warpage='1/32', **BOND),
    row("tile.joint-calibrated", "tile", "joint", "3/16 | 13/64 | 11/64", A108, many=True,
        edges="calibrated", **BOND),
    row("tile.offset-most", "tile", "offset", "33 | 32.9 | 33.1", A108, **LARGE),
    row("tile.pan-slope-least", "tile", "pan_fall", "1 | 1 1/64 | 63/64", MEMORY, many=True,
        **PAN),
    row("tile.pan-slope-most", "tile", "pan_fall", "2 | 1 63/64 | 2 1/64", MEMORY, many=True,
        **PAN),
    row("tile.flood-time", "tile", "flood", "24 h | 25 h | 1439 min", MEMORY, **PAN),
    row("gypsum.level", "wall", "finish_level", "4 | 5 | 3", "GA-214 on a public page, secondary",
        finish_wanted="4"),
    row("gypsum.joint-coats", "wall", "joint_coats", "2 | 3 | 1", C840, finish_wanted="4"),
    row("gypsum.angle-coats", "wall", "angle_coats", "1 | 2 | 0", C840, finish_wanted="4"),
    row("gypsum.fastener-coats", "wall", "fastener_coats", "3 | 4 | 2", C840, finish_wanted="4"),
    row("air.paint-humidity", "air", "humidity", "85 | 84.9 | 85.1", ISO, at=False,
        **PAINT | {"surface_temperature": "80 F"}),
    row("air.paint-surface-least", "air", "surface_temperature", "50 F | 50.1 F | 49.9 F", MEMORY,
        **PAINT),
    row("air.paint-surface-most", "air", "surface_temperature", "90 F | 89.9 F | 90.1 F", MEMORY,
        **PAINT),
    row("air.pour-surface-least", "air", "surface_temperature", "50 F | 50.1 F | 49.9 F", MEMORY,
        **PAINT | {"work": "pour"}),
    row("air.pour-surface-most", "air", "surface_temperature", "90 F | 89.9 F | 90.1 F", MEMORY,
        **PAINT | {"work": "pour"}),
    row("wood.subfloor-strip", "wood", "subfloor", "13 | 12.9 | 13.1", MEMORY, many=True,
        board_width="2 1/4", **WOOD),
    row("wood.subfloor-strip", "wood", "subfloor", "5 | 5.1 | 4.9", MEMORY, many=True,
        board_width="2 63/64", **WOOD),
    row("wood.subfloor-wide", "wood", "subfloor", "11 | 10.9 | 11.1", MEMORY, many=True,
        board_width="3", **WOOD),
    row("wood.boards-read", "wood", "area", "25 | 24 | 26",
        "public page: 40 in 1000 sq ft, secondary", **WOOD | {"board": "9"}),
    row("slab.closed", "slab", "closed_for", "48 h | 49 h | 47 h", MEMORY, **{k: v for k,
        v in DRY.items() if k != "closed_for"}),
    row("slab.hole-depth", "slab", "hole_depth", "2 1/4 | 2 | 2 17/64",
        "40 % of 5 in, public page, secondary; the quarter inch from memory", many=True,
        drying="one side",
        **{k: v for k, v in HOLE.items() if k != "hole_depth"}),
    row("slab.hole-depth", "slab", "hole_depth", "3/4 | 1 | 47/64", "20 % of 5 in, from memory",
        many=True, drying="two sides", **{k: v for k, v in HOLE.items() if k != "hole_depth"}),
    row("slab.humidity", "slab", "hole_humidity", "75 | 74.9 | 75.1", "the covering's own sheet",
        many=True, **{k: v for k, v in HOLE.items() if k != "hole_humidity"}),
    row("slab.waited", "slab", "waited", "24 h | 25 h | 23 h", MEMORY, **HOLE),
    row("slab.exposed-least", "slab", "exposed", "60 h | 61 h | 59 h", EPA, many=True,
        gain=["1 g"], **{k: v for k, v in DISH.items() if k != "exposed"}),
    row("slab.exposed-most", "slab", "exposed", "72 h | 71 h | 73 h", EPA, many=True,
        gain=["1 g"], **{k: v for k, v in DISH.items() if k != "exposed"}),
    row("slab.emission", "slab", "gain", "0.009 lb | 0.0089 lb | 0.0091 lb", MEMORY, many=True,
        **DISH),
    row("wall.plumb", "wall", "plumb_off", "3/8 | 23/64 | 25/64",
        "homebuilder guideline on a public page, secondary", many=True, plumb_over="32"),
    row("wall.bow", "wall", "bow", "1/2 | 31/64 | 33/64", MEMORY, many=True, bow_over="32"),
    row("wall.corner", "wall", "corner_off", "3/8 | 23/64 | 25/64", MEMORY, many=True,
        corner_over="32"),
    row("door.plumb", "door", "plumb_off", "3/8 | 23/64 | 25/64", MEMORY, many=True,
        plumb_over="84"),
    row("trim.joint-gap", "trim", "miter_gap", "1/8 | 7/64 | 9/64", MEMORY, many=True),
    *[row(f"fire.{side}-wood", "door", f"gap_{side}", "1/8 | 7/64 | 9/64", NFPA, many=True,
        leaf="wood", **FIRE) for side in ("head", "hinge", "latch")],
    *[row(f"fire.{side}-steel-most", "door", f"gap_{side}", "3/16 | 11/64 | 13/64", NFPA,
        many=True, leaf="steel", **FIRE) for side in ("head", "hinge", "latch")],
    *[row(f"fire.{side}-steel-least", "door", f"gap_{side}", "1/16 | 5/64 | 3/64", NFPA,
        many=True, leaf="steel", **FIRE) for side in ("head", "hinge", "latch")],
    row("fire.bottom", "door", "gap_bottom", "3/4 | 47/64 | 49/64", NFPA, many=True, **FIRE),
    row("threshold.step", "threshold", "step", "1/4 | 15/64 | 17/64", ADA, many=True,
        here_to_come="0", there_to_come="0", beveled="no"),
    row("threshold.step-beveled", "threshold", "step", "-1/2 | -31/64 | -33/64", ADA, many=True,
        here_to_come="0", there_to_come="0", beveled="yes"),
    row("pocket.width", "pocket-door", "opening_width", "65 | 65 1/64 | 64 63/64", MEMORY,
        double="no", leaf_width="32"),
    row("pocket.width", "pocket-door", "opening_width", "129 | 129 1/64 | 128 63/64",
        "4 W + 1 was seen on a public page", double="yes", leaf_width="32"),
    row("pocket.height-least", "pocket-door", "opening_height", "84 | 84 1/64 | 83 63/64", MEMORY,
        leaf_height="80"),
    row("pocket.height-most", "pocket-door", "opening_height", "84 1/2 | 84 31/64 | 84 33/64",
        MEMORY, leaf_height="80"),
    row("sunken.riser", "sunken-floor", "riser", "7 3/4 | 7 47/64 | 7 49/64",
        "IRC R311.7.5.1, county page on 2018 IRC stairs", many=True),
    row("sunken.ceiling-low", "sunken-floor", "ceiling_low", "84 | 84 1/64 | 83 63/64", MEMORY),
    row("sunken.guard-height", "sunken-floor", "guard_height", "36 | 36 1/64 | 35 63/64",
        "IRC R312.1.2, county page on 2018 IRC guards", drop="30 1/64"),
]  # fmt: skip
FINISH_BOOKS = [
    "tile-ansi", "gypsum-finish", "paint-conditions", "wood-floors", "slab-moisture",
    "home-tolerances", "fire-door-gaps", "our-standard", "irc-2018",
]  # fmt: skip


@pytest.fixture(scope="module")
def library() -> Library:
    return load_library()


def verdict(library: Library, r: Row, typed: str) -> str:
    reading: Any = [typed] if r.many else typed
    out = judge(library, r.sheet, FINISH_BOOKS, {**r.with_it, r.field: reading}, "exact")
    found = {x["verdict"] for x in out["rules"] if x["rule"] == r.rule}
    assert len(found) == 1, (r.rule, found)
    return str(found.pop())


@pytest.mark.parametrize("r", ROWS, ids=[f"{r.rule}-{r.at}" for r in ROWS])
def test_at_inside_and_outside_the_published_limit(library: Library, r: Row) -> None:
    assert verdict(library, r, r.at) == ("pass" if r.passes_at else "fail")
    assert verdict(library, r, r.inside) == "pass"
    assert verdict(library, r, r.outside) == "fail"


@pytest.mark.parametrize(
    ("celsius", "humidity"), [(20, 50), (16, 71), (10, 80), (5, 90), (21, 40), (-5, 70)]
)
def test_five_degrees_over_the_dew_point_of_psychrolib(
    library: Library, celsius: int, humidity: int
) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    dew = Decimal(str(round(psychrolib.GetTDewPointFromRelHum(celsius, humidity / 100), 3)))
    limit = dew + Decimal(25) / 9  # 5 F
    for off, side in (("-0.01", "fail"), ("0.01", "pass")):
        surface = f"{round(limit + Decimal(off), 4)} C"
        readings = {"air_temperature": f"{celsius} C", "humidity": str(humidity),
                    "surface_temperature": surface, "work": "paint"}  # fmt: skip
        out = judge(library, "air", ["paint-conditions"], readings, "exact")
        assert next(r["verdict"] for r in out["rules"] if r["rule"] == "air.paint-dew") == side


def test_a_published_paint_day(library: Library) -> None:
    # Application guide (secondary): dry 21 C, wet 17 C (67.4 %), surface 19 C: dew point about
    # 15 C, margin 4 C, may be painted.
    readings = {"air_temperature": "21 C", "humidity": "67.4", "surface_temperature": "19 C",
                "work": "paint"}  # fmt: skip
    out = judge(library, "air", ["paint-conditions"], readings, "exact", "metric")
    assert out["verdict"] == "pass"
    dew = out["quantities"]["dew_point"]["values"][0]["value"]
    numerator, _, denominator = dew.partition("/")
    found = Decimal(numerator) / Decimal(denominator or 1)
    assert abs(found - Decimal("14.73")) < Decimal("0.02")  # 67.4 % is itself rounded


@pytest.mark.parametrize(
    ("drop", "risers"), [("24", "4"), ("30", "4"), ("23 1/4", "3"), ("31", "4"), ("31 1/16", "5")]
)
def test_a_floor_sunken_24_to_30_in_has_four_risers(
    library: Library, drop: str, risers: str
) -> None:
    out = judge(library, "sunken-floor", ["irc-2018"], {"drop": drop}, "exact")
    assert out["quantities"]["risers_needed"]["values"][0]["text"] == risers


@pytest.mark.parametrize(("drop", "applies"), [("30", False), ("30 1/64", True), ("24", False)])
def test_a_guard_only_above_30_in_and_a_rail_at_four_risers(
    library: Library, drop: str, applies: bool
) -> None:
    said = {"drop": drop, "guard_there": "no", "rail_there": "no", "riser": ["6"] * 4}
    out = judge(library, "sunken-floor", ["irc-2018"], said, "exact")
    by_rule = {r["rule"]: r["verdict"] for r in out["rules"]}
    assert by_rule["sunken.guard"] == ("fail" if applies else "does_not_apply")
    assert by_rule["sunken.handrail"] == "fail"
    three = judge(library, "sunken-floor", ["irc-2018"], said | {"riser": ["6"] * 3}, "exact")
    assert {r["rule"]: r["verdict"] for r in three["rules"]}["sunken.handrail"] == "does_not_apply"


@pytest.mark.parametrize(
    ("area", "tests"), [("500", "3"), ("1000", "3"), ("1001", "4"), ("2000", "4"), ("2001", "5")]
)
def test_three_tests_in_the_first_thousand_feet_and_one_a_thousand_more(
    library: Library, area: str, tests: str
) -> None:
    # ASTM F2170, from memory.
    out = judge(library, "slab", ["slab-moisture"], DRY | {"area": area}, "exact")
    assert out["quantities"]["tests_wanted"]["values"][0]["text"] == tests


def test_a_door_without_a_label_has_no_fire_gaps(library: Library) -> None:
    said = {"fire_label": "no", "gap_head": ["1/2"], "gap_bottom": ["2"], "latches": "no"}
    out = judge(library, "door", ["fire-door-gaps"], said, "exact")
    assert {r["verdict"] for r in out["rules"]} == {"does_not_apply"}
