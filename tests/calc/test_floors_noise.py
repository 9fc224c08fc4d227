"""What noise alone shows of the worst of many gaps, and the verdicts that follow.

Random floors here are made with a seed of their own, outside what is tested.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors_edge import look_under, worst
from fieldlog.calc.floors_noise import (
    EdgeVerdict,
    Noise,
    Tool,
    allowance,
    chance_factor,
    gaps_looked_at,
    guard,
    judge_edge,
    noise_of,
    normal_noise,
    tool_of,
)
from fieldlog.calc.floors_passes import DIRECTIONS, reach
from fieldlog.calc.floors_survey import Stations, stations_of
from fieldlog.calc.instruments import load_instrument
from fieldlog.calc.uncertainty import ErrorPart

FOOT, INCH, MM = 304_800_000, 25_400_000, 1_000_000
EDGE, LIMIT = 10 * FOOT, 3 * INCH // 16
MIDDLE = (Fraction(1, 2), Fraction(1, 2), Fraction(-1))
INSTRUMENTS = Path(__file__).parent.parent.parent / "fieldlog" / "instruments"
LASER, STRAIGHTEDGE = (
    load_instrument((INSTRUMENTS / f"{name}.toml").read_text(), name)
    for name in ("laser-rod", "straightedge")
)
ROD = noise_of(LASER.parts)
TOOLS = [tool_of(LASER, direct=False), tool_of(STRAIGHTEDGE, direct=True)]


def scanned(rows: int, columns: int, deviation: int, seed: int) -> Stations:
    """A perfectly flat floor, each station read with normal noise."""
    z = np.random.default_rng(seed).normal(0, deviation, (rows, columns)).astype(np.int64)
    known = np.ones(z.shape, dtype=bool)
    return Stations(z, known, FOOT, (0, 0), np.argwhere(known), known.astype(np.int64))


def judged(stations: Stations, limit: int, noise: Noise, kind: str = "hollow") -> EdgeVerdict:
    found = (
        look_under(stations, EDGE).hollow if kind == "hollow" else look_under(stations, EDGE).hump
    )
    return judge_edge(
        found, limit, noise, gaps_looked_at(stations, EDGE),
        reach(stations.spacing, EDGE, "row"), TOOLS,
    )  # fmt: skip


@pytest.mark.parametrize("kind", ["hollow", "hump"])
def test_a_flat_floor_of_100_000_stations_at_1_mm_is_not_failed(kind: str) -> None:
    verdict = judged(scanned(316, 317, MM, seed=7), LIMIT, normal_noise(MM), kind)
    assert verdict.gap is not None
    assert 6 * MM < verdict.gap < 7 * MM  # it shows more than 1/4 in
    assert (verdict.verdict, verdict.plain) == ("too_close", "fail")
    assert verdict.settled_by == "straightedge"
    assert verdict.per_cell > 1


def test_the_same_gathered_into_cells_of_16_passes() -> None:
    # as good as the median of 16 readings of 1 mm: sqrt(pi/2/16) mm
    verdict = judged(scanned(79, 79, 313_000, seed=7), LIMIT, normal_noise(MM, readings=16))
    assert verdict.verdict == "pass"


@pytest.mark.parametrize("kind", ["hollow", "hump"])
def test_a_flat_floor_scanned_at_10_mm_is_too_close_and_the_rod_would_do(kind: str) -> None:
    verdict = judged(scanned(40, 40, 10 * MM, seed=3), LIMIT, normal_noise(10 * MM), kind)
    assert verdict.verdict == "too_close"
    assert verdict.settled_by == "straightedge"
    only_rod = judge_edge(
        look_under(scanned(40, 40, 10 * MM, seed=3), EDGE).hollow, LIMIT, normal_noise(10 * MM),
        gaps_looked_at(scanned(40, 40, 10 * MM, seed=3), EDGE), 10, TOOLS[:1],
    )  # fmt: skip
    assert only_rod.settled_by == "laser-rod"


@pytest.mark.parametrize("shape", [(3, 3), (9, 7), (40, 40)])
@pytest.mark.parametrize("kind", ["hump", "hollow"])
def test_a_real_quarter_inch_read_with_the_rod_fails(shape: tuple[int, int], kind: str) -> None:
    z = np.zeros(shape, dtype=np.int64)
    z[shape[0] // 2, shape[1] // 2] = INCH // 4 * (1 if kind == "hump" else -1)
    verdict = judged(stations_of(z.tolist(), 2 * FOOT), LIMIT, ROD, kind)
    assert verdict.verdict == "fail"
    assert verdict.margin == -INCH // 16


@pytest.mark.parametrize("limit", [LIMIT, INCH // 8])
def test_a_flat_floor_read_with_the_rod_passes(limit: int) -> None:
    assert judged(stations_of([[0] * 7] * 9, 2 * FOOT), limit, ROD).verdict == "pass"


def test_without_any_error_the_limit_itself_is_within() -> None:
    at = stations_of([[0, -LIMIT, 0]], 2 * FOOT)
    over = stations_of([[0, -LIMIT - 1, 0]], 2 * FOOT)
    assert judged(at, LIMIT, noise_of(())).verdict == "pass"
    assert judged(over, LIMIT, noise_of(())).verdict == "fail"


def test_nothing_seen_is_not_measured() -> None:
    verdict = judged(stations_of([[0, 0]], 2 * FOOT), LIMIT, ROD)
    assert (verdict.verdict, verdict.plain, verdict.gap, verdict.margin) == (
        "not_measured", None, None, None,
    )  # fmt: skip


@pytest.mark.parametrize("part", ["normal", "rectangular", "triangular"])
def test_a_flat_floor_fails_no_oftener_than_said(part: str) -> None:
    """Many flat surveys: the share whose worst gap is past the allowance is below 2.275 %, and
    the allowance is not far above what is seen."""
    half = 2 * MM
    noise = noise_of([ErrorPart("e", Fraction(half), part, "each", "test")])
    random = np.random.default_rng(11)
    past, shares = 0, []
    for _ in range(400):
        z = {
            "normal": lambda: random.normal(0, half / 2, (9, 7)),
            "rectangular": lambda: random.uniform(-half, half, (9, 7)),
            "triangular": lambda: random.triangular(-half, 0, half, (9, 7)),
        }[part]()
        stations = stations_of(z.astype(np.int64).tolist(), 2 * FOOT)
        found = worst(stations, EDGE, "hollow")
        assert found is not None
        may_add = allowance(noise, [w for _, w in found.weights], gaps_looked_at(stations, EDGE))
        past += found.gap >= may_add
        shares.append(float(found.gap) / may_add)
    assert past <= 400 * 0.02275
    assert np.median(shares) > 0.6


def test_the_truly_worst_gap_is_seldom_hidden_by_more_than_the_guard() -> None:
    random = np.random.default_rng(5)
    floor = np.zeros((9, 7))
    floor[4, 3] = -LIMIT
    hidden = 0
    for _ in range(400):
        z = (floor + random.normal(0, MM, floor.shape)).astype(np.int64)
        found = worst(stations_of(z.tolist(), 2 * FOOT), EDGE, "hollow")
        assert found is not None
        hidden += found.gap + guard(normal_noise(MM), 5) < LIMIT
    assert hidden <= 400 * 0.02275


def test_one_gap_is_judged_by_a_k_of_2_and_more_gaps_by_more() -> None:
    assert chance_factor(1) == 2
    factors = [chance_factor(10**n) for n in range(12)]
    assert factors == sorted(factors)
    assert Fraction("5.8") < chance_factor(13_000_000) < Fraction("6")


@given(st.integers(1, 10**9))
def test_the_rod_is_never_more_off_than_it_can_be(gaps: int) -> None:
    # three readings, none of them more than 1/32 in off: 1/16 in
    assert allowance(ROD, MIDDLE, gaps) < INCH // 16


def test_a_shared_error_adds_nothing() -> None:
    assert noise_of([ErrorPart("plane", Fraction(INCH), "rectangular", "shared", "t")]).parts == ()
    assert allowance(noise_of(()), MIDDLE, 1000) == guard(noise_of(()), 5) == 0


def test_medians_of_few_are_taken_as_one_reading_and_of_many_as_less() -> None:
    flat = ErrorPart("e", Fraction(MM), "rectangular", "each", "t")
    assert Noise((flat,), 2).variance == flat.variance
    assert Noise((flat,), 3).variance == flat.variance  # a median of a flat-topped error
    assert Noise((flat,), 30).variance < flat.variance / 9
    assert normal_noise(MM, 4).variance < normal_noise(MM).variance / 2


def brute_count(stations: Stations, edge: int) -> int:
    steps = dict(zip(DIRECTIONS, ((0, 1), (1, 0), (1, 1), (1, -1)), strict=True))
    known = [tuple(cell) for cell in np.argwhere(stations.mask).tolist()]
    total = 0
    for direction, (down, right) in steps.items():
        far = reach(stations.spacing, edge, direction)
        places = {c: n for n, c in enumerate(known)}
        for row, column in known:
            on_line = [
                k for k in range(1, far + 1) if (row + k * down, column + k * right) in places
            ]
            total += sum(1 for _ in combinations(on_line, 2))
    return total


@given(
    st.integers(1, 7).flatmap(
        lambda width: st.lists(
            st.tuples(*[st.sampled_from([0, 0, 0, None])] * width), min_size=1, max_size=7
        )
    ),
    st.integers(0, 90),
)
def test_the_number_of_gaps_is_counted(rows: list[tuple[int | None, ...]], tenths: int) -> None:
    if all(z is None for row in rows for z in row):
        rows[0] = (0, *rows[0][1:])
    stations = stations_of(rows, 10)
    assert gaps_looked_at(stations, tenths) == brute_count(stations, tenths)


def test_the_least_bothersome_tool_that_is_clear_is_named() -> None:
    coarse = Tool("tape", 1, (ErrorPart("e", Fraction(INCH), "normal", "each", "t"),), direct=True)
    fine = Tool("gauge", 5, (ErrorPart("e", Fraction(1), "normal", "each", "t"),), direct=True)
    found = worst(stations_of([[0, -LIMIT - MM // 2, 0]], 2 * FOOT), EDGE, "hollow")
    verdict = judge_edge(found, LIMIT, ROD, 1, 5, [fine, coarse])
    assert (verdict.verdict, verdict.settled_by) == ("too_close", "gauge")
    assert judge_edge(found, LIMIT, ROD, 1, 5, [coarse]).settled_by is None
