"""How the loops of several set-ups close: the check that a shared point was not misread.

Set-ups and the points read from them are a net; each reading ties one set-up to one point. A
tree of readings is enough to give every plane of light its height; each reading beyond the tree
closes a loop, and what it is off by is that loop's misclosure. With one shared point for each
new set-up there is no loop, and nothing shows whether it was misread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.floors_setups import SetUp, Spot, seen_from
from fieldlog.calc.uncertainty import ErrorPart


@dataclass(frozen=True, slots=True)
class Closing:
    """The loop that closes worst.

    `loops` is how many there are (0: nothing can be checked), `misclosure` nm and without a
    sign, `spot` the point it closes at, `set_ups` (from 0) the two read there, `readings` how
    many went around it.
    """

    loops: int
    misclosure: int
    spot: Spot | None
    set_ups: tuple[int, int]
    readings: int

    def explained(self, parts: Sequence[ErrorPart]) -> bool:
        """Whether reading the rod alone explains it: within 2 u of that many readings."""
        each = sum((p.variance for p in parts if p.scope == "each"), Fraction(0))
        return self.misclosure**2 <= 4 * self.readings * each


@dataclass(slots=True)
class _Tree:
    """Heights found so far (nm), and by which readings: each node's way back to the first."""

    planes: dict[int, int]
    spots: dict[Spot, int]
    back: dict[int | Spot, int | Spot]

    def way(self, node: int | Spot) -> list[int | Spot]:
        """From a node to the first set-up."""
        found = [node]
        while found[-1] in self.back:
            found.append(self.back[found[-1]])
        return found


def closing_of(set_ups: Sequence[SetUp]) -> Closing:
    """The worst loop of set-ups that are joined (`floors_setups.join` refuses others)."""
    seen = seen_from(set_ups)
    shared = {spot: seers for spot, seers in seen.items() if len(seers) > 1}
    tree = _grown(set_ups, shared)
    loops = []
    for spot, seers in shared.items():
        for i in seers:
            if tree.back.get(spot) != i and tree.back.get(i) != spot:
                off = tree.planes[i] - set_ups[i][spot] - tree.spots[spot]
                loops.append((abs(off), spot, i))
    if not loops:
        return Closing(0, 0, None, (0, 0), 0)
    off, spot, last = max(loops, key=lambda loop: loop[0])
    ways = tree.way(spot), tree.way(last)
    other = next(n for n in ways[0] if isinstance(n, int))
    around = set(ways[0]) ^ set(ways[1])  # less what both ways have in common, but for its end
    return Closing(len(loops), off, spot, (other, last), len(around) + 1)


def _grown(set_ups: Sequence[SetUp], shared: dict[Spot, list[int]]) -> _Tree:
    """Every shared point and set-up, each by the first reading that reaches it."""
    tree = _Tree({0: 0}, {}, {})
    while True:
        for spot, seers in shared.items():
            known = [i for i in seers if i in tree.planes]
            if spot not in tree.spots and known:
                tree.spots[spot] = tree.planes[known[0]] - set_ups[known[0]][spot]
                tree.back[spot] = known[0]
        reached = [
            (i, spot) for spot, seers in shared.items() if spot in tree.spots
            for i in seers if i not in tree.planes
        ]  # fmt: skip
        if not reached:
            return tree
        i, spot = reached[0]
        tree.planes[i] = tree.spots[spot] + set_ups[i][spot]
        tree.back[i] = spot
