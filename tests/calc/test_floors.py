"""Floors: the worst straightedge against brute force, hand-made floors, the exact plane."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors import (
    Grid,
    GridMalformed,
    Kind,
    PlaneNotDetermined,
    Worst,
    high_low,
    plane,
    worst_under,
)

FOOT = 304_800_000
SIXTEENTH = 1_587_500


def floor(*rows: str, spacing: int = 2 * FOOT) -> Grid:
    """A grid from rows of sixteenths; a dot is a station that was not read."""
    return Grid(
        tuple(tuple(None if t == "." else int(t) * SIXTEENTH for t in row.split()) for row in rows),
        spacing,
    )


def by_brute_force(grid: Grid, edge: int, kind: Kind) -> Worst | None:
    """Every triple of stations on every line, in reading order; the definition itself."""
    best: Worst | None = None
    best_raw = Fraction(0)
    height, width = len(grid.rows), len(grid.rows[0])
    lines = [[(r, c) for c in range(width)] for r in range(height)]
    lines += [[(r, c) for r in range(height)] for c in range(width)]
    sign = 1 if kind == "hollow" else -1
    for line in lines:
        triples = [(a, b, k) for a, k, b in combinations(range(len(line)), 3)]
        for a, b, k in sorted(triples):
            cells = [line[a], line[b], line[k]]
            heights = [grid.rows[r][c] for r, c in cells]
            if (b - a) * grid.spacing > edge or None in heights or edge < 2 * grid.spacing:
                continue
            along = Fraction(k - a, b - a)
            weights = (sign * (1 - along), sign * along, Fraction(-sign))
            raw = sum((w * (z or 0) for w, z in zip(weights, heights, strict=True)), Fraction(0))
            if best is None or raw > best_raw:
                best_raw = raw
                paired = tuple(zip(cells, weights, strict=True))
                best = Worst(kind, max(raw, Fraction(0)), cells[0], cells[1], cells[2], paired)
    return best


# Few different heights, so that ties are common; some stations blocked.
heights = st.one_of(st.none(), st.integers(-3, 3), st.integers(-(10**9), 10**9))


@st.composite
def grids(draw: st.DrawFn) -> Grid:
    width = draw(st.integers(1, 6))
    rows = draw(st.lists(st.tuples(*[heights] * width), min_size=1, max_size=6))
    return Grid(tuple(rows), draw(st.sampled_from([1, 3, FOOT])))


@given(grids(), st.integers(0, 8), st.sampled_from(["hollow", "hump"]))
def test_worst_equals_brute_force_ties_included(grid: Grid, intervals: int, kind: Kind) -> None:
    edge = intervals * grid.spacing
    assert worst_under(grid, edge, kind) == by_brute_force(grid, edge, kind)


@given(grids(), st.integers(2, 8))
def test_a_hump_is_a_hollow_of_the_floor_turned_over(grid: Grid, intervals: int) -> None:
    turned = Grid(
        tuple(tuple(None if z is None else -z for z in row) for row in grid.rows), grid.spacing
    )
    hump = worst_under(grid, intervals * grid.spacing, "hump")
    hollow = worst_under(turned, intervals * grid.spacing, "hollow")
    assert (hump is None) == (hollow is None)
    if hump is not None and hollow is not None:
        assert (hump.gap, hump.start, hump.end, hump.at) == (
            hollow.gap, hollow.start, hollow.end, hollow.at,
        )  # fmt: skip


@given(grids(), st.integers(2, 8), st.sampled_from(["hollow", "hump"]))
def test_the_weights_make_the_gap(grid: Grid, intervals: int, kind: Kind) -> None:
    worst = worst_under(grid, intervals * grid.spacing, kind)
    if worst is None:
        return
    total = Fraction(0)
    for (r, c), weight in worst.weights:
        height = grid.rows[r][c]
        assert height is not None
        total += weight * height
    assert worst.gap == max(total, Fraction(0))
    assert sum(w for _, w in worst.weights) == 0  # a shared error of the rod cancels


def test_a_single_low_spot_is_a_hollow_of_its_depth() -> None:
    grid = floor("0 0 0 0", "0 0 -4 0", "0 0 0 0")
    worst = worst_under(grid, 10 * FOOT, "hollow")
    assert worst is not None
    assert worst.gap == 4 * SIXTEENTH
    assert (worst.start, worst.end, worst.at) == ((1, 0), (1, 3), (1, 2))


def test_a_crowned_floor_has_no_hollow_but_a_hump() -> None:
    grid = floor("0 3 4 3 0")
    hollow, hump = worst_under(grid, 10 * FOOT, "hollow"), worst_under(grid, 10 * FOOT, "hump")
    assert hollow is not None
    assert hollow.gap == 0
    assert hump is not None
    assert hump.gap == 4 * SIXTEENTH
    assert (hump.start, hump.end, hump.at) == ((0, 0), (0, 4), (0, 2))


def test_a_tilted_plane_has_neither() -> None:
    grid = Grid(tuple(tuple(5 * c - 7 * r for c in range(6)) for r in range(5)), FOOT)
    for kind in ("hollow", "hump"):
        worst = worst_under(grid, 4 * FOOT, kind)
        assert worst is not None
        assert worst.gap == 0


def test_a_ridge_is_a_hump_across_and_nothing_along() -> None:
    grid = floor("0 0 5 0 0", "0 0 5 0 0", "0 0 5 0 0")
    hump = worst_under(grid, 4 * FOOT, "hump")
    assert hump is not None
    assert hump.gap == 5 * SIXTEENTH
    assert hump.start[0] == hump.end[0]
    alone = worst_under(floor("5", "5", "5"), 4 * FOOT, "hump")
    assert alone is not None
    assert alone.gap == 0


def test_the_edge_reaches_no_farther_than_it_is_long() -> None:
    grid = floor("0 -1 -2 -3 -2 -1 0")
    short, long = worst_under(grid, 5 * FOOT, "hollow"), worst_under(grid, 12 * FOOT, "hollow")
    assert short is not None
    assert long is not None
    assert short.gap == 1 * SIXTEENTH  # contacts 4 ft apart, about the lowest station
    assert long.gap == 3 * SIXTEENTH


def test_a_blocked_station_between_is_skipped() -> None:
    worst = worst_under(floor("0 . -2 0"), 10 * FOOT, "hollow")
    assert worst is not None
    assert worst.gap == 2 * SIXTEENTH
    assert (worst.start, worst.end, worst.at) == ((0, 0), (0, 3), (0, 2))


@pytest.mark.parametrize("rows", [("0 1",), ("0 . 1",), ("0 1", "2 3"), (". .", ". .")])
def test_no_line_with_three_known_stations_is_not_measured(rows: tuple[str, ...]) -> None:
    assert worst_under(floor(*rows), 10 * FOOT, "hollow") is None


def test_a_spacing_that_cannot_resolve_the_edge_is_not_measured() -> None:
    grid = floor("0 5 0 5 0")
    assert worst_under(grid, 1 * FOOT, "hump") is None
    assert worst_under(grid, 4 * FOOT - 1, "hump") is None
    assert worst_under(grid, 4 * FOOT, "hump") is not None


def test_equal_gaps_take_the_first_row_before_the_first_column() -> None:
    worst = worst_under(floor("0 0 0", "0 -2 0", "0 0 0"), 4 * FOOT, "hollow")
    assert worst is not None
    assert (worst.start, worst.end) == ((1, 0), (1, 2))


def test_high_and_low_are_the_first_of_equals() -> None:
    found = high_low(floor("0 3 3", "-2 . -2"))
    assert found == ((0, 1), (1, 0), 5 * SIXTEENTH)
    assert high_low(floor(". .")) is None


def test_the_plane_of_a_plane_has_no_residuals() -> None:
    grid = Grid(tuple(tuple(30 + 3 * c - 4 * r for c in range(4)) for r in range(3)), 100)
    fitted = plane(grid)
    assert (fitted.slope_x, fitted.slope_y) == (Fraction(3, 100), Fraction(-4, 100))
    assert fitted.offset == 30
    assert all(z == 0 for row in fitted.residuals for z in row)
    assert fitted.slope_squared == Fraction(25, 10_000)
    assert fitted.rise_over(200) == 10


@given(grids())
def test_the_plane_is_the_least_squares_one(grid: Grid) -> None:
    """Residuals of a least-squares plane are orthogonal to 1, x and y: exactly."""
    known = [cell for cell, _ in grid.known()]
    try:
        fitted = plane(grid)
    except PlaneNotDetermined:
        directions = {(r - known[0][0], c - known[0][1]) for r, c in known}
        assert all(a[0] * b[1] == a[1] * b[0] for a in directions for b in directions)
        return
    residual = {(r, c): fitted.residuals[r][c] for r, c in known}
    values = [(r, c, z) for (r, c), z in residual.items() if z is not None]
    assert len(values) == len(known)
    assert sum(z for _, _, z in values) == 0
    assert sum(z * c for _, c, z in values) == 0
    assert sum(z * r for r, _, z in values) == 0


@pytest.mark.parametrize("rows", [("0 1 2 3",), ("0 . .", ". 1 .", ". . 2"), (".",), ("0 1",)])
def test_stations_on_one_line_determine_no_plane(rows: tuple[str, ...]) -> None:
    with pytest.raises(PlaneNotDetermined, match="three stations"):
        plane(floor(*rows))


@pytest.mark.parametrize(
    ("rows", "spacing", "words"),
    [((), 1, "no stations"), (((),), 1, "no stations"), (((1, 2), (1,)), 1, "Row 2 has 1"),
     (((1,),), 0, "spacing")],
)  # fmt: skip
def test_a_malformed_grid_says_what_is_wrong(
    rows: tuple[tuple[int, ...], ...], spacing: int, words: str
) -> None:
    with pytest.raises(GridMalformed, match=words):
        Grid(rows, spacing)


def test_json_carries_fractions_as_text() -> None:
    worst = worst_under(floor("0 -1 0 0"), 10 * FOOT, "hollow")
    fitted = plane(floor("0 0", "0 1"))
    assert worst is not None
    assert worst.as_json() == {
        "kind": "hollow", "gap": "1587500", "start": [0, 0], "end": [0, 2], "at": [0, 1],
        "weights": [[[0, 0], "1/2"], [[0, 2], "1/2"], [[0, 1], "-1"]],
    }  # fmt: skip
    assert fitted.as_json()["residuals"] == [["396875", "-396875"], ["-396875", "396875"]]
