"""F-numbers: which lines of a survey count, and why a survey does not qualify."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors_fnumbers import combined, f_numbers, f_numbers_of
from fieldlog.calc.floors_survey import Stations, stations_of

FOOT, MM = 304_800_000, 1_000_000


def floor(rows: int, columns: int, spacing: int, seed: int = 1) -> Stations:
    z = np.random.default_rng(seed).integers(-5 * MM, 5 * MM, (rows, columns))
    return stations_of(z.tolist(), spacing)


def test_a_survey_on_one_foot_qualifies_by_lines_four_feet_apart() -> None:
    numbers = f_numbers_of(floor(20, 20, FOOT))
    assert numbers.qualifies
    assert len(numbers.lines) == 10  # rows 0 4 8 12 16, and columns
    assert {len(line.q) for line in numbers.lines} == {18}
    assert {len(line.z) for line in numbers.lines} == {10}
    assert numbers.ff is not None
    assert numbers.fl is not None
    assert "weighted" in numbers.composite


def test_readings_in_between_are_passed_over() -> None:
    numbers = f_numbers_of(floor(40, 40, FOOT // 2))
    assert {len(line.q) for line in numbers.lines} == {18}
    assert len(numbers.lines) == 10


def test_a_metric_survey_qualifies_too() -> None:
    assert f_numbers_of(floor(20, 20, 300 * MM)).qualifies


@pytest.mark.parametrize(
    ("stations", "says"),
    [
        (floor(20, 20, 2 * FOOT), "do not stand 12 in"),
        (floor(9, 9, FOOT), "no line of readings"),
        (floor(5, 30, FOOT), "less than 8 ft wide"),
        (floor(13, 13, FOOT), "smaller than 320 sq ft"),
    ],
)
def test_why_a_survey_does_not_qualify(stations: Stations, says: str) -> None:
    numbers = f_numbers_of(stations)
    assert not numbers.qualifies
    assert any(says in reason for reason in numbers.why_not)


def test_a_line_is_cut_at_a_blocked_station() -> None:
    rows: list[list[int | None]] = floor(20, 20, FOOT).z.tolist()
    rows[0][13] = None
    numbers = f_numbers_of(stations_of(rows, FOOT))
    assert len(numbers.lines[0].q) == 11  # 13 readings before it


def test_a_short_line_is_counted_against_it() -> None:
    numbers = f_numbers([[0, 1, 5], list(range(0, 120, 7))])
    assert numbers.why_not == ("1 of 2 lines have fewer than 12 readings (11 ft).",)


def test_a_perfect_line_has_no_f_number_for_it_would_be_endless() -> None:
    line = f_numbers([[0] * 12]).lines[0]
    assert (line.ff, line.fl) == (None, None)


def test_a_sloping_line_is_flat_and_not_level() -> None:
    line = f_numbers([[n * MM for n in range(14)]]).lines[0]
    assert line.ff is None
    # z is 10 mm everywhere: 12.5 in / 10 mm
    assert line.fl == Fraction("31.75")


@given(st.lists(st.integers(-(10**7), 10**7), min_size=12, max_size=30), st.integers(1, 20))
def test_a_floor_ten_times_as_rough_has_a_tenth_of_it(line: list[int], times: int) -> None:
    one, more = f_numbers([line]), f_numbers([[times * h for h in line]])
    assert (one.ff is None) == (more.ff is None)
    if one.ff is not None and more.ff is not None:
        assert abs(one.ff / times - more.ff) <= Fraction(1, 100)


@given(st.integers(1, 100), st.integers(1, 50), st.integers(1, 50))
def test_lines_of_one_number_combine_to_it(f: int, a: int, b: int) -> None:
    assert combined([(Fraction(f), a), (Fraction(f), b), (None, 7)]) == f
    assert combined([]) is None
