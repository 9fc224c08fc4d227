"""Chords that break a limit, against every pair of contacts over every station."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors import Kind
from fieldlog.calc.floors_chords import chords_over
from fieldlog.calc.floors_edge import DIRECTIONS, gap_map
from fieldlog.calc.floors_passes import reach
from fieldlog.calc.floors_survey import Stations, stations_of

STEPS = {"row": (0, 1), "column": (1, 0), "diagonal": (1, 1), "cross diagonal": (1, -1)}


@st.composite
def floors_of_stations(draw: st.DrawFn) -> Stations:
    width = draw(st.integers(1, 6))
    height = st.one_of(st.none(), st.integers(-20, 20))
    rows = draw(st.lists(st.tuples(*[height] * width), min_size=1, max_size=6))
    if all(z is None for row in rows for z in row):
        rows[0] = (0,) * width
    return stations_of(rows, 3)


def broken_by_brute_force(
    stations: Stations, edge: int, kind: Kind, limit: int
) -> dict[tuple[int, str], Fraction]:
    """The worst gap of each station and direction that breaks the limit."""
    sign = 1 if kind == "hollow" else -1
    rows, columns = stations.shape
    broken: dict[tuple[int, str], Fraction] = {}
    for direction, (down, right) in STEPS.items() if edge >= 6 else ():
        far = reach(3, edge, direction)
        for place in range(rows * columns):
            row, column = divmod(place, columns)
            for back in range(1, far):
                for ahead in range(1, far + 1 - back):
                    cells = [(row - back * down, column - back * right),
                             (row + ahead * down, column + ahead * right),
                             (row, column)]  # fmt: skip
                    if any(not (0 <= r < rows and 0 <= c < columns) for r, c in cells):
                        continue
                    if any(stations.height(cell) is None for cell in cells):
                        continue
                    a, b, k = (int(stations.z[cell]) for cell in cells)
                    gap = sign * (Fraction(a * ahead + b * back, back + ahead) - k)
                    if gap > max(limit, broken.get((place, direction), 0)):
                        broken[place, direction] = gap
    return broken


@given(
    floors_of_stations(), st.integers(3, 20), st.sampled_from(["hollow", "hump"]),
    st.integers(0, 9),
)  # fmt: skip
def test_each_station_and_direction_has_its_worst_chord(
    stations: Stations, edge: int, kind: Kind, limit: int
) -> None:
    chords = chords_over(stations, edge, kind, limit)
    gaps = chords.gaps(stations.z.ravel(), kind)
    found = sorted(
        (int(at), Fraction(int(gap), int(run)))
        for at, gap, run in zip(chords.at, gaps, chords.run, strict=True)
    )
    expected = broken_by_brute_force(stations, edge, kind, limit)
    assert found == sorted((place, gap) for (place, _), gap in expected.items())
    assert set(chords.at.tolist()) == set(
        np.flatnonzero(gap_map(stations, edge, kind) > limit).tolist()
    )


def test_a_chord_says_where_its_contacts_are() -> None:
    stations = stations_of([[0, 0, 0], [0, -9, 4], [0, 0, 0]], 10)
    chords = chords_over(stations, 20, "hollow", 8, directions=2)
    rows = list(zip(chords.start, chords.at, chords.end, chords.along, chords.run, strict=True))
    assert [tuple(int(v) for v in row) for row in rows] == [(3, 4, 5, 1, 2), (1, 4, 7, 1, 2)]


def test_every_direction_is_named() -> None:
    assert set(STEPS) == set(DIRECTIONS)
