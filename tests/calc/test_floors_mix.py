"""The cheapest mix: passes, not under its bound, not dearer than filling alone, keeps depths."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc import floors_plan_tiles
from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_mix import Mixed, MixPrices, cheapest_mix
from fieldlog.calc.floors_plan import Plan, Site
from fieldlog.calc.floors_plan_maker import Planner
from fieldlog.calc.floors_plan_materials import Prices
from fieldlog.calc.floors_plan_programme import CannotPass
from fieldlog.calc.floors_plan_task import FloorTask, Keep
from fieldlog.calc.floors_plan_watch import Progress, Stopped, Watch
from fieldlog.calc.floors_survey import stations_of
from fieldlog.store.product_files import load_products
from tests.floors_made import (
    FOOT,
    INCH,
    MM,
    SIXTEENTH,
    TEN_FEET,
    bent,
    breaks,
    constraints,
    floor,
    floors,
    limits,
    stations_in,
)

CUBIC_FOOT = FOOT**3
Rows = list[list[int | None]]


def prices(bag: int = 38, grind: int = 6, most: int = 4 * SIXTEENTH) -> MixPrices:
    return MixPrices(Fraction(bag), Fraction(45 * CUBIC_FOOT, 100), Fraction(grind), most)


def cost(task: FloorTask, mixed: Mixed, paid: MixPrices) -> float:
    """By hand: bags by volume, square feet by area."""
    area = task.areas / FOOT**2
    fill = (np.maximum(mixed.depths, 0) / FOOT * area).sum() / 0.45
    return float(paid.bag) * fill + float(paid.grind) * area[mixed.depths < 0].sum()


@settings(max_examples=40, deadline=None)
@given(floors, st.integers(2, 5), st.sampled_from([(38, 6), (38, 1), (5, 20), (38, 0)]))
def test_it_passes_within_its_bounds(rows: Rows, n: int, paid: tuple[int, int]) -> None:
    task = FloorTask(stations_in(rows), limits((10 * FOOT, n * SIXTEENTH)))
    money = prices(*paid)
    found = cheapest_mix(task, money)
    assert breaks(task, found.depths) == []
    assert found.depths.min() >= -4 * SIXTEENTH
    assert found.cost == pytest.approx(cost(task, found, money), abs=1e-6)
    assert found.bound <= found.cost
    assert found.bound == pytest.approx(shared_by_scipy(task, money), rel=1e-4, abs=1e-2)
    filled = least_fill(task)
    money_alone = cost(task, Mixed(filled.depths, filled.volume, filled.bound), money)
    assert found.cost <= money_alone * (1 + 1 / 50) + 1e-2


def shared_by_scipy(task: FloorTask, paid: MixPrices) -> float:
    """The lower bound by SciPy over every chord: a millimeter off costs its share."""
    from scipy.optimize import linprog

    a, b = constraints(task)
    area = task.areas.ravel() / FOOT**2
    fill = float(paid.bag) * area * MM / FOOT / 0.45
    grind = float(paid.grind) * area * MM / paid.most_grind
    bounds = [(0, None)] * len(area) + [(0, paid.most_grind / MM)] * len(area)
    found = linprog(
        np.concatenate([fill, grind]), A_ub=np.hstack([a, -a]), b_ub=b, bounds=bounds,
        method="highs",
    )  # fmt: skip
    return float(found.fun)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(-10, 10), min_size=5, max_size=6), st.sampled_from([(38, 6), (9, 2)]))
def test_it_is_near_the_cheapest_there_is(row: list[int], paid: tuple[int, int]) -> None:
    """Against every choice of stations to grind, each choice solved by SciPy."""
    task = FloorTask(stations_in([list(row)]), TEN_FEET)
    money = prices(*paid)
    best = min(chosen_by_scipy(task, money, ground) for ground in product((0, 1), repeat=len(row)))
    found = cheapest_mix(task, money)
    assert best - 1e-2 <= found.cost <= best * 1.35 + 1e-2


def chosen_by_scipy(task: FloorTask, paid: MixPrices, ground: tuple[int, ...]) -> float:
    from scipy.optimize import linprog

    a, b = constraints(task)
    area = task.areas.ravel() / FOOT**2
    most = np.array(ground) * paid.most_grind / MM
    bounds = [(0, None)] * len(area) + [(0, m) for m in most]
    fill = float(paid.bag) * area * MM / FOOT / 0.45
    found = linprog(
        np.concatenate([fill, 0 * area]), A_ub=np.hstack([a, -a]), b_ub=b, bounds=bounds,
        method="highs",
    )  # fmt: skip
    return float(found.fun + float(paid.grind) * (area * ground).sum())


class TestByHand:
    """Floors whose answer can be seen."""

    def test_a_single_spike_is_ground(self) -> None:
        task = FloorTask(floor("0 0 0 0 0", "0 0 6 0 0", "0 0 0 0 0"), TEN_FEET)
        found = cheapest_mix(task, prices())
        assert found.depths[1, 2] == -3 * SIXTEENTH
        assert np.count_nonzero(found.depths) == 1
        assert found.cost == 24

    def test_a_single_hole_is_filled(self) -> None:
        task = FloorTask(floor("0 0 0 0 0", "0 0 -6 0 0", "0 0 0 0 0"), TEN_FEET)
        found = cheapest_mix(task, prices())
        assert found.depths[1, 2] == 3 * SIXTEENTH
        assert np.count_nonzero(found.depths) == 1

    def test_grinding_goes_no_deeper_than_it_may(self) -> None:
        task = FloorTask(floor("0 0 0 0 0", "0 0 6 0 0", "0 0 0 0 0"), TEN_FEET)
        found = cheapest_mix(task, prices(most=2 * SIXTEENTH))
        assert found.depths.min() == -2 * SIXTEENTH
        assert found.depths.max() > 0
        assert breaks(task, found.depths) == []

    def test_dear_grinding_is_left_alone(self) -> None:
        task = FloorTask(floor("0 0 0 4 0 0 0"), TEN_FEET)
        assert cheapest_mix(task, prices(grind=10_000)).depths.min() == 0

    def test_no_grinding_at_all(self) -> None:
        task = FloorTask(floor("0 0 0 8 0 0 0"), TEN_FEET)
        found = cheapest_mix(task, prices(most=0))
        assert found.depths.min() == 0
        assert breaks(task, found.depths) == []

    def test_a_floor_that_passes_costs_nothing(self) -> None:
        found = cheapest_mix(FloorTask(floor("0 1 0 1 0"), TEN_FEET), prices())
        assert not found.depths.any()
        assert found.cost == found.bound == 0

    def test_what_is_kept_is_neither_ground_nor_filled(self) -> None:
        keep = Keep((0, 3), "the sill")
        task = FloorTask(floor("0 0 0 8 0 0 0"), TEN_FEET, keeps=(keep,))
        found = cheapest_mix(task, prices())
        assert found.depths[0, 3] == 0
        assert breaks(task, found.depths) == []

    def test_two_kept_heights_may_stand_against_it(self) -> None:
        keeps = tuple(Keep((0, n), "the step") for n in (1, 2, 3))
        task = FloorTask(floor("0 0 9 0 0"), TEN_FEET, keeps=keeps)
        with pytest.raises(CannotPass):
            cheapest_mix(task, prices())

    def test_level_takes_from_the_high_end_and_gives_to_the_low(self) -> None:
        stations = floor("0 2 4 6 8 10", "0 2 4 6 8 10")
        task = FloorTask(stations, TEN_FEET, level=4 * SIXTEENTH)
        found = cheapest_mix(task, prices(grind=1))
        assert found.depths.min() < 0 < found.depths.max()
        assert breaks(task, found.depths) == []


class TestTiles:
    """A bent floor is mixed tile by tile."""

    @pytest.fixture(autouse=True)
    def small(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(floors_plan_tiles, "MOST_BENT", 20)
        monkeypatch.setattr(floors_plan_tiles, "TILE", 6)

    def test_it_passes_and_its_bound_holds(self) -> None:
        task = FloorTask(bent(12, 12), TEN_FEET)
        found = cheapest_mix(task, prices())
        assert breaks(task, found.depths) == []
        assert 0 < found.bound <= shared_by_scipy(task, prices()) + 1e-2 <= found.cost + 2e-2

    def test_it_can_be_stopped(self) -> None:
        seen: list[Progress] = []
        watch = Watch(seen.append, lambda: len(seen) == 5)
        with pytest.raises(Stopped):
            cheapest_mix(FloorTask(bent(12, 12), TEN_FEET), prices(), watch)
        assert seen[-1].done == 1


def test_whole_bags_are_what_is_paid_for() -> None:
    """By hand: a hump of 0.19 in under 3/16 in on 9 x 9 ft: 1 sq ft ground is 6, any fill a bag."""
    rows: Rows = [[0] * 10 for _ in range(10)]
    rows[4][4] = 19 * INCH // 100
    task = FloorTask(stations_of(rows, FOOT), limits((10 * FOOT, 3 * SIXTEENTH)))
    site = Site("slab", load_products(), Prices(Fraction(38), Fraction(6)))
    planner = Planner(task, site)
    plan = planner.offer("mix")
    assert isinstance(plan, Plan)
    assert plan.cost == 6
    assert (plan.bags, plan.ground, plan.above_bound) == (0, FOOT**2, Fraction(0))
    hole: Rows = [[-(z or 0) for z in row] for row in rows]
    task = FloorTask(stations_of(hole, FOOT), limits((10 * FOOT, 3 * SIXTEENTH)))
    dear = Planner(task, replace(site, prices=Prices(Fraction(38), Fraction(60)))).offer("mix")
    assert isinstance(dear, Plan)
    assert dear.cost == 38
    assert (dear.bags, dear.ground, dear.above_bound) == (1, 0, Fraction(0))


@settings(max_examples=20, deadline=None)
@given(floors, st.integers(2, 5), st.sampled_from([(38, 6), (38, 1), (9, 20)]))
def test_a_mix_is_never_dearer_than_filling_alone(
    rows: Rows, n: int, paid: tuple[int, int]
) -> None:
    task = FloorTask(stations_in(rows), limits((10 * FOOT, n * SIXTEENTH)))
    money = Prices(Fraction(paid[0]), Fraction(paid[1]))
    planner = Planner(task, Site("slab", load_products(), money))
    mix, least = planner.offer("mix"), planner.offer("least")
    assert isinstance(mix, Plan)
    assert isinstance(least, Plan)
    assert mix.cost is not None
    assert least.cost is not None
    assert mix.cost <= least.cost
