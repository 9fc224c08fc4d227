"""Over a stair's section: the ball's line, headroom, handrail, finished treads; winders in plan."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import Inches, boxes, few, fits, judgement, many, nm, rule, stair, words
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.judging import judge
from fieldlog.calc.layers import ToCome
from fieldlog.drawings import draw
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.stair import draw_stair
from fieldlog.drawings.svg import LETTER, WIDTH
from fieldlog.store.files import load_library

depths = st.one_of(st.none(), st.sampled_from(["9 7/8", "10 13/16", "5 63/64", "12"]))
rails = st.lists(st.sampled_from([None, "34", "36 63/64", "39"]), max_size=3)


def rail(heights: list[Inches], verdict: str = "pass") -> dict[str, Any]:
    """A handrail check with those heights."""
    rules = [rule("handrail.height", "height", i, verdict, ">=", 34, h)
             for i, h in enumerate(heights)]  # fmt: skip
    return judgement("handrail", {"height": many("Height", heights)}, rules)


def dotted(svg: str) -> list[float]:
    """The heights of dotted level lines, units."""
    lines = [e for e in ElementTree.fromstring(svg).iter()
             if e.get("stroke-dasharray") == "1.5 4"]  # fmt: skip
    return [float(line.get("d", "").split(",")[1].split()[0]) for line in lines]


@pytest.mark.parametrize("above", [30, 24, "19 5/8"])
def test_the_line_is_at_the_height_of_the_rule_and_says_so(above: Inches) -> None:
    judged = stair(["7 1/2"] * 6, [10] * 5, thickness=[3], open_riser=True, from_height=above)
    svg = draw(judged)
    (height,) = set(dotted(svg))
    ground = max(
        float(e.get("d", "").split(",")[1].split()[0])
        for e in ElementTree.fromstring(svg).iter() if e.get("stroke-width") == "3"
    )  # fmt: skip
    dimension = next(  # of the lowest riser: 7 1/2 in
        e.get("d", "")[1:] for e in ElementTree.fromstring(svg).iter()
        if e.get("stroke-width") == "1.1"
    )  # fmt: skip
    low, high = (float(p.split(",")[1]) for p in dimension.split())
    assert (ground - height) / (low - high) == pytest.approx((nm(above) or 0) / (nm("7 1/2") or 1),
                                                             abs=0.05)  # fmt: skip
    assert f"{above} in above the floor" in " ".join(words(svg))


def test_a_stair_with_solid_risers_has_no_such_line() -> None:
    assert dotted(draw(stair(["7 1/2"] * 6, [10] * 5, open_riser=False))) == []
    assert dotted(draw(stair(["7 1/2"] * 3, [10] * 2, open_riser=True))) == []  # too low


def test_headroom_and_handrail_stand_over_the_nosings() -> None:
    judged = stair(["7 1/2"] * 13, [10] * 12, thickness=["1"], headroom="82 1/2")
    svg = draw_stair(Judged(judged), LETTER, Judged(rail(["36", "36 1/2", "37"])))
    place = {said: (left, top) for left, top, _, _, said in boxes(svg)}
    assert "Headroom" in place
    assert place["36"][0] < place["36 1/2"][0] < place["37"][0]
    assert place["36"][1] > place["36 1/2"][1] > place["37"][1]
    assert "Handrail height 2: 36 1/2." in svg


@few
@given(st.integers(1, 16), rails, st.sampled_from([350.0, WIDTH, LETTER]),
       st.sampled_from(["pass", "fail", "too_close"]))  # fmt: skip
def test_every_handrail_height_is_told_once(
    count: int, heights: list[Inches], width: float, verdict: str
) -> None:
    judged = stair(["7 1/2"] * count, [10] * (count - 1), open_riser=True, thickness=[3])
    svg = draw_stair(Judged(judged), width, Judged(rail(heights, verdict)))
    fits(svg)
    said = words(svg)
    for height in heights:
        assert height is None or str(height) in said


def winding(walk: list[Inches], least: list[Inches], verdict: str) -> dict[str, Any]:
    """A stair with two straight treads before its winders and two after."""
    count = len(walk) + 4
    lone: list[Inches] = [None, None]
    judged = stair(["7 1/2"] * (count + 1), [10, 10, *([None] * len(walk)), 10, 10])
    judged["quantities"] |= {
        "winder_walkline": many("Walkline", [*lone, *walk]),
        "winder_least": many("Least", [*lone, *least]),
    }
    judged["rules"] += [
        rule(f"stair.{name}", name, i + 2, verdict, ">=", 10, size)
        for name, sizes in (("winder_walkline", walk), ("winder_least", least))
        for i, size in enumerate(sizes)
    ]
    return judged


@few
@given(st.lists(st.tuples(depths, depths), min_size=1, max_size=6),
       st.sampled_from(["pass", "fail", "too_close"]), st.booleans())  # fmt: skip
def test_winders_have_their_numbers_in_plan(
    sizes: list[tuple[Inches, Inches]], verdict: str, narrow: bool
) -> None:
    walk, least = [list(column) for column in zip(*sizes, strict=True)]
    svg = draw(winding(walk, least, verdict), narrow)
    fits(svg)
    said = words(svg)
    for i, (depth, narrowest) in enumerate(sizes):
        if depth:
            assert said[said.index(f"W{i + 3} walkline") + 1] == depth
        if narrowest:
            assert narrowest in said


def test_a_winder_is_no_missing_tread() -> None:
    svg = draw(winding(["10 1/4", "10"], ["6 1/2", "6"], "pass"))
    assert "not measured, drawn dashed at an assumed size" not in words(svg)
    assert "Winder 3: 10 1/4 at the walkline, least 6 1/2." in svg


def test_the_finished_stair_is_a_thin_line_and_its_end_risers_are_told() -> None:
    inch = nm(1) or 0
    coming = {"below": ToCome("a", "Hall", inch * 3 // 2, 0), "above": ToCome("b", "Up", 0, 0)}
    readings = {"riser": ["7 1/2"] * 4, "tread": ["10 1/2"] * 3, "open_riser": "no",
                "tread_finish": "3/4"}  # fmt: skip
    judged = judge(load_library(None), "stair", ["irc-2021"], readings, "tape",
                   finishes=coming)  # fmt: skip
    for narrow in (False, True):
        svg = draw(judged, narrow)
        fits(svg)
        said = words(svg)
        assert said[said.index("R1 finished") + 1] == "6 3/4"
        assert said[said.index("R4 finished") + 1] == "6 3/4"
        assert svg.count('stroke-width="0.9"') >= 4
        assert "Thin line" in svg
    rough = {k: v for k, v in judged.items() if k != "finished"}
    assert "finished" not in " ".join(words(draw(rough)))
