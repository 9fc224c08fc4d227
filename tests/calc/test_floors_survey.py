"""Readings as surveys and stations; what no floor can be judged by."""

from __future__ import annotations

import numpy as np
import pytest

from fieldlog.calc.floors_survey import (
    SurveyNotUsable,
    about,
    stations_of,
    survey_of,
)

FOOT = 304_800_000


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ([], "no readings"),
        ([(0, 0, 0), (FOOT, 0, 0)], "three readings"),
        ([(0, 0), (1, 1)], "three numbers"),
        ([(0, 0, 0), (0, 1, 0), (10**13, 0, 0)], "1 km"),
        ([(0, 0, 0), (0, 1, 0), (10**400, 0, 0)], "1 km"),
        ([(0, 0, 0), (0, 1, 0), (1, 0, 2 * 10**10)], "differ by more than 10 m"),
    ],
)
def test_what_is_no_survey_is_said_in_a_sentence(points: list[tuple[int, ...]], says: str) -> None:
    with pytest.raises(SurveyNotUsable, match=says) as refused:
        survey_of(points)
    assert refused.value.sentence.endswith((".", "?"))


def test_an_array_of_points_is_checked_the_same() -> None:
    with pytest.raises(SurveyNotUsable, match="no readings"):
        survey_of(np.empty((0, 3), dtype=np.int64))
    with pytest.raises(SurveyNotUsable, match="1 km"):
        survey_of(np.full((4, 3), 10**13))
    assert len(survey_of(np.zeros((4, 3), dtype=np.int64))) == 4


def test_stations_of_a_form() -> None:
    stations = stations_of([[5, None], [0, 7]], 2 * FOOT)
    assert (stations.shape, stations.known) == ((2, 2), 3)
    assert stations.order.tolist() == [[0, 0], [1, 0], [1, 1]]
    assert [stations.height((0, 0)), stations.height((0, 1))] == [5, None]
    assert stations.xy((1, 1)) == (2 * FOOT, 2 * FOOT)
    assert stations.per_reading(stations.z).tolist() == [5, 0, 7]
    raised = stations.with_heights(stations.z + 1)
    assert raised.z.tolist() == [[6, 0], [1, 8]]  # what is not known stays so


@pytest.mark.parametrize(
    ("rows", "spacing", "says"),
    [
        ([], FOOT, "same number"),
        ([[]], FOOT, "same number"),
        ([[1, 2], [3]], FOOT, "same number"),
        ([[1, 2]], 0, "more than zero"),
        ([[None, None]], FOOT, "No station"),
    ],
)
def test_rows_that_are_no_grid(rows: list[list[int | None]], spacing: int, says: str) -> None:
    with pytest.raises(SurveyNotUsable, match=says):
        stations_of(rows, spacing)


def test_a_place_is_said_in_feet() -> None:
    assert [about(n) for n in (0, 10 * FOOT, -FOOT // 2, FOOT // 3, -1)] == [
        "0 ft", "10 ft", "-0.5 ft", "0.33 ft", "0 ft",
    ]  # fmt: skip
