"""The work that makes a floor pass: what to fill and what to take off, where, and how deep.

What is filled is hatched rising to the right, what is ground falling, each patch with its
letter; the numbers are the depths. It reads in black and white.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from fieldlog.calc.lengths import NM_PER_INCH, NM_PER_MM
from fieldlog.drawings.floor_map import Map
from fieldlog.drawings.floor_room import Room, room_of
from fieldlog.drawings.floor_words import nth
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.survey import Cell, Survey, survey_of
from fieldlog.drawings.svg import PAD, PENCIL, WIDTH, Point, Sheet, num, text_box, text_width

_GAP = 7.0
_HAIR = Fraction(1, 100)
_FILL, _GRIND = "#e4ecdf", "#f0ddd8"


def draw_work(judged: Judged, told: Mapping[str, Any], width: float = WIDTH) -> str:
    """The plan's map as SVG; `told` is a kept plan (`floors_plan_json`)."""
    survey = survey_of(judged)
    if survey is None:
        return ""
    sheet = Sheet(width=width)
    depths = _depths(told)
    numbers = [depth_number(nm, survey.metric) for nm in depths.values()]
    work = _Work(sheet, survey, room_of(survey, 10.0, sheet.right, numbers), told, depths)
    work.draw()
    bottom = notes(sheet, work.room.frame.bottom + 22.0, work.says())
    return sheet.finish(bottom + PAD, str(told["title"]), [*told["steps"]])


class _Work:
    def __init__(
        self,
        sheet: Sheet,
        survey: Survey,
        room: Room,
        told: Mapping[str, Any],
        depths: Mapping[Cell, int],
    ) -> None:
        self.sheet, self.survey, self.room, self.told = sheet, survey, room, told
        self.map, self.depths = Map(sheet, survey, room), depths

    def draw(self) -> None:
        for cell in self.map.cells:
            depth = self.depths.get(cell, 0)
            self.map.ground(cell, _FILL if depth > 0 else _GRIND if depth < 0 else "none")
            if depth:
                self._hatch(cell, depth > 0)
        self.map.walls()
        self.map.edge_numbers()
        for cell, depth in self.depths.items():
            self._depth(cell, depth)
        for cell in self.map.cells:
            if cell in self.depths or self.survey.offs[cell[0]][cell[1]] is None:
                continue
            if self._written(cell):
                self.sheet.circle(self.room.middle(cell), 1.5, width=1.0, fill=PENCIL)
        for patch in self.told["patches"]:
            self._letter(patch)

    def says(self) -> list[Label]:
        """The notes under it: what the hatches and the numbers are."""
        filled = any(depth > 0 for depth in self.depths.values())
        ground = any(depth < 0 for depth in self.depths.values())
        unit = "millimeters" if self.survey.metric else "sixteenths of an inch"
        said = [f"Depths in {unit}, a station every {self.survey.spacing}."]
        if self.room.every > 1:
            said.append(f"Depths at every {nth(self.room.every)} station.")
        said += ["Hatched rising, +: fill."] if filled else []
        said += ["Hatched falling, −: take off."] if ground else []
        said += ["Letters are the patches of the steps."] if self.told["patches"] else []
        return [(Piece(" ".join(said), fill=PENCIL),)]

    def _depth(self, cell: Cell, depth: int) -> None:
        if not self._written(cell):
            return
        said, size = depth_number(depth, self.survey.metric), self.room.size
        x, y = self.room.within(cell, text_width(said, size, bold=True))
        self.sheet.text(x, y + size * 0.29, said, size, bold=True, anchor="middle", halo=True)

    def _written(self, cell: Cell) -> bool:
        """Whether the station is one of those that something is written at."""
        return not (cell[0] % self.room.every or cell[1] % self.room.every)

    def _letter(self, patch: Mapping[str, Any]) -> None:
        """The patch's letter in a corner of its deepest station's cell, or of one beside it, or
        where a station has no number: where that is free."""
        row, column = patch["at"]
        around = [(r, c) for r in (0, -1, 1) for c in (0, -1, 1)]
        cells = [(row + r, column + c) for r, c in around]
        fills = self.depths.get((row, column), 0) > 0
        off = self.room.cell / 2 - 7.0
        corners = ((-1, -1), (1, -1), (-1, 1), (1, 1), (0, 0))
        inside = [cell for cell in cells if (self.depths.get(cell, 0) > 0) == fills
                  and cell in self.depths]  # fmt: skip
        for cell, (dx, dy) in ((cell, corner) for cell in inside for corner in corners):
            x, y = self.room.middle(cell)
            place = (x + dx * off, y + dy * off + 5.0)
            box = text_box(*place, patch["name"], 14.0, bold=True, anchor="middle")
            if self.sheet.free(box, 0.5):
                self.sheet.text(*place, patch["name"], 14.0, bold=True, anchor="middle", halo=True)
                return

    def _hatch(self, cell: Cell, rising: bool) -> None:
        """Lines across the cell as far as the room goes (a cell's own part is a convex shape
        wherever the walls are square)."""
        shape = self.room.ground(cell)
        if not shape:
            return
        xs, ys = [p[0] for p in shape], [p[1] for p in shape]
        left, top, right, low = min(xs), min(ys), max(xs), max(ys)
        lines = []
        at = left + top + _GAP - (left + top) % _GAP if rising else 0.0
        if not rising:
            at = left - low + _GAP - (left - low) % _GAP
        last = right + low if rising else right - top
        while at < last:
            ends = _crossing(at, rising, (left, top), (right, low))
            if ends:
                (x0, y0), (x1, y1) = ends
                lines.append(f"M{num(x0)},{num(y0)} {num(x1)},{num(y1)}")
            at += _GAP
        self.sheet.path("".join(lines), width=0.9, stroke=PENCIL)


def _crossing(at: float, rising: bool, low: Point, high: Point) -> tuple[Point, Point] | None:
    """Where the line x + y = at (rising) or x - y = at crosses a box; None where it does not."""
    (left, top), (right, bottom) = low, high
    if rising:
        x0, x1 = max(left, at - bottom), min(right, at - top)
        return ((x0, at - x0), (x1, at - x1)) if x0 < x1 else None
    x0, x1 = max(left, at + top), min(right, at + bottom)
    return ((x0, x0 - at), (x1, x1 - at)) if x0 < x1 else None


def _depths(told: Mapping[str, Any]) -> dict[Cell, int]:
    """nm at each station where something is done."""
    return {
        (r, c): int(nm)
        for r, row in enumerate(told["rows"])
        for c, nm in enumerate(row)
        if nm not in (None, "0")
    }


def depth_number(nm: int, metric: bool) -> str:
    """A depth as it is worked: up to the next half of a sixteenth, or half a millimeter."""
    step = NM_PER_MM // 2 if metric else NM_PER_INCH // 32
    halves = -(-(abs(nm) - int(step * _HAIR)) // step)
    whole, half = divmod(max(halves, 1), 2)
    said = f"{whole or ''}{'½' if half else ''}"
    return f"{'+' if nm > 0 else '−'}{said}"
