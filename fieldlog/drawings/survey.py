"""A floor's level readings as the judgement has them, read for drawing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Any

from fieldlog.calc.lengths import NM_PER_INCH, NM_PER_MM
from fieldlog.drawings.judged import NO_FINDING, Finding, Judged, finding_of

Cell = tuple[int, int]
Ring = tuple[tuple[float, float], ...]
_NM_PER_SIXTEENTH = NM_PER_INCH // 16
_NAMED_EDGE = re.compile("under an? (?P<edge>.+) edge$")
"""How a limit's name says the edge that it is for."""
_QUIET = 800_000
"""Half a sixteenth, nm: a station this near zero is drawn neither high nor low."""

_HIDDEN = Fraction(3, 5)
"""The numbers are against the best plane where off it the floor is less than this times as
uneven as measured: there the tilt would hide the shape. Else they are as measured."""


@dataclass(frozen=True)
class Bar:
    """The worst straightedge of a kind: where it rests, where the gap is, in words too."""

    kind: str
    start: Cell
    end: Cell
    at: Cell
    gap: str
    edge: str
    finding: Finding

    @property
    def along_row(self) -> bool:
        """Whether it lies along a row."""
        return self.start[0] == self.end[0]

    @property
    def along_column(self) -> bool:
        """Whether it lies along a column; neither: along a diagonal."""
        return self.start[1] == self.end[1]

    @property
    def where(self) -> str:
        """Its place by the numbers at the edge of the grid."""
        if not (self.along_row or self.along_column):
            (a, b), (c, d), (e, f) = self.start, self.end, self.at
            lies = f"{station(a, b)} to {station(c, d)}"
            return f"{lies}, at {station(e, f)}"
        line, a, b, at = (
            (self.start[0], self.start[1], self.end[1], self.at[1])
            if self.along_row
            else (self.start[1], self.start[0], self.end[0], self.at[0])
        )
        return (
            f"{'row' if self.along_row else 'column'} {line + 1}, {a + 1} to {b + 1}, at {at + 1}"
        )


def station(row: int, column: int) -> str:
    """ "row 3, column 2", by the numbers at the edge of the grid."""
    return f"row {row + 1}, column {column + 1}"


@dataclass(frozen=True)
class Survey:
    """Stations by row and column: `offs` in nm above or below zero, None where not read.

    `bars` are the straightedges with a gap, `even` says where there is none.
    Zero is the measurer's own, or the best plane where `against_plane`.
    `rings` are the room's walls and what is cut out of it, corners in spacings from the first
    station; none where the room is not known. `doubted` are stations to look at again.
    """

    offs: tuple[tuple[int | None, ...], ...]
    against_plane: bool
    blocked: frozenset[Cell]
    bars: tuple[Bar, ...]
    even: tuple[str, ...]
    high: Cell | None
    low: Cell | None
    apart: str
    spacing: str
    slope: str
    metric: bool
    rings: tuple[Ring, ...] = ()
    doubted: frozenset[Cell] = frozenset()

    @property
    def size(self) -> tuple[int, int]:
        """Rows and columns."""
        return len(self.offs), len(self.offs[0])

    @cached_property
    def most(self) -> int:
        """The farthest that any station is off zero, nm."""
        return max((abs(z) for row in self.offs for z in row if z is not None), default=0)

    def written(self, cell: Cell) -> str | None:
        """A station's number: sixteenths or millimeters with a sign; None where not read."""
        off = self.offs[cell[0]][cell[1]]
        return None if off is None else _number(off, self.metric, 10 if self.against_plane else 100)

    def tone(self, cell: Cell) -> int:
        """How far off zero, -3 (lowest) to 3 (highest); 0 near it or not read."""
        off = self.offs[cell[0]][cell[1]]
        if off is None or abs(off) <= _QUIET:
            return 0
        step = min(3, 3 * abs(off) // self.most + 1)
        return step if off > 0 else -step


def survey_of(judged: Judged) -> Survey | None:
    """The first grid of the judgement, or None where there is none."""
    grid: Mapping[str, Any] | None = next(iter(judged.raw["grids"].values()), None)
    if not grid or not grid["rows"] or not grid["rows"][0]:
        return None
    metric = judged.raw["system"] != "us"
    plane = grid["plane"]
    blocked = grid.get("blocked") or []
    worst = [(k, grid["worst"][k]) for k in ("hollow", "hump") if grid["worst"].get(k)]
    measured = _whole(grid["rows"])
    off_plane = _whole(plane["residuals"]) if plane else measured
    against_plane = _tilt_hides(measured, off_plane)
    return Survey(
        offs=off_plane if against_plane else measured,
        against_plane=against_plane,
        blocked=frozenset(
            (r, c) for r, row in enumerate(blocked) for c, shut in enumerate(row) if shut
        ),
        bars=tuple(_bar(judged, grid, kind, found) for kind, found in worst if found["gap"] != "0"),
        even=tuple(
            f"No {kind} under {_edge(grid, found['edge_text'])}."
            for kind, found in worst
            if found["gap"] == "0"
        ),
        high=_cell(grid.get("high")),
        low=_cell(grid.get("low")),
        apart=grid["range"]["text"] if grid.get("range") else "",
        spacing=grid["spacing_text"],
        slope=_slope(plane),
        metric=metric,
        rings=tuple(_ring(ring, int(grid["spacing_nm"])) for ring in grid.get("rings", ())),
        doubted=frozenset((d["at"][0], d["at"][1]) for d in grid.get("doubts", ())),
    )


def _ring(corners: list[list[str]], spacing: int) -> Ring:
    return tuple((int(x) / spacing, int(y) / spacing) for x, y in corners)


def _whole(rows: list[list[str | None]]) -> tuple[tuple[int | None, ...], ...]:
    return tuple(tuple(None if z is None else round(Fraction(z)) for z in row) for row in rows)


def _tilt_hides(
    measured: tuple[tuple[int | None, ...], ...], off_plane: tuple[tuple[int | None, ...], ...]
) -> bool:
    """Whether the numbers are better against the best plane: see `_HIDDEN`."""
    ranges = []
    for grid in (measured, off_plane):
        known = [z for row in grid for z in row if z is not None]
        ranges.append(max(known, default=0) - min(known, default=0))
    as_measured, uneven = ranges
    return 2 * _NM_PER_SIXTEENTH <= uneven < _HIDDEN * as_measured


def _number(nm: int, metric: bool, parts: int) -> str:
    """Sixteenths or millimeters to 1/`parts` (10 or 100), with a sign, no empty decimals."""
    rounded = round(Fraction(nm) * parts / (NM_PER_MM if metric else _NM_PER_SIXTEENTH))
    if rounded == 0:
        return "0"
    whole, part = divmod(abs(rounded), parts)
    decimals = f".{part:0{len(str(parts)) - 1}d}".rstrip("0") if part else ""
    return f"{'+' if rounded > 0 else '−'}{whole}{decimals}"


def _bar(judged: Judged, grid: Mapping[str, Any], kind: str, worst: Mapping[str, Any]) -> Bar:
    """The bar with the gravest limit that its gap is held to: of its own edge, or of a shorter
    one with the same gap, which is named then."""
    start, end, at = ((worst[key][0], worst[key][1]) for key in ("start", "end", "at"))
    edge = _edge(grid, worst["edge_text"])
    hits = [r for r in judged.rules(kind) if r["value"] and r["value"]["nm"] == worst["gap"]]
    order = ("fail", "too_close", "not_measured")

    def gravest(rule: Mapping[str, Any]) -> tuple[int, bool]:
        verdict = rule["verdict"]
        grave = order.index(verdict) if verdict in order else len(order)
        return grave, f"under a {edge} edge" not in rule["name"]

    if not hits:
        return Bar(kind, start, end, at, worst["gap_text"], edge, NO_FINDING)
    rule = min(hits, key=gravest)
    named = _NAMED_EDGE.search(rule["name"])
    edge = named["edge"] if named else edge
    return Bar(kind, start, end, at, rule["value"]["text"], edge, finding_of(rule))


def _edge(grid: Mapping[str, Any], text: str) -> str:
    """How long an edge is, as its limit says it: a metric one in meters also in feet's land."""
    nm = next((int(e["edge_nm"]) for e in grid.get("edges", ()) if e["edge_text"] == text), 0)
    if not text.startswith("about") or not nm or nm % (NM_PER_MM * 100):
        return text
    return f"{Decimal(nm) / (NM_PER_MM * 1000)} m"


def _cell(pair: list[int] | None) -> Cell | None:
    return None if pair is None else (pair[0], pair[1])


def _slope(plane: Mapping[str, Any] | None) -> str:
    """ "falls 1/4 in in 10 ft to the lower right", "" where it is level or there is none."""
    if not plane or not plane.get("slope_text"):
        return ""
    if plane["slope_text"].removeprefix("about ").startswith("0 "):
        return ""
    across, down = -Fraction(plane["slope_x"]), -Fraction(plane["slope_y"])
    steep = max(abs(across), abs(down))
    if not steep:
        return ""
    # A direction counts where it is more than half as steep as the other.
    sideways = "" if 2 * abs(across) <= steep else "right" if across > 0 else "left"
    upright = "" if 2 * abs(down) <= steep else "lower" if down > 0 else "upper"
    place = f"{upright} {sideways or 'edge'}".strip()
    return f"falls {plane['slope_text']} to the {place}"
