"""Verdicts: the five outcomes, what a gap and a question do, and which tool would settle it."""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

import pytest

from fieldlog.calc.judging import judge
from fieldlog.calc.library import SourceText, build_library
from fieldlog.store.files import load_library

LIBRARY = load_library()


def judged(sheet: str, readings: dict[str, Any], tool: str = "exact", **more: Any) -> Any:
    books = more.pop("books", ["irc-2021", "our-standard", "plank-floor"])
    return judge(LIBRARY, sheet, books, readings, tool, **more)


def of(out: Any, quantity: str) -> list[Any]:
    return [r for r in out["rules"] if r["quantity"] == quantity]


def verdicts(out: Any, rule: str) -> list[str]:
    return [r["verdict"] for r in out["rules"] if r["rule"] == rule]


WHOLE_HANDRAIL = {"height": ["36", "36", "36"], "clearance": "2", "grip_diameter": "1 1/2"}


def test_a_check_passes_when_every_limit_does() -> None:
    assert judged("handrail", WHOLE_HANDRAIL, "tape")["verdict"] == "pass"


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({"height": ["36", "39", "36"], "clearance": "1 1/2", "grip_diameter": ""}, "fail"),
        ({"clearance": "1 1/2", "grip_diameter": ""}, "too_close"),
        ({"grip_diameter": ""}, "not_measured"),
        ({}, "pass"),
    ],
)
def test_fail_then_too_close_then_not_measured_then_pass(
    change: dict[str, Any], verdict: str
) -> None:
    assert judged("handrail", {**WHOLE_HANDRAIL, **change}, "tape")["verdict"] == verdict


def test_a_guard_over_a_low_drop_does_not_apply() -> None:
    out = judged("guard", {"drop": "20", "height_level": "10"})
    assert out["verdict"] == "does_not_apply"


def test_an_unanswered_condition_asks_its_question() -> None:
    out = judged("stair", {"riser": ["18", "18"], "tread_thickness": "3"})
    # the first opening ends 15 in up: whatever the answer, it does not count
    assert verdicts(out, "stair.open-gap") == ["does_not_apply", "not_measured"]
    assert "Are the risers open?" in out["questions"]
    rule = of(out, "open_gap")[1]
    assert rule["question"] == "Are the risers open?"


def test_a_condition_waiting_for_a_length_asks_for_it() -> None:
    out = judged("guard", {"height_level": "36"})
    assert of(out, "height_level")[0]["verdict"] == "not_measured"
    assert "How high is the drop?" in out["questions"]


def test_solid_risers_need_no_ball() -> None:
    out = judged("stair", {"open_riser": False, "riser": ["18", "18"], "tread_thickness": "3"})
    assert verdicts(out, "stair.open-gap") == ["does_not_apply", "does_not_apply"]


def test_a_blank_riser_keeps_its_number() -> None:
    out = judged("stair", {"riser": ["7", "", "8"]})
    assert verdicts(out, "stair.riser-height") == ["pass", "not_measured", "fail"]
    assert [r["name"] for r in of(out, "riser")] == ["Riser 1", "Riser 2", "Riser 3"]


def test_a_spread_that_can_only_grow_fails_and_does_not_pass() -> None:
    """With a blank riser a spread over the limit stands; one under it is not yet a pass."""
    over = judged("stair", {"riser": ["7", "", "7 1/2"]})
    under = judged("stair", {"riser": ["7", "", "7 1/4"]})
    assert of(over, "riser_spread")[0]["verdict"] == "fail"
    assert of(under, "riser_spread")[0]["verdict"] == "not_measured"


def test_heights_above_a_blank_riser_are_not_known() -> None:
    readings = {"open_riser": "yes", "riser": ["18", "", "18"], "tread_thickness": "3"}
    out = judged("stair", readings)
    assert verdicts(out, "stair.open-gap") == ["does_not_apply", "not_measured", "not_measured"]


def test_a_measured_gap_stands_above_the_sum() -> None:
    readings = {
        "open_riser": "yes", "riser": ["18"] * 3, "tread_thickness": "3",
        "open_gap_measured": ["", "", "3 1/2"],
    }  # fmt: skip
    rule = of(judged("stair", readings), "open_gap")[2]
    assert (rule["verdict"], rule["value"]["text"]) == ("pass", "3 1/2 in")


def test_the_ball_stands_above_the_arithmetic() -> None:
    """A yes/no gauge decides a "must not pass" limit of its own size."""
    base = {"open_riser": "yes", "riser": ["18"] * 3, "tread_thickness": "14 1/64"}
    close = of(judged("stair", base, "tape"), "open_gap")[2]
    assert (close["verdict"], close["settled_by"]) == ("too_close", "ball-4in")
    through = of(judged("stair", {**base, "ball_passes": ["", "", "yes"]}, "tape"), "open_gap")[2]
    stopped = of(judged("stair", {**base, "ball_passes": ["", "", "no"]}, "tape"), "open_gap")[2]
    assert (through["verdict"], through["by_gauge"]) == ("fail", True)
    assert (stopped["verdict"], stopped["by_gauge"]) == ("pass", True)


def test_the_ball_says_nothing_about_another_size() -> None:
    override = (
        '[[override]]\nrule = "stair.open-gap"\nlimit = "6 in"\nreason = "r"\nby = "b"\n'
    )  # fmt: skip
    files = [*LIBRARY.sources.values(), SourceText("overrides", "overrides.toml", override)]
    readings = {
        "open_riser": "yes", "riser": ["18"] * 3, "tread_thickness": "13",
        "ball_passes": ["", "", "yes"],
    }  # fmt: skip
    out = judge(build_library(files), "stair", ["irc-2021"], readings, "exact")
    rule = of(out, "open_gap")[2]
    assert (rule["verdict"], rule["by_gauge"], rule["overridden"]) == ("pass", False, True)
    assert out["overrides"][0]["reason"] == "r"


def test_the_least_bothersome_tool_that_settles_it_is_named() -> None:
    rule = of(judged("stair", {"riser": ["7 23/32"]}, "tape"), "riser")[0]
    assert (rule["verdict"], rule["plain"]) == ("too_close", "pass")
    assert rule["settled_by"] == "steel-rule"
    sharper = {"riser": [{"value": "7 23/32", "instrument": rule["settled_by"]}]}
    assert of(judged("stair", sharper, "tape"), "riser")[0]["verdict"] == "pass"


def test_only_the_houses_own_tools_are_named() -> None:
    out = judged("stair", {"riser": ["7 23/32"]}, "tape", house_instruments=["tape"])
    assert of(out, "riser")[0]["settled_by"] is None


def test_a_reading_at_the_limit_can_be_settled_by_no_length_tool() -> None:
    assert of(judged("stair", {"headroom": "80"}, "tape"), "headroom")[0]["settled_by"] is None


def test_margin_u_and_limit_are_exact_text() -> None:
    rule = of(judged("stair", {"riser": ["7 7/8"]}, "tape"), "riser")[0]
    assert rule["value"] == {"text": "7 7/8 in", "nm": "200025000"}
    assert rule["limit"] == {"text": "7 3/4 in", "nm": "196850000"}
    assert rule["margin"] == {"text": "-1/8 in", "nm": "-3175000"}
    # two rectangular parts of 1/32 in: u = 1/32 * sqrt(2/3) in
    assert abs(Fraction(rule["u"]["nm"]) - Fraction(25_400_000, 32) * Fraction(81650, 100000)) < 20


def test_total_rise_that_disagrees_names_the_difference() -> None:
    readings = {"riser": ["7 1/2"] * 4, "total_rise": "31"}
    (note,) = judged("stair", readings, "tape")["notes"]
    assert "31 in" in note.replace("2 ft 7 in", "31 in")
    assert "1 in" in note
    assert not judged("stair", {"riser": ["7 1/2"] * 4, "total_rise": "30 1/16"}, "tape")["notes"]


@pytest.mark.parametrize("thickness", ["2", ["2"]])
def test_one_thickness_serves_every_tread(thickness: object) -> None:
    readings = {"open_riser": "yes", "riser": ["17", "17", "17"], "tread_thickness": thickness}
    gaps = judged("stair", readings)["quantities"]["open_gap"]["values"]
    assert [g["text"] for g in gaps] == ["15 in"] * 3


def test_findings_group_places_and_name_the_worst() -> None:
    risers = ["7 1/2", "7 7/8", "8", "7 1/2"]
    finding = judged("stair", {"riser": risers}, "tape")["findings"][0]
    assert finding["head"] == "Risers 7 7/8 to 8 in. Needs 7 3/4 in or less."
    assert finding["body"] == "Worst: Riser 3. Over by 1/4 in."
    assert finding["where"] == "Risers 2 to 3"
    assert finding["source"] == "IRC 2021 R311.7.5.1"


def test_serious_ones_come_first() -> None:
    out = judged("stair", {"riser": ["9", "7"], "tread": ["9"]}, "exact")
    marks = [f["mark"] for f in out["findings"]]
    assert marks == sorted(marks, key=["fail", "too_close", "not_measured", "pass"].index)


def test_a_fix_is_said_in_numbers() -> None:
    readings = {"open_riser": "yes", "riser": ["7 1/2"] * 9, "tread_thickness": "3"}
    out = judged("stair", readings)
    gap = next(f for f in out["findings"] if f["rule"] == "stair.open-gap")
    assert "3 9/16 in" in gap["fix"]
    assert gap["where"] == "Risers 5 to 9"


@pytest.mark.parametrize(
    ("direct", "rule", "verdict"),
    [
        ((["10 ft"], ["3/16"], ["hollow"]), "floor.hollow-10ft", "pass"),
        ((["10 ft"], ["1/4"], ["hollow"]), "floor.hollow-10ft", "fail"),
        ((["10 ft"], ["1/4"], ["hump"]), "floor.hump-10ft", "fail"),
        ((["10 ft"], ["1/4"], ["hump"]), "floor.hollow-10ft", "not_measured"),  # laid for none
        ((["6 ft", "10 ft"], ["1/16", "1/16"], ["hump", "hollow"]), "floor.hollow-6ft", "pass"),
        (
            (["6 ft", "10 ft"], ["1/16", "1/16"], ["hump", "hollow"]),
            "floor.hump-10ft",
            "not_measured",
        ),
        ((["10 ft"], ["0"], ["hollow"]), "floor.hump-10ft", "pass"),  # flush: it shows neither
        ((["6 ft"], ["1/4"], ["hollow"]), "floor.hollow-10ft", "fail"),  # a shorter edge shows it
        ((["6 ft"], ["1/16"], ["hollow"]), "floor.hollow-10ft", "not_measured"),
        ((["10 ft"], ["1/16"], ["hollow"]), "floor.hollow-6ft", "pass"),
        ((["10 ft"], ["3/16"], ["hollow"]), "floor.hollow-6ft", "not_measured"),
        ((["10 ft"], ["1/4"], [""]), "floor.hollow-10ft", "not_measured"),
    ],
)
def test_straightedge_readings(direct: Any, rule: str, verdict: str) -> None:
    length, gap, shape = direct
    out = judged("floor", {"edge_length": length, "gap": gap, "shape": shape})
    assert verdicts(out, rule) == [verdict]


def test_the_sentence_names_the_edge_that_was_laid() -> None:
    out = judged("floor", {"edge_length": ["10 ft", "6 ft"], "gap": ["1/8", "1/4"],
                           "shape": ["hump", "hump"]})  # fmt: skip
    heads = {f["rule"]: f["head"] for f in out["findings"]}
    assert heads["floor.hump-10ft"].startswith("Hump under a 10 ft edge (read under 6 ft) is 1/4")
    assert heads["floor.hump-6ft"].startswith("Hump under a 6 ft edge is 1/4")
    assert heads["floor.hollow-6ft"] == "Hollow under a 6 ft edge: not measured."


def level(rows: list[list[str | None]], spacing: str = "2 ft", unit: str = "16ths") -> Any:
    return judged("floor", {"levels": {"spacing": spacing, "unit": unit, "rows": rows}})


def test_a_hump_is_called_a_hump_and_a_hollow_a_hollow() -> None:
    crowned = level([["0", "3", "4", "3", "0"]])
    assert verdicts(crowned, "floor.hump-10ft") == ["fail"]
    assert verdicts(crowned, "floor.hollow-10ft") == ["pass"]
    dished = level([["0", "-3", "-4", "-3", "0"]])
    assert verdicts(dished, "floor.hollow-10ft") == ["fail"]
    assert verdicts(dished, "floor.hump-10ft") == ["pass"]


def test_a_limit_the_spacing_can_not_resolve_is_not_measured() -> None:
    out = level([["0", "0", "0"], ["0", "0", "0"]], spacing="4 ft")
    assert verdicts(out, "floor.hollow-6ft") == ["not_measured"]
    assert verdicts(out, "floor.hollow-10ft") == ["pass"]


def test_an_unread_station_is_no_pass_and_a_blocked_one_is() -> None:
    assert verdicts(level([["0", None, "0", "0"]]), "floor.hollow-10ft") == ["not_measured"]
    assert verdicts(level([["0", "x", "0", "0"]]), "floor.hollow-10ft") == ["pass"]
    assert verdicts(level([["0", None, "-9", "0"]]), "floor.hollow-10ft") == ["fail"]


def test_a_look_is_good_or_not() -> None:
    bad = judged("visual", {"thing": "Door leaf", "good": "no"}, "eye")
    assert bad["verdict"] == "fail"
    assert bad["findings"][0]["head"] == "Door leaf: not good."
    assert judged("visual", {"good": "yes"}, "eye")["verdict"] == "pass"
    assert judged("visual", {"thing": "Door leaf"}, "eye")["verdict"] == "not_measured"


def test_no_book_with_a_limit_is_said() -> None:
    out = judged("trim", {"casing": ["3 1/2"]}, books=["irc-2021"])
    assert out["verdict"] == "not_measured"
    (note,) = out["notes"]
    assert note.startswith("None of this house's books has a limit for this.")
    assert "The house's page adds a book" in note


def test_judging_twice_gives_the_same_bytes() -> None:
    readings = {"open_riser": "yes", "riser": ["7 1/2", "7 9/16"], "tread_thickness": "3"}
    assert json.dumps(judged("stair", readings)) == json.dumps(judged("stair", readings))
