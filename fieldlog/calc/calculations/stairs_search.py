"""Plans for a flight in the order of their cost, exactly: the cheapest comes first.

The tables of `stairs_tables` say what the best way on from any tread costs, so a best-first
search by them walks straight to the cheapest plan, and then gives the next best, and the next:
a plan that the judge refuses, for a limit of a shape that one riser can't be asked about, is
followed by the next. 20 risers take some hundredths of a second.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator

import numpy as np

from fieldlog.calc.calculations.stairs_flight import Flight, Plan
from fieldlog.calc.calculations.stairs_local import Local
from fieldlog.calc.calculations.stairs_tables import (
    FAR,
    Options,
    Stage,
    Steps,
    Table,
    Window,
    window,
)

STAGES = (
    Stage("nothing", False, False, False),
    Stage("move", True, False, False),
    Stage("shim", True, True, False),
    Stage("plane", True, True, True),
)
"""What plans may consist of, in the order that it is tried: the first that has one wins."""

_Way = tuple[int, int, int, int, tuple[int, ...]]
"""Cost of the best plan by it, minus its length, window, move (by place), changes so far."""


def plans(flight: Flight, local: Local, options: Options, stage: Stage) -> Iterator[Plan]:
    """Plans within every limit that one riser or opening can be asked about, cheapest first."""
    steps = Steps(flight, local, options, stage)
    if not len(steps.moves):
        return
    windows = [window(steps, lo, hi) for lo, hi in steps.spans]
    ways = [way for n, one in enumerate(windows) for way in _starts(steps, one, n)]
    heapq.heapify(ways)
    seen: set[tuple[int, tuple[int, ...]]] = set()
    while ways:
        cost, _, n, at, done = heapq.heappop(ways)
        if len(done) < steps.treads:
            for way in _onward(steps, windows[n], (cost, 0, n, at, done)):
                heapq.heappush(ways, way)
        elif (at, done) not in seen:  # windows overlap
            seen.add((at, done))
            step = options.step
            yield Plan(int(steps.moves[at]) * step, tuple(x * step for x in done))


def _starts(steps: Steps, one: Window, n: int) -> Iterator[_Way]:
    for at, best in enumerate(one.first.min(axis=1)):
        if best < FAR:
            yield int(best) + abs(int(steps.moves[at])), 0, n, at, ()


def _onward(steps: Steps, one: Window, way: _Way) -> Iterator[_Way]:
    """A way with each change of its next tread that leads to a plan."""
    _, _, n, at, done = way
    most = steps.options.most
    spent = abs(int(steps.moves[at]))
    spent += sum(int(steps.weights[tread][at, x + most]) for tread, x in enumerate(done))
    row = _row(steps, one, at, done) if done else one.first[at]
    for place in np.flatnonzero(row < FAR):
        yield spent + int(row[place]), -len(done) - 1, n, at, (*done, int(steps.xs[place]))


def _row(steps: Steps, one: Window, at: int, done: tuple[int, ...]) -> Table:
    """What is left to pay, by the change of the next tread, after that of the one below it."""
    tread, below = len(done), done[-1]
    total = np.minimum(steps.weights[tread][at] + one.left[tread][at], FAR)
    fits = one.allowed[tread][steps.at(steps.xs - below)]
    grows = np.maximum(steps.xs, 0) - below
    for opening in steps.openings[tread]:
        fits = fits & (~opening.counts[at] | (grows <= opening.growth))
    return np.where(fits, total, FAR)
