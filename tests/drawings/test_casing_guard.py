"""Casing and guard: each number where it was measured, marks by shape and word, the ball."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from drawn import Inches, boxes, few, fits, judgement, many, one, rule, words
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.judging import judge
from fieldlog.drawings import draw
from fieldlog.store.files import load_library

verdicts = st.sampled_from(["pass", "fail", "too_close", "not_measured", "does_not_apply"])
sizes = st.sampled_from([None, 0, "1/64", "3 1/2", "4 13/16", "11 63/64", "36 1/4"])
lists = st.lists(sizes, max_size=6)


def opening(values: dict[str, list[Inches]], verdict: str) -> dict[str, Any]:
    """A trim judgement: lists by quantity, every value with that verdict."""
    quantities = {name: many(name.replace("_", " "), v) for name, v in values.items()}
    rules = [
        rule(f"trim.{name}", name, i, verdict, "<=", "1/32", size)
        for name, v in values.items()
        for i, size in enumerate(v)
    ]
    rules.append(rule("trim.spread", "casing_spread", None, verdict, "<=", "1/16", "1/8"))
    return judgement("casing", quantities, rules)


def guard(
    level: list[Inches], stair: list[Inches], verdict: str, *, height: Inches = 36,
    drop: Inches = 110, triangle: Inches = 6,
) -> dict[str, Any]:  # fmt: skip
    """A guard judgement, every opening with that verdict."""
    quantities = {
        "drop": one("Drop", drop, feet=True), "height_level": one("Height", height if level else
        None), "height_stair": one("Height, stair", height if stair else None),
        "opening_level": many("Opening", level), "opening_stair": many("Opening", stair),
        "triangle": one("Triangle", triangle),
    }  # fmt: skip
    rules = [
        rule(f"guard.{name}", name, i, verdict, "<", limit, size)
        for name, limit, values in (
            ("opening_level", "4", level),
            ("opening_stair", "4 3/8", stair),
        )
        for i, size in enumerate(values)
    ]
    rules += [
        rule("guard.height", name, None, verdict, ">=", 36)
        for name in ("height_level", "height_stair", "triangle")
    ]
    return judgement("guard", quantities, rules)


@few
@given(lists, lists, lists, lists, verdicts, st.booleans())
def test_casing_texts_do_not_collide(
    casing: list[Inches], reveal: list[Inches], miter: list[Inches], base: list[Inches],
    said: str, narrow: bool,
) -> None:  # fmt: skip
    values = {"casing": casing, "reveal": reveal, "miter_gap": miter, "base_gap": base}
    fits(draw(opening(values, said), narrow))


@few
@given(lists, lists, verdicts, sizes, sizes, sizes, st.booleans())
def test_guard_texts_do_not_collide(
    level: list[Inches], stair: list[Inches], said: str, height: Inches, drop: Inches,
    tri: Inches, narrow: bool,
) -> None:  # fmt: skip
    fits(draw(guard(level, stair, said, height=height, drop=drop, triangle=tri), narrow))


def test_each_casing_value_stands_by_its_place() -> None:
    values: dict[str, list[Inches]] = {
        "casing": ["3 1/2", "3 7/16", "3 3/8", "3 5/16"], "reveal": ["3/16"],
        "miter_gap": ["1/64", "1/32"], "base_gap": ["1/8", "1/16"],
    }  # fmt: skip
    svg = draw(opening(values, "pass"))
    place = {said: (left, top) for left, top, _, _, said in boxes(svg)}
    assert place["3 1/2"][0] < 200 < 300 < place["3 5/16"][0]
    assert place["3 7/16"][1] < place["3 1/2"][1]
    assert place["1/64"][0] < place["1/32"][0]
    assert "Left casing, bottom: 3 1/2." in svg


def test_more_values_than_places_are_noted() -> None:
    svg = draw(opening({"casing": ["3 1/2"] * 4 + ["3 9/16"]}, "pass"))
    said = words(svg)
    assert said[said.index("casing 5") + 1] == "3 9/16"


@pytest.mark.parametrize(("level", "stair"), list(product([0, 1, 4], [0, 2])))
@pytest.mark.parametrize("narrow", [False, True])
def test_a_ball_for_every_opening_it_passes(level: int, stair: int, narrow: bool) -> None:
    svg = draw(guard(["4 1/4"] * level, ["4 1/2"] * stair, "fail", triangle=None), narrow)
    dashed = svg.count('r="21" fill="none" stroke="#9c1c14"')
    assert dashed == level + stair
    assert ("4 in" in svg) == bool(level)
    assert ("4 3/8 in" in svg) == bool(stair)


def test_the_drop_and_both_heights_are_there() -> None:
    said = words(draw(guard(["3 7/8"], ["4"], "pass")))
    assert "9 ft 2 in" in said
    assert said.count("36") == 2
    assert "Open side of the stair" in said


def test_a_ball_that_passes_where_no_tape_was() -> None:
    said = words(draw(guard([None, "3 7/8"], [], "fail")))
    assert "passes" in said


def test_nothing_measured_is_nothing_drawn() -> None:
    assert draw(opening({"casing": [None], "reveal": []}, "not_measured")) == ""
    assert draw(guard([], [], "not_measured", drop=None, triangle=None)) == ""


def test_the_sheet_s_own_names_of_the_places() -> None:
    judged = opening({"casing": ["3 1/2"] * 2}, "pass")
    judged["quantities"]["casing"]["places"] = ["left bottom", "left head"]
    said = words(draw(judged))
    assert {"casing, bottom", "casing, head"} <= set(said)


@few
@given(lists, sizes, sizes, sizes, verdicts, st.booleans())
def test_handrail_texts_do_not_collide(
    heights: list[Inches], clear: Inches, grip: Inches, out: Inches, said: str, narrow: bool
) -> None:
    judged = handrail(heights, clear, grip, out, said)
    svg = draw(judged, narrow)
    fits(svg)
    written = words(svg) if svg else []
    for value in judged["quantities"]["height"]["values"] if svg else ():
        assert not value["text"] or value["text"].removesuffix(" in") in written


def handrail(
    heights: list[Inches], clear: Inches, grip: Inches, out: Inches, verdict: str
) -> dict[str, Any]:
    """A handrail judgement, every value with that verdict."""
    quantities = {
        "height": many("Height", heights) | {"places": ["bottom", "middle", "top"]},
        "clearance": one("Handrail to wall", clear), "grip_diameter": one("Grip diameter", grip),
        "projection": one("Projection from the wall", out),
    }  # fmt: skip
    rules = [rule("handrail.height", "height", i, verdict, ">=", 34, h)
             for i, h in enumerate(heights)]  # fmt: skip
    rules += [rule(f"handrail.{name}", name, None, verdict, "<=", 2)
              for name in ("clearance", "grip_diameter", "projection")]  # fmt: skip
    return judgement("handrail", quantities, rules)


def test_each_handrail_height_stands_at_its_place() -> None:
    svg = draw(handrail(["36", "36 1/4", "36 1/2"], "2", "1 1/2", "4", "pass"))
    place = {said: (left, top) for left, top, _, _, said in boxes(svg)}
    for name, height in (("bottom", "36"), ("middle", "36 1/4"), ("top", "36 1/2")):
        assert abs(place[name][1] - place[height][1]) < 20
    assert place["36"][0] < place["36 1/4"][0] < place["36 1/2"][0]
    assert "Height, middle: 36 1/4." in svg


LEVEL = {"drop": "9 ft", "height_level": "36 1/2", "stair_side": "no"}


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        ({"infill": "cable", "push": "50 lb", "cable_gap": ["3 7/8", "4 1/8", "3 15/16"],
          "post_spacing": ["4 ft"]},
         ["3 7/8", "4 1/8", "3 15/16", "posts", "4 ft", "50 lb"]),
        ({"cable_gap": ["3"] * 6}, ["3", "Gap between cables under the push 6"]),
        ({"infill": "glass", "glass_marked": "no", "under_rail": "4 1/4"},
         ["Glass carries its safety mark", "fails", "under the rail", "4 1/4", "over"]),
        ({"infill": "solid", "post_firm": "no", "post_spacing": ["4 ft", "", "5 ft 1/2"]},
         ["Posts stand firm", "fails", "4 ft, not measured, 5 ft 1/2 in"]),
        ({"opening_level": ["3 7/8"] * 5, "under_rail": "3 3/4", "opening_stair": ["4 1/2"],
          "stair_side": "yes", "height_stair": "33", "triangle": "6 1/4"},
         ["under the rail", "3 3/4", "triangle", "6 1/4", "Opening in the guard, level 5"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("narrow", [True, False])
def test_what_fills_a_guard_is_drawn_and_told(
    readings: dict[str, Any], told: list[str], narrow: bool
) -> None:
    judged = judge(load_library(None), "guard", ["irc-2021", "our-standard"], LEVEL | readings,
                   "tape")  # fmt: skip
    svg = draw(judged, narrow)
    fits(svg)
    said = " ".join(words(svg))
    assert [piece for piece in told if piece not in said] == []
    twin = svg[svg.index("<desc>") : svg.index("</desc>")]
    for name in readings:
        values = judged["quantities"][name]["values"]
        missing = [v["text"] for v in values if v["nm"] and v["text"].removesuffix(" in")
                   not in twin]  # fmt: skip
        assert missing == [], name
