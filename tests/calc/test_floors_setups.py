"""Set-ups joined by shared points."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors_setups import join, on_planes
from fieldlog.calc.floors_survey import SurveyNotUsable
from fieldlog.calc.levelling import Sight, level_run
from fieldlog.calc.uncertainty import ErrorPart

ROD = (ErrorPart("rod", Fraction(30), "rectangular", "each", "test"),)


def test_two_set_ups_are_joined_by_the_point_both_read() -> None:
    joined = join([{(0, 0): 1000, (0, 1): 1010}, {(0, 1): 400, (0, 2): 390}])
    assert joined.heights == {(0, 0): -1000, (0, 1): -1010, (0, 2): -1000}
    assert joined.planes == (0, -610)
    assert [m.size for m in joined.misfits] == [0]


def test_a_misfit_is_shown_and_spread() -> None:
    joined = join([{(0, 0): 0, (0, 1): 0}, {(0, 0): 0, (0, 1): 100}])
    assert [m.size for m in joined.misfits] == [50, 50]
    assert joined.heights == {(0, 0): 25, (0, 1): -25}


def test_a_misfit_is_told_from_noise() -> None:
    joined = join([{(0, 0): 0, (0, 1): 0}, {(0, 0): 0, (0, 1): 90}])
    # 2 u of a difference is 2 * sqrt(2) * 30 / sqrt(3) = 49
    assert not joined.misfits[0].more_than_noise(ROD)
    worse = join([{(0, 0): 0, (0, 1): 0}, {(0, 0): 0, (0, 1): 99}])
    assert worse.misfits[0].more_than_noise(ROD)


heights = st.lists(st.integers(-10_000, 10_000), min_size=3, max_size=12)


@given(heights, st.lists(st.integers(0, 10**6), min_size=2, max_size=5))
def test_set_ups_without_error_give_the_floor_back(floor: list[int], planes: list[int]) -> None:
    # each set-up reads some of the points, and one that the next one reads too
    set_ups = []
    for n, plane in enumerate(planes):
        points = {n % len(floor), (n + 1) % len(floor), *range(n, len(floor), 3)}
        set_ups.append({(0, k): plane - floor[k] for k in points})
    joined = join(set_ups)
    assert all(m.size == 0 for m in joined.misfits)
    for (row, k), height in joined.heights.items():
        assert (row, height) == (0, floor[k] - planes[0])


@given(st.permutations(range(4)))
def test_the_order_of_set_ups_changes_no_difference_of_heights(order: list[int]) -> None:
    set_ups = [
        {(0, 0): 10, (0, 1): 25}, {(0, 1): 27, (0, 2): 31}, {(0, 2): 40, (0, 0): 18},
        {(0, 0): 5, (0, 1): 19, (0, 2): 26},
    ]  # fmt: skip
    plain, other = join(set_ups), join([set_ups[i] for i in order])
    shift = other.planes[order.index(0)]
    assert set(plain.heights) == {(0, 0), (0, 1), (0, 2)}
    for cell, height in plain.heights.items():
        assert abs(other.heights[cell] - shift - height) <= 1  # each is rounded to a whole nm


def test_planes_known_from_a_levelling_run() -> None:
    run = level_run(100, [Sight(50, 20), Sight(30, 40)])
    planes = [leg.height_of_instrument for leg in run.legs]
    joined = on_planes([{(0, 0): 50}, {(0, 0): 57, (0, 1): 40}], planes)
    assert joined.heights == {(0, 0): 102, (0, 1): 120}
    assert joined.misfits[0].size == 3


@pytest.mark.parametrize(
    ("set_ups", "says"),
    [
        ([], "1 to"),
        ([{}], "1 to"),
        ([{(0, 0): 1}] * 51, "1 to"),
        ([{(0, 0): 1}, {(0, 1): 1}], "Set-up 2 shares no point"),
        ([{(0, 0): 1}, {(0, 0): 1, (0, 1): 2}, {(5, 5): 1}], "Set-up 3 shares no point"),
    ],
)
def test_set_ups_that_cannot_be_joined(
    set_ups: list[dict[tuple[int, int], int]], says: str
) -> None:
    with pytest.raises(SurveyNotUsable, match=says):
        join(set_ups)


def test_a_plane_is_needed_for_each() -> None:
    with pytest.raises(SurveyNotUsable, match="height of its plane"):
        on_planes([{(0, 0): 1}], [])
