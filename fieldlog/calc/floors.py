"""Heights on a square grid of stations: worst straightedge gap, high and low, best-fit plane.

Heights and spacing are whole nanometres, up is positive, `None` is a station that could not be
read. Everything is exact: integers inside, `Fraction` out; no float decides anything.

A straightedge is laid along a line of stations (a row or a column) and rests on two of them no
farther apart than it is long. A *hollow* is the gap under it at a station between; a *hump* is
the height of a station between above the chord of the two (a crowned floor has no hollow and
still rocks the bar). Common practice; a station stands for what lies between stations, so a
limit on an edge that is shorter than two spacings cannot be seen at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import Literal, NamedTuple

Cell = tuple[int, int]
"""A station: row from the top, column from the left, both from 0."""

Kind = Literal["hollow", "hump"]


class GridMalformed(ValueError):
    """The heights are not a grid: no stations, rows of unequal length, or no spacing."""


class PlaneNotDetermined(ValueError):
    """The stations that were read are fewer than three or all on one line: no plane is best."""


@dataclass(frozen=True)
class Grid:
    """Heights in nm, `rows[row][column]`, stations `spacing` nm apart both ways.

    `outside` are places beyond the walls, which no straightedge reaches across. Raises
    GridMalformed where the rows differ in length or the spacing is not above zero.
    """

    rows: tuple[tuple[int | None, ...], ...]
    spacing: int
    outside: frozenset[Cell] = frozenset()

    def __post_init__(self) -> None:
        if not self.rows or not self.rows[0]:
            raise GridMalformed("There are no stations in the grid.")
        for number, row in enumerate(self.rows, start=1):
            if len(row) != len(self.rows[0]):
                raise GridMalformed(
                    f"Row {number} has {len(row)} stations, row 1 has {len(self.rows[0])}."
                )
        if self.spacing <= 0:
            raise GridMalformed("The spacing between stations must be more than zero.")

    def known(self) -> Iterator[tuple[Cell, int]]:
        """Each station that was read, with its height in nm, in reading order."""
        for r, row in enumerate(self.rows):
            for c, height in enumerate(row):
                if height is not None:
                    yield (r, c), height


@dataclass(frozen=True)
class Worst:
    """The worst gap under one edge: `gap` in nm, never below zero.

    `start` and `end` are the stations the edge rests on (for a hump: the ends of the chord),
    `at` the station where the gap is. `weights` are (cell, weight) of start, end and at: the
    sum of weight times height is the gap, so that its uncertainty can be taken exactly. Where
    `gap` is 0 the sum may be below zero: it is then the triple that comes nearest to a gap.
    """

    kind: Kind
    gap: Fraction
    start: Cell
    end: Cell
    at: Cell
    weights: tuple[tuple[Cell, Fraction], ...]

    def as_json(self) -> dict[str, object]:
        """The same as plain JSON values; fractions as "n" or "n/d", cells as [row, column]."""
        return {
            "kind": self.kind,
            "gap": str(self.gap),
            "start": list(self.start),
            "end": list(self.end),
            "at": list(self.at),
            "weights": [[list(cell), str(weight)] for cell, weight in self.weights],
        }


class HighLow(NamedTuple):
    """The highest and the lowest station (the first of equals), and their difference in nm."""

    high: Cell
    low: Cell
    range: int


@dataclass(frozen=True)
class Plane:
    """The plane of least squared residuals, exact.

    `slope_x` is rise per run to the right (along a row), `slope_y` rise per run down the page
    (along a column); both without unit. `offset` is the plane's height in nm at row 0, column
    0. `residuals[row][column]` is height less plane in nm, None where there is no height.
    """

    slope_x: Fraction
    slope_y: Fraction
    offset: Fraction
    residuals: tuple[tuple[Fraction | None, ...], ...]

    @property
    def slope_squared(self) -> Fraction:
        """The square of the steepest slope (rise per run, squared)."""
        return self.slope_x**2 + self.slope_y**2

    def rise_over(self, run: int) -> int:
        """How much the plane rises over `run` nm where it is steepest, to the nearest nm."""
        squared = 4 * self.slope_squared * run * run
        return (isqrt(squared.numerator // squared.denominator) + 1) // 2

    def as_json(self) -> dict[str, object]:
        """The same as plain JSON values; fractions as "n" or "n/d"."""
        return {
            "slope_x": str(self.slope_x),
            "slope_y": str(self.slope_y),
            "offset": str(self.offset),
            "residuals": [[None if z is None else str(z) for z in row] for row in self.residuals],
        }


def worst_under(grid: Grid, edge: int, kind: Kind) -> Worst | None:
    """The worst hollow or hump under an edge of `edge` nm along the rows and columns.

    Of equal gaps the first: rows from the top, then columns from the left; in a line the first
    start, then the first end, then the first station between. None where fewer than two
    intervals fit under the edge, or no line has three known stations within it.
    """
    reach = edge // grid.spacing
    if reach < 2:
        return None
    sign = 1 if kind == "hollow" else -1
    best: tuple[Fraction, list[Cell], _Triple] | None = None
    for cells in _lines(grid):
        heights = [_signed(grid.rows[r][c], sign) for r, c in cells]
        for gap, triple in _line_gaps(heights, reach):
            if best is None or gap > best[0]:
                best = gap, cells, triple
    if best is None:
        return None
    gap, cells, triple = best
    return _worst(kind, gap, cells, triple)


def high_low(grid: Grid) -> HighLow | None:
    """The highest and lowest station and the range in nm; None where nothing was read."""
    known = list(grid.known())
    if not known:
        return None
    high = max(known, key=lambda station: station[1])
    low = min(known, key=lambda station: station[1])
    return HighLow(high[0], low[0], high[1] - low[1])


def plane(grid: Grid) -> Plane:
    """The exact best-fit plane. Raises PlaneNotDetermined; say "not measured" then."""
    known = list(grid.known())
    n = len(known)
    sum_x, sum_y, sum_z = (sum(column) for column in _columns(known))
    # Centred sums times n, so that they stay integers.
    xx = yy = xy = xz = yz = 0
    for (row, col), z in known:
        x, y, height = n * col - sum_x, n * row - sum_y, n * z - sum_z
        xx, yy, xy = xx + x * x, yy + y * y, xy + x * y
        xz, yz = xz + x * height, yz + y * height
    det = xx * yy - xy * xy
    if det == 0:
        raise PlaneNotDetermined("A plane needs three stations that are not all on one line.")
    per_col, per_row = Fraction(xz * yy - yz * xy, det), Fraction(yz * xx - xz * xy, det)
    offset = (sum_z - per_col * sum_x - per_row * sum_y) / n
    residuals = tuple(
        tuple(None if z is None else z - (offset + per_col * c + per_row * r)
              for c, z in enumerate(row))
        for r, row in enumerate(grid.rows)
    )  # fmt: skip
    return Plane(per_col / grid.spacing, per_row / grid.spacing, offset, residuals)


class _Triple(NamedTuple):
    """Positions along one line: the edge rests on start and end, the gap is at `at`."""

    start: int
    end: int
    at: int


def _lines(grid: Grid) -> Iterator[list[Cell]]:
    height, width = len(grid.rows), len(grid.rows[0])
    for r in range(height):
        yield [(r, c) for c in range(width)]
    for c in range(width):
        yield [(r, c) for r in range(height)]


def _signed(height: int | None, sign: int) -> int | None:
    """A hump is a hollow of the floor turned over."""
    return None if height is None else sign * height


def _line_gaps(heights: list[int | None], reach: int) -> Iterator[tuple[Fraction, _Triple]]:
    """For each start its worst gap, in order of starts; equal gaps by end, then by station."""
    for start, base in enumerate(heights):
        if base is None:
            continue
        worst: tuple[Fraction, _Triple] | None = None
        for triple in _candidates(heights, start, base, reach):
            gap = _gap(heights, triple)
            if gap is not None and (worst is None or gap > worst[0]):
                worst = gap, triple
        if worst is not None:
            yield worst


def _candidates(heights: list[int | None], start: int, base: int, reach: int) -> Iterator[_Triple]:
    """The triples from this start that can be the worst of the line, in reading order.

    A worst gap that is not below zero is under the steepest chord from its start: were there a
    steeper one to an end beyond the station, it would pass higher above it; were there one to
    an end before the station, that end would be the better start. Where every gap is below
    zero the line is crowned, and the nearest to a gap is over three stations in succession.
    """
    known = [i for i in range(start + 1, _last(heights, start, reach) + 1)
             if heights[i] is not None]  # fmt: skip
    if len(known) > 1:
        yield _Triple(start, known[1], known[0])
    first = start + 1
    for end in _steepest(heights, start, base, reach):
        yield from (_Triple(start, end, at) for at in range(first, end))
        first = end


def _last(heights: list[int | None], start: int, reach: int) -> int:
    return min(start + reach, len(heights) - 1)


def _steepest(heights: list[int | None], start: int, base: int, reach: int) -> list[int]:
    """The ends within reach to which the chord from `start` rises most; nearest first."""
    ends: list[int] = []
    rise, run = 0, 1
    for end in range(start + 1, _last(heights, start, reach) + 1):
        height = heights[end]
        if height is None:
            continue
        ahead = (height - base) * run - rise * (end - start)
        if not ends or ahead > 0:
            ends, rise, run = [end], height - base, end - start
        elif ahead == 0:
            ends.append(end)
    return ends


def _gap(heights: list[int | None], triple: _Triple) -> Fraction | None:
    """Chord less height at a station between; None where that station was not read."""
    start, end, at = (heights[i] for i in triple)
    if start is None or end is None or at is None:
        return None
    run, along = triple.end - triple.start, triple.at - triple.start
    return Fraction(start * (run - along) + end * along - at * run, run)


def _worst(kind: Kind, gap: Fraction, cells: list[Cell], triple: _Triple) -> Worst:
    start, end, at = (cells[i] for i in triple)
    along = Fraction(triple.at - triple.start, triple.end - triple.start)
    sign = 1 if kind == "hollow" else -1
    weights = ((start, sign * (1 - along)), (end, sign * along), (at, Fraction(-sign)))
    return Worst(kind, max(gap, Fraction(0)), start, end, at, weights)


def _columns(known: list[tuple[Cell, int]]) -> tuple[list[int], list[int], list[int]]:
    """Columns, rows and heights of the known stations, as three lists."""
    return [c for (_, c), _ in known], [r for (r, _), _ in known], [z for _, z in known]
