"""The worst straightedge on a floor: every line, both directions and both diagonals, exactly.

A straightedge touches two stations of a line no farther apart than it is long. A *hollow* is
the gap under it at a station between; a *hump* is how far a station between rises above the
chord of the two: a hump is a hollow of the floor turned over, and a crowned floor has no hollow
and still rocks the bar. What is found is the largest over all triples (start, station, end), by
the passes of `floors_passes`, exactly. Common practice. It is the gap under a bar that lies on
two high points; a bar balanced on its middle is another number.

On a diagonal `k` stations are k * spacing * sqrt(2) apart, compared by squares. A chord passes
over stations that are not known, and over none that lies beyond the room's walls.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from fieldlog.calc.floors import Kind, Worst
from fieldlog.calc.floors_passes import (
    DIRECTIONS,
    Field,
    Gaps,
    far,
    field_of,
    passes,
    reach,
)
from fieldlog.calc.floors_survey import Cell, Ints, Stations

__all__ = ["DIRECTIONS", "EdgeWorst", "Under", "gap_map", "look_under", "resolves", "worst"]


@dataclass(frozen=True)
class EdgeWorst(Worst):
    """As `Worst` (gap, start, end, at, weights), and which of DIRECTIONS the edge lies along."""

    direction: str

    def as_json(self) -> dict[str, object]:
        """The same as plain JSON values; fractions as "n" or "n/d", cells as [row, column]."""
        return {**Worst.as_json(self), "direction": self.direction}


@dataclass(frozen=True, eq=False, slots=True)
class Under:
    """Everything an edge of `edge` nm shows: worst hollow and hump, the gap over each station.

    The maps are (rows, columns) int64 nm, 0 and up, rounded up to a whole nm; -1 where no edge
    lies over the station. A worst is None where the spacing cannot resolve the edge, or no line
    has three known stations within it: say "not measured".
    """

    edge: int
    hollow: EdgeWorst | None
    hump: EdgeWorst | None
    hollow_map: Ints
    hump_map: Ints

    def worst(self, kind: Kind) -> EdgeWorst | None:
        """The worst of that kind."""
        return self.hollow if kind == "hollow" else self.hump

    def gap_map(self, kind: Kind) -> Ints:
        """The map of that kind."""
        return self.hollow_map if kind == "hollow" else self.hump_map


def resolves(spacing: int, edge: int) -> bool:
    """Whether stations that far apart (nm) can see anything under an edge that long at all."""
    return reach(spacing, edge, "row") >= 2


def worst(stations: Stations, edge: int, kind: Kind, directions: int = 4) -> EdgeWorst | None:
    """The worst hollow or hump under an edge of `edge` nm; `directions` 2 leaves out diagonals.

    `gap` is exact and never below zero. Of equal gaps the first: by direction as in DIRECTIONS,
    then by line, then start, end and station between.
    """
    return look_under(stations, edge, directions).worst(kind)


def gap_map(stations: Stations, edge: int, kind: Kind, directions: int = 4) -> Ints:
    """The worst gap over each station: see `Under`."""
    return look_under(stations, edge, directions).gap_map(kind)


def look_under(stations: Stations, edge: int, directions: int = 4) -> Under:
    """Worst hollow, worst hump and both maps of one edge, in the same passes."""
    hollow, hump = _Sought("hollow", stations), _Sought("hump", stations)
    if resolves(stations.spacing, edge) and stations.mask.any():
        field = field_of(stations, edge)
        for direction in DIRECTIONS[:directions]:
            spacings = far(stations, edge, direction)
            if spacings < 2:
                continue
            under, over = passes(field, field.step(direction), spacings)
            hollow.take(field, under, direction)
            hump.take(field, over, direction)
    return Under(edge, hollow.worst, hump.worst, hollow.map, hump.map)


class _Sought:
    """The worst of one kind over the directions seen so far, and its map."""

    def __init__(self, kind: Kind, stations: Stations) -> None:
        self.kind = kind
        self.map = np.full(stations.shape, -1, dtype=np.int64)
        self.worst: EdgeWorst | None = None
        self._best: Fraction | None = None

    def take(self, field: Field, gaps: Gaps, direction: str) -> None:
        """Add what one direction shows."""
        gap = gaps.largest()
        if gap is None:
            return
        nm = gaps.nm_up(field.unit).reshape(-1, field.width)[:, : field.columns]
        np.maximum(self.map, nm, out=self.map)
        if self._best is None or gap * field.unit > self._best:
            self._best = gap * field.unit
            line = _Line(field, field.step(direction), gaps.reach, self.kind)
            self.worst = line.first(gap, _first_line(field, gaps.where(gap), direction), direction)


def _first_line(field: Field, places: Ints, direction: str) -> Ints:
    """Those of the places that are on the first line of the direction.

    Diagonals are counted by column less row, cross diagonals by column plus row.
    """
    row, column = np.divmod(places, field.width)
    line = {"row": row, "column": column, "diagonal": column - row}.get(direction, column + row)
    on_first: Ints = places[line == line.min()]
    return on_first


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of stations, for finding the first triple that makes a known gap."""

    field: Field
    step: int
    spacings: int
    kind: Kind

    def first(self, gap: Fraction, places: Ints, direction: str) -> EdgeWorst:
        """The first start, end and station of this gap; `places` has every station it is at.

        A station's start is less than `spacings` before it, so no start lies before that of
        the first station.
        """
        first = int(places[0])
        for back in range(self.spacings - 1, 0, -1):
            start = first - back * self.step
            if start < 0 or np.isnan(self.field.z[start]):
                continue
            for ahead in range(1, self.spacings + 1):
                end = start + ahead * self.step
                if self._beyond(end):
                    break
                if ahead < 2 or end >= len(self.field.z) or np.isnan(self.field.z[end]):
                    continue
                between = places[(places > start) & (places < end)]
                if len(found := self._made(gap, start, ahead, between)):
                    return self._worst(gap, start, end, int(found[0]), direction)
        raise AssertionError("a gap that was found is somewhere on its line")

    def _beyond(self, place: int) -> bool:
        """Whether a place lies beyond the walls."""
        outside = self.field.outside
        return outside is not None and place < len(outside) and bool(outside[place])

    def _made(self, gap: Fraction, start: int, ahead: int, places: Ints) -> Ints:
        """Those of the places over which start and end make exactly that gap."""
        z = self.field.z
        sign = 1 if self.kind == "hollow" else -1
        along = (places - start) // self.step
        end = start + ahead * self.step
        # whole numbers below 2**53, so that float64 is exact
        made = sign * (z[start] * (ahead - along) + z[end] * along - z[places] * ahead)
        found: Ints = places[made * gap.denominator == gap.numerator * ahead]
        return found

    def _worst(self, gap: Fraction, start: int, end: int, at: int, direction: str) -> EdgeWorst:
        ends: list[Cell] = [divmod(place, self.field.width) for place in (start, end, at)]
        along = Fraction(at - start, end - start)
        sign = 1 if self.kind == "hollow" else -1
        weights = zip(ends, (sign * (1 - along), sign * along, Fraction(-sign)), strict=True)
        nm = max(gap * self.field.unit, Fraction(0))
        return EdgeWorst(self.kind, nm, ends[0], ends[1], ends[2], tuple(weights), direction)
