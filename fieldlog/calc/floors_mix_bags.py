"""The mix that costs least when bags are bought whole.

A mix is sought by parts of bags (`floors_mix`), and a spot that takes a handful of a bag costs a
bag. So the mix, the least fill alone, and the mix that fills as little as it can are compared by
what is paid: whole bags, and square feet ground.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np

from fieldlog.calc.floors_fill import Filled
from fieldlog.calc.floors_mix import Mixed, MixPrices, cheapest_mix
from fieldlog.calc.floors_plan_materials import Prices, cost_of
from fieldlog.calc.floors_plan_patches import int_sum, volume
from fieldlog.calc.floors_plan_programme import UNIT, CannotPass
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.floors_plan_tiles import too_large
from fieldlog.calc.floors_plan_watch import Stopped, Watch
from fieldlog.calc.floors_survey import Ints
from fieldlog.calc.lengths import NM_PER_FOOT

DEAR = 100
"""A bag is taken to cost so many times its price where as little as possible is to be filled."""


def cheapest_in_whole_bags(
    task: FloorTask, prices: MixPrices, found: Mixed, fill: Callable[[], Filled], watch: Watch
) -> tuple[Ints, Fraction]:
    """The depths of the cheapest, and how far it is above what any has to cost, as a part of it.

    `fill` gives the least fill. On a floor so large that it is worked on in parts the mix found
    is kept: there a bag is little of what it takes.
    """
    if too_large(task):
        return found.depths, above_bound(found.cost, found.bound)
    others = tuple(_others(task, prices, fill, watch))
    depths = min((found.depths, *others), key=lambda one: (paid(task, prices, one), _work(one)))
    bound = max(_least_paid(task, prices, fill), Fraction(found.bound))
    return depths, above_bound(np.float64(paid(task, prices, depths)), np.float64(bound))


def paid(task: FloorTask, prices: MixPrices, depths: Ints) -> Fraction:
    """What depths (rows, columns; nm, negative is ground) cost: whole bags, square feet ground."""
    fills, areas = depths > 0, task.areas
    bags = -(-volume(depths[fills], areas[fills]) // prices.bag_yield)
    ground = Fraction(int_sum(areas[depths < 0]), NM_PER_FOOT**2)
    return cost_of(Prices(prices.bag, prices.grind), int(bags), ground) or Fraction(0)


def above_bound(found: np.float64, bound: np.float64) -> Fraction:
    """How far something is above its bound, as a part of it, to a ten-thousandth."""
    if found <= bound or bound <= 0:
        return Fraction(0)
    return Fraction(round((found / bound - 1) * 10_000), 10_000)


def _others(
    task: FloorTask, prices: MixPrices, fill: Callable[[], Filled], watch: Watch
) -> Iterator[Ints]:
    dear = replace(prices, bag=DEAR * prices.bag)
    makes: tuple[Callable[[], Filled | Mixed], ...] = (
        fill,
        lambda: cheapest_mix(task, dear, watch),
    )
    for make in makes:
        try:
            yield make().depths
        except (CannotPass, Stopped):  # the mix that was found passes
            continue


def _least_paid(task: FloorTask, prices: MixPrices, fill: Callable[[], Filled]) -> Fraction:
    """What any plan has to cost: the bags of the least fill, or at least one place ground."""
    ground = [int(area) for area in task.areas[task.stations.mask].tolist() if area]
    one = prices.grind * Fraction(min(ground, default=0), NM_PER_FOOT**2)
    try:
        least = Fraction(fill().bound) * UNIT * task.stations.spacing**2
    except (CannotPass, Stopped):
        return one
    return min(prices.bag * -(-least // prices.bag_yield), one)


def _work(depths: Ints) -> int:
    return int(np.count_nonzero(depths))
