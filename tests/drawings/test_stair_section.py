"""The stair's section: every number in place, nothing collides, marks by shape and word."""

from __future__ import annotations

from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import few, fits, judgement, many, rule, stair, words
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.drawings import draw

sixty_fourths = st.integers(5 * 64, 9 * 64).map(lambda n: Fraction(n, 64))
sixteenths = st.integers(8 * 16, 13 * 16).map(lambda n: Fraction(n, 16))
slips = st.sampled_from([None, Fraction(75), Fraction(1, 2), Fraction(1, 64)])
risers = st.one_of(sixty_fourths, sixty_fourths, sixty_fourths, slips)
treads = st.one_of(sixteenths, sixteenths, sixteenths, slips)


@st.composite
def stairs(draw: st.DrawFn) -> dict[str, Any]:
    """What `drawn.stair` takes (small, so that a failing example is legible)."""
    count = draw(st.integers(1, 20))
    alike = st.lists(risers, min_size=count, max_size=count)
    return {
        "risers": draw(alike),
        "treads": draw(st.lists(treads, min_size=max(count - 1, 0), max_size=count)),
        "thickness": draw(st.sampled_from([(), (1,), ("2 3/4",), (3,), ("3 9/16",), (None,)])),
        "open_riser": draw(st.sampled_from([True, True, False, None])),
        "nosings": draw(st.lists(st.sampled_from([1, "1/2", "1 1/8", None]), max_size=count)),
        "headroom": draw(st.sampled_from([None, "81", "79 63/64"])),
        "total": draw(st.sampled_from([None, "104 3/8"])),
    }


@few
@given(stairs(), st.booleans())
def test_no_text_collides_or_leaves_the_sheet(made: dict[str, Any], narrow: bool) -> None:
    fits(draw(stair(**made), narrow))


@few
@given(stairs(), st.booleans())
def test_every_measured_riser_and_tread_is_written(made: dict[str, Any], narrow: bool) -> None:
    judged = stair(**made)
    said = words(draw(judged, narrow))
    for prefix, name in (("R", "riser"), ("T", "tread")):
        values = judged["quantities"][name]["values"]
        for i, v in enumerate(values):
            assert f"{prefix}{i + 1}" in said
            if v["nm"] is not None:
                place = said.index(f"{prefix}{i + 1}")
                assert said[place + 1] == v["text"].removesuffix(" in")


@few
@given(stairs(), st.booleans())
def test_a_ball_for_every_failing_opening(made: dict[str, Any], narrow: bool) -> None:
    judged = stair(**made)
    failing = [
        r for r in judged["rules"]
        if r["rule"] == "stair.open-gap" and r["verdict"] == "fail"
    ]  # fmt: skip
    circles = [
        e for e in ElementTree.fromstring(draw(judged, narrow)).iter() if e.tag.endswith("}circle")
    ]
    assert len(circles) == len(failing)
    assert all(c.get("stroke-dasharray") for c in circles)


def test_the_ball_is_as_large_as_the_limit_says_and_lies_on_its_tread() -> None:
    svg = draw(stair(["7 1/2"] * 8, [10] * 7, thickness=[3], open_riser=True))
    root = ElementTree.fromstring(svg)
    circles = [e for e in root.iter() if e.tag.endswith("}circle")]
    assert len(circles) == 3  # tread 5 is the first whose opening is above 30 in
    bottoms = [float(c.get("cy", "")) + float(c.get("r", "")) for c in circles]
    rise = bottoms[0] - bottoms[1]
    assert rise / float(circles[0].get("r", "")) == pytest.approx(7.5 / 2, rel=0.02)


@pytest.mark.parametrize(
    ("riser", "word", "mark"), [("7 7/8", "over", "#9c1c14"), ("7 49/64", None, "#6a4000")]
)
def test_a_riser_that_does_not_pass_has_a_mark(riser: str, word: str | None, mark: str) -> None:
    svg = draw(stair(["7 1/2", riser, "7 1/2"], [10, 10]))
    said = words(svg)
    assert said[said.index("R2") + 1] == riser
    assert mark in svg
    assert (said[said.index("R2") + 2] == word) == bool(word)


def test_what_is_not_measured_is_said_and_drawn_dashed() -> None:
    svg = draw(stair(["7 1/2", None, "7 1/2"], [10, 10]))
    assert "not measured" in " ".join(words(svg))
    assert "stroke-dasharray" in svg
    assert "Riser 2: not measured." in svg


def test_a_stair_without_a_reading_is_drawn_as_nothing() -> None:
    assert draw(judgement("stair-section", {"riser": many("Riser", [])}, [])) == ""
    assert draw(judgement("", {}, [])) == ""


def test_a_limit_without_its_own_place_is_noted() -> None:
    judged = stair(["7 1/2"] * 3, [10, 10])
    judged["rules"].append(
        rule("stair.riser-spread", "riser_spread", None, "fail", "<=", "3/8", "1/2", "Riser spread")
    )
    said = words(draw(judged))
    assert said[said.index("Riser spread") + 1 :][:2] == ["1/2 in", "over"]


def test_a_long_flight_is_drawn_in_parts() -> None:
    said = words(draw(stair(["7 1/2"] * 20, ["10 13/16"] * 19)))
    assert "Risers 11 to 20" in said
    assert said.index("Risers 11 to 20") < said.index("Risers 1 to 10")
    assert "Risers 1 to 10" not in words(draw(stair(["7 1/2"] * 13, [10] * 12)))
