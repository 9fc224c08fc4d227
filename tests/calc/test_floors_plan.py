"""Plans: judged before they are offered, their amounts by hand, and why there is none."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from math import ceil
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc import floors_plan_json, floors_plan_maker, floors_plan_tiles
from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_plan import PLANS, NotOffered, Plan, PlanKind, Site, Stair
from fieldlog.calc.floors_plan_json import per_reading
from fieldlog.calc.floors_plan_maker import Planner
from fieldlog.calc.floors_plan_materials import Prices
from fieldlog.calc.floors_plan_measures import area_text, depth_text, patch_name
from fieldlog.calc.floors_plan_patches import grown, labelled, patches_of
from fieldlog.calc.floors_plan_task import FloorTask, Keep
from fieldlog.calc.floors_plan_watch import Progress, Watch
from fieldlog.calc.floors_plan_words import PlanSpeaker
from fieldlog.calc.floors_survey import Stations
from fieldlog.store.files import load_plan_words
from fieldlog.store.product_files import load_products
from tests.floors_made import (
    FOOT,
    INCH,
    MM,
    SIXTEENTH,
    TEN_FEET,
    TEN_FEET_HOLLOW,
    bent,
    breaks,
    floor,
    floors,
    limits,
    stations_in,
)

PRODUCTS = load_products()
WORDS = load_plan_words()
PAID = Prices(Fraction(38), Fraction(6))
SLAB = Site("slab", PRODUCTS, PAID)
NAILED = Site("wood-nail-down", PRODUCTS, PAID)
GLUED = Site("wood-glue-down", PRODUCTS, PAID)
Rows = list[list[int | None]]

DISH = floor("0 0 0 0 0 0", "0 -9 -14 -9 0 0", "0 0 0 0 0 0")
RIDGE = floor("0 0 0 6 0 0 0", "0 0 0 6 0 0 0", "0 0 0 6 0 0 0")


def told(plan: Plan | NotOffered, of: Stations, site: Site, system: str = "us") -> dict[str, Any]:
    return floors_plan_json.told(plan, PlanSpeaker(WORDS, of, site, system))


def kept(plan: Plan, of: Stations, site: Site) -> str:
    return floors_plan_json.kept(plan, PlanSpeaker(WORDS, of, site))


def offered(task: FloorTask, kind: PlanKind, site: Site = SLAB) -> Plan:
    plan = Planner(task, site).offer(kind)
    assert isinstance(plan, Plan), plan
    return plan


def refused(task: FloorTask, kind: PlanKind, site: Site = SLAB) -> str:
    plan = Planner(task, site).offer(kind)
    assert isinstance(plan, NotOffered)
    said = told(plan, task.stations, site)
    assert not said["offered"]
    return str(said["why"])


class TestJudged:
    """No plan is offered that does not pass."""

    @settings(max_examples=40, deadline=None)
    @given(floors, st.integers(2, 5), st.sampled_from([SLAB, NAILED, GLUED]))
    def test_every_plan_that_is_offered_passes(self, rows: Rows, n: int, site: Site) -> None:
        task = FloorTask(stations_in(rows), limits((10 * FOOT, n * SIXTEENTH)))
        planner = Planner(task, site)
        for kind in PLANS:
            plan = planner.offer(kind)
            if isinstance(plan, Plan):
                assert breaks(task, plan.depths) == []
                assert not plan.depths[~task.stations.mask].any()
                assert all(one.gap is None or one.gap <= one.limit.limit for one in plan.after)
            else:
                assert plan.why in ("thin", "nail_down"), plan

    def test_one_that_does_not_pass_is_not_offered(self, monkeypatch: pytest.MonkeyPatch) -> None:
        task = FloorTask(DISH, TEN_FEET)
        nothing = replace(least_fill(task), depths=np.zeros(DISH.shape, dtype=np.int64))
        monkeypatch.setattr(floors_plan_maker, "least_fill", lambda *_: nothing)
        why = refused(task, "least")
        assert "hollow of" in why
        assert "under 10 ft would be left" in why
        assert "not offered" in why

    @pytest.mark.parametrize("kind", ["least", "mix"])
    def test_a_floor_that_passes_gets_the_plan_to_do_nothing(self, kind: PlanKind) -> None:
        plan = offered(FloorTask(floor("0 1 0 1"), TEN_FEET), kind)
        assert plan.nothing
        amounts = [plan.bags, plan.volume, plan.filled, plan.cost, plan.above_bound]
        assert not any(amounts)
        assert plan.cost == 0
        assert not plan.patches
        assert not plan.materials
        said = told(plan, floor("0 1 0 1"), SLAB)
        assert said["title"] == "Nothing to do"
        assert said["steps"] == ["The floor passes as it is: nothing has to be done."]
        assert said["cautions"] == []


class TestAmounts:
    """Volumes, bags, areas and cost, by hand from the depths."""

    @pytest.mark.parametrize("kind", PLANS)
    def test_they_are_those_of_the_depths(self, kind: PlanKind) -> None:
        task = FloorTask(DISH, TEN_FEET_HOLLOW)
        plan = offered(task, kind)
        cell = 4 * FOOT**2
        fill = int(np.maximum(plan.depths, 0).sum()) * cell
        assert plan.volume == fill
        assert plan.filled == np.count_nonzero(plan.depths > 0) * cell
        assert plan.ground == np.count_nonzero(plan.depths < 0) * cell
        assert plan.deepest == plan.depths.max()
        assert plan.cost == plan.bags * 38 + Fraction(plan.ground, FOOT**2) * 6
        for one in plan.materials:
            assert one.units == ceil(one.volume / one.product.yields)
            assert one.spare == ceil(Fraction(one.units, 10))
        assert sum(one.volume for one in plan.materials) == fill

    def test_areas_are_those_of_the_stations_own_cells(self) -> None:
        area = np.full(DISH.shape, FOOT**2)
        area[1, 2] = 3 * FOOT**2
        plan = offered(FloorTask(DISH, TEN_FEET_HOLLOW, area=area), "least")
        assert plan.volume == int((plan.depths * area.astype(object)).sum())

    def test_deep_places_are_laid_in_lifts(self) -> None:
        deep = floor("0 0 0 0 0 0", "0 -40 -40 -40 0 0", "0 0 0 0 0 0")
        plan = offered(FloorTask(deep, TEN_FEET_HOLLOW), "least")
        assert plan.materials[0].lifts == ceil(plan.deepest / PRODUCTS["trowel"].most_lift)
        assert f"in {plan.materials[0].lifts} lifts" in " ".join(told(plan, deep, SLAB)["steps"])

    def test_without_prices_there_is_no_cost_and_no_mix(self) -> None:
        unpaid = Site("slab", PRODUCTS)
        task = FloorTask(DISH, TEN_FEET)
        assert offered(task, "least", unpaid).cost is None
        assert "two prices" in refused(task, "mix", unpaid)

    def test_primer_is_for_what_is_filled(self) -> None:
        plan = offered(FloorTask(DISH, TEN_FEET_HOLLOW), "least")
        assert plan.primer is not None
        assert plan.primer.area == plan.filled
        assert plan.primer.most_units == ceil(Fraction(plan.filled, 200 * FOOT**2))

    def test_the_pool_is_shown_against_the_least_fill(self) -> None:
        task = FloorTask(DISH, TEN_FEET_HOLLOW)
        pool, least = offered(task, "pool"), offered(task, "least")
        assert least.above_bound == 0
        assert pool.above_bound == pytest.approx(pool.volume / least.volume - 1, abs=1e-4)

    def test_grinding_may_be_held_to_less_than_the_tool_does(self) -> None:
        spike = floor("0 0 0 0 0", "0 0 6 0 0", "0 0 0 0 0")
        site = replace(SLAB, most_grind=2 * SIXTEENTH)
        assert offered(FloorTask(spike, TEN_FEET), "mix").most_off == 3 * SIXTEENTH
        assert offered(FloorTask(spike, TEN_FEET), "mix", site).most_off == 2 * SIXTEENTH


class TestWood:
    """Felt and planing under a floor that is nailed; compound under one that is glued."""

    def test_nothing_is_poured_under_a_floor_that_is_nailed(self) -> None:
        assert "Never pour under a floor that is nailed down" in refused(
            FloorTask(DISH, TEN_FEET), "pool", NAILED
        )

    def test_felt_is_laid_in_whole_layers(self) -> None:
        plan = offered(FloorTask(DISH, TEN_FEET), "least", NAILED)
        layer = PRODUCTS["sheet"].layer
        assert plan.depths.any()
        assert not (plan.depths % layer).any()
        assert plan.materials[0].layers == plan.deepest // layer
        assert (plan.bags, plan.primer, plan.cost) == (0, None, None)
        assert "felt" in told(plan, DISH, NAILED)["title"]

    def test_a_ridge_is_planed(self) -> None:
        spike = floor("0 0 0 0 0", "0 0 5 0 0", "0 0 0 0 0")
        plan = offered(FloorTask(spike, TEN_FEET), "mix", NAILED)
        assert plan.takes_off is PRODUCTS["plane"]
        assert plan.depths.min() == -2 * SIXTEENTH
        said = told(plan, spike, NAILED)
        assert said["steps"][0] == "Plane 4 sq ft, at most 1/8 in deep."
        assert any("Never pour" in caution for caution in said["cautions"])

    def test_under_a_glued_floor_compound_is_trowelled(self) -> None:
        plan = offered(FloorTask(DISH, TEN_FEET), "least", GLUED)
        assert plan.materials[0].product is PRODUCTS["trowel"]

    def test_without_a_product_for_it_there_is_no_plan(self) -> None:
        only = {"trowel": PRODUCTS["trowel"]}
        site = Site("wood-nail-down", only)
        assert "no product for this" in refused(FloorTask(DISH, TEN_FEET), "least", site)
        assert "no product for this" in refused(FloorTask(DISH, TEN_FEET), "mix", site)
        assert "no product for this" in refused(
            FloorTask(DISH, TEN_FEET), "pool", Site("slab", only)
        )


class TestKept:
    """Heights that stay, stairs that start here."""

    def test_what_stands_against_it_is_named(self) -> None:
        keeps = (Keep((1, 2), "the drain"), Keep((0, 0), "the door sill"))
        why = refused(FloorTask(DISH, TEN_FEET, keeps=keeps), "least")
        assert "the drain and the door sill" in why

    def test_a_floor_that_comes_up_at_a_stair_says_the_new_riser(self) -> None:
        stairs = (Stair((1, 2), 15 * INCH // 2), Stair((0, 0), 7 * INCH, foot=False))
        plan = offered(FloorTask(DISH, TEN_FEET), "least", replace(SLAB, stairs=stairs))
        up = int(plan.depths[1, 2])
        assert stairs[0].after(plan.depths) == 15 * INCH // 2 - up
        said = told(plan, DISH, SLAB)["stairs"]
        assert said[0].startswith("The floor comes up ")
        assert "its first riser becomes" in said[0]
        assert "(now 7 1/2 in)" in said[0]
        assert said[1] == "The floor stays as it is at the head of the stair."

    def test_a_stair_beside_the_stations_changes_nothing(self) -> None:
        stair = Stair((99, 99), 7 * INCH)
        plan = offered(FloorTask(DISH, TEN_FEET), "least", replace(SLAB, stairs=(stair,)))
        assert stair.after(plan.depths) == 7 * INCH

    def test_at_the_head_of_a_stair_the_last_riser_grows(self) -> None:
        stair = Stair((1, 2), 7 * INCH, foot=False)
        plan = offered(FloorTask(DISH, TEN_FEET), "least", replace(SLAB, stairs=(stair,)))
        assert stair.after(plan.depths) == 7 * INCH + int(plan.depths[1, 2])


class TestWhyNot:
    """A sentence for each reason."""

    def test_too_shallow_to_pour(self) -> None:
        shallow = FloorTask(floor("0 0 -4 0 0"), TEN_FEET)
        assert "least lift (1/8 in): trowel it" in refused(shallow, "pool")

    def test_stopped_before_anything_was_found(self) -> None:
        task = FloorTask(DISH, TEN_FEET)
        plan = Planner(task, SLAB, Watch(stop=lambda: True)).offer("least")
        assert isinstance(plan, NotOffered)
        assert "nothing to show" in told(plan, DISH, SLAB)["why"]

    @pytest.mark.parametrize(("kind", "measure"), [("least", "volume_ft3"), ("mix", "cost")])
    def test_stopped_halfway_it_says_the_bound_on_what_is_left(
        self, kind: PlanKind, measure: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(floors_plan_tiles, "MOST_BENT", 20)
        monkeypatch.setattr(floors_plan_tiles, "TILE", 6)
        seen: list[Progress] = []
        watch = Watch(seen.append, lambda: bool(seen) and seen[-1].done == 2)
        stations = bent(12, 12)
        plan = Planner(FloorTask(stations, TEN_FEET), SLAB, watch).offer(kind)
        said = told(plan, stations, SLAB)
        assert said["why"].startswith("Stopped with 2 of 4 parts of the floor finished.")
        assert said["measure"] == measure
        assert 0 < said["left"] < said["least"]


class TestTold:
    """The plan as JSON and in words."""

    def test_every_key_the_command_promises(self) -> None:
        said = told(offered(FloorTask(RIDGE, TEN_FEET), "mix"), RIDGE, SLAB)
        assert {
            "volume_ft3", "area_ft2", "deepest", "bags", "patches", "cost", "above_bound",
        } <= set(said)  # fmt: skip
        json.dumps(said, allow_nan=False)
        assert said["deepest"].keys() == {"text", "nm"}

    def test_a_ridge_is_ground_with_its_cautions(self) -> None:
        spike = floor("0 0 0 0 0", "0 0 6 0 0", "0 0 0 0 0")
        said = told(offered(FloorTask(spike, TEN_FEET), "mix"), spike, SLAB)
        assert said["title"] == "Grind the high places"
        assert said["patches"][0]["does"] == "grind"
        assert any("silica" in one for one in said["cautions"])
        assert any("tendons" in one for one in said["cautions"])

    def test_a_kept_plan_has_a_row_of_depths_for_each_row(self) -> None:
        stations = floor("0 0 . 0 0 0", "0 -9 -14 -9 0 0", "0 0 0 0 0 0")
        plan = offered(FloorTask(stations, TEN_FEET), "least")
        answer = json.loads(kept(plan, stations, SLAB))
        assert answer["rows"][0][2] is None
        assert answer["rows"][1][2] == str(plan.depths[1, 2])
        assert {"title", "rows", "steps", "patches"} <= set(answer)

    def test_depths_come_in_the_order_of_the_readings(self) -> None:
        stations = replace(DISH, order=DISH.order[::-1].copy())
        plan = offered(FloorTask(stations, TEN_FEET), "least")
        depths = [int(one["nm"]) for one in per_reading(plan.depths, stations)]
        assert depths == plan.depths.ravel()[::-1].tolist()

    def test_metric(self) -> None:
        plan = offered(FloorTask(DISH, TEN_FEET), "least")
        said = told(plan, DISH, SLAB, "metric")
        assert said["deepest"]["text"].endswith(" mm")
        assert " m2" in " ".join(said["steps"])
        assert area_text(10**18, "metric") == "1 m2"


class TestPatches:
    """Connected areas, neighbors at corners included."""

    def test_fills_and_grinds_are_apart_and_the_largest_comes_first(self) -> None:
        depths = np.array([[1, 0, 0, -5], [0, 2, 0, -5], [0, 0, 0, -1], [3, 0, 0, 0]])
        found = patches_of(depths, np.full(depths.shape, 10))
        assert [(p.fills, len(p.cells), p.area, p.volume, p.deepest, p.at) for p in found] == [
            (False, 3, 30, 110, 5, (0, 3)),
            (True, 2, 20, 30, 2, (1, 1)),
            (True, 1, 10, 30, 3, (3, 0)),
        ]
        assert found[0].box == (0, 3, 2, 3)

    @settings(max_examples=25, deadline=None)
    @given(st.lists(st.lists(st.booleans(), min_size=6, max_size=6), min_size=1, max_size=6))
    def test_labels_are_those_of_a_plain_search(self, rows: list[list[bool]]) -> None:
        labels, count = labelled(np.array(rows))
        assert (labels.tolist(), count) == by_search(rows)

    def test_a_mask_grows_by_corners_too(self) -> None:
        one = np.zeros((5, 5), dtype=bool)
        one[2, 2] = True
        assert grown(one, 1).sum() == 9
        assert grown(one, 2).all()

    def test_places_have_names_and_words(self) -> None:
        assert [patch_name(n) for n in (0, 25, 26, 52)] == ["A", "Z", "A2", "A3"]
        big = Stations(
            np.zeros((9, 9), np.int64), np.ones((9, 9), bool), 2 * FOOT, (FOOT, FOOT),
            np.zeros((0, 2), np.int64), np.ones((9, 9), np.int64),
        )  # fmt: skip
        depths = np.zeros((9, 9), np.int64)
        depths[0, 7:] = 1
        patch = patches_of(depths, big.counts)[0]
        assert (
            PlanSpeaker(WORDS, big, SLAB).place(patch)
            == "top right, 15 ft to 17 ft across, 1 ft down"
        )

    @pytest.mark.parametrize(
        ("nm", "text"), [(1, "0 in"), (SIXTEENTH, "1/16 in"), (SIXTEENTH + MM, "1/8 in")]
    )
    def test_a_crew_works_to_sixteenths(self, nm: int, text: str) -> None:
        assert depth_text(nm) == text


def by_search(rows: list[list[bool]]) -> tuple[list[list[int]], int]:
    labels = [[0] * len(row) for row in rows]
    count = 0
    for r, row in enumerate(rows):
        for c, is_in in enumerate(row):
            if not is_in or labels[r][c]:
                continue
            count += 1
            todo: list[Any] = [(r, c)]
            while todo:
                i, j = todo.pop()
                if not (0 <= i < len(rows) and 0 <= j < len(row)):
                    continue
                if rows[i][j] and not labels[i][j]:
                    labels[i][j] = count
                    todo += [(i + a, j + b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
    return labels, count
