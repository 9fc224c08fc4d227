"""The cheapest mix of grinding and filling at a price per bag and per square foot ground.

Filling is paid by volume, grinding by area however deep it goes, up to a most depth. The second
is no linear programme: a station is ground or it is not. What is solved is the programme in
which a millimeter off costs its share of the full depth, price / most; no mix costs less than
that, so it is the lower bound. Then the price of a millimeter is set to what the depth found
last time would have made it, and the programme is solved again, as long as the true cost falls
(dynamic slope scaling, Kim and Pardalos 1999). A mix that grinds nothing is tried as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from fieldlog.calc.floors_plan_chords import Floats, keeps
from fieldlog.calc.floors_plan_programme import UNIT, CannotPass, Effort
from fieldlog.calc.floors_plan_settle import Settled, Settling, settle, tidied
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.floors_plan_tiles import settle_in_tiles, too_large
from fieldlog.calc.floors_plan_watch import Stopped, Watch
from fieldlog.calc.floors_survey import Ints
from fieldlog.calc.lengths import NM_PER_FOOT

ROUNDS = 4
"""Prices are set anew at most so often; later rounds were seen to gain next to nothing."""
NEAR = Fraction(51, 50)
"""No other prices are tried where the cost is within so much of the bound,"""
PER_STATION, ENOUGH_WORK, MOST_WORK = 8, 2_000, 8_000
"""nor after so many steps of the solver: per station, but not less and not more than these."""


@dataclass(frozen=True, slots=True)
class MixPrices:
    """What work costs, in the house's money.

    `bag` for a bag that fills `bag_yield` nm3; `grind` for a square foot ground, up to
    `most_grind` nm deep.
    """

    bag: Fraction
    bag_yield: Fraction
    grind: Fraction
    most_grind: int

    def fill_per_mm(self, task: FloorTask) -> Floats:
        """Price of a millimeter of fill on each place, flat."""
        volume = UNIT * task.stations.spacing**2
        return task.weights * np.float64(self.bag * volume / self.bag_yield)

    def grind_per_station(self, task: FloorTask) -> Floats:
        """Price of grinding each place, flat."""
        return task.weights * np.float64(self.grind * task.stations.spacing**2 / NM_PER_FOOT**2)

    def cost(self, task: FloorTask, change: Floats) -> np.float64:
        """What a change (flat, nm) costs, bags not rounded up to whole ones."""
        fill = self.fill_per_mm(task) * np.maximum(change, 0) / UNIT
        ground = np.where(change < 0, self.grind_per_station(task), 0)
        return np.float64(fill.sum() + ground.sum())


@dataclass(frozen=True, eq=False, slots=True)
class Mixed:
    """A mix: `depths` (rows, columns) nm, negative is ground; its cost and a bound of any mix.

    Both count parts of bags: whole ones are the plan's business.
    """

    depths: Ints
    cost: np.float64
    bound: np.float64


def cheapest_mix(task: FloorTask, prices: MixPrices, watch: Watch | None = None) -> Mixed:
    """Grind and fill so that the limits are met, as cheap as can be found.

    Raises CannotPass where heights that are kept stand against it, Stopped.
    """
    watch = watch or Watch()
    if too_large(task):
        found = settle_in_tiles(
            task, lambda part: _shared(part, prices), watch,
            lambda part, effort, settling, first: _best(part, prices, effort, settling, first),
        )  # fmt: skip
        return _mixed(task, prices, found.change, found.bound)
    effort = _shared(task, prices)
    first, settling = settle(task.lines, task.surface, effort, watch, task.level)
    return _mixed(task, prices, _best(task, prices, effort, settling, first), first.bound)


def _best(
    task: FloorTask, prices: MixPrices, effort: Effort, settling: Settling, first: Settled
) -> Floats:
    """The cheapest of the mixes that other prices of a millimeter lead to, until it is stopped."""
    best, least = first.change, prices.cost(task, first.change)
    try:
        for found in _scaled(task, prices, effort, settling, first):
            change = tidied(task.lines, task.surface, found.change)
            cost = prices.cost(task, change)
            if cost < least and keeps(task.lines, task.surface + change):
                best, least = change, cost
    except Stopped:  # what was found by then passes
        return best
    return best


def _mixed(task: FloorTask, prices: MixPrices, change: Floats, bound: np.float64) -> Mixed:
    depths = np.ascontiguousarray(task.lines.grid(change)).astype(np.int64)
    cost = prices.cost(task, change)
    return Mixed(depths, cost, min(bound, cost))


def _shared(task: FloorTask, prices: MixPrices) -> Effort:
    """A millimeter off costs its share of the full depth."""
    share = prices.grind_per_station(task) * UNIT / max(prices.most_grind, 1)
    return task.effort(prices.fill_per_mm(task), share, prices.most_grind)


def _scaled(
    task: FloorTask, prices: MixPrices, effort: Effort, settling: Settling, last: Settled
) -> Iterator[Settled]:
    """Mixes by other prices of a millimeter: what the last depths made it; then no grinding."""
    enough = min(max(PER_STATION * task.stations.known, ENOUGH_WORK), MOST_WORK)
    station = prices.grind_per_station(task)
    bound, grind, cost = last.bound, effort.grind, prices.cost(task, last.change)
    for _ in range(ROUNDS):
        if cost <= bound * np.float64(NEAR) or settling.work > enough:
            return
        depth = np.maximum(-last.change, 1) / UNIT
        grind = np.where(last.change < 0, station / depth, grind)
        last = settling.reprice(Effort(effort.fill, grind, effort.most_fill, effort.most_grind))
        yield last
        if prices.cost(task, last.change) >= cost:
            break
        cost = prices.cost(task, last.change)
    try:
        none = np.zeros(len(effort.grind))
        yield settling.reprice(Effort(effort.fill, none, effort.most_fill, none))
    except CannotPass:
        return
