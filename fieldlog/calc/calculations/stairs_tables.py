"""What may be done to a flight in steps, and the cost of the best way on from each tread.

A plan is a move d of the flight and a change x of each tread (+ shim, - plane), all multiples
of a step. Riser i depends on d and on the changes of the treads below and above it alone; its
opening on the same, and on its height, which is d and the shim of its own tread. So the
cheapest plan is a shortest path through the treads. For each window [lo, lo + widest spread]
that the risers may lie in, the cost from a tread on is a table over (d, x), made from the
table of the tread above; NumPy does all d at once, in whole numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fieldlog.calc.books import BoundRule
from fieldlog.calc.calculations.stairs_flight import Flight
from fieldlog.calc.calculations.stairs_local import Local
from fieldlog.calc.calculations.stairs_trees import RISER

Table = NDArray[np.int64]
Mask = NDArray[np.bool_]

FAR = np.int64(1) << 60
# one number for Plan.cost: each place is wider than anything that can be added up in it
PIECE, STEP, PLANED = 1 << 34, 1 << 18, 1 << 12


@dataclass(frozen=True, slots=True)
class Options:
    """What may be done: in steps of `step` nm, `most` of them to a tread.

    `locked` are treads (from 0) that are neither shimmed nor planed; with `locked_ends` the
    first and the last riser stay as they are.
    """

    step: int
    most: int
    locked: frozenset[int] = frozenset()
    locked_ends: bool = False


@dataclass(frozen=True, slots=True)
class Stage:
    """What a plan may consist of."""

    name: str
    move: bool
    shim: bool
    plane: bool


@dataclass(frozen=True, slots=True)
class Opening:
    """The opening at a riser under one limit: where (move, change) that applies, and the most
    steps its gap may grow by (less than 0: it has to shrink).
    """

    counts: Mask
    growth: int


class Steps:
    """A flight in steps: which moves, changes and risers there may be."""

    def __init__(self, flight: Flight, local: Local, options: Options, stage: Stage) -> None:
        self.flight, self.local, self.options, self.stage = flight, local, options, stage
        self.treads = len(flight.risers) - 1
        self.xs = np.arange(-options.most, options.most + 1)
        self.low, self.high = self._plausible()
        self.spans = self._spans()
        # one more than any riser can change by, so that the outermost places are never sound
        self.reach = (self.high - self.low) // options.step + 2
        self.sound = [self._sound(place) for place in range(self.treads + 1)]
        self.moves = np.array(self._moves())
        self.lifted = self._lifted()
        self.weights = [self._weights(tread) for tread in range(self.treads)]
        self.openings = [self._openings(place) for place in range(self.treads + 1)]

    def at(self, change: Table) -> Table:
        """Where the changes of a riser, in steps, stand in `sound` and in a window."""
        places: Table = np.minimum(np.maximum(change + self.reach, 0), 2 * self.reach)
        return places

    def values(self, place: int) -> Table:
        """The riser for each place in `sound`, nm."""
        changes = np.arange(-self.reach, self.reach + 1)
        return self.flight.risers[place] + changes * self.options.step

    def _plausible(self) -> tuple[int, int]:
        field = self.local.court.sheet.field(RISER)
        low = int(field.low) if field and field.low else 1
        high = int(field.high) if field and field.high else self.flight.rise
        return max(low, 1), max(high, *self.flight.risers)

    def _spans(self) -> list[tuple[int, int]]:
        """Windows that can hold all risers: as wide as the risers may differ, from a value that
        a riser can have. Only those that hold the mean riser can.
        """
        if not self.local.spreads:
            return [(self.low, self.high)]
        rise, count, step = self.flight.rise, self.treads + 1, self.options.step
        widest = self._widest_spread()
        spans = set()
        for rest in {riser % step for riser in self.flight.risers}:
            start = rise // count // step * step + rest + step
            while count * (start + widest) >= rise:
                if count * start <= rise:
                    spans.add((start, start + widest))
                start -= step
        return sorted(spans)

    def _widest_spread(self) -> int:
        """The widest spread (nm) that is clear of its limit, found by halving."""
        low, high = 0, self.high
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if self.local.spread_ok(middle) else (low, middle - 1)
        return low

    def _sound(self, place: int) -> Mask:
        """Which changes of a riser leave it within a window and within every limit on it."""
        least = max(self.low, min((lo for lo, _ in self.spans), default=self.high))
        most = min(self.high, max((hi for _, hi in self.spans), default=0))
        values = self.values(place)
        sound = (values >= least) & (values <= most)
        for n in np.flatnonzero(sound):
            sound[n] = self.local.riser_ok(place, int(values[n]))
        return sound

    def _moves(self) -> list[int]:
        """Moves of the flight with which both its ends can be right."""
        if not self.stage.move or self.options.locked_ends:
            return [0]
        moves = np.arange(-self.reach - self.options.most, self.reach + self.options.most + 1)
        shifts = moves[:, None] + (self.xs if self.stage.shim else self.xs[:1] * 0)[None, :]
        first = self.sound[0][self.at(shifts)].any(axis=1)
        last = self.sound[-1][self.at(-shifts)].any(axis=1)
        return [int(move) for move in moves[first & last]]

    def _lifted(self) -> Mask:
        """Where (move, change) a tread would be lifted too near to what is above the flight."""
        lifts = self.moves[:, None] + self.xs[None, :]
        heights, where = np.unique(lifts, return_inverse=True)
        ok = [self.local.lift_ok(int(n) * self.options.step) for n in heights]
        return ~np.array(ok, dtype=np.bool_)[where].reshape(lifts.shape)

    def _weights(self, tread: int) -> Table:
        """The cost of each change of a tread, by move; what may not be done is far away."""
        x = self.xs.astype(np.int64)
        cost = np.where(x != 0, PIECE, 0) + np.abs(x) * STEP + np.where(x < 0, PLANED, 0)
        barred = np.zeros(len(x), dtype=np.bool_)
        if not self.stage.shim:
            barred |= x > 0
        if not self.stage.plane:
            barred |= x < 0
        ends = self.options.locked_ends and tread in (0, self.treads - 1)
        if ends or tread in self.options.locked:
            barred |= x != 0
        thick = self.flight.thickness[tread] if self.flight.thickness else None
        if thick is not None:
            barred |= thick + x * self.options.step <= 0
        return np.where(barred[None, :] | self.lifted, FAR, cost[None, :])

    def _openings(self, place: int) -> tuple[Opening, ...]:
        """The opening at a riser, once for each limit that applies to it in some plan."""
        thick = self.flight.thickness[place] if place < len(self.flight.thickness) else None
        if not self.flight.open_riser or thick is None:
            return ()
        if place == self.treads:  # under the upper floor's edge, which stays
            lifted = np.zeros((len(self.moves), 1), dtype=np.int64)
        else:
            lifted = self.moves[:, None] + np.maximum(self.xs, 0)[None, :]
        gap = self.flight.risers[place] - thick
        found = (self._opening(bound, place, gap, lifted) for bound in self.local.gaps)
        return tuple(opening for opening in found if opening.counts.any())

    def _opening(self, bound: BoundRule, place: int, gap: int, lifted: Table) -> Opening:
        top, step = sum(self.flight.risers[:place]) + gap, self.options.step
        heights, where = np.unique(lifted, return_inverse=True)
        counted = [self.local.gap_counts(bound, place, top + int(n) * step) for n in heights]
        counts = np.array(counted, dtype=np.bool_)[where].reshape(lifted.shape)
        return Opening(counts, self._most_growth(bound, place, gap))

    def _most_growth(self, bound: BoundRule, place: int, gap: int) -> int:
        """By halving: a gap that is narrow enough stays so when it shrinks."""
        low, high, step = -self.reach - self.options.most, self.reach, self.options.step
        while low < high:
            middle = (low + high + 1) // 2
            fits = self.local.gap_ok(bound, place, gap + middle * step)
            low, high = (middle, high) if fits else (low, middle - 1)
        return low


@dataclass(frozen=True, slots=True)
class Window:
    """For risers within a span: which changes each may take, and the tables of what is left to
    pay, by tread, over (move, change).
    """

    allowed: tuple[Mask, ...]
    left: tuple[Table, ...]
    first: Table


def window(steps: Steps, lo: int, hi: int) -> Window:
    """The tables for risers of `lo` to `hi` nm, from the last tread down to the first."""
    allowed = tuple(
        sound & (steps.values(place) >= lo) & (steps.values(place) <= hi)
        for place, sound in enumerate(steps.sound)
    )
    tables = [_after_the_last(steps, allowed[-1])]
    for tread in range(steps.treads - 1, 0, -1):
        tables.append(_below(steps, tread, allowed[tread], tables[-1]))
    tables.reverse()
    return Window(allowed, tuple(tables), _to_the_first(steps, allowed[0], tables[0]))


def _after_the_last(steps: Steps, allowed: Mask) -> Table:
    """After the last tread only the last riser is to be right, and the opening under the floor."""
    shift = steps.moves[:, None] + steps.xs[None, :]
    fits = allowed[steps.at(-shift)]
    for opening in steps.openings[-1]:
        fits &= ~opening.counts | (-shift <= opening.growth)
    return np.where(fits, np.int64(0), FAR)


def _below(steps: Steps, tread: int, allowed: Mask, above: Table) -> Table:
    """The table of the tread below `tread`: over each change of the riser between them."""
    total = np.minimum(steps.weights[tread] + above, FAR)
    best: Table = np.full_like(total, FAR)
    size = len(steps.xs)
    for change in range(1 - size, size):  # of the riser: x of this tread less x of the one below
        if abs(change) > steps.reach or not allowed[change + steps.reach]:
            continue
        cost = total
        grows = np.maximum(steps.xs, 0) - (steps.xs - change)
        for opening in steps.openings[tread]:
            cost = np.where(opening.counts & (grows > opening.growth)[None, :], FAR, cost)
        here = slice(max(change, 0), size + min(change, 0))
        below = slice(max(-change, 0), size - max(change, 0))
        best[:, below] = np.minimum(best[:, below], cost[:, here])
    return best


def _to_the_first(steps: Steps, allowed: Mask, left: Table) -> Table:
    """The cost of whole plans by move and by the change of the first tread."""
    shift = steps.moves[:, None] + steps.xs[None, :]
    fits = allowed[steps.at(shift)]
    lifted = steps.moves[:, None] + np.maximum(steps.xs, 0)[None, :]
    for opening in steps.openings[0]:
        fits &= ~opening.counts | (lifted <= opening.growth)
    whole = np.minimum(steps.weights[0] + left, FAR)
    first: Table = np.where(fits, whole, FAR)
    return first
