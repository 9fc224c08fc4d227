"""Levelling runs, their closing, and tests of instruments."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.levelling import (
    Allowance,
    RunNotUsable,
    Sight,
    Tilt,
    close_run,
    level_run,
    load_allowances,
    turned,
    two_peg,
)
from fieldlog.calc.toml_text import DataFileError

MM, M = 1_000_000, 1_000_000_000
sights = st.lists(
    st.builds(Sight, st.integers(0, 3 * M), st.integers(0, 3 * M)), min_size=1, max_size=9
)


def allowed(per: str, value: int) -> Allowance:
    return Allowance("a", "A", per, value, "test", "memory")


@given(st.integers(-M, M), sights)
def test_backsights_less_foresights_are_last_less_first(start: int, run: list[Sight]) -> None:
    worked = level_run(start, run)
    assert worked.end - worked.start == worked.sum_back - worked.sum_fore


@given(st.integers(-M, M), sights, st.integers(-M, M))
def test_the_spread_ends_at_the_known_point_and_is_equal(
    start: int, run: list[Sight], known: int
) -> None:
    worked = level_run(start, run)
    closed = close_run(worked, known, allowed("loop", MM))
    assert closed.adjusted[-1] == known
    parts = [a - leg.elevation for a, leg in zip(closed.adjusted, worked.legs, strict=True)]
    steps = [b - a for a, b in zip([0, *parts], parts, strict=False)]
    assert max(steps) - min(steps) <= 1


def test_a_misclosure_at_the_allowance_is_within_it() -> None:
    four = level_run(0, [Sight(M, M)] * 3 + [Sight(M, M - 10 * MM)])
    assert close_run(four, 0, allowed("set-up", 5 * MM)).within  # 5 sqrt(4) = 10 mm
    assert not close_run(four, 0, allowed("set-up", 5 * MM - 1)).within
    assert close_run(four, 0, allowed("set-up", 5 * MM)).allowed == 10 * MM


def test_an_allowance_by_distance_needs_one() -> None:
    with pytest.raises(RunNotUsable, match="how long"):
        close_run(level_run(0, [Sight(1, 1)]), 0, allowed("kilometer", MM))


def test_no_set_up_is_no_run() -> None:
    with pytest.raises(RunNotUsable):
        level_run(0, [])


def test_pegs_at_equal_distances_show_nothing() -> None:
    with pytest.raises(RunNotUsable, match="nearer"):
        two_peg((0, 0), (0, 0), (M, M))


tilts = st.fractions(-1, 1, max_denominator=1000).map(lambda f: f / 1000)


@given(tilts, st.integers(0, 2 * M), st.integers(0, 2 * M))
def test_two_pegs_find_the_tilt_that_was_put_in(tilt: Fraction, a: int, b: int) -> None:
    off = Tilt(tilt)
    near, far, middle = 10 * M, 90 * M, 50 * M
    test = two_peg(
        (a + off.error_at(middle), b + off.error_at(middle)),
        (a + off.error_at(near), b + off.error_at(far)), (near, far),
    )  # fmt: skip
    assert test.true_difference == b - a
    assert abs(test.tilt.error_at(far) - off.error_at(far)) <= 2  # readings are whole nm


@given(tilts, tilts, st.integers(0, 2 * M), st.booleans())
def test_a_turned_laser_shows_both_tilts(
    along: Fraction, across: Fraction, level: int, four: bool
) -> None:
    far = 20 * M
    e, f = Tilt(along).error_at(far), Tilt(across).error_at(far)
    test = turned(level + e, level + f, level - e, far, level - f if four else None)
    assert test.level_reading == level
    assert (test.along.error_at(far), test.across.error_at(far)) == (e, f)
    assert test.worst.error_at(far) == max(abs(e), abs(f))


def test_a_mark_at_the_laser_shows_nothing() -> None:
    with pytest.raises(RunNotUsable, match="distance"):
        turned(1, 1, 1, 0)


def test_a_tilt_becomes_an_error_part_of_the_instrument() -> None:
    part = Tilt(Fraction(-1, 10_000)).part("plane of light leans", 5 * M, 25 * M)
    assert part is not None
    assert (part.half_width, part.scope) == (MM, "each")  # half of 2 mm
    assert Tilt(Fraction(0)).part("leans", 0, M) is None


ALLOWANCES = """\
id = "l"
title = "L"

[[allowance]]
id = "a"
label = "A"
per = "set-up"
value = "5 mm"
source = "S"
verified = "memory"
"""


@pytest.mark.parametrize(
    ("sound", "faulty", "line", "says"),
    [
        ('"set-up"', '"hour"', 7, "per is one of"),
        ('"5 mm"', '"5"', 8, "unit"),
        ('"5 mm"', '"0 mm"', 8, "above zero"),
        ('"S"', '""', 5, "source"),
        ('"memory"', '"sure"', 10, "verified"),
    ],
)
def test_a_faulty_file_names_its_line(sound: str, faulty: str, line: int, says: str) -> None:
    with pytest.raises(DataFileError, match=says) as refused:
        load_allowances(ALLOWANCES.replace(sound, faulty), "l.toml")
    assert refused.value.line == line
