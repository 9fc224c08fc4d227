"""A reading a foot off among sixteenths is asked about; a slope, a step and noise are not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors_doubt import doubts
from fieldlog.calc.floors_survey import Stations, stations_of

FOOT = 304_800_000
SIXTEENTH = 1_587_500


def rough(rows: int, columns: int, seed: int) -> np.ndarray:
    """A floor of a few sixteenths up and down."""
    return np.random.default_rng(seed).integers(-3, 4, (rows, columns)) * SIXTEENTH


def floor(z: np.ndarray) -> Stations:
    return stations_of(z.tolist(), 2 * FOOT)


@given(st.integers(3, 9), st.integers(3, 9), st.integers(0, 99), st.data(),
       st.sampled_from([-FOOT, FOOT]))  # fmt: skip
def test_a_foot_off_is_asked_about_anywhere_and_alone(
    rows: int, columns: int, seed: int, data: st.DataObject, off: int
) -> None:
    z = rough(rows, columns, seed)
    cell = data.draw(st.tuples(st.integers(0, rows - 1), st.integers(0, columns - 1)))
    z[cell] += off
    found = doubts(floor(z))
    assert [doubt.cell for doubt in found] == [cell]
    assert abs(found[0].off - off) < 16 * SIXTEENTH
    assert found[0].height == z[cell]


@given(st.integers(3, 9), st.integers(3, 9), st.integers(0, 99), st.integers(-20, 20),
       st.integers(-20, 20))  # fmt: skip
def test_a_sloping_floor_is_not_asked_about(
    rows: int, columns: int, seed: int, right: int, down: int
) -> None:
    row, column = np.indices((rows, columns))
    z = rough(rows, columns, seed) + (right * column + down * row) * SIXTEENTH
    assert doubts(floor(z)) == ()


def test_a_step_in_the_floor_is_not_asked_about_along_its_edge() -> None:
    z = rough(8, 8, 4)
    z[:, 4:] -= 24 * SIXTEENTH
    assert doubts(floor(z)) == ()


@pytest.mark.parametrize("deviation", [1_000_000, 10_000_000])
def test_a_noisy_scan_is_not_asked_about(deviation: int) -> None:
    z = np.random.default_rng(1).normal(0, deviation, (150, 90)).astype(np.int64)
    assert doubts(floor(z)) == ()


def test_the_farthest_off_come_first_and_no_more_than_asked_for() -> None:
    z = rough(30, 30, 5)
    for n, cell in enumerate([(3, 3), (3, 20), (20, 3), (20, 20)], start=1):
        z[cell] += n * FOOT
    found = doubts(floor(z), most=3)
    assert [doubt.cell for doubt in found] == [(20, 20), (20, 3), (3, 20)]


def test_too_few_stations_say_nothing() -> None:
    assert doubts(stations_of([[0, FOOT]], FOOT)) == ()


def test_a_station_not_read_is_no_neighbor() -> None:
    rows: list[list[int | None]] = rough(5, 5, 6).tolist()
    rows[2][1] = None
    rows[2][2] = FOOT
    assert [doubt.cell for doubt in doubts(stations_of(rows, FOOT))] == [(2, 2)]
