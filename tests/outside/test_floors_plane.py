"""The best-fit plane against SciPy's least squares, and against the exact one of a small grid."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import lstsq

from fieldlog.calc import floors
from fieldlog.calc.floors_plane import lie_of
from fieldlog.calc.floors_survey import Stations, stations_of

FOOT = 304_800_000


def random_floor(rows: int, columns: int, seed: int, holes: bool) -> Stations:
    random = np.random.default_rng(seed)
    row, column = np.indices((rows, columns))
    z = (random.normal(0, 5e6, (rows, columns)) + 3e6 * column - 1e6 * row).astype(np.int64)
    known = random.random((rows, columns)) > (0.2 if holes else -1)
    return Stations(np.where(known, z, 0), known, FOOT, (0, 0), np.argwhere(known),
                    known.astype(np.int64))  # fmt: skip


@pytest.mark.parametrize("shape", [(3, 3), (9, 7), (60, 200)])
@pytest.mark.parametrize("holes", [False, True])
def test_the_plane_is_scipys(shape: tuple[int, int], holes: bool) -> None:
    stations = random_floor(*shape, seed=3, holes=holes)
    cells = np.argwhere(stations.mask)
    matrix = np.column_stack([cells[:, 1], cells[:, 0], np.ones(len(cells))])
    (x, y, offset), *_ = lstsq(matrix, stations.z[stations.mask].astype(float))
    lie = lie_of(stations)
    assert lie.slope_x is not None
    assert lie.slope_y is not None
    assert lie.offset is not None
    assert float(lie.slope_x * FOOT) == pytest.approx(x, rel=1e-9)
    assert float(lie.slope_y * FOOT) == pytest.approx(y, rel=1e-9)
    assert float(lie.offset) == pytest.approx(offset, rel=1e-9)


heights = st.one_of(st.none(), st.integers(-(10**9), 10**9))


@given(
    st.integers(1, 6).flatmap(
        lambda width: st.lists(st.tuples(*[heights] * width), min_size=1, max_size=6)
    ),
    st.sampled_from([1, FOOT]),
)
def test_it_is_the_exact_one(rows: list[tuple[int | None, ...]], spacing: int) -> None:
    grid = floors.Grid(tuple(rows), spacing)
    extremes = floors.high_low(grid)
    if extremes is None:
        return
    lie = lie_of(stations_of(rows, spacing))
    assert (lie.high, lie.low, lie.range) == tuple(extremes)
    try:
        plane = floors.plane(grid)
    except floors.PlaneNotDetermined:
        assert (lie.slope_x, lie.rise_over(FOOT), lie.downhill) == (None, None, "")
        return
    assert (lie.slope_x, lie.slope_y, lie.offset) == (plane.slope_x, plane.slope_y, plane.offset)
    assert lie.rise_over(FOOT) == plane.rise_over(FOOT)


def test_a_long_floor_leaves_no_integer() -> None:
    z = np.arange(400_000, dtype=np.int64).reshape(2, -1) * 1000
    stations = Stations(z, np.ones(z.shape, bool), 1, (0, 0), np.empty((0, 2), np.int64), z)
    assert lie_of(stations).slope_x == Fraction(1000)


@pytest.mark.parametrize(
    ("right", "down", "falls"),
    [(1, 0, "-x"), (-1, 0, "+x"), (0, 1, "-y"), (2, 2, "-x-y"), (-2, 2, "+x-y"), (10, 1, "-x"),
     (0, 0, "")],
)  # fmt: skip
def test_which_way_it_falls(right: int, down: int, falls: str) -> None:
    row, column = np.indices((4, 5))
    assert lie_of(stations_of((right * column + down * row).tolist(), FOOT)).downhill == falls
