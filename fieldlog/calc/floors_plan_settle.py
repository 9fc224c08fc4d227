"""Solve a floor's programme by chords on demand: only those that turn out broken are ever in it.

Seen on real floors: a few chords a station decide, of the hundreds that there are. Each round
solves, lays the edges again on the floor as it would be (exact, whole nm), and adds what broke.
It ends because there are finitely many chords, and from some round on none is dropped again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fieldlog.calc.floors_plan_chords import Floats, Lines, broken, keeps
from fieldlog.calc.floors_plan_programme import (
    DUAL,
    PRIMAL,
    TIGHT,
    CannotPass,
    Effort,
    Programme,
)
from fieldlog.calc.floors_plan_watch import Progress, Watch
from fieldlog.calc.floors_survey import Bools
from fieldlog.calc.lengths import NM_PER_INCH, NM_PER_MM

HAIR = 200
"""A change is a hair off a mark where it is off by less than this part of the marks' distance."""
DROPPING = 20
"""Rounds in which slack chords are dropped; then no more, so that none comes and goes for ever."""
LOOSE = 4
"""nm by which a chord may be broken before its change is put back on the marks."""


@dataclass(eq=False, slots=True)
class Settled:
    """A change (flat, whole nm) that keeps every limit, and a lower bound of what any costs."""

    change: Floats
    bound: np.float64


class Settling:
    """A floor whose programme can be solved, repriced and solved again.

    `level` is the most that the highest and the lowest station may differ, nm. It becomes one
    more place, behind the last: the lower end of the band, which may lie at any height for free.
    With `tells` the watch is told the bound after each round: chords left out only lower it.
    """

    def __init__(
        self, lines: Lines, surface: Floats, effort: Effort, watch: Watch,
        level: int | None = None, tight: int = TIGHT, tells: bool = False,
    ) -> None:  # fmt: skip
        self._lines, self._watch, self._level = lines, watch, level
        self._tells = tells
        self._surface = surface
        self._size = len(surface)
        lowest = np.nanmin(surface) if self._size and not np.isnan(surface).all() else np.nan
        self._programme = Programme(np.append(surface, lowest), _with_band(effort), tight)
        self._asked: dict[int, Bools] = {sign: np.zeros(self._size, bool) for sign in (1, -1)}
        self._change = np.zeros(self._size)
        self._bound = np.float64(0)
        self._rounds = 0

    @property
    def work(self) -> int:
        """How many steps the solver has made: a measure of time that every machine agrees on."""
        return self._programme.work

    def solve(self) -> Settled:
        """Raises CannotPass, Stopped."""
        while self._add_broken():
            self._solve(PRIMAL)
        return Settled(self._change, self._bound)

    def reprice(self, effort: Effort) -> Settled:
        """The same with other prices; the chords found so far stay. Raises CannotPass, Stopped.

        Its bound is one of those prices, and is not told.
        """
        self._tells = False
        self._programme.reprice(_with_band(effort))
        self._solve(DUAL)
        return self.solve()

    def _solve(self, method: int) -> None:
        self._programme.solve(self._watch, method)
        self._change = self._programme.change()[: self._size]
        self._bound = self._programme.bound()
        if self._tells:
            self._watch.tell(Progress(0, 1, self._bound, self._bound))
        self._rounds += 1
        if self._rounds <= DROPPING:
            self._programme.drop_slack()

    def _add_broken(self) -> bool:
        surface = self._surface + self._change
        chords = broken(self._lines, surface)
        if len(chords):
            self._programme.add(chords)
        return self._add_off_level(surface) or len(chords) > 0

    def _add_off_level(self, surface: Floats) -> bool:
        """Whether stations are farther apart than `level`; those are asked into the band."""
        if self._level is None:
            return False
        low, high = np.nanmin(surface), np.nanmax(surface)
        if high - low <= self._level:
            return False
        for sign, off in ((1, surface > low + self._level), (-1, surface < high - self._level)):
            new = np.flatnonzero(off & ~self._asked[sign])
            self._asked[sign][new] = True
            if new.size:
                places = np.stack([new, np.full(new.size, self._size)], axis=1)
                weights = np.tile([np.float64(sign), np.float64(-sign)], (new.size, 1))
                most = np.full(new.size, np.float64(self._level if sign > 0 else 0))
                self._programme.keep(places, weights, most)
        return True


def _with_band(effort: Effort) -> Effort:
    """One more place that moves up and down for nothing."""
    return Effort(
        np.append(effort.fill, 0), np.append(effort.grind, 0),
        np.append(effort.most_fill, np.inf), np.append(effort.most_grind, np.inf),
    )  # fmt: skip


def settle(
    lines: Lines, surface: Floats, effort: Effort, watch: Watch, level: int | None = None
) -> tuple[Settled, Settling]:
    """A change that keeps every limit, put on the marks of a tape where it was a hair off them.

    Also what it was found by, for other prices. Where heights that are kept leave no more room
    than the limits themselves, which readings in sixteenths often do, it is found on the limits
    and must then be on the marks to be exact. Raises CannotPass, Stopped.
    """
    try:
        settling = Settling(lines, surface, effort, watch, level, tells=True)
        found = settling.solve()
    except CannotPass:
        runs = tuple(run._replace(limit=run.limit + LOOSE) for run in lines.runs)
        wide = None if level is None else level + LOOSE
        settling = Settling(
            replace(lines, runs=runs), surface, effort, watch, wide, LOOSE, tells=True
        )
        found = settling.solve()
        found = Settled(tidied(lines, surface, found.change), found.bound)
        if not keeps(lines, surface + found.change):
            raise
    return Settled(tidied(lines, surface, found.change), found.bound), settling


def tidied(lines: Lines, surface: Floats, change: Floats) -> Floats:
    """A change whose places a rounding took a hair off a mark of a tape, back on it; the change
    as it was where that would break a limit."""
    tidy = change
    for mark in (NM_PER_INCH // 64, NM_PER_MM // 100):
        near = np.rint(tidy / mark) * mark
        tidy = np.where(np.abs(near - tidy) * HAIR <= mark, near, tidy)
    return tidy if keeps(lines, surface + tidy) else change
