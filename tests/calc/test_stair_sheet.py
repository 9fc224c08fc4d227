"""The stair sheet in full, what it refuses, and the sheets beside it."""

from __future__ import annotations

from typing import Any

import pytest

from fieldlog.calc.judging import ReadingsRefused, judge
from fieldlog.store.files import load_library

LIBRARY = load_library()
OPEN = {"open_riser": "yes", "tread_thickness": "3"}


def judged(readings: dict[str, Any], sheet: str = "stair", tool: str = "exact", **more: Any) -> Any:
    return judge(LIBRARY, sheet, more.pop("books", ["irc-2021", "our-standard"]), readings, tool)


def verdicts(out: Any, rule: str) -> list[str]:
    return [r["verdict"] for r in out["rules"] if r["rule"] == rule]


def texts(out: Any, quantity: str) -> list[str]:
    return [v["text"] for v in out["quantities"][quantity]["values"]]


@pytest.mark.parametrize(
    ("readings", "field", "index", "says"),
    [
        ({"riser": ["7 1/2", "75"]}, "riser", 1, "Riser 75 is outside what this can be"),
        ({"riser": ["0"]}, "riser", 0, "outside what this can be"),
        ({"riser": ["-7 1/2"]}, "riser", 0, "outside what this can be"),
        ({"riser": ["7 1/2"] * 40}, "riser", None, "40 risers; 30 at most"),
        ({"riser": ["7 1/2", "190 mm"]}, "riser", 1, "Riser 2, 190 mm, is in millimeters"),
        ({"riser": ["190 mm", "", "7 1/2"]}, "riser", 2, "mixed units in one list"),
        ({"riser": ["7 1/2"] * 3, "tread_thickness": "8"}, "tread_thickness", 0, "thicker than"),
        ({"riser": ["9", "7"], "tread_thickness": ["3", "7 1/2"]}, "tread_thickness", 1,
         "thicker than its riser"),
        ({"riser": ["7 1/2"] * 12, "total_rise": "97 1/2"}, "total_rise", None,
         "The risers add up to 90 in, which is not the total rise of 97 1/2 in"),
        ({"tread": ["9", "9"], "winder_walkline": ["10", "6"], "winder_least": ["6", "7"]},
         "winder_least", 1, "Are the two swapped"),
        ({"riser_slope": ["30 in"]}, "riser_slope", 0, "as in 40 deg"),
        ({"tread_slope": ["2"]}, "tread_slope", 0, "no slope"),
        ({"riser_slope": ["95 deg"]}, "riser_slope", 0, "0 deg to 80 deg"),
    ],
)  # fmt: skip
def test_what_no_stair_can_be_is_asked_about(
    readings: dict[str, Any], field: str, index: int | None, says: str
) -> None:
    with pytest.raises(ReadingsRefused) as caught:
        judged(readings)
    (error,) = caught.value.errors
    assert (error.field, error.index) == (field, index)
    assert says in error.message


def test_a_total_rise_a_little_off_is_a_note_and_no_refusal() -> None:
    (note,) = judged({"riser": ["7 1/2"] * 12, "total_rise": "91"})["notes"]
    assert "a difference of 1 in" in note


def test_what_is_new_on_the_sheet_is_not_asked_of_a_check_without_it() -> None:
    whole = {
        "open_riser": "no", "riser": ["7 1/2"] * 12, "tread": ["10 1/2"] * 11,
        "nosing": ["1"] * 11, "total_rise": "90", "headroom": "6 ft 9 in",
        "width_above_rail": "37", "width_at_rail": "33", "landing_depth": "37",
    }  # fmt: skip
    for book in ("irc-2018", "irc-2021", "irc-2024"):
        out = judged(whole, books=[book])
        assert (out["verdict"], out["counts"]["not_measured"]) == ("pass", 0)
    guard = {"drop": "60", "height_level": "37", "opening_level": ["3"], "stair_side": "no"}
    assert judged(guard, "guard")["verdict"] == "pass"
    rail = {"height": ["36"] * 3, "clearance": "2", "grip_diameter": "1 1/2"}
    assert judged(rail, "handrail")["verdict"] == "pass"


@pytest.mark.parametrize(
    ("space", "gap", "verdict"),
    [
        ("0", "3 in", "pass"),
        ("2 1/2", "about 3 29/32 in", "pass"),
        ("2 41/64", "about 3.997 in", "pass"),  # not 4 in
        ("2 11/16", "about 4 1/32 in", "fail"),
    ],
)
def test_treads_apart_in_plan_open_a_slant(space: str, gap: str, verdict: str) -> None:
    readings = {"open_riser": "yes", "riser": ["18"] * 3, "tread_thickness": "15"}
    out = judged({**readings, "tread_space": [space] * 3})
    assert texts(out, "open_gap")[2] == gap
    assert verdicts(out, "stair.open-gap")[2] == verdict


def test_a_slant_of_exactly_the_limit_fails() -> None:
    """Legs of 2.4 and 3.2 in have a slant of 4 in."""
    readings = {"open_riser": "yes", "riser": ["18"] * 3, "tread_thickness": "15.6 in"}
    out = judged({**readings, "tread_space": ["3.2"] * 3})
    assert texts(out, "open_gap") == ["4 in"] * 3
    assert verdicts(out, "stair.open-gap") == ["does_not_apply", "does_not_apply", "fail"]


def test_the_thickness_that_helps_closes_the_slant_too() -> None:
    readings = {"open_riser": "yes", "riser": ["18"] * 3, "tread_space": ["3"] * 3}
    out = judged({**readings, "tread_thickness": "12"})
    (finding,) = [f for f in out["findings"] if f["rule"] == "stair.open-gap"]
    assert "Treads 15 3/8 in thick" in finding["fix"]
    again = judged({**readings, "tread_thickness": "15 3/8"})
    assert verdicts(again, "stair.open-gap")[2] == "pass"


def test_the_top_opening_is_under_the_upper_floors_edge() -> None:
    readings = {**OPEN, "riser": ["7 1/2"] * 6, "floor_edge_thickness": "11 1/4"}
    with_edge = judged({**readings, "riser": ["15"] * 4})
    assert texts(with_edge, "open_gap") == ["12 in", "12 in", "12 in", "3 3/4 in"]
    assert verdicts(with_edge, "stair.open-gap")[-1] == "pass"


def test_both_ends_of_a_riser_count() -> None:
    readings = {"riser": ["7 1/2"] * 4, "riser_other_end": ["", "7 13/16", "", "7 3/8"]}
    out = judged(readings)
    assert texts(out, "riser_spread") == ["7/16 in"]
    assert verdicts(out, "stair.riser-height-other-end") == [
        "does_not_apply", "fail", "does_not_apply", "pass",
    ]  # fmt: skip


def test_winders_are_judged_at_the_walkline_and_at_their_narrowest() -> None:
    readings = {
        "tread": ["10 1/2", "", "", "10 1/2"], "winder": ["no", "yes", "yes", "no"],
        "winder_walkline": ["", "10", "10 7/16", ""], "winder_least": ["", "6", "", ""],
    }  # fmt: skip
    out = judged(readings)
    assert verdicts(out, "stair.tread-depth") == [
        "pass", "does_not_apply", "does_not_apply", "pass",
    ]  # fmt: skip
    assert verdicts(out, "stair.tread-spread") == ["pass"]
    assert verdicts(out, "stair.winder-walkline") == [
        "does_not_apply", "pass", "pass", "does_not_apply",
    ]  # fmt: skip
    assert verdicts(out, "stair.winder-least")[1:3] == ["pass", "not_measured"]
    assert verdicts(out, "stair.winder-spread") == ["fail"]


def test_angles_and_slopes_are_judged_with_their_own_tools() -> None:
    readings = {"riser_slope": ["29.95 deg", "30.2", "25"], "tread_slope": ["1:48", "4 %"]}
    out = judged(readings, tool="tape")
    assert verdicts(out, "stair.riser-slope") == ["too_close", "fail", "pass"]
    assert verdicts(out, "stair.tread-slope") == ["too_close", "fail"]
    rule = next(r for r in out["rules"] if r["rule"] == "stair.riser-slope" and r["index"] == 1)
    assert rule["value"] == {
        "text": "30.2 deg", "nm": None, "value": "30200000", "unit": "microdegree",
    }  # fmt: skip
    assert (rule["margin"]["text"], rule["u"]["text"]) == ("-0.2 deg", "0.058 deg")
    assert [v["tool"] for v in out["quantities"]["riser_slope"]["values"]] == ["inclinometer"] * 3
    assert {"tape", "inclinometer", "slope-level"} == {i["id"] for i in out["instruments"]}


def test_pitch_knows_its_tool() -> None:
    """At 42.04 degrees a tape's readings of all risers and treads can not tell it from 42."""
    readings = {"riser": ["220 mm"] * 12, "tread": ["244 mm"] * 11}
    out = judged(readings, tool="tape", books=["adk-2013"])
    (rule,) = [r for r in out["rules"] if r["rule"] == "stair.pitch"]
    assert (rule["verdict"], rule["plain"]) == ("too_close", "fail")


def test_framing_is_held_until_a_named_person_releases_it() -> None:
    seen = {
        "what": "Hall stair", "seats_seen": "yes", "ledger_seen": "yes", "hangers_seen": "yes",
        "fasteners": "1/2 in lags at 16", "member": ["2x12"], "drawing_here": "yes",
        "letter_here": "no", "departs": "no", "photos": "6",
    }  # fmt: skip
    held = judged(seen, "concealed-framing")
    assert held["verdict"] == "fail"
    assert [f["head"] for f in held["findings"] if f["mark"] == "fail"] == [
        "Not released: nobody has put a name to it. It stays open."
    ]
    assert judged({**seen, "released_by": "A. Engineer"}, "concealed-framing")["verdict"] == "pass"
    few = judged({**seen, "photos": "3", "released_by": "A."}, "concealed-framing")
    assert verdicts(few, "framing.photos") == ["fail"]
    departs = judged({**seen, "departs": "yes", "released_by": "A."}, "concealed-framing")
    assert verdicts(departs, "framing.letter") == ["fail"]
    assert "licensed professional's" in held["caution"]


def test_the_final_look_asks_only_what_the_house_has() -> None:
    answers = {
        "glass_marked": "yes", "low_sills": "no", "garage": "no", "rail_returns": "yes",
        "smoke_alarms": "yes", "alarms_linked": "yes", "burns_fuel": "no",
    }  # fmt: skip
    assert judged(answers, "final", "eye")["verdict"] == "pass"
    garage = judged({**answers, "garage": "yes"}, "final", "eye")
    assert garage["verdict"] == "not_measured"
    heads = [f["head"] for f in garage["findings"] if f["mark"] == "not_measured"]
    assert heads == [
        "House-to-garage door: not measured.",
        "A garage door into a bedroom: not measured.",
    ]
