"""Pieces out of stock lengths with the least length bought. Whole numbers (nm) throughout.

A stick of length S holds pieces l1..lm with a kerf k between them: sum(l) + (m - 1) k <= S, so
each piece takes l + k of S + k. Exact method: the longest piece still wanted goes into some
stick; every fullest set of pieces with it, from every stock length that could hold it, is
tried; what is left is solved the same way, each remainder once (memory), and a branch is left
where the material alone would cost more than the best list so far. A stick that could take one
more piece is never tried: giving it that piece costs nothing.
The search is bounded; where it stops early, the answer is the best of some quick lists (longest
pieces first, fullest sticks first), with the bound that no list can beat.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import islice

_MOST_TRIED = 25_000
_MOST_STEPS = 20_000
_LOOKED_AT = 1_000

Left = tuple[int, ...]
"""How many of each length are still wanted, the longest first."""


@dataclass(frozen=True, slots=True)
class Stick:
    """One stock length and the pieces cut from it, the longest first; nm."""

    stock: int
    pieces: tuple[int, ...]

    def left_over(self, kerf: int) -> int:
        """What is left at the end after the last cut; nm."""
        return max(0, self.stock - sum(self.pieces) - len(self.pieces) * kerf)


@dataclass(frozen=True, slots=True)
class CutList:
    """Sticks to buy and cut; `bound` is a length, nm, that no list can buy less than."""

    sticks: tuple[Stick, ...]
    bound: int
    proven: bool

    @property
    def bought(self) -> int:
        """The length bought, nm."""
        return sum(s.stock for s in self.sticks)


class TooMuchToTry(Exception):
    """The exact search ran out of its allowance."""


def cut_list(pieces: list[int], stock: list[int], kerf: int) -> CutList:
    """The list that buys least (of equals, the fewest sticks); every piece fits some stock.

    Proven by search where the list is small, else by its bound, else not proven.
    """
    job = _Job(tuple(sorted(set(pieces), reverse=True)), tuple(sorted(set(stock))), kerf)
    wanted = Counter(pieces)
    left = tuple(wanted[one] for one in job.lengths)
    simple = [
        _longest_first(pieces, job, largest) for largest in job.stock if largest >= job.lengths[0]
    ]
    good = min((*simple, job.fullest_first(left)), key=_cost)
    bound = _material(sum(pieces) + len(pieces) * kerf, job)
    if _cost(good)[0] == bound:
        return CutList(_ordered(good), bound, True)
    try:
        best = job.solve(left)
    except TooMuchToTry:
        return CutList(_ordered(good), bound, False)
    return CutList(_ordered(best), sum(s.stock for s in best), True)


def _cost(sticks: tuple[Stick, ...]) -> tuple[int, int]:
    return sum(s.stock for s in sticks), len(sticks)


def _ordered(sticks: tuple[Stick, ...]) -> tuple[Stick, ...]:
    return tuple(sorted(sticks, key=lambda s: (-s.stock, [-p for p in s.pieces])))


def _longest_first(pieces: list[int], job: _Job, largest: int) -> tuple[Stick, ...]:
    """Each piece into the fullest stick that takes it; then each stick as short as is sold."""
    held: list[list[int]] = []
    for piece in sorted(pieces, reverse=True):
        fits = [one for one in held if job.fits([*one, piece], largest)]
        if fits:
            max(fits, key=sum).append(piece)
        else:
            held.append([piece])
    return tuple(Stick(job.shortest(one), tuple(one)) for one in held)


def _material(needed: int, job: _Job) -> int:
    """The least length of stock, nm, whose S + k add up to what the pieces take."""
    least: dict[int, int] = {0: 0}  # room gathered -> least length bought
    best: int | None = None
    for _ in range(_MOST_STEPS):
        room = min(least, default=None)
        if room is None:
            break
        cost = least.pop(room)
        if best is not None and cost >= best:
            continue
        for one in job.stock:
            more, price = room + one + job.kerf, cost + one
            if more >= needed:
                best = price if best is None else min(best, price)
            elif price < least.get(more, price + 1):
                least[more] = price
    else:  # too many sums: the whole-length bound, which is lower and still holds
        per = min(job.stock)
        return needed * per // (per + job.kerf)
    return best or 0


@dataclass
class _Job:
    """Distinct lengths, longest first; stock, shortest first; the kerf; what is solved."""

    lengths: tuple[int, ...]
    stock: tuple[int, ...]
    kerf: int
    tried: int = 0
    known: dict[Left, tuple[Stick, ...]] = field(default_factory=dict)

    def fits(self, pieces: list[int], stock: int) -> bool:
        """Whether the pieces and the kerfs between them come out of a stock length."""
        return sum(pieces) + (len(pieces) - 1) * self.kerf <= stock

    def shortest(self, pieces: list[int]) -> int:
        """The shortest stock that holds the pieces."""
        return next(one for one in self.stock if self.fits(pieces, one))

    def solve(self, left: Left) -> tuple[Stick, ...]:
        """The least list for what is left. Raises TooMuchToTry."""
        if not any(left):
            return ()
        if left in self.known:
            return self.known[left]
        best: tuple[Stick, ...] | None = None
        for stick, rest in self._sticks(left):
            if best is not None and stick.stock + self._floor(rest) > _cost(best)[0]:
                continue
            whole = (stick, *self.solve(rest))
            if best is None or _cost(whole) < _cost(best):
                best = whole
        assert best is not None
        self.known[left] = best
        return best

    def fullest_first(self, left: Left) -> tuple[Stick, ...]:
        """A quick list: for the longest piece left, each time the stick with the least waste."""
        sticks = []
        while any(left):
            some = islice(self._sticks(left), _LOOKED_AT)
            stick, left = min(some, key=lambda one: self._wasted(one[0]))
            sticks.append(stick)
            self.tried = 0  # this is no search
        return tuple(sticks)

    def _wasted(self, stick: Stick) -> Fraction:
        return Fraction(stick.stock - sum(stick.pieces), stick.stock)

    def _floor(self, left: Left) -> int:
        """Less than this can't be bought for what is left: kerfs left out."""
        return sum(n * one for n, one in zip(left, self.lengths, strict=True))

    def _sticks(self, left: Left) -> Iterator[tuple[Stick, Left]]:
        """Every fullest stick that holds the longest piece left, and what it leaves."""
        first = next(n for n, count in enumerate(left) if count)
        for stock in reversed(self.stock):
            room = stock + self.kerf - (self.lengths[first] + self.kerf)
            if room < 0:
                continue
            start = (*left[:first], left[first] - 1, *left[first + 1 :])
            for rest in self._fullest(start, first, room):
                self.tried += 1
                if self.tried > _MOST_TRIED:
                    raise TooMuchToTry
                used = tuple(
                    one
                    for one, had, has in zip(self.lengths, left, rest, strict=True)
                    for _ in range(had - has)
                )
                yield Stick(self.shortest(list(used)), used), rest

    def _fullest(self, left: Left, at: int, room: int) -> Iterator[Left]:
        """What is left after each set of further pieces to which none can be added."""
        if at == len(left):
            if not any(
                n and one + self.kerf <= room for n, one in zip(left, self.lengths, strict=True)
            ):
                yield left
            return
        most = min(left[at], room // (self.lengths[at] + self.kerf))
        for count in range(most, -1, -1):
            rest = (*left[:at], left[at] - count, *left[at + 1 :])
            yield from self._fullest(rest, at + 1, room - count * (self.lengths[at] + self.kerf))
