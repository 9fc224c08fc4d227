"""Numbers that are not lengths: typed, kept exactly, said, and refused with a sentence."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.lengths import LengthNotUnderstood
from fieldlog.calc.roots import atan_microdegrees, root_nearest
from fieldlog.calc.units import MEASURES, parse_constant, parse_measure, say_error, say_measure


@pytest.mark.parametrize(
    ("measure", "text", "unit", "value"),
    [
        ("angle", "42 deg", "", 42_000_000),
        ("angle", "41.8", "", 41_800_000),
        ("angle", "30 1/2°", "", 30_500_000),
        ("angle", "-0.1 degrees", "", -100_000),
        ("slope", "1:48", "", Fraction(1, 48)),
        ("slope", "1 in 12", "", Fraction(1, 12)),
        ("slope", "2 %", "", Fraction(1, 50)),
        ("slope", "-2.5%", "", Fraction(-1, 40)),
        ("count", "4", "", 4),
        ("number", "0.5", "", Fraction(1, 2)),
        ("percent", "45", "", 45),
        ("percent", "45.5 %", "", Fraction(91, 2)),
        ("temperature", "70 F", "", Fraction(190, 9)),
        ("temperature", "-40 °C", "", -40),
        ("temperature", "-40 f", "", -40),
        ("temperature", "50", "F", 10),
        ("degrees", "5 F", "", Fraction(25, 9)),
        ("time", "48 h", "", 172_800),
        ("time", "2 days", "", 172_800),
        ("time", "90 min", "", 5400),
        ("weight", "50 lb", "", 22_679_618_500),
        ("date", "0001-01-02", "", 172_800),
        ("date", "2026-03-04", "", 739_679 * 86_400),
        ("date", "3/4/2026", "", 739_679 * 86_400),
        ("length", "7 3/4", "", 196_850_000),
        ("length", "4 in", "", 101_600_000),
    ],
)
def test_what_is_typed_is_kept_exactly(
    measure: str, text: str, unit: str, value: int | Fraction
) -> None:
    assert parse_measure(measure, text, unit) == value


@pytest.mark.parametrize(
    ("measure", "text", "says"),
    [
        ("angle", "42 in", "as in 40 deg"),
        ("angle", "1/3 deg", "millionth of a degree"),
        ("angle", "steep", "no number"),
        ("angle", "", "Nothing was typed"),
        ("slope", "2", "no slope"),
        ("date", "2026-02-30", "no date"),
        ("date", "3/4/26", "as in 2026-03-04"),
        ("date", "yesterday", "no date"),
        ("slope", "1:0", "nothing under it"),
        ("count", "4.5", "no whole number"),
        ("count", "-1", "less than nothing"),
        ("count", "4 in", "as in 4"),
        ("percent", "45 F", "as in 45 %"),
        ("temperature", "70", "has no unit"),
        ("temperature", "70 %", "as in 70 F"),
        ("time", "48", "has no unit"),
        ("number", "9" * 15 + "9", "no number"),
        ("number", "1e5", "as in"),
        ("number", "1/0", "zero under the line"),
        ("number", "4" * 41, "no number"),
        ("weight", "-3 lb", "less than nothing"),
        ("angle", "४२", "no number"),
    ],
)
def test_what_is_no_number_of_its_kind_is_refused(measure: str, text: str, says: str) -> None:
    with pytest.raises(LengthNotUnderstood, match=says):
        parse_measure(measure, text)


def test_a_bare_temperature_is_asked_about_with_both_units() -> None:
    with pytest.raises(LengthNotUnderstood) as caught:
        parse_measure("temperature", "21")
    assert caught.value.suggestions == ("21 F", "21 C")


@pytest.mark.parametrize(
    ("measure", "value", "system", "text"),
    [
        ("angle", 42_000_000, "us", "42 deg"),
        ("angle", 41_123_456, "us", "about 41.12 deg"),
        ("slope", Fraction(1, 48), "us", "1:48"),
        ("slope", Fraction(1, 50), "us", "2 %"),
        ("slope", Fraction(1, 47), "us", "1:47"),
        ("slope", Fraction(2, 47), "us", "about 4.26 %"),
        ("count", 4, "us", "4"),
        ("percent", Fraction(91, 2), "us", "45.5 %"),
        ("temperature", Fraction(190, 9), "us", "70 F"),
        ("temperature", 21, "metric", "21 C"),
        ("degrees", Fraction(25, 9), "us", "5 F"),
        ("time", 172_800, "us", "48 h"),
        ("time", 1800, "us", "30 min"),
        ("weight", 22_679_618_500, "us", "50 lb"),
        ("length", 196_850_000, "us", "7 3/4 in"),
    ],
)
def test_a_value_is_said_with_its_unit(
    measure: str, value: int | Fraction, system: str, text: str
) -> None:
    assert say_measure(measure, value, system) == text


def test_an_error_is_rounded_up() -> None:
    assert say_error("angle", Fraction(57_735), "us") == "0.058 deg"
    assert say_error("slope", Fraction(1, 1000), "us") == "0.1 %"
    assert say_error("temperature", Fraction(1), "us") == "1.8 F"


@given(st.sampled_from(sorted(MEASURES)), st.text(max_size=45))
def test_any_text_is_a_number_or_refused_with_a_sentence(measure: str, text: str) -> None:
    said = "understood"
    try:
        say_measure(measure, parse_measure(measure, text))
    except LengthNotUnderstood as err:
        said = str(err)
    assert said.strip()


@given(st.sampled_from(sorted(MEASURES)), st.integers(0, 10**9))
def test_what_is_said_is_understood_again(measure: str, value: int) -> None:
    said = say_measure(measure, value)
    if "about" not in said and "less" not in said:
        assert parse_measure(measure, said) == value


def test_a_constant_says_its_kind_by_its_unit() -> None:
    assert parse_constant("42 deg") == (42_000_000, "angle")
    assert parse_constant("1:48") == (Fraction(1, 48), 0)
    assert parse_constant("85 %") == (85, "percent")
    assert parse_constant("4 in") == (101_600_000, 1)


@given(st.integers(0, 10**12), st.integers(0, 10**12))
def test_an_angle_is_the_nearest_microdegree(p: int, q: int) -> None:
    """Against the platform's arctangent, which is good to far less than a microdegree."""
    if p or q:
        assert abs(atan_microdegrees(p, q) - math.degrees(math.atan2(p, q)) * 1e6) < 0.50001
        assert atan_microdegrees(p, q) + atan_microdegrees(q, p) in (
            89_999_999,
            90_000_000,
            90_000_001,
        )


@given(st.integers(0, 10**20), st.integers(1, 10**6))
def test_a_root_is_the_nearest_integer(n: int, d: int) -> None:
    root = root_nearest(n, d)
    assert (2 * root - 1) ** 2 * d <= 4 * n or root == 0
    assert 4 * n < (2 * root + 1) ** 2 * d
