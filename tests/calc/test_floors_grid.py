"""Points to stations: the grid they were read on is found, scans are gathered into cells."""

from __future__ import annotations

from statistics import median

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors_grid import survey_from_points
from fieldlog.calc.floors_survey import Stations, SurveyNotUsable, survey_of

FOOT, INCH, MM = 304_800_000, 25_400_000, 1_000_000
Points = list[tuple[int, int, int]]


def gridded(points: Points | np.ndarray, cell: int | None = None, system: str = "us") -> Stations:
    return survey_from_points(survey_of(points), cell=cell, system=system)


def on_a_grid(columns: int, rows: int, across: int, along: int = 0) -> Points:
    return [
        (c * across, r * (along or across), 100 * r + c)
        for r in range(rows)
        for c in range(columns)
    ]


@given(
    st.integers(2, 9), st.integers(2, 9),
    st.sampled_from([FOOT, 2 * FOOT, 18 * INCH, 300 * MM, 600 * MM, 12_345_678]),
    st.integers(-100 * FOOT, 100 * FOOT), st.data(),
)  # fmt: skip
def test_any_square_grid_is_found_in_any_order_with_gaps(
    columns: int, rows: int, spacing: int, shift: int, data: st.DataObject
) -> None:
    points = [(x + shift, y - shift, z) for x, y, z in on_a_grid(columns, rows, spacing)]
    left_out = data.draw(st.sets(st.integers(0, len(points) - 1), max_size=len(points) // 4))
    kept = [p for n, p in enumerate(points) if n not in left_out]
    kept = data.draw(st.permutations(kept))
    if len({x for x, *_ in kept}) < columns or len({y for _, y, _ in kept}) < rows:
        return
    stations = gridded(kept)
    assert not stations.gridded
    assert (stations.spacing, stations.shape) == (spacing, (rows, columns))
    assert stations.origin == (shift, -shift)
    assert stations.per_reading(stations.z).tolist() == [z for *_, z in kept]
    assert int(stations.counts.sum()) == stations.known == len(kept)


def test_places_rounded_to_thousandths_of_a_foot_are_a_grid() -> None:
    points = [(round(c * 1000 / 3) * FOOT // 1000, r * FOOT // 3, 0)
              for c in range(7) for r in range(5)]  # fmt: skip
    stations = gridded(points)
    assert (stations.spacing, stations.shape) == (FOOT // 3, (5, 7))


def test_a_rod_set_an_inch_off_its_mark_is_still_on_the_grid() -> None:
    random = np.random.default_rng(2)
    points = [(x + int(random.integers(-INCH, INCH)), y + int(random.integers(-INCH, INCH)), z)
              for x, y, z in on_a_grid(7, 9, 2 * FOOT)]  # fmt: skip
    stations = gridded(points)
    assert (stations.spacing, stations.shape, stations.gridded) == (2 * FOOT, (9, 7), False)


def test_two_spacings_have_a_common_one() -> None:
    stations = gridded(on_a_grid(4, 3, 2 * FOOT, 3 * FOOT))
    assert (stations.spacing, stations.shape, stations.known) == (FOOT, (7, 7), 12)


def test_rows_four_feet_apart_of_readings_one_foot_apart() -> None:
    stations = gridded(on_a_grid(14, 3, FOOT, 4 * FOOT))
    assert (stations.spacing, stations.shape, stations.known) == (FOOT, (9, 14), 42)


def scan(count: int, seed: int = 1) -> np.ndarray:
    random = np.random.default_rng(seed)
    return np.stack(
        [random.integers(0, 20 * FOOT, count), random.integers(0, 15 * FOOT, count),
         random.integers(-INCH, INCH, count)], axis=1,
    )  # fmt: skip


@pytest.mark.parametrize(("system", "unit"), [("us", INCH), ("metric", 25 * MM)])
def test_a_scan_is_gathered_into_cells_of_a_size_people_use(system: str, unit: int) -> None:
    stations = gridded(scan(20_000), system=system)
    assert stations.gridded
    assert stations.spacing % unit == 0
    assert 3 < stations.counts[stations.mask].mean() < 10


def test_a_cell_has_the_median_of_its_readings_and_their_count() -> None:
    points = scan(3000)
    stations = gridded(points, cell=2 * FOOT)
    assert (stations.spacing, stations.gridded) == (2 * FOOT, True)
    for row, column in ((0, 0), (3, 4), (7, 9)):
        mine = (stations.order[:, 0] == row) & (stations.order[:, 1] == column)
        assert stations.counts[row, column] == mine.sum() > 0
        assert stations.z[row, column] == median(points[mine, 2].tolist()) // 1
        x, y = stations.xy((row, column))
        assert np.abs(points[mine, 0] - x).max() <= FOOT
        assert np.abs(points[mine, 1] - y).max() <= FOOT


def test_every_reading_is_in_a_cell() -> None:
    stations = gridded(scan(3000), cell=FOOT)
    assert int(stations.counts.sum()) == len(stations.order) == 3000


def test_few_points_on_no_grid_have_a_cell_each_more_or_less() -> None:
    random = np.random.default_rng(3)
    points = np.stack([random.integers(0, 14 * FOOT, 60), random.integers(0, 18 * FOOT, 60),
                       random.integers(0, INCH, 60)], axis=1)  # fmt: skip
    stations = gridded(points)
    assert stations.gridded
    assert stations.counts[stations.mask].mean() < 2.5


def test_a_scan_in_whole_millimeters_is_no_grid_of_millimeters() -> None:
    points = scan(50_000)
    points[:, :2] = points[:, :2] // MM * MM
    assert gridded(points).gridded


NOT_USABLE = [
    ([(n * FOOT, 0, 0) for n in range(9)], "one line"),
    ([(n * FOOT, 2 * n * FOOT, n) for n in range(9)], "one line"),
    ([(0, 0, 0)] * 9, "one line"),
    ([*on_a_grid(4, 4, FOOT), (FOOT, 2 * FOOT, 5)], r"Readings 10 and 17 .*\(x 1 ft, y 2 ft\)"),
]


@pytest.mark.parametrize(("points", "says"), NOT_USABLE)
def test_what_no_floor_can_be_judged_by(points: Points, says: str) -> None:
    with pytest.raises(SurveyNotUsable, match=says):
        gridded(points)


def test_two_readings_of_one_place_have_a_median_where_a_cell_is_given() -> None:
    stations = gridded([*on_a_grid(4, 4, FOOT), (FOOT, 2 * FOOT, 900)], cell=FOOT)
    assert stations.counts.max() == 2


def test_cells_too_small_or_none_are_said_so() -> None:
    with pytest.raises(SurveyNotUsable, match="larger cells"):
        gridded([(0, 0, 0), (1000 * FOOT, 0, 0), (0, 1000 * FOOT, 0)], cell=INCH)
    with pytest.raises(SurveyNotUsable, match="larger than nothing"):
        gridded(on_a_grid(3, 3, FOOT), cell=0)
