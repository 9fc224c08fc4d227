"""The straightedge in four directions: against every triple, hand-made floors, and its maps."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc import floors
from fieldlog.calc.floors import Kind
from fieldlog.calc.floors_edge import (
    DIRECTIONS,
    EdgeWorst,
    gap_map,
    look_under,
    resolves,
    worst,
)
from fieldlog.calc.floors_survey import Cell, Stations, SurveyNotUsable, stations_of

FOOT = 304_800_000
SIXTEENTH = 1_587_500
Rows = tuple[tuple[int | None, ...], ...]


def floor(*rows: str, spacing: int = 2 * FOOT) -> Stations:
    """Stations from rows of sixteenths; a dot is a station that was not read."""
    return stations_of(
        [[None if t == "." else int(t) * SIXTEENTH for t in row.split()] for row in rows], spacing
    )


def lines(stations: Stations, direction: str) -> list[list[Cell]]:
    """The lines of a direction, in the order that ties are broken by."""
    down, right = {"row": (0, 1), "column": (1, 0), "diagonal": (1, 1)}.get(direction, (1, -1))
    key = {
        "row": lambda c: c[0],
        "column": lambda c: c[1],
        "diagonal": lambda c: c[1] - c[0],
    }.get(direction, lambda c: c[1] + c[0])
    rows, columns = stations.shape
    found: dict[int, list[Cell]] = {}
    for row in range(rows):
        for column in range(columns):
            found.setdefault(key((row, column)), []).append((row, column))
    return [sorted(found[k], key=lambda c: (c[0] * down, c[1] * right)) for k in sorted(found)]


def every_triple(stations: Stations, edge: int, kind: Kind, direction: str):
    """(gap, start, end, at) of every triple on every line: the definition itself."""
    sign = 1 if kind == "hollow" else -1
    between = stations.spacing**2 * (2 if "diagonal" in direction else 1)
    for line in lines(stations, direction):
        triples = [(a, b, k) for a, k, b in combinations(range(len(line)), 3)]
        for a, b, k in sorted(triples):
            start, end, at = line[a], line[b], line[k]
            heights = [stations.height(c) for c in (start, end, at)]
            if (b - a) ** 2 * between > edge**2 or None in heights:
                continue
            along = Fraction(k - a, b - a)
            yield (
                sign * (heights[0] * (1 - along) + heights[1] * along - heights[2]),
                start,
                end,
                at,
            )


def by_brute_force(stations: Stations, edge: int, kind: Kind) -> EdgeWorst | None:
    best: EdgeWorst | None = None
    best_raw = Fraction(0)
    if edge < 2 * stations.spacing:
        return None
    for direction in DIRECTIONS:
        for raw, start, end, at in every_triple(stations, edge, kind, direction):
            if best is None or raw > best_raw:
                along = Fraction(max(abs(at[0] - start[0]), abs(at[1] - start[1])),
                                 max(abs(end[0] - start[0]), abs(end[1] - start[1])))  # fmt: skip
                sign = 1 if kind == "hollow" else -1
                weights = (
                    (start, sign * (1 - along)), (end, sign * along), (at, Fraction(-sign)),
                )  # fmt: skip
                gap = max(raw, Fraction(0))
                best, best_raw = EdgeWorst(kind, gap, start, end, at, weights, direction), raw
    return best


def map_by_brute_force(stations: Stations, edge: int, kind: Kind) -> list[list[int]]:
    rows, columns = stations.shape
    out = [[-1] * columns for _ in range(rows)]
    for direction in DIRECTIONS if edge >= 2 * stations.spacing else ():
        for raw, _, _, (row, column) in every_triple(stations, edge, kind, direction):
            out[row][column] = max(out[row][column], -(-max(raw, Fraction(0)) // 1))
    return out


# Few different heights, so that ties are common; some stations blocked; some far apart.
heights = st.one_of(st.none(), st.integers(-3, 3), st.integers(-(10**9), 10**9))


@st.composite
def floors_of_stations(draw: st.DrawFn, most: int = 7) -> Stations:
    width = draw(st.integers(1, most))
    rows = draw(
        st.lists(st.tuples(*[heights] * width), min_size=1, max_size=most).filter(
            lambda rows: any(z is not None for row in rows for z in row)
        )
    )
    return stations_of(rows, draw(st.sampled_from([1, 3, FOOT])))


edges = st.integers(0, 90)


@settings(max_examples=200)
@given(floors_of_stations(), edges, st.sampled_from(["hollow", "hump"]))
def test_worst_equals_every_triple_ties_included(
    stations: Stations, tenths: int, kind: Kind
) -> None:
    edge = tenths * stations.spacing // 10
    assert worst(stations, edge, kind) == by_brute_force(stations, edge, kind)


@given(floors_of_stations(), edges, st.sampled_from(["hollow", "hump"]))
def test_the_map_equals_every_triple(stations: Stations, tenths: int, kind: Kind) -> None:
    edge = tenths * stations.spacing // 10
    assert gap_map(stations, edge, kind).tolist() == map_by_brute_force(stations, edge, kind)


@settings(max_examples=30)
@given(
    st.lists(st.integers(0, 10**10), min_size=20, max_size=24), st.integers(2, 23),
    st.sampled_from(["hollow", "hump"]),
)  # fmt: skip
def test_heights_as_far_apart_as_a_floors_may_be_are_exact_too(
    line: list[int], spacings: int, kind: Kind
) -> None:
    stations = stations_of([line], FOOT)
    found = worst(stations, spacings * FOOT, kind)
    assert found is not None
    triples = every_triple(stations, spacings * FOOT, kind, "row")
    assert found.gap == max(max(raw for raw, *_ in triples), Fraction(0))


@given(floors_of_stations(), st.integers(2, 8), st.sampled_from(["hollow", "hump"]))
def test_in_two_directions_it_is_the_exact_one_of_the_small_grid(
    stations: Stations, spacings: int, kind: Kind
) -> None:
    rows = tuple(
        tuple(stations.height((r, c)) for c in range(stations.shape[1]))
        for r in range(stations.shape[0])
    )
    edge = spacings * stations.spacing
    plain = floors.worst_under(floors.Grid(rows, stations.spacing), edge, kind)
    found = worst(stations, edge, kind, directions=2)
    assert (plain is None) == (found is None)
    if plain is not None and found is not None:
        assert (found.gap, found.start, found.end, found.at, found.weights) == (
            plain.gap, plain.start, plain.end, plain.at, plain.weights,
        )  # fmt: skip


@given(floors_of_stations(), edges, st.integers(-(10**6), 10**6), st.integers(-(10**6), 10**6))
def test_a_tilted_floor_is_as_flat(stations: Stations, tenths: int, right: int, down: int) -> None:
    edge = tenths * stations.spacing // 10
    row, column = np.indices(stations.shape)
    tilted = stations.with_heights(stations.z + right * column + down * row)
    assert look_under(tilted, edge).hollow == look_under(stations, edge).hollow


@given(floors_of_stations(), st.integers(20, 90))
def test_a_hump_is_a_hollow_of_the_floor_turned_over(stations: Stations, tenths: int) -> None:
    edge = tenths * stations.spacing // 10
    turned = look_under(stations.with_heights(-stations.z), edge)
    plain = look_under(stations, edge)
    assert turned.hollow_map.tolist() == plain.hump_map.tolist()
    assert (turned.hollow is None) == (plain.hump is None)
    if turned.hollow is not None and plain.hump is not None:
        assert turned.hollow.gap == plain.hump.gap


@given(floors_of_stations(), edges, st.sampled_from(["hollow", "hump"]))
def test_the_weights_make_the_gap(stations: Stations, tenths: int, kind: Kind) -> None:
    found = worst(stations, tenths * stations.spacing // 10, kind)
    if found is None:
        return
    total = sum((w * int(stations.z[cell]) for cell, w in found.weights), Fraction(0))
    assert found.gap == max(total, Fraction(0))
    assert sum(w for _, w in found.weights) == 0  # a shared error of the rod cancels


def test_a_ridge_along_the_rows_is_found_across_them() -> None:
    stations = floor("0 0 0 0 0", "0 0 0 0 0", "4 4 4 4 4", "0 0 0 0 0", "0 0 0 0 0")
    hump = worst(stations, 10 * FOOT, "hump")
    assert hump is not None
    assert (hump.direction, hump.gap) == ("column", 4 * SIXTEENTH)


def test_a_saddle_has_its_hollow_on_one_diagonal_only() -> None:
    # z = x * y: straight along rows and columns, hollow one way across and humped the other
    stations = floor("4 2 0 -2 -4", "2 1 0 -1 -2", "0 0 0 0 0", "-2 -1 0 1 2", "-4 -2 0 2 4")
    straight = look_under(stations, 20 * FOOT, directions=2)
    assert straight.hollow is not None
    assert straight.hump is not None
    assert straight.hollow.gap == straight.hump.gap == 0
    across = look_under(stations, 20 * FOOT)
    assert across.hollow is not None
    assert across.hump is not None
    assert (across.hollow.direction, across.hollow.gap) == ("diagonal", 4 * SIXTEENTH)
    assert (across.hump.direction, across.hump.gap) == ("cross diagonal", 4 * SIXTEENTH)


def test_a_diagonal_is_laid_by_its_own_length() -> None:
    # two diagonal spacings of 2 ft are 5.66 ft: an edge of 5 ft 7 in does not reach
    stations = floor("0 0 9", "0 -4 0", "9 0 0")
    inch = FOOT // 12
    assert worst(stations, 67 * inch, "hollow").direction == "row"  # type: ignore[union-attr]
    assert worst(stations, 68 * inch, "hollow").direction == "cross diagonal"  # type: ignore[union-attr]


def test_what_the_spacing_cannot_see_is_not_measured() -> None:
    stations = floor("0 1 0", "0 1 0")
    assert not resolves(stations.spacing, FOOT)
    under = look_under(stations, FOOT)
    assert (under.hollow, under.hump) == (None, None)
    assert (under.hollow_map == -1).all()


def test_a_line_with_two_known_stations_is_not_measured() -> None:
    assert worst(floor("0 . 0"), 10 * FOOT, "hollow") is None


def test_a_chord_passes_over_a_blocked_station() -> None:
    stations = floor("0 . -4 0")
    found = worst(stations, 10 * FOOT, "hollow")
    assert found is not None
    assert (found.start, found.end, found.at) == ((0, 0), (0, 3), (0, 2))


def test_what_could_not_be_exact_is_refused() -> None:
    # 10 m from high to low under an edge of 200 stations: floats no longer tell gaps apart
    line = [0, 10**10, 1, *[5] * 300]
    with pytest.raises(SurveyNotUsable, match="larger cells"):
        worst(stations_of([line], FOOT), 200 * FOOT, "hollow")
    assert worst(stations_of([line], FOOT), 100 * FOOT, "hollow") is not None


def test_a_long_edge_over_many_stations_is_exact_too() -> None:
    waves = [(k * 7919) % 1_000_003 for k in range(60)]
    stations = stations_of([waves], FOOT)
    found = worst(stations, 45 * FOOT, "hollow")
    assert found is not None
    assert found.gap == max(
        Fraction(waves[a] * (b - k) + waves[b] * (k - a), b - a) - waves[k]
        for a, k, b in combinations(range(60), 3)
        if b - a <= 45
    )


def test_as_json_names_the_direction() -> None:
    found = worst(floor("0 -4 0"), 10 * FOOT, "hollow")
    assert found is not None
    assert found.as_json() == {
        "kind": "hollow", "gap": "6350000", "start": [0, 0], "end": [0, 2], "at": [0, 1],
        "weights": [[[0, 0], "1/2"], [[0, 2], "1/2"], [[0, 1], "-1"]], "direction": "row",
    }  # fmt: skip
