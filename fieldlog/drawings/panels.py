"""How a flight is fitted on the sheet: the scale, and in how many parts, so that it is legible.

Riser labels stand in the open air left of their riser, tread labels under the stair right of
their tread, so a riser must be as high as its lines of text. A flight that is too long for that
is drawn in parts, the upper one above, each to the same scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from fieldlog.drawings.flight import Flight
from fieldlog.drawings.labels import Label, label_width
from fieldlog.drawings.svg import PAD, WIDTH

SIZES = (16.0, 15.0, 14.0)
LINE = 1.08
"""Height of a row over its text size."""

_MOST_PARTS, _MOST_NARROW = 4, 12
_WIDEST, _TALLEST = 8.0, 430.0  # units an inch; units for the rise of one part
_LEAST_SCALE = 0.05
_FLOOR_SHOWN = 12.0  # inches of the floor above


@dataclass(frozen=True)
class Part:
    """Steps `first` up to but not `end` (from 0), with `left` the sheet's x of inch 0."""

    first: int
    end: int
    left: float


@dataclass(frozen=True)
class Fit:
    """Units per inch, text size, parts from the lowest up, and room beside the drawing."""

    scale: float
    size: float
    parts: tuple[Part, ...]
    off: float


@dataclass(frozen=True)
class Labels:
    """Lines of each riser's label, and each tread's label, in order of the steps."""

    risers: Sequence[Sequence[Label]]
    treads: Sequence[Label]

    @property
    def rows(self) -> float:
        """Lines that a riser must be as high as: a second one may reach a bit beyond."""
        return 1.0 if max(map(len, self.risers)) == 1 else 1.7


def fit(flight: Flight, labels: Labels, ball: float, width: float) -> Fit:
    """The fewest parts with legible rows on a sheet `width` units wide.

    `ball` is its diameter in inches (0: none drawn).
    """
    best: Fit | None = None
    steps, most = len(flight.steps), _MOST_PARTS if width >= WIDTH else _MOST_NARROW
    for count in range(1, min(most, steps) + 1):
        for size in SIZES:
            found = _fit_parts(flight, labels, ball, size, width, _split(steps, count))
            if found.scale * median(s.rise for s in flight.steps) >= LINE * size * labels.rows:
                return found
            if best is None or found.scale > best.scale * 1.15:
                best = found
    assert best is not None
    return best


def part_width(flight: Flight, part: tuple[int, int]) -> float:
    """Where the part's structure ends, in inches from its first nosing."""
    first, end = part
    last = len(flight.steps)
    if end == last and not flight.top_tread:
        return flight.fronts[end - 1] + _FLOOR_SHOWN - flight.fronts[first]
    return flight.back(end - 1) - flight.fronts[first]


def _split(steps: int, count: int) -> list[tuple[int, int]]:
    edges = [round(steps * i / count) for i in range(count + 1)]
    return list(pairwise(edges))


def _fit_parts(
    flight: Flight, labels: Labels, ball: float, size: float, width: float,
    split: list[tuple[int, int]],
) -> Fit:  # fmt: skip
    tallest = max(flight.heights[end] - flight.heights[first] for first, end in split)
    edges = [_edges(flight, labels, ball, size, part) for part in split]
    scale = min(_WIDEST, _TALLEST / tallest, *(_widest_scale(width, *e) for e in edges))
    parts = tuple(
        Part(*part, max(at + per * scale for at, per in lefts) - flight.fronts[part[0]] * scale)
        for part, (lefts, _) in zip(split, edges, strict=True)
    )
    return Fit(scale, size, parts, _off(ball, scale))


_Edge = tuple[float, float]
"""Units, and units that come on top for each unit of scale."""


def _edges(
    flight: Flight, labels: Labels, ball: float, size: float, part: tuple[int, int]
) -> tuple[list[_Edge], list[_Edge]]:
    """What the part's first nosing must keep from the left edge, and what it needs rightward."""
    first, end = part
    base = flight.fronts[first]
    lefts = [(PAD + 14.0, 0.0)]  # a stub of floor or of the tread below
    rights = [(0.0, part_width(flight, part))]
    for i in range(first, end):
        label = PAD + max(label_width(line, size) for line in labels.risers[i]) + 4.0
        along = flight.fronts[i] - base
        lefts += [(label + at, per - along) for at, per in _offs(ball)]
        beyond = label_width(labels.treads[i], size) + 8.0 if labels.treads[i] else 0.0
        rights.append((beyond, flight.back(i) - base))
    return lefts, rights


def _widest_scale(width: float, lefts: list[_Edge], rights: list[_Edge]) -> float:
    """The largest scale at which every left and right edge fit the sheet together."""
    room = width - PAD - 18.0  # the dimension of the total rise stands at the right edge
    return max(
        _LEAST_SCALE,
        min(
            (room - left - right) / (by_left + by_right)
            for left, by_left in lefts
            for right, by_right in rights
            if by_left + by_right > 0.0
        ),
    )


def _offs(ball: float) -> tuple[_Edge, _Edge]:
    """How far left of the nosing the dimension of a riser stands: clear of a ball."""
    return ((7.0, 0.0), (4.0, ball / 2))


def _off(ball: float, scale: float) -> float:
    return max(at + per * scale for at, per in _offs(ball))
