"""A floor's grid: signs and numbers at the stations, high and low ground, the worst bar.

Raised ground is tinted, low ground hatched, so that both read in black and white. A bar lies in
the free strip beside the numbers, never on them; its name stands outside the grid.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fieldlog.drawings.floor_words import ink, says, twin
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import notes
from fieldlog.drawings.marks import mark
from fieldlog.drawings.survey import Bar, Cell, Survey, survey_of
from fieldlog.drawings.svg import (
    INK,
    PAD,
    PAPER,
    PENCIL,
    RULE,
    WIDTH,
    Box,
    Sheet,
    num,
    text_box,
    text_width,
)

_TINTS = {1: "#f3e6cd", 2: "#e6cda3", 3: "#d0a873"}
_HATCHES = {1: 9.0, 2: 6.0, 3: 4.0}
_SIZES = (17.0, 16.0, 15.0, 14.0)
_LARGEST, _TALLEST = 56.0, 640.0


def draw_floor(judged: Judged) -> str:
    """The grid as SVG; "" where the floor was read with a straightedge directly."""
    survey = survey_of(judged)
    if survey is None:
        return ""
    plan = _plan(survey)
    sheet = Sheet()
    _Map(sheet, survey, plan).draw()
    bottom = notes(
        sheet, plan.top + survey.size[0] * plan.cell + 30.0, says(judged, survey, plan.every)
    )
    return sheet.finish(bottom + PAD, "Floor, level readings", twin(survey))


@dataclass(frozen=True)
class _Plan:
    """Units: a cell's side, text size, and every how many stations a number is written."""

    cell: float
    size: float
    every: int
    left: float
    top: float = 22.0


def _plan(survey: Survey) -> _Plan:
    rows, columns = survey.size
    left = PAD + text_width(str(rows), 14.0) + 6.0
    names = max((text_width(b.kind, 14.0, bold=True) for b in survey.bars), default=0.0) + 10.0
    cell = min(_LARGEST, (WIDTH - PAD - left - names) / columns, max(_TALLEST / rows, 20.0))
    written = [survey.written((r, c)) or "0" for r in range(rows) for c in range(columns)]
    longest = max(written, key=len)
    # A bar along a column runs beside the numbers, one along a row above or below them.
    beside = 9.0 if all(b.along_row for b in survey.bars) else 18.0
    for every in (1, 2, 3, 4, 6, 8):
        for size in _SIZES:
            fits = text_width(longest, size, bold=True) <= cell * every - beside
            if fits and size <= cell * every - 13.0:
                return _Plan(cell, size, every, left)
    return _Plan(cell, _SIZES[-1], 12, left)


@dataclass
class _Map:
    sheet: Sheet
    survey: Survey
    plan: _Plan
    strips: set[tuple[Cell, str]] = field(default_factory=set)

    def draw(self) -> None:
        rows, columns = self.survey.size
        cells = [(r, c) for r in range(rows) for c in range(columns)]
        for cell in cells:
            self._ground(cell)
        self._lines(rows, columns)
        for bar in self.survey.bars:
            self._bar(bar)
        for cell in cells:
            self._station(cell)
        for extreme, up in ((self.survey.high, True), (self.survey.low, False)):
            if extreme is not None:
                self._extreme(extreme, up)

    def corner(self, cell: Cell) -> tuple[float, float]:
        return (self.plan.left + cell[1] * self.plan.cell, self.plan.top + cell[0] * self.plan.cell)

    def _ground(self, cell: Cell) -> None:
        tone = self.survey.tone(cell)
        (x, y), side = self.corner(cell), self.plan.cell
        square = f"M{num(x)},{num(y)}h{num(side)}v{num(side)}h{num(-side)}z"
        if tone > 0:
            self.sheet.path(square, width=0, fill=_TINTS[tone])
        elif tone < 0:
            self.sheet.path(_hatch(x, y, side, _HATCHES[-tone]), width=0.9, stroke=PENCIL)

    def _lines(self, rows: int, columns: int) -> None:
        (left, top), side = self.corner((0, 0)), self.plan.cell
        right, bottom = left + columns * side, top + rows * side
        for c in range(1, columns):
            self.sheet.line([(left + c * side, top), (left + c * side, bottom)], width=0.8,
                            stroke=RULE)  # fmt: skip
        for r in range(1, rows):
            self.sheet.line([(left, top + r * side), (right, top + r * side)], width=0.8,
                            stroke=RULE)  # fmt: skip
        self.sheet.shape([(left, top), (right, top), (right, bottom), (left, bottom)], width=2.5)
        step = self.plan.every
        for c in range(0, columns, step):
            self.sheet.text(left + (c + 0.5) * side, top - 6.0, str(c + 1), 14.0,
                            anchor="middle", fill=PENCIL)  # fmt: skip
        for r in range(0, rows, step):
            self.sheet.text(left - 5.0, top + (r + 0.5) * side + 5.0, str(r + 1), 14.0,
                            anchor="end", fill=PENCIL)  # fmt: skip

    def _station(self, cell: Cell) -> None:
        if cell[0] % self.plan.every or cell[1] % self.plan.every:
            return
        (x, y), side = self.corner(cell), self.plan.cell
        middle = (x + side / 2, y + side / 2)
        said = self.survey.written(cell)
        if said is None:
            self._unread(cell, middle)
        else:
            self._number(cell, middle, said)

    def _number(self, cell: Cell, middle: tuple[float, float], said: str) -> None:
        """The number at its station; where only some are written it gives way to a bar."""
        half, size = text_width(said, self.plan.size, bold=True) / 2, self.plan.size
        left = self.corner((0, 0))[0] + half + 2.0
        right = self.corner((0, self.survey.size[1]))[0] - half - 2.0
        at = max(min(middle[0], right), left)
        box = Box(at - half, middle[1] - size / 2, at + half, middle[1] + size / 2)
        if self.plan.every > 1 and not self.sheet.free(box, 1.0):
            return
        if self.survey.tone(cell) < 0:
            chip = [(box.left - 1.5, box.top), (box.right + 1.5, box.top),
                    (box.right + 1.5, box.bottom), (box.left - 1.5, box.bottom)]  # fmt: skip
            self.sheet.shape(chip, width=0, fill=PAPER)
        self.sheet.text(at, middle[1] + size * 0.29, said, size, bold=True, anchor="middle")

    def _unread(self, cell: Cell, middle: tuple[float, float]) -> None:
        reach = min(self.plan.size, self.plan.cell - 8.0) / 2
        if cell not in self.survey.blocked:
            mark(self.sheet, middle[0] - reach, middle[1] - reach, 2 * reach, "not_measured")
            return
        (x, y), side = self.corner(cell), self.plan.cell
        cross = (
            f"M{num(x + 3)},{num(y + 3)} {num(x + side - 3)},{num(y + side - 3)}"
            f"M{num(x + side - 3)},{num(y + 3)} {num(x + 3)},{num(y + side - 3)}"
        )
        self.sheet.path(cross, width=1.0, stroke=PENCIL)

    def _bar(self, bar: Bar) -> None:
        """A hollow's bar lies above (left of) the numbers, a hump's below (right of) them."""
        (x0, y0), (x1, y1), side = self.corner(bar.start), self.corner(bar.end), self.plan.cell
        offset = 3.5 if bar.kind == "hollow" else side - 3.5
        inward = 6.0 if bar.kind == "hollow" else -6.0
        x2, y2 = self.corner(bar.at)
        color, width = ink(bar)
        if bar.along_row:
            points = [(x0 + side / 2, y0 + offset), (x1 + side / 2, y0 + offset)]
            tip = [(x2 + side / 2 - 5, y0 + offset), (x2 + side / 2 + 5, y0 + offset),
                   (x2 + side / 2, y0 + offset + inward)]  # fmt: skip
            self._strip(bar)
        else:
            points = [(x0 + offset, y0 + side / 2), (x0 + offset, y1 + side / 2)]
            tip = [(x0 + offset, y2 + side / 2 - 5), (x0 + offset, y2 + side / 2 + 5),
                   (x0 + offset + inward, y2 + side / 2)]  # fmt: skip
        self.sheet.line(points, width=width, stroke=color)
        (left, top), (right, bottom) = points
        self.sheet.taken.append(Box(left - 3.0, top - 3.0, right + 3.0, bottom + 3.0))
        for end in points:
            self.sheet.circle(end, 3.0, width=1.0, stroke=color, fill=color)
        self.sheet.shape(tip, width=1.0, stroke=color, fill=color)
        self._name(bar, points[1])

    def _strip(self, bar: Bar) -> None:
        row, strip = bar.start[0], "top" if bar.kind == "hollow" else "bottom"
        for column in range(bar.start[1], bar.end[1] + 1):
            self.strips.add(((row, column), strip))

    def _name(self, bar: Bar, end: tuple[float, float]) -> None:
        """The bar's kind outside the grid, with a thin line to it."""
        rows, columns = self.survey.size
        (left, top), side = self.corner((0, 0)), self.plan.cell
        color, _ = ink(bar)
        size = 14.0
        if bar.along_row:
            edge, y = left + columns * side, end[1] + 4.5
            while not self.sheet.free(text_box(edge + 6.0, y, bar.kind, size, bold=True), 1.0):
                y += 3.0
            self.sheet.line([end, (edge + 2.0, end[1]), (edge + 5.0, y - 4.5)], width=0.9,
                            stroke=color)  # fmt: skip
            self.sheet.text(edge + 6.0, y, bar.kind, size, bold=True, fill=color)
            return
        edge = top + rows * side
        self.sheet.line([end, (end[0], edge + 5.0)], width=0.9, stroke=color)
        half = text_width(bar.kind, size, bold=True) / 2
        at = min(max(end[0], PAD + half), WIDTH - PAD - half)
        spot = Box(at - half, edge + 6.0, at + half, edge + 22.0)
        if not self.sheet.free(spot, 3.0):  # the other bar's name is there
            at = max(PAD, *(b.right for b in self.sheet.taken if b.top > edge)) + half + 6.0
        self.sheet.text(at, edge + 18.0, bar.kind, size, bold=True, anchor="middle", fill=color)

    def _extreme(self, cell: Cell, up: bool) -> None:
        """A triangle in the free strip of the highest or lowest station."""
        (x, y), side = self.corner(cell), self.plan.cell
        top = (cell, "bottom") in self.strips
        middle = y + (6.0 if top else side - 6.0)
        point, base = (middle - 4.0, middle + 4.0) if up else (middle + 4.0, middle - 4.0)
        at = x + side / 2
        self.sheet.shape([(at - 5, base), (at + 5, base), (at, point)], width=1.0, fill=INK)


def _hatch(x: float, y: float, side: float, gap: float) -> str:
    """Lines rising to the right across a square, `gap` units apart along its edges."""
    lines = []
    at = gap
    while at < 2 * side:
        low, high = max(0.0, at - side), min(at, side)
        lines.append(f"M{num(x + low)},{num(y + high)} {num(x + high)},{num(y + low)}")
        at += gap
    return "".join(lines)
