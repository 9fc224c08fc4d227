"""A floor's map: the room, signs and numbers at the stations, contours, the worst straightedges.

Raised ground is tinted warm and its contours are whole lines; low ground is tinted gray and its
contours are dashed: with the signs at the stations both read in black and white.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from fieldlog.drawings.floor_bars import Bars
from fieldlog.drawings.floor_contours import Contour, contours, step_of
from fieldlog.drawings.floor_room import Room, room_of
from fieldlog.drawings.floor_words import says, twin
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import notes
from fieldlog.drawings.marks import mark
from fieldlog.drawings.survey import Cell, Survey, survey_of
from fieldlog.drawings.svg import (
    INK,
    PAD,
    PENCIL,
    RULE,
    WIDTH,
    Box,
    Point,
    Sheet,
    num,
    text_box,
    text_width,
)

_HIGH = {1: "#f6ecd6", 2: "#ecd9b4", 3: "#d9b884"}
_LOW = {1: "#e6eaec", 2: "#d2d9de", 3: "#b9c4cb"}
_FLOOR = "#fffdf5"


def draw_map(judged: Judged, width: float = WIDTH) -> str:
    """The map as SVG; "" where the floor was read with a straightedge directly."""
    survey = survey_of(judged)
    if survey is None:
        return ""
    names = max((text_width(b.kind, 14.0, bold=True) for b in survey.bars), default=0.0) + 10.0
    sheet = Sheet(width=width)
    room = room_of(survey, names, sheet.right)
    found = contours(survey)
    Map(sheet, survey, room).draw(found)
    said = says(judged, survey, room.every, step_of(survey) if found else None)
    bottom = notes(sheet, room.frame.bottom + 30.0, said)
    return sheet.finish(bottom + PAD, "Floor, level readings", twin(survey))


@dataclass
class Map:
    """A survey on its way onto the sheet."""

    sheet: Sheet
    survey: Survey
    room: Room

    @property
    def cells(self) -> list[Cell]:
        """Every station's place, row by row."""
        rows, columns = self.survey.size
        return [(r, c) for r in range(rows) for c in range(columns)]

    def draw(self, found: tuple[Contour, ...]) -> None:
        """Ground, contours, walls, bars, numbers, then what may be left out where it is full."""
        for cell in self.cells:
            self.ground(cell)
        for contour in found:
            for line in contour.lines:
                self._contour(contour, line)
        self.walls()
        bars = Bars(self.sheet, self.room)
        for bar in self.survey.bars:
            bars.draw(bar)
        self.edge_numbers()
        for cell in self.cells:
            self._station(cell)
        for bar in self.survey.bars:
            bars.name(bar)
        for extreme, up in ((self.survey.high, True), (self.survey.low, False)):
            if extreme is not None:
                self._extreme(extreme, up, (extreme, "bottom") in bars.strips)
        for contour in found:
            self._height(contour)

    def ground(self, cell: Cell, fill: str = "") -> None:
        """A station's cell, tinted by its height where no other fill is given."""
        tone = self.survey.tone(cell)
        tint = _HIGH[tone] if tone > 0 else _LOW[-tone] if tone < 0 else "none"
        shape = self.room.ground(cell)
        if shape:
            self.sheet.shape(shape, width=0.8, stroke=RULE, fill=fill or tint)

    def walls(self) -> None:
        """The room's walls, and what is cut out of it crossed out."""
        outer, *holes = self.room.rings
        self.sheet.shape(outer, width=2.5)
        for hole in holes:
            self.sheet.shape(hole, width=2.0, fill=_FLOOR)
            self.sheet.line([hole[0], hole[len(hole) // 2]], width=1.0, stroke=PENCIL)

    def edge_numbers(self) -> None:
        """Rows and columns by number, outside the walls."""
        rows, columns = self.survey.size
        frame, side, step = self.room.frame, self.room.cell, self.room.every
        for c in range(0, columns, step):
            x = self.room.left + (c + 0.5) * side
            self.sheet.text(x, frame.top - 6.0, str(c + 1), 14.0, anchor="middle", fill=PENCIL)
        for r in range(0, rows, step):
            y = self.room.top + (r + 0.5) * side + 5.0
            self.sheet.text(frame.left - 5.0, y, str(r + 1), 14.0, anchor="end", fill=PENCIL)

    def _contour(self, contour: Contour, line: tuple[tuple[float, float], ...]) -> None:
        points = [self.room.at(column, row) for column, row in line]
        dash = "" if contour.level > 0 else "5 3"
        self.sheet.line(points, width=1.3, stroke=PENCIL, dash=dash)

    def _height(self, contour: Contour) -> None:
        """The contour's height, once, where nothing else stands: on it, else just above or below
        (a line along a row of stations leaves little room between their numbers)."""
        places = [self.room.at(*p) for line in sorted(contour.lines, key=len, reverse=True)
                  for p in _along(line)]  # fmt: skip
        for off, apart in ((5.0, 5.0), (-5.0, 1.0), (16.0, 1.0), (5.0, 1.0)):
            for x, y in places:
                box = text_box(x, y + off, contour.text, 14.0, anchor="middle")
                if self.sheet.free(box, apart) and _inside(box, self.room.frame):
                    self.sheet.text(x, y + off, contour.text, 14.0, anchor="middle", fill=PENCIL,
                                    halo=True)  # fmt: skip
                    return

    def _station(self, cell: Cell) -> None:
        if cell[0] % self.room.every or cell[1] % self.room.every:
            return
        said = self.survey.written(cell)
        if said is None:
            self._unread(cell)
        else:
            self._number(cell, said)

    def _number(self, cell: Cell, said: str) -> None:
        """The number at its station; where only some are written it gives way to a bar."""
        middle, size = self.room.middle(cell), self.room.size
        width = text_width(said, size, bold=True)
        half, at = width / 2, self.room.within(cell, width)[0]
        box = Box(at - half, middle[1] - size / 2, at + half, middle[1] + size / 2)
        if self.room.every > 1 and not self.sheet.free(box, 1.0):
            return
        self.sheet.text(at, middle[1] + size * 0.29, said, size, bold=True, anchor="middle",
                        halo=True)  # fmt: skip
        if cell in self.survey.doubted:
            self.sheet.circle(middle, max(half, size / 2) + 4.0, width=1.5, dash="3 2")

    def _unread(self, cell: Cell) -> None:
        x, y = self.room.middle(cell)
        reach = min(self.room.size, self.room.cell - 8.0) / 2
        if cell not in self.survey.blocked:
            mark(self.sheet, x - reach, y - reach, 2 * reach, "not_measured")
        elif self._in_room((x, y)):
            half = self.room.cell / 2 - 3.0
            cross = (
                f"M{num(x - half)},{num(y - half)} {num(x + half)},{num(y + half)}"
                f"M{num(x + half)},{num(y - half)} {num(x - half)},{num(y + half)}"
            )
            self.sheet.path(cross, width=1.0, stroke=PENCIL)

    def _in_room(self, place: Point) -> bool:
        """What lies outside the walls or in a cut-out is no station."""
        outer, *holes = self.room.rings
        return _holds(outer, place) and not any(_holds(h, place) for h in holes)

    def _extreme(self, cell: Cell, up: bool, strip_taken: bool) -> None:
        """A triangle in the free strip of the highest or lowest station."""
        x, y = self.room.middle(cell)
        off = self.room.cell / 2 - 6.0
        middle = y + (-off if strip_taken else off)
        point, base = (middle - 4.0, middle + 4.0) if up else (middle + 4.0, middle - 4.0)
        self.sheet.shape([(x - 5, base), (x + 5, base), (x, point)], width=1.0, fill=INK)
        self.sheet.taken.append(Box(x - 6, middle - 5, x + 6, middle + 5))


def _along(line: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Places to try for a label: middles of the pieces, from the middle of the line outward."""
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(line)]
    half = len(middles) / 2
    order = sorted(range(len(middles)), key=lambda n: abs(n - half))
    return [middles[n] for n in order]


def _inside(box: Box, frame: Box) -> bool:
    return (
        box.left > frame.left + 1.0 and box.right < frame.right - 1.0
        and box.top > frame.top and box.bottom < frame.bottom
    )  # fmt: skip


def _holds(ring: tuple[Point, ...], place: Point) -> bool:
    """Whether a point lies within: a ray to the right crosses the walls an odd number of times."""
    x, y = place
    inside = False
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], *ring[:1]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside
