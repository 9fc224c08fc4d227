"""Every book's limits on stairs, guards, rails and temporary stairs, against published values.

Each row is written from the published value, not from the book file: at the limit, one step
inside and one outside (1/64 in, 0.5 mm, 0.1 deg, 0.1 %), with the exact instrument. The source
of a row stands beside its group; "memory" marks a value whose text was not seen.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, NamedTuple

import pytest

from fieldlog.calc.judging import judge
from fieldlog.store.files import load_library

LIBRARY = load_library()
STEPS = {
    "in": Fraction(1, 64), "mm": Fraction(1, 2), "deg": Fraction(1, 10), "%": Fraction(1, 10),
}  # fmt: skip


class Row(NamedTuple):
    book: str
    rule: str
    field: str
    compare: str
    limit: str
    with_it: dict[str, Any]
    memory: bool


def row(
    book: str, rule: str, field: str, compare: str, limit: str, memory: bool = False, **with_it: Any
) -> Row:  # fmt: skip
    return Row(book, rule, field, compare, limit, with_it, memory)


HIGH = {"drop": "60 in"}
SPIRAL = {"spiral": "yes"}
IRC = "irc-2018"
ADK, ADA, OSHA = "adk-2013", "ada-2010", "osha-1926-temporary"

# IRC 2018 R311.7 and R312.1: county pages, city tip sheet, public pages; "memory" as marked
IRC_ROWS = [
    row(IRC, "stair.riser-height", "riser", "<=", "7 3/4 in"),
    row(IRC, "stair.riser-height-other-end", "riser_other_end", "<=", "7 3/4 in"),
    row(IRC, "stair.riser-slope", "riser_slope", "<=", "30 deg"),
    row(IRC, "stair.tread-depth", "tread", ">=", "10 in"),
    row(IRC, "stair.winder-walkline", "winder_walkline", ">=", "10 in"),
    row(IRC, "stair.winder-least", "winder_least", ">=", "6 in"),
    row(IRC, "stair.nosing-least", "nosing", ">=", "3/4 in", open_riser="no"),
    row(IRC, "stair.nosing-most", "nosing", "<=", "1 1/4 in", open_riser="no"),
    row(IRC, "stair.nosing-radius", "nosing_radius", "<=", "9/16 in", memory=True),
    row(IRC, "stair.nosing-bevel", "nosing_bevel", "<=", "1/2 in", memory=True),
    row(IRC, "stair.headroom", "headroom", ">=", "80 in"),
    row(IRC, "stair.floor-edge", "floor_edge_over", "<=", "4 3/4 in", memory=True),
    row(IRC, "stair.flight-rise", "total_rise", "<=", "151 in", memory=True),
    row(IRC, "stair.width-above-rail", "width_above_rail", ">=", "36 in"),
    row(IRC, "stair.width-at-rail", "width_at_rail", ">=", "31 1/2 in"),
    row(IRC, "stair.width-between-rails", "width_at_rail", ">=", "27 in", rail_both_sides="yes"),
    row(IRC, "stair.landing-depth", "landing_depth", ">=", "36 in"),
    row(IRC, "stair.tread-slope", "tread_slope", "<=", "1:48", memory=True),
    row(IRC, "stair.landing-slope", "landing_slope", "<=", "1:48", memory=True),
    row(IRC, "stair.spiral-riser", "riser", "<=", "9 1/2 in", memory=True, **SPIRAL),
    row(IRC, "stair.spiral-tread", "winder_walkline", ">=", "6 3/4 in", memory=True, **SPIRAL),
    row(IRC, "stair.spiral-headroom", "headroom", ">=", "78 in", memory=True, **SPIRAL),
    row(IRC, "stair.spiral-width", "width_at_rail", ">=", "26 in", memory=True, **SPIRAL),
    row(IRC, "guard.height-level", "height_level", ">=", "36 in", **HIGH),
    row(IRC, "guard.height-stair", "height_stair", ">=", "34 in", **HIGH),
    row(IRC, "guard.opening-level", "opening_level", "<", "4 in", **HIGH),
    row(IRC, "guard.under-rail", "under_rail", "<", "4 in", **HIGH),
    row(IRC, "guard.cable-gap", "cable_gap", "<", "4 in", push="50 lb", **HIGH),
    row(IRC, "guard.opening-stair", "opening_stair", "<", "4 3/8 in", **HIGH),
    row(IRC, "guard.triangle", "triangle", "<", "6 in", **HIGH),
    row(IRC, "handrail.height-least", "height", ">=", "34 in"),
    row(IRC, "handrail.height-most", "height", "<=", "38 in"),
    row(IRC, "handrail.projection", "projection", "<=", "4 1/2 in"),
    row(IRC, "handrail.clearance", "clearance", ">=", "1 1/2 in"),
    row(IRC, "handrail.grip-least", "grip_diameter", ">=", "1 1/4 in"),
    row(IRC, "handrail.grip-most", "grip_diameter", "<=", "2 in", grip="round"),
    row(IRC, "handrail.perimeter-least", "grip_perimeter", ">=", "4 in", grip="not round"),
    row(IRC, "handrail.perimeter-most", "grip_perimeter", "<=", "6 1/4 in", grip="not round"),
    row(IRC, "handrail.section-most", "grip_section", "<=", "2 1/4 in", grip="not round"),
    row(IRC, "handrail.type-2-perimeter", "grip_perimeter", ">", "6 1/4 in", grip="type II"),
    row(IRC, "handrail.recess-start", "recess_start", "<=", "3/4 in", grip="type II"),
    row(IRC, "handrail.recess-depth", "recess_depth", ">=", "5/16 in", grip="type II"),
    row(IRC, "handrail.recess-deep-at", "recess_deep_at", "<=", "7/8 in", grip="type II"),
    row(IRC, "handrail.recess-goes-on", "recess_goes_on", ">=", "3/8 in", grip="type II"),
    row(IRC, "handrail.recess-end", "recess_end", ">=", "1 3/4 in", memory=True, grip="type II"),
    row(IRC, "handrail.recess-width-least", "width_above_recess", ">=", "1 1/4 in", memory=True,
        grip="type II"),
    row(IRC, "handrail.recess-width-most", "width_above_recess", "<=", "2 3/4 in", memory=True,
        grip="type II"),
]  # fmt: skip

# England, Approved Document K 2013: page scan of Table 1.1, Diagrams 1.8, 1.10, 3.1, paragraphs
ADK_ROWS = [
    row(ADK, "stair.riser-least", "riser", ">=", "150 mm"),
    row(ADK, "stair.riser-height", "riser", "<=", "220 mm"),
    row(ADK, "stair.riser-utility", "riser", "<=", "190 mm", use="utility"),
    row(ADK, "stair.riser-general", "riser", "<=", "170 mm", use="general access"),
    row(ADK, "stair.riser-alternating", "riser", "<=", "220 mm", use="alternating tread"),
    row(ADK, "stair.tread-depth", "tread", ">=", "220 mm"),
    row(ADK, "stair.tread-most", "tread", "<=", "300 mm"),
    row(ADK, "stair.tread-public", "tread", ">=", "250 mm", use="utility"),
    row(ADK, "stair.tread-public-most", "tread", "<=", "400 mm", use="general access"),
    row(ADK, "stair.tread-alternating", "tread", ">=", "220 mm", use="alternating tread"),
    row(ADK, "stair.headroom", "headroom", ">=", "2000 mm"),
    row(ADK, "stair.headroom-loft", "headroom", ">=", "1900 mm", use="loft"),
    row(ADK, "stair.headroom-loft-side", "headroom_at_side", ">=", "1800 mm", use="loft"),
    row(ADK, "stair.door-clear", "door_clear", ">=", "400 mm"),
    row(ADK, "guard.height-level", "height_level", ">=", "900 mm", drop="700 mm"),
    row(ADK, "guard.height-outside", "height_level", ">=", "1100 mm", drop="700 mm", outside="yes"),
    row(ADK, "guard.height-stair", "height_stair", ">=", "900 mm", drop="700 mm"),
    row(ADK, "guard.opening-level", "opening_level", "<", "100 mm", drop="700 mm"),
    row(ADK, "guard.opening-stair", "opening_stair", "<", "100 mm", drop="700 mm"),
    row(ADK, "handrail.height-least", "height", ">=", "900 mm"),
    row(ADK, "handrail.height-most", "height", "<=", "1000 mm"),
]

# US Access Board, 2010 ADA Standards 504 and 505, the issuing body's own text
ADA_ROWS = [
    row(ADA, "stair.riser-least", "riser", ">=", "4 in"),
    row(ADA, "stair.riser-height", "riser", "<=", "7 in"),
    row(ADA, "stair.tread-depth", "tread", ">=", "11 in"),
    row(ADA, "stair.tread-slope", "tread_slope", "<=", "1:48"),
    row(ADA, "stair.nosing-radius", "nosing_radius", "<=", "1/2 in"),
    row(ADA, "stair.nosing-most", "nosing", "<=", "1 1/2 in"),
    row(ADA, "stair.riser-slope", "riser_slope", "<=", "30 deg"),
    row(ADA, "handrail.height-least", "height", ">=", "34 in"),
    row(ADA, "handrail.height-most", "height", "<=", "38 in"),
    row(ADA, "handrail.clearance", "clearance", ">=", "1 1/2 in"),
    row(ADA, "handrail.underside", "underside_blocked", "<=", "20 %"),
    row(ADA, "handrail.bracket-drop", "bracket_drop", ">=", "1 1/2 in"),
    row(ADA, "handrail.grip-least", "grip_diameter", ">=", "1 1/4 in"),
    row(ADA, "handrail.grip-most", "grip_diameter", "<=", "2 in"),
    row(ADA, "handrail.perimeter-least", "grip_perimeter", ">=", "4 in", grip="not round"),
    row(ADA, "handrail.perimeter-most", "grip_perimeter", "<=", "6 1/4 in", grip="not round"),
    row(ADA, "handrail.section-most", "grip_section", "<=", "2 1/4 in", grip="not round"),
    row(ADA, "handrail.top-extension", "top_extension", ">=", "12 in"),
    row(ADA, "handrail.bottom-extension", "bottom_extension", ">=", "11 in", tread_depth="11 in"),
]

# 29 CFR 1926.1051, .1052, .501, .502: public pages and an agency letter; "memory" as marked
OSHA_ROWS = [
    row(OSHA, "temporary.landing-width", "landing_width", ">=", "22 in"),
    row(OSHA, "temporary.landing-depth", "landing_depth", ">=", "30 in"),
    row(OSHA, "temporary.landing-rise", "landing_rise", "<=", "144 in"),
    row(OSHA, "temporary.angle-least", "stair_angle", ">=", "30 deg"),
    row(OSHA, "temporary.angle-most", "stair_angle", "<=", "50 deg"),
    row(OSHA, "temporary.door-clear", "door_clear", ">=", "20 in"),
    row(OSHA, "temporary.stairrail-height", "stairrail_height", ">=", "36 in"),
    row(OSHA, "temporary.stair-opening", "stair_opening", "<=", "19 in", memory=True),
    row(OSHA, "temporary.handrail-least", "handrail_height", ">=", "30 in", memory=True),
    row(OSHA, "temporary.handrail-most", "handrail_height", "<=", "37 in", memory=True),
    row(OSHA, "temporary.one-rail-least", "handrail_height", ">=", "36 in", memory=True,
        one_rail="yes"),
    row(OSHA, "temporary.finger-clearance", "finger_clearance", ">=", "3 in", memory=True),
    row(OSHA, "temporary.toprail-least", "toprail_height", ">=", "39 in"),
    row(OSHA, "temporary.toprail-most", "toprail_height", "<=", "45 in"),
    row(OSHA, "temporary.guard-opening", "guard_opening", "<=", "19 in", memory=True),
    row(OSHA, "temporary.toeboard-height", "toeboard_height", ">=", "3 1/2 in", memory=True),
]  # fmt: skip

ROWS = [*IRC_ROWS, *ADK_ROWS, *ADA_ROWS, *OSHA_ROWS]


def sheet_of(rule: str) -> str:
    return rule.partition(".")[0]


def the_rule(r: Row, reading: str) -> dict[str, Any]:
    sheet = LIBRARY.sheet(sheet_of(r.rule))
    asked = sheet.field(r.field)
    assert asked is not None
    value: Any = [reading] if asked.many else reading
    out = judge(LIBRARY, sheet.id, [r.book], {**r.with_it, r.field: value}, "exact")
    (found,) = [one for one in out["rules"] if one["rule"] == r.rule]
    return found


def apart(limit: str, by: int) -> str:
    """The limit's text moved by so many steps; a slope of 1:48 by that many thousandths."""
    if ":" in limit:
        return f"1:{48 - by}"
    number, unit = limit.rsplit(" ", 1)
    value = sum((Fraction(part) for part in number.split()), Fraction(0)) + by * STEPS[unit]
    if unit != "in":
        return f"{float(value):g} {unit}"
    whole, rest = divmod(value, 1)
    return f"{whole} {rest} in" if rest and whole else f"{rest or whole} in"


@pytest.mark.parametrize("r", ROWS, ids=[f"{r.book}-{r.rule}" for r in ROWS])
def test_at_inside_and_outside_the_published_limit(r: Row) -> None:
    inward = -1 if r.compare.startswith("<") else 1
    at = the_rule(r, r.limit)
    assert at["verdict"] == ("pass" if r.compare.endswith("=") else "fail")
    assert at["compare"] == r.compare
    assert the_rule(r, apart(r.limit, inward))["verdict"] == "pass"
    assert the_rule(r, apart(r.limit, -inward))["verdict"] == "fail"
    assert (at["source"]["verified"] == "memory") == r.memory


def test_every_limit_of_the_editions_stands_under_one_id() -> None:
    ids = [{rule.id for rule in LIBRARY.books[f"irc-{y}"].rules} for y in (2018, 2021, 2024)]
    assert ids[0] == ids[1] == ids[2]
    assert {rule.id for rule in LIBRARY.books["irc-2012"].rules} < ids[0]


def test_what_was_not_seen_of_an_edition_is_from_memory() -> None:
    assert {rule.verified for rule in LIBRARY.books["irc-2024"].rules} == {"memory"}
    seen = {rule.id for rule in LIBRARY.books["irc-2018"].rules if rule.verified != "memory"}
    later = {rule.id for rule in LIBRARY.books["irc-2021"].rules if rule.verified != "memory"}
    assert later < seen


@pytest.mark.parametrize(
    ("rise", "going", "verdict"),
    [
        ("220 mm", "220 mm", "fail"),  # 45 degrees: each within Table 1.1
        ("220 mm", "244 mm", "fail"),  # reference: going of at least 244.3 at a rise of 220
        ("220 mm", "244.5 mm", "pass"),
        ("198 mm", "220 mm", "pass"),  # reference: rise of at most 198.1 at a going of 220
        ("198.5 mm", "220 mm", "fail"),
    ],
)
def test_pitch_is_a_limit_of_its_own(rise: str, going: str, verdict: str) -> None:
    """Approved Document K 2013 Table 1.1 note 1: 42 degrees."""
    readings = {"riser": [rise] * 12, "tread": [going] * 11}
    out = judge(LIBRARY, "stair", [ADK], readings, "exact", system="metric")
    by_rule = {r["rule"]: r for r in out["rules"]}
    assert by_rule["stair.pitch"]["verdict"] == verdict
    assert by_rule["stair.pitch"]["limit"] == {
        "text": "42 deg", "nm": None, "value": "42000000", "unit": "microdegree",
    }  # fmt: skip
    assert by_rule["stair.riser-height"]["verdict"] == "pass"
    assert by_rule["stair.tread-depth"]["verdict"] == "pass"


@pytest.mark.parametrize(
    ("rise", "going", "least", "most"),
    [
        (150, 250, "pass", "pass"),  # 550: Table 1.1's note, 550 to 700
        (150, 249.5, "fail", "pass"),
        (210, 280, "pass", "pass"),  # 700
        (210, 280.5, "pass", "fail"),
    ],
)
def test_two_risers_and_a_going(rise: float, going: float, least: str, most: str) -> None:
    readings = {"riser": [f"{rise} mm"] * 3, "tread": [f"{going} mm"] * 2}
    out = judge(LIBRARY, "stair", [ADK], readings, "exact", system="metric")
    by_rule = {r["rule"]: r["verdict"] for r in out["rules"]}
    assert by_rule["stair.two-r-plus-g-least"] == least
    assert by_rule["stair.two-r-plus-g-most"] == most


@pytest.mark.parametrize(
    ("book", "risers", "verdicts"),
    [
        # total rise of 30 in: 2012 exempts the stair; later each opening up to 30 in is exempt
        ("irc-2012", ["7 1/2"] * 4, ["does_not_apply"] * 4),
        ("irc-2018", ["7 1/2"] * 4, ["does_not_apply"] * 4),
        # one riser more: in 2012 every opening counts, later only those above 30 in
        ("irc-2012", ["7 1/2"] * 5, ["fail"] * 5),
        ("irc-2018", ["7 1/2"] * 5, ["does_not_apply"] * 4 + ["fail"]),
        ("irc-2024", ["7 1/2"] * 5, ["does_not_apply"] * 4 + ["fail"]),
    ],
)
def test_open_risers_are_exempt_by_edition(
    book: str, risers: list[str], verdicts: list[str]
) -> None:
    readings = {"open_riser": "yes", "riser": risers, "tread_thickness": "3"}
    out = judge(LIBRARY, "stair", [book], readings, "exact")
    assert [r["verdict"] for r in out["rules"] if r["rule"] == "stair.open-gap"] == verdicts


@pytest.mark.parametrize(
    ("field", "change", "rule", "verdict"),
    [
        ("way_there", {"break_height": "19 in"}, "temporary.way", "fail"),  # 1926.1051(a)
        ("way_there", {"break_height": "18 63/64"}, "temporary.way", "does_not_apply"),
        ("handrail_there", {"risers": "4"}, "temporary.handrail", "fail"),  # 1926.1052(c)(1)
        ("handrail_there", {"risers": "3", "break_height": "30"}, "temporary.handrail",
         "does_not_apply"),
        ("handrail_there", {"risers": "3", "break_height": "30 1/64"}, "temporary.handrail",
         "fail"),
        ("toprail_there", {"drop": "6 ft"}, "temporary.guardrail", "fail"),  # 1926.501(b)(1)
        ("toprail_there", {"drop": "71 63/64"}, "temporary.guardrail", "does_not_apply"),
        ("landing_guarded", {}, "temporary.landing-guarded", "fail"),  # 1926.1052(c)(12)
        ("toeboard_there", {"people_below": "yes"}, "temporary.toeboard", "fail"),  # memory
    ],
)  # fmt: skip
def test_temporary_rails_are_asked_for_where_the_law_asks(
    field: str, change: dict[str, str], rule: str, verdict: str
) -> None:
    out = judge(LIBRARY, "temporary", [OSHA], {field: "no", **change}, "exact")
    assert [r["verdict"] for r in out["rules"] if r["rule"] == rule] == [verdict]


@pytest.mark.parametrize(
    ("perimeter", "drop", "verdict"),
    [  # ADA 505.6 exc. 2: 1/8 in less for each 1/2 in of perimeter above 4 in
        ("4", "1 1/2", "pass"), ("4 1/2", "1 3/8", "pass"), ("4 1/2", "1 23/64", "fail"),
        ("4 63/64", "1 3/8", "pass"), ("4 63/64", "1 1/4", "fail"), ("6", "1", "pass"),
    ],
)  # fmt: skip
def test_a_thicker_grip_may_have_its_bracket_nearer(
    perimeter: str, drop: str, verdict: str
) -> None:
    readings = {"grip_perimeter": perimeter, "bracket_drop": drop}
    out = judge(LIBRARY, "handrail", [ADA], readings, "exact")
    assert [r["verdict"] for r in out["rules"] if r["rule"] == "handrail.bracket-drop"] == [verdict]


def test_ada_permits_no_open_risers_and_asks_for_two_rails() -> None:
    stair = judge(LIBRARY, "stair", [ADA], {"open_riser": "yes"}, "exact")
    assert [r["verdict"] for r in stair["rules"] if r["rule"] == "stair.no-open-risers"] == ["fail"]
    rail = judge(LIBRARY, "handrail", [ADA], {"both_sides": "no"}, "exact")
    assert [r["verdict"] for r in rail["rules"] if r["rule"] == "handrail.both-sides"] == ["fail"]


@pytest.mark.parametrize(
    ("risers", "there", "verdict"),
    [("3", "no", "does_not_apply"), ("4", "no", "fail"), ("4", "yes", "pass")],
)
def test_a_handrail_from_four_risers(risers: str, there: str, verdict: str) -> None:
    """IRC 2018 R311.7.8: city tip sheet on 2018 IRC stairs."""
    out = judge(LIBRARY, "handrail", [IRC], {"risers": risers, "rail_there": there}, "exact")
    assert [r["verdict"] for r in out["rules"] if r["rule"] == "handrail.there"] == [verdict]


@pytest.mark.parametrize("book", ["irc-2018", "irc-2021", "irc-2024"])
@pytest.mark.parametrize(("count", "verdict"), [(2, "does_not_apply"), (5, "does_not_apply"),
                                                (6, "fail"), (0, "fail")])  # fmt: skip
def test_a_switch_at_each_floor_from_six_risers_on(book: str, count: int, verdict: str) -> None:
    """NEC 210.70(A)(2) and IRC R303.7 (2024: R325.6): six or more risers. None measured: asked."""
    readings = {"light_switch": "no", "riser": ["7"] * count}
    out = judge(LIBRARY, "stair", [book], readings, "exact")
    assert [r["verdict"] for r in out["rules"] if r["rule"] == "stair.light-switch"] == [verdict]
    heads = [f["head"] for f in out["findings"] if f["rule"] == "stair.light-switch"]
    assert all("remote, central or automatic control" in head for head in heads)


@pytest.mark.parametrize(
    ("book", "risers", "treads", "system"),
    [
        # ADA 504.2: "uniform riser heights and uniform tread depths"
        ("ada-2010", ["6", "7"], ["11", "12"], "us"),
        # Approved Document K 1.3, from memory: the same rise and the same going
        ("adk-2013", ["190 mm", "200 mm"], ["240 mm", "250 mm"], "metric"),
    ],
)
def test_uneven_steps_fail_where_all_have_to_be_alike(
    book: str, risers: list[str], treads: list[str], system: str
) -> None:
    def verdicts(risers: list[str], treads: list[str]) -> list[str]:
        readings = {"riser": risers, "tread": treads}
        out = judge(LIBRARY, "stair", [book], readings, "exact", system=system)
        return [r["verdict"] for r in out["rules"] if r["rule"].endswith("-spread")]

    assert verdicts(risers, treads) == ["fail", "fail"]
    assert verdicts(risers[:1] * 3, treads[:1] * 2) == ["pass", "pass"]


def test_the_2024_book_agrees_with_itself() -> None:
    """Chapter 3 of the 2024 edition: stairs R318.7, handrails R320, guards R321, ceilings R313."""
    clauses = {rule.id: rule.clause for rule in LIBRARY.books["irc-2024"].rules}
    pairs = (
        ("sunken.riser", "stair.riser-height"), ("sunken.riser-spread", "stair.riser-spread"),
        ("sunken.handrail", "handrail.there"), ("sunken.guard-height", "guard.height-level"),
        ("sunken.guard", "guard.there"), ("final.rail-returns", "handrail.returned"),
    )  # fmt: skip
    assert [clauses[one] for one, _ in pairs] == [clauses[other] for _, other in pairs]
    before = ("R303", "R305", "R311.7", "R312", "R314", "R318.7.8.")
    assert [c for c in clauses.values() if c.startswith(before)] == []
