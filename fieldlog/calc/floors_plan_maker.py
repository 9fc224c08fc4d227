"""Makes plans, and judges each one before it is offered.

Whatever made a plan, it is laid on the floor and every limit judged again by the same
straightedge as the floor itself was (`floors_edge`, which no plan is made with). A plan that
does not pass is never offered; `NotOffered` says why.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cached_property

import numpy as np

from fieldlog.calc.floors_edge import look_under
from fieldlog.calc.floors_fill import Filled, least_fill
from fieldlog.calc.floors_mix import MixPrices, cheapest_mix
from fieldlog.calc.floors_mix_bags import above_bound, cheapest_in_whole_bags
from fieldlog.calc.floors_plan import Kept, NotOffered, Parts, Plan, PlanKind, Site
from fieldlog.calc.floors_plan_materials import cost_of, material, primer
from fieldlog.calc.floors_plan_patches import int_sum, patches_of, volume
from fieldlog.calc.floors_plan_programme import UNIT, CannotPass
from fieldlog.calc.floors_plan_task import FloorTask, broken_keeps
from fieldlog.calc.floors_plan_watch import Progress, Stopped, Watch
from fieldlog.calc.floors_pool import NothingToPour, Poured, pour
from fieldlog.calc.floors_survey import Ints
from fieldlog.calc.lengths import NM_PER_FOOT
from fieldlog.calc.products import Product


class Planner:
    """Makes the plans of one floor; what they have in common is computed once."""

    def __init__(self, task: FloorTask, site: Site, watch: Watch | None = None) -> None:
        self._task, self._site = task, site
        self._watch = watch or Watch()

    def offer(self, kind: PlanKind) -> Plan | NotOffered:
        """The plan of that kind that passes, or why there is none."""
        self._watch.seen = Progress()
        make = {"least": self._least_plan, "pool": self._pool_plan, "mix": self._mix_plan}[kind]
        try:
            plan = make()
        except CannotPass:
            return NotOffered(kind, "kept", tuple(keep.what for keep in self._task.keeps))
        except NothingToPour:
            return NotOffered(kind, "thin")
        except Stopped as stopped:
            return self._stopped(kind, stopped.progress)
        return self._judged(plan) if isinstance(plan, Plan) else plan

    def _stopped(self, kind: PlanKind, progress: Progress) -> NotOffered:
        """A mix counts money, a fill the volume of a millimeter on one spacing squared."""
        unit = 1 if kind == "mix" else UNIT * self._task.stations.spacing**2
        if kind == "pool" and "_least" in self.__dict__:  # no pool takes less than the least fill
            progress = Progress(0, 1, self._least.bound, self._least.bound)
        bound, left = Fraction(progress.bound) * unit, Fraction(progress.left) * unit
        return NotOffered(kind, "stopped", progress=progress, bound=bound, left=left)

    @cached_property
    def _least(self) -> Filled:
        return least_fill(self._task, self._watch)

    def _least_plan(self) -> Plan | NotOffered:
        product = self._site.product("trowel", "sheet")
        if product is None:
            return NotOffered("least", "product")
        if product.kind == "sheet":
            depths = _in_layers(self._task, product.layer, self._watch)
            return self._plan("least", depths, ((product, depths),), self._above(depths))
        depths = self._least.depths
        return self._plan("least", depths, ((product, depths),), self._above(depths))

    def _pool_plan(self) -> Plan | NotOffered:
        if self._site.floor == "wood-nail-down":
            return NotOffered("pool", "nail_down")
        product, compound = self._site.product("pour"), self._site.product("trowel")
        if product is None or compound is None:
            return NotOffered("pool", "product")
        if not self._least.depths.any():
            return self._plan("pool", self._least.depths, (), Fraction(0))
        found = pour(self._task, self._least.depths, product.least_lift, self._watch)
        parts = (
            (product, found.poured),
            (compound, found.depths - found.poured),
        )
        return self._plan("pool", found.depths, parts, self._above(found.depths), found)

    def _mix_plan(self) -> Plan | NotOffered:
        fills, takes = self._site.product("trowel", "sheet"), self._site.product("grind", "plane")
        if fills is None or takes is None:
            return NotOffered("mix", "product")
        prices = self._mix_prices(fills, takes)
        if prices is None:
            return NotOffered("mix", "prices")
        layer = fills.layer if fills.kind == "sheet" else 0
        task = _tightened(self._task, layer)
        found = cheapest_mix(task, prices, self._watch)
        if not layer:
            depths, above = cheapest_in_whole_bags(task, prices, found, self._fill, self._watch)
            return self._plan("mix", depths, ((fills, np.maximum(depths, 0)),), above)
        depths = np.where(found.depths > 0, _whole(found.depths, layer), found.depths)
        change = np.asarray(task.lines.room(depths), dtype=np.float64)
        bound = cheapest_mix(self._task, prices, self._watch).bound
        above = above_bound(prices.cost(self._task, change), bound)
        return self._plan("mix", depths, ((fills, np.maximum(depths, 0)),), above)

    def _fill(self) -> Filled:
        return self._least

    def _mix_prices(self, fills: Product, takes: Product) -> MixPrices | None:
        """On wood that is nailed to, a square foot planed counts as one layer laid on it."""
        most = takes.most_lift
        if self._site.most_grind is not None:
            most = min(most, self._site.most_grind)
        if fills.kind == "sheet":
            return MixPrices(Fraction(1), Fraction(fills.layer * NM_PER_FOOT**2), Fraction(1), most)
        bag, grind = self._site.prices.bag, self._site.prices.grind
        if bag is None or grind is None:
            return None
        return MixPrices(bag, fills.yields, grind, most)

    def _above(self, depths: Ints) -> Fraction:
        weights = self._task.areas / self._task.stations.spacing**2
        return above_bound(np.float64((depths * weights).sum() / UNIT), self._least.bound)

    def _plan(
        self, kind: PlanKind, depths: Ints, parts: Parts,
        above: Fraction, poured: Poured | None = None,
    ) -> Plan:  # fmt: skip
        areas = self._task.areas
        used = tuple(
            material(product, volume(part[part > 0], areas[part > 0]), int(part.max()))
            for product, part in parts
            if part.any()
        )
        filled, ground = (int_sum(areas[place]) for place in (depths > 0, depths < 0))
        wet = self._site.product("primer") if any(m.product.yields for m in used) else None
        bags = sum(one.units for one in used)
        sheets = any(one.layers for one in used)
        cost = cost_of(self._site.prices, bags, Fraction(ground, NM_PER_FOOT**2))
        return Plan(
            kind=kind, depths=depths, filled=filled, ground=ground,
            deepest=max(int(depths.max()), 0), most_off=max(-int(depths.min()), 0),
            volume=sum(one.volume for one in used), materials=used,
            primer=primer(wet, filled) if wet and filled else None,
            takes_off=self._site.product("grind", "plane") if ground else None,
            patches=patches_of(depths, areas), cost=None if sheets else cost, above_bound=above,
            stairs=self._site.stairs, pools=poured.pools if poured else (),
            poured=poured.poured if poured else None,
            parts=parts, areas=areas, keeps=self._task.keeps,
        )  # fmt: skip

    def _judged(self, plan: Plan) -> Plan | NotOffered:
        """The plan with every limit as it will be, or that it does not pass after all."""
        task = self._task
        after = task.stations.with_heights(task.stations.z + plan.depths)
        unders = {edge: look_under(after, edge) for edge in {limit.edge for limit in task.limits}}
        kept = tuple(
            Kept(limit, worst.gap if (worst := unders[limit.edge].worst(limit.kind)) else None)
            for limit in task.limits
        )
        known = after.z[after.mask]
        spread = int(known.max() - known.min()) if known.size else 0
        for one in kept:
            if one.gap is not None and one.gap > one.limit.limit:
                return NotOffered(plan.kind, "fails", failing=one)
        if task.level is not None and spread > task.level:
            return NotOffered(plan.kind, "fails")
        if moved := broken_keeps(task, plan.depths):
            return NotOffered(plan.kind, "kept", tuple(keep.what for keep in moved))
        return replace(plan, after=kept, range_after=spread)


def _in_layers(task: FloorTask, layer: int, watch: Watch) -> Ints:
    """A least fill in whole layers: rounding up lifts a chord by less than one layer."""
    return _whole(least_fill(_tightened(task, layer), watch).depths, layer)


def _tightened(task: FloorTask, layer: int) -> FloorTask:
    """The task with limits so much less that depths may be rounded up to whole layers."""
    if not layer:
        return task
    limits = tuple(replace(one, limit=_less(one.limit, layer)) for one in task.limits)
    level = None if task.level is None else _less(task.level, layer)
    return replace(task, limits=limits, level=level)


def _less(limit: int, layer: int) -> int:
    # where a layer is about the limit itself the result is judged like any other, and may fail
    return max(limit - layer + 1, limit // 4)


def _whole(depths: Ints, layer: int) -> Ints:
    return -(-depths // layer) * layer if layer else depths
