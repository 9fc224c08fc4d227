"""Pools: level, within their dams, the lowest that pass, thin edges trowelled."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings

from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_plan_programme import CannotPass
from fieldlog.calc.floors_plan_task import FloorTask, Keep
from fieldlog.calc.floors_plan_watch import Stopped, Watch
from fieldlog.calc.floors_pool import NothingToPour, Poured, pour
from tests.floors_made import (
    FOOT,
    SIXTEENTH,
    TEN_FEET,
    TEN_FEET_HOLLOW,
    bent,
    breaks,
    floor,
    floors,
    stations_in,
)

EIGHTH = 2 * SIXTEENTH
Rows = list[list[int | None]]


def poured(task: FloorTask, least_lift: int = EIGHTH) -> Poured:
    return pour(task, least_fill(task).depths, least_lift)


def tried(task: FloorTask) -> Poured:
    """The pools, of a floor that has any."""
    try:
        return poured(task)
    except NothingToPour:
        assume(False)
        raise


@settings(max_examples=25, deadline=None)
@given(floors)
def test_it_passes_and_every_pool_is_level(rows: Rows) -> None:
    task = FloorTask(stations_in(rows), TEN_FEET)
    found = tried(task)
    assert breaks(task, found.depths) == []
    for pool in found.pools:
        covered = (found.pool == pool.number) & (found.poured > 0)
        assert set((task.stations.z + found.poured)[covered].tolist()) == {pool.level}
        assert pool.deepest == found.poured[covered].max()


@settings(max_examples=25, deadline=None)
@given(floors)
def test_the_self_leveller_is_nowhere_thinner_than_its_least_lift(rows: Rows) -> None:
    found = tried(FloorTask(stations_in(rows), TEN_FEET))
    lies = found.poured[found.poured > 0]
    assert lies.min() >= EIGHTH
    assert np.all(found.poured <= found.depths)


@settings(max_examples=25, deadline=None)
@given(floors)
def test_a_pool_a_nanometer_lower_would_not_pass(rows: Rows) -> None:
    task = FloorTask(stations_in(rows), TEN_FEET_HOLLOW)
    found = tried(task)
    for pool in found.pools:
        lower = found.depths - (found.pool == pool.number)
        assert breaks(task, lower) != []


@settings(max_examples=40, deadline=None)
@given(floors)
def test_it_takes_no_less_than_the_least_fill(rows: Rows) -> None:
    task = FloorTask(stations_in(rows), TEN_FEET)
    assert tried(task).depths.sum() >= int(least_fill(task).bound * 1_000_000) - 1_000


class TestByHand:
    """Floors whose pools can be seen."""

    def test_a_dish_is_one_pool_without_a_dam(self) -> None:
        task = FloorTask(floor("0 0 0 0 0 0", "0 0 -9 -9 0 0", "0 0 0 0 0 0"), TEN_FEET_HOLLOW)
        found = poured(task)
        assert len(found.pools) == 1
        assert found.pools[0].level == -3 * SIXTEENTH
        assert found.pools[0].dam == 0
        assert found.depths[1].tolist() == [0, 0, 6 * SIXTEENTH, 6 * SIXTEENTH, 0, 0]

    def test_two_dishes_far_apart_are_two_pools_each_at_its_level(self) -> None:
        row = "0 0 -9 0 0 0 0 0 0 0 -7 0 0"
        found = poured(FloorTask(floor(row), TEN_FEET_HOLLOW))
        assert sorted(pool.level for pool in found.pools) == [-3 * SIXTEENTH, -3 * SIXTEENTH]
        assert sorted(pool.deepest for pool in found.pools) == [4 * SIXTEENTH, 6 * SIXTEENTH]

    def test_on_a_slope_a_dam_holds_the_low_side(self) -> None:
        rows = ["0 2 4 6 8 10 12 14 16"] * 3
        rows[1] = "0 2 4 -6 -4 10 12 14 16"
        found = poured(FloorTask(floor(*rows), TEN_FEET_HOLLOW))
        assert found.pools
        assert found.pools[0].dam > 0
        assert found.pools[0].dam % (2 * FOOT) == 0

    def test_a_shallow_hollow_is_not_poured(self) -> None:
        with pytest.raises(NothingToPour):
            poured(FloorTask(floor("0 0 -4 0 0"), TEN_FEET_HOLLOW))

    def test_a_floor_that_passes_is_not_poured(self) -> None:
        with pytest.raises(NothingToPour):
            poured(FloorTask(floor("0 0 0 0 0"), TEN_FEET))

    def test_a_pools_thin_edge_is_trowelled(self) -> None:
        task = FloorTask(floor("0 0 -1 -9 -9 -1 0 0"), TEN_FEET_HOLLOW)
        found = poured(task)
        thin = (found.depths > 0) & (found.depths < EIGHTH)
        assert not found.poured[thin].any()
        assert breaks(task, found.depths) == []

    def test_a_sill_in_the_way_is_kept(self) -> None:
        keep = Keep((0, 0), "the door sill")
        task = FloorTask(floor("0 0 -9 -9 0 0"), TEN_FEET, keeps=(keep,))
        found = poured(task)
        assert found.depths[0, 0] == 0
        assert breaks(task, found.depths) == []

    def test_a_drain_in_the_pool_can_not_be_kept(self) -> None:
        stations = floor("0 0 -9 -9 0 0")
        low = least_fill(FloorTask(stations, TEN_FEET_HOLLOW)).depths
        task = FloorTask(stations, TEN_FEET_HOLLOW, keeps=(Keep((0, 2), "the drain"),))
        with pytest.raises(CannotPass, match="the drain"):
            pour(task, low, EIGHTH)

    def test_a_level_finish_is_poured_level(self) -> None:
        rows = ["0 2 4 6 8 10 12 14"] * 2
        task = FloorTask(floor(*rows), TEN_FEET, level=2 * SIXTEENTH)
        found = poured(task)
        assert breaks(task, found.depths) == []
        assert found.pools[0].level == 12 * SIXTEENTH


def test_a_bent_floor_passes() -> None:
    task = FloorTask(bent(15, 15), TEN_FEET)
    assert breaks(task, poured(task).depths) == []


def test_it_can_be_stopped() -> None:
    task = FloorTask(floor("0 0 -9 -9 0 0"), TEN_FEET_HOLLOW)
    with pytest.raises(Stopped):
        pour(task, least_fill(task).depths, EIGHTH, Watch(stop=lambda: True))
