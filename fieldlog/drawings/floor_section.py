"""A floor cut along a line of stations: heights far larger than lengths, the worst bar on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Any

from fieldlog.calc.lengths import NM_PER_INCH
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.survey import Cell, Survey, station, survey_of
from fieldlog.drawings.svg import PAD, PENCIL, RULE, WIDTH, Point, Sheet, text_width

_TALL = 130.0
_TOP = 34.0
_SIZE = 14.0
_LEAST = NM_PER_INCH // 2
_FAIL = "#9c1c14"
DIRECTIONS = ("row", "column", "diagonal", "cross")


@dataclass(frozen=True)
class Cut:
    """A line of stations: a row, a column, or a diagonal through a station."""

    direction: str
    cells: tuple[Cell, ...]

    @property
    def name(self) -> str:
        """ "Row 3", "Column 2", "From row 1, column 2 to row 4, column 5"."""
        (a, b), _ = self.cells[0], self.cells[-1]
        if self.direction == "row":
            return f"Row {a + 1}"
        if self.direction == "column":
            return f"Column {b + 1}"
        (c, d) = self.cells[-1]
        return f"From {station(a, b)} to {station(c, d)}"


def cut_of(size: tuple[int, int], direction: str, through: Cell) -> Cut:
    """The line in a direction (one of DIRECTIONS) through a station, end to end."""
    step = {"row": (0, 1), "column": (1, 0), "diagonal": (1, 1), "cross": (1, -1)}[direction]
    (rows, columns), (r, c) = size, through
    while 0 <= r - step[0] < rows and 0 <= c - step[1] < columns:
        r, c = r - step[0], c - step[1]
    cells = []
    while 0 <= r < rows and 0 <= c < columns:
        cells.append((r, c))
        r, c = r + step[0], c + step[1]
    return Cut(direction, tuple(cells))


def worst_cut(judged: Judged) -> Cut | None:
    """The line of the gravest straightedge, else the first row; None without a survey."""
    survey = survey_of(judged)
    if survey is None:
        return None
    order = ("fail", "too_close")
    bars = sorted(
        survey.bars,
        key=lambda b: order.index(b.finding.verdict) if b.finding.verdict in order else 2,
    )
    if not bars:
        return cut_of(survey.size, "row", (0, 0))
    bar = bars[0]
    across = bar.end[1] - bar.start[1]
    direction = ("row" if bar.along_row else "column" if bar.along_column
                 else "diagonal" if across > 0 else "cross")  # fmt: skip
    return cut_of(survey.size, direction, bar.start)


def draw_section(judged: Judged, cut: Cut, told: Mapping[str, Any] | None = None) -> str:
    """The cut as SVG, with a plan's surface dashed where one is given."""
    survey = survey_of(judged)
    if survey is None:
        return ""
    sheet = Sheet()
    line = _Line(sheet, survey, cut, told)
    line.draw()
    bottom = notes(sheet, _TOP + _TALL + 46.0, line.says())
    return sheet.finish(bottom + PAD, f"Section, {cut.name.lower()}", line.twin())


class _Line:
    def __init__(
        self, sheet: Sheet, survey: Survey, cut: Cut, told: Mapping[str, Any] | None
    ) -> None:
        self.sheet, self.survey, self.cut = sheet, survey, cut
        self.heights = [survey.offs[r][c] for r, c in cut.cells]
        self.after = self._planned(told)
        known = [z for z in (*self.heights, *self.after) if z is not None]
        low, high = min(known, default=0), max(known, default=0)
        spare = max(_LEAST - (high - low), 0) // 2  # a flat floor stays flat
        self.low, self.high = low - spare, high + spare
        self.step = (WIDTH - 2 * PAD - 40.0) / max(len(cut.cells) - 1, 1)

    def _planned(self, told: Mapping[str, Any] | None) -> list[int | None]:
        if told is None:
            return []
        depths = [told["rows"][r][c] for r, c in self.cut.cells]
        return [
            None if z is None or d is None else z + int(d)
            for z, d in zip(self.heights, depths, strict=True)
        ]

    def at(self, place: int, height: int) -> Point:
        tall = max(self.high - self.low, 1)
        return (PAD + 20.0 + place * self.step, _TOP + _TALL * (self.high - height) / tall)

    def draw(self) -> None:
        bottom = _TOP + _TALL
        for place, cell in enumerate(self.cut.cells):
            x = PAD + 20.0 + place * self.step
            self.sheet.line([(x, _TOP - 4.0), (x, bottom + 6.0)], width=0.8, stroke=RULE)
            number = cell[1] if self.cut.direction != "column" else cell[0]
            if self._fits(place):
                self.sheet.text(x, bottom + 22.0, str(number + 1), _SIZE, anchor="middle",
                                fill=PENCIL)  # fmt: skip
        self._ground(self.heights, 2.5, "")
        self._ground(self.after, 1.8, "6 4")
        for bar in self.survey.bars:
            if {bar.start, bar.end, bar.at} <= set(self.cut.cells):
                self._bar(bar.start, bar.end, bar.at)
        for place, height in enumerate(self.heights):
            said = self.survey.written(self.cut.cells[place])
            if height is None or said is None:
                continue
            x, y = self.at(place, height)
            self.sheet.circle((x, y), 3.0, width=1.0, fill="#17202a")
            if self._fits(place):
                self.sheet.text(x, y - 9.0, said, _SIZE, bold=True, anchor="middle", halo=True)

    def _fits(self, place: int) -> bool:
        """Numbers are written at every so-many-th station, so that none touch."""
        written = (self.survey.written(c) or "" for c in self.cut.cells)
        widest = max((text_width(w, _SIZE, bold=True) for w in written), default=0.0) + 6.0
        return place % max(int(-(-widest // self.step)), 1) == 0

    def _ground(self, heights: list[int | None], width: float, dash: str) -> None:
        run: list[Point] = []
        for place, height in enumerate([*heights, None]):
            if height is not None:
                run.append(self.at(place, height))
                continue
            if len(run) > 1:
                self.sheet.line(run, width=width, dash=dash)
            run = []

    def _bar(self, start: Cell, end: Cell, at: Cell) -> None:
        """The edge where it rests, and the gap under it."""
        a, b, m = (self.cut.cells.index(cell) for cell in (start, end, at))
        first, last, middle = (self.heights[i] for i in (a, b, m))
        if first is None or last is None or middle is None:
            return
        self.sheet.line([self.at(a, first), self.at(b, last)], width=2.0, stroke=_FAIL)
        over = first + (last - first) * (m - a) // (b - a)
        self.sheet.line([self.at(m, over), self.at(m, middle)], width=2.0, stroke=_FAIL, dash="2 2")

    def says(self) -> list[Label]:
        unit = "millimeters" if self.survey.metric else "sixteenths of an inch"
        spacing = self.survey.spacing
        slant = self.cut.direction in ("diagonal", "cross")
        apart = f"{spacing} times {sqrt(2):.2f}" if slant else spacing
        said = [f"{self.cut.name}: heights in {unit}, stations {apart} apart, heights enlarged."]
        said += ["Dashed: after the plan."] if self.after else []
        said += ["Red: the worst straightedge, and the gap."] if self._has_bar() else []
        return [(Piece(" ".join(said), fill=PENCIL),)]

    def _has_bar(self) -> bool:
        return any({b.start, b.end, b.at} <= set(self.cut.cells) for b in self.survey.bars)

    def twin(self) -> list[str]:
        numbers = (self.survey.written(c) or "not measured" for c in self.cut.cells)
        return [f"{self.cut.name}: {', '.join(numbers)}."]
