"""Lengths: the vector file, round trips in both systems, and nothing but a refusal for any text."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fieldlog.calc.lengths import (
    NM_PER_FOOT,
    NM_PER_INCH,
    NM_PER_MM,
    UNITS,
    LengthAmbiguous,
    LengthNotUnderstood,
    format_length,
    format_plain,
    parse_length,
    step_above,
    step_below,
)

VECTORS = json.loads((Path(__file__).parent.parent / "vectors" / "lengths.json").read_text())
MARK = NM_PER_INCH // 64
MICRON = NM_PER_MM // 1000
KILOMETER = 10**12

marks = st.integers(-(KILOMETER // MARK), KILOMETER // MARK)
microns = st.integers(-KILOMETER // MICRON, KILOMETER // MICRON)
tape_like = st.text(alphabet="0123456789 /-+.'\"”’½⅓ftinmc,e−&and", max_size=14)


def by_id(rows: list[dict[str, Any]]) -> Any:
    return pytest.mark.parametrize("case", [pytest.param(row, id=row["id"]) for row in rows])


def length_or_refusal(text: str, unit: str = "in") -> int | LengthNotUnderstood:
    try:
        return parse_length(text, unit)
    except LengthNotUnderstood as refused:
        return refused


@by_id(VECTORS["accepted"])
def test_accepted(case: dict[str, Any]) -> None:
    assert parse_length(case["text"], case["unit"]) == int(case["nm"])


@by_id(VECTORS["refused"])
def test_refused(case: dict[str, Any]) -> None:
    with pytest.raises(LengthNotUnderstood) as caught:
        parse_length(case["text"] * case.get("times", 1), case["unit"])
    assert isinstance(caught.value, LengthAmbiguous) is case["ambiguous"]
    assert case["says"] in caught.value.reason
    assert list(caught.value.suggestions) == case["offers"]


def test_the_vector_file_counts_its_cases_and_has_enough_of_them() -> None:
    assert VECTORS["count"] == {what: len(VECTORS[what]) for what in ("accepted", "refused")}
    assert VECTORS["count"]["accepted"] >= 60
    assert VECTORS["count"]["refused"] >= 40
    ids = [case["id"] for case in VECTORS["accepted"] + VECTORS["refused"]]
    assert len(ids) == len(set(ids))


@given(marks, st.booleans())
@example(0, True)
@example(-64 * 12, True)
def test_a_tape_reading_comes_back_from_its_text(count: int, feet: bool) -> None:
    nm = count * MARK
    assert parse_length(format_length(nm, "us", feet)) == nm
    assert parse_length(format_plain(nm, "us")) == nm


@given(microns)
def test_a_metric_reading_comes_back_from_its_text(count: int) -> None:
    nm = count * MICRON
    assert parse_length(format_length(nm, "metric")) == nm
    assert parse_length(format_plain(nm, "metric"), "mm") == nm


@given(
    st.fractions(-KILOMETER + MARK, KILOMETER - MARK),
    st.sampled_from(["us", "metric"]),
    st.booleans(),
)
def test_a_number_off_the_marks_says_about_and_is_within_half_a_mark(
    nm: Fraction, system: str, feet: bool
) -> None:
    step = MICRON if system == "metric" else MARK
    shown = format_length(nm, system, feet)
    if nm and system == "us" and abs(nm) <= Fraction(MARK, 2):
        step = NM_PER_INCH // 1000  # no mark is as near as 0, which says nothing
    assert shown.startswith(("about ", "less than ")) is (nm % step != 0)
    near = Fraction(0) if shown.startswith("less") else parse_length(shown.removeprefix("about "))
    assert abs(near - nm) <= Fraction(step, 2)


@given(st.one_of(st.text(max_size=60), tape_like), st.sampled_from([*UNITS, "", "cubit"]))
def test_any_text_is_a_length_or_refused_with_a_sentence(text: str, unit: str) -> None:
    nm = length_or_refusal(text, unit)
    if isinstance(nm, LengthNotUnderstood):
        assert nm.reason[-1] in ".?"
        assert nm.reason.isprintable()
        for offered in nm.suggestions:
            parse_length(offered, unit)
    else:
        assert abs(nm) <= KILOMETER


@given(tape_like)
def test_a_minus_turns_a_length_round(text: str) -> None:
    nm = length_or_refusal("+" + text)
    if isinstance(nm, LengthNotUnderstood):
        return
    assert parse_length("-" + text) == -nm
    assert parse_length("\u2212" + text) == -nm


@given(st.integers(0, 40), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_the_ways_to_join_a_fraction_agree(whole: int, num: int, den: int) -> None:
    if num >= den:
        return
    meant = whole * NM_PER_INCH + num * NM_PER_INCH // den
    for join in (" ", "-", " and ", " & "):
        assert parse_length(f"{whole}{join}{num}/{den}") == meant
    assert parse_length(f"5'-{whole % 12} {num}/{den}\"") == 5 * NM_PER_FOOT + (
        (whole % 12) * NM_PER_INCH + num * NM_PER_INCH // den
    )


@pytest.mark.parametrize(
    ("nm", "system", "feet", "shown"),
    [
        (190_500_000, "us", False, "7 1/2 in"),
        (9_525_000, "us", False, "3/8 in"),
        (0, "us", True, "0 in"),
        (-3_175_000, "us", False, "-1/8 in"),
        (2_032_000_000, "us", True, "6 ft 8 in"),
        (2_032_000_000, "us", False, "80 in"),
        (-2_044_700_000, "us", True, "-6 ft 8 1/2 in"),
        (3_048_000_000, "us", True, "10 ft"),
        (279_400_000, "us", True, "11 in"),
        (Fraction(NM_PER_INCH, 3), "us", False, "about 21/64 in"),
        (NM_PER_FOOT - 1, "us", True, "about 1 ft"),
        (1, "us", False, "less than 0.001 in"),
        (63_500, "us", False, "about 0.002 in"),
        (-127_000, "us", False, "-0.005 in"),
        (190_500_000, "metric", False, "190.5 mm"),
        (-190_000_000, "metric", True, "-190 mm"),
        (396_875, "metric", False, "about 0.397 mm"),
        (190_512_400, "metric", False, "about 190.512 mm"),
        (Fraction(1, 3), "metric", False, "about 0 mm"),
    ],
)
def test_how_a_length_is_said(nm: int | Fraction, system: str, feet: bool, shown: str) -> None:
    assert format_length(nm, system, feet) == shown


def test_a_rounded_number_is_never_taken_for_a_reading() -> None:
    with pytest.raises(LengthNotUnderstood):
        parse_length(format_plain(Fraction(NM_PER_INCH, 3)))


@given(st.fractions(), st.integers(1, KILOMETER))
def test_the_steps_beside_a_number_are_strictly_beside_it(nm: Fraction, step: int) -> None:
    above, below = step_above(nm, step), step_below(nm, step)
    assert above % step == below % step == 0
    assert below < nm < above
    assert above - below == (2 * step if nm % step == 0 else step)


def test_a_tread_that_closes_a_gap_of_4_in_is_a_mark_thicker_than_what_would_just_do() -> None:
    just = parse_length("3 1/2")
    assert format_length(step_above(Fraction(just), NM_PER_INCH // 16)) == "3 9/16 in"
    assert format_length(step_below(Fraction(just), NM_PER_INCH // 16)) == "3 7/16 in"
