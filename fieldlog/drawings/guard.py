"""A guard in elevation: heights, openings with the ball where it passes, the drop it protects.

A level part and the open side of a stair are drawn below each other, each where it was
measured; openings are drawn alike, not to scale, so that their numbers stand in them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fieldlog.drawings.judged import Finding, Judged, Reading
from fieldlog.drawings.labels import Label, Piece, label_width, notes, stacked, valued, write
from fieldlog.drawings.marks import COLORS, WORDS
from fieldlog.drawings.svg import INK, PAD, PAPER, PENCIL, WIDTH, Sheet

_MOST, _MOST_NARROW = 4, 2
_LEFT, _LEFT_NARROW = 128.0, 98.0
_SIZE = 15.0
_DASH = "3.5 2.5"
_RISE = 0.42  # of the run, for the raked part


@dataclass(frozen=True)
class _Side:
    """One part of the guard: its quantities and how steep it is drawn."""

    height: str
    opening: str
    name: str
    rake: float

    def measured(self, judged: Judged) -> bool:
        """Whether anything of it was measured."""
        return any(v.known for name in (self.height, self.opening) for v in judged.values(name))


LEVEL = _Side("height_level", "opening_level", "Level", 0.0)
STAIR = _Side("height_stair", "opening_stair", "Open side of the stair", _RISE)


def draw_guard(judged: Judged, width: float = WIDTH) -> str:
    """The elevation as SVG; "" where nothing of the guard was measured."""
    sides = [s for s in (LEVEL, STAIR) if s.measured(judged)]
    if not sides and not any(judged.value(n).known for n in ("drop", "triangle")):
        return ""
    sides = sides or [LEVEL]
    sheet, top = Sheet(width=width), PAD
    pieces = [(side, openings) for side in sides for openings in _bays(judged, side, sheet.narrow)]
    for n, (side, openings) in enumerate(pieces, start=1):
        drawn = _Elevation(sheet, judged, side, openings, top)
        top = drawn.draw(last=n == len(pieces))
    height = notes(sheet, top + 8.0, _says(judged, sides))
    return sheet.finish(height + PAD, "Guard in elevation", _twin(judged, sides))


def _count(judged: Judged, side: _Side) -> int:
    return min(max(len(judged.values(side.opening)), 1), _MOST)


def _bays(judged: Judged, side: _Side, narrow: bool) -> list[range]:
    """The side's openings; on a narrow sheet so many a piece as have room for their numbers."""
    count, most = _count(judged, side), _MOST_NARROW if narrow else _MOST
    return [range(first, min(first + most, count)) for first in range(0, count, most)]


class _Elevation:
    """One piece of the guard below `top`: posts, rails, an opening for each number."""

    def __init__(
        self, sheet: Sheet, judged: Judged, side: _Side, openings: range, top: float
    ) -> None:
        self.sheet, self.judged, self.side, self.openings = sheet, judged, side, openings
        self.left = _LEFT_NARROW if sheet.narrow else _LEFT
        self.bay = min((sheet.width - 38.0 - self.left) / len(openings), 92.0)
        self.right = self.left + 12.0 + self.bay * len(openings)
        climb = (self.right - self.left) * side.rake
        self.rail = top + 34.0 + climb
        self.foot = self.rail + 132.0
        self.floor = self.foot + (16.0 if not side.rake else 30.0)

    def up(self, x: float, y: float) -> float:
        """A height at `x` on the rake, that is `y` at the left post."""
        return y - (x - self.left) * self.side.rake

    def draw(self, last: bool) -> float:
        """Draw it, the drop under the last one; gives the height reached."""
        self._heading()
        self._frame()
        for i in self.openings:
            self._opening(i)
        if self.openings.start == 0:
            self._height()
        bottom = self._floor()
        if self.side.rake and self.openings.start == 0:
            self._triangle()
        return self._drop(bottom) if last else bottom + 8.0

    def _heading(self) -> None:
        top = self.up(self.right, self.rail) - 18.0
        name = self.side.name + (", more of it" if self.openings.start else "")
        self.sheet.text(PAD, top, name, 15.0, bold=True, fill=PENCIL)

    def _frame(self) -> None:
        for x in (self.left, self.right):
            self._bar(x, 10.0, self.rail, self.floor)
        for y in (self.rail, self.foot):
            thick = 8.0 if y == self.rail else 5.0
            ends = [(x, self.up(x, y)) for x in (self.left, self.right + 10.0)]
            back = [(x, h + thick) for x, h in reversed(ends)]
            self.sheet.shape([*ends, *back], width=1.6, fill=PAPER)
        for i in range(1, len(self.openings)):
            self._bar(self.left + 10.0 + i * self.bay, 4.0, self.rail + 8.0, self.foot)

    def _bar(self, x: float, wide: float, top: float, bottom: float) -> None:
        corners = [(x, self.up(x, top)), (x + wide, self.up(x + wide, top)),
                   (x + wide, self.up(x + wide, bottom)), (x, self.up(x, bottom))]  # fmt: skip
        self.sheet.shape(corners, width=1.4, fill=PAPER)

    def _opening(self, i: int) -> None:
        """The number between the balusters, and under it the ball where it passes."""
        reading = self.judged.value(self.side.opening, i)
        finding = self.judged.finding(self.side.opening, i)
        middle = self.left + 12.0 + (i - self.openings.start + 0.5) * self.bay
        rows: list[Label] = stacked(reading, finding)
        # On the rake the rail comes lowest over a label's left end.
        half = max(label_width(row, _SIZE) for row in rows[:2]) / 2
        y = self.up(middle, self.rail + 26.0 + half * self.side.rake)
        for row in rows:
            write(self.sheet, row, middle - label_width(row, _SIZE) / 2, y, _SIZE)
            y += 17.0
        if finding.verdict == "fail":
            center = (middle, self.up(middle, self.foot - 27.0))
            radius = min(21.0, self.bay / 2 - 6.0)
            self.sheet.circle(center, radius, width=2.0, stroke=COLORS["fail"], dash=_DASH)

    def _height(self) -> None:
        """The dimension left of the first post, plumb from the floor or the nosings' line."""
        reading, finding = self._of(self.side.height)
        stroke, width = _ink(finding)
        x, low = self.left - 14.0, self.floor
        self.sheet.line([(x, self.rail), (x, low)], width=width, stroke=stroke)
        for y in (self.rail, low):
            self.sheet.line([(x - 5.0, y), (x + 5.0, y)], width=1.2, stroke=stroke)
        y = (self.rail + low) / 2 - 24.0
        self.sheet.text(x - 9.0, y, "height", 14.0, anchor="end", fill=PENCIL)
        for row in stacked(reading, finding):
            y += 17.0
            write(self.sheet, row, x - 9.0, y - 4.0, _SIZE, end=True)

    def _of(self, name: str) -> tuple[Reading, Finding]:
        return self.judged.value(name), self.judged.finding(name)

    def _floor(self) -> float:
        """The walking surface: a slab, or steps whose nosings lie on a rising line."""
        if not self.side.rake:
            left, right = self.left - 22.0, self.sheet.right
            self.sheet.shape([(left, self.floor), (right, self.floor), (right, self.floor + 12.0),
                              (left, self.floor + 12.0)], width=1.8, fill=PAPER)  # fmt: skip
            return self.floor + 12.0
        points = list(self._steps())
        self.sheet.line(points, width=1.8)
        line = [(self.left - 20.0, self.up(self.left - 20.0, self.floor)),
                (self.right + 10.0, self.up(self.right + 10.0, self.floor))]  # fmt: skip
        self.sheet.line(line, width=1.0, stroke=PENCIL, dash="6 3")
        return self.floor + 14.0

    def _steps(self) -> Iterator[tuple[float, float]]:
        run = 46.0
        x, y = self.left - 10.0, self.up(self.left - 10.0, self.floor)
        yield (x, y + run * self.side.rake)
        while x < self.right:
            yield (x, y)
            yield (x + run, y)
            x, y = x + run, y - run * self.side.rake

    def _triangle(self) -> None:
        """Riser, tread and bottom rail: its number right of the lowest steps."""
        reading, finding = self._of("triangle")
        stroke, width = _ink(finding)
        label = valued("triangle", reading.text, finding)
        at = self.left + 42.0
        target = (at, self.up(at, self.floor) - 4.0)
        x = min(at + 40.0, self.sheet.right - label_width(label, _SIZE))
        y = self.floor + 2.0
        self.sheet.line([(target[0] + 7.5, target[1] + 4.5), (x - 6.0, y)], width=width,
                        stroke=stroke)  # fmt: skip
        write(self.sheet, label, x, y, _SIZE)
        if finding.verdict == "fail":
            self.sheet.circle(target, 8.0, width=2.0, stroke=COLORS["fail"], dash=_DASH)
        else:
            self.sheet.circle(target, 2.6, width=1.0, stroke=stroke, fill=stroke)

    def _drop(self, top: float) -> float:
        """From the walking surface down to the ground, as the judgement has it."""
        ground, x = top + 46.0, self.left - 14.0
        self.sheet.line([(PAD, ground), (self.sheet.right, ground)], width=3.0)
        self.sheet.line([(x, self.floor), (x, ground)], width=1.2, stroke=INK)
        for y in (self.floor, ground):
            self.sheet.line([(x - 5.0, y), (x + 5.0, y)], width=1.2, stroke=INK)
        full = self.judged.full_text("drop")
        label = valued("drop", full, self.judged.finding("drop"))
        write(self.sheet, label, x + 10.0, ground - 18.0, _SIZE)
        return ground + 4.0


def _ink(finding: Finding) -> tuple[str, float]:
    marked = finding.verdict in ("fail", "too_close")
    return (COLORS[finding.verdict], 3.0) if marked else (INK, 1.2)


def _says(judged: Judged, sides: list[_Side]) -> list[Label]:
    lines: list[Label] = []
    for side in sides:
        for i, reading in enumerate(judged.values(side.opening)[_MOST:], start=_MOST):
            name = f"{judged.label(side.opening)} {i + 1}"
            lines.append(valued(name, reading.text, judged.finding(side.opening, i)))
    if STAIR not in sides and judged.value("triangle").known:
        lines.append(valued(judged.label("triangle"), judged.value("triangle").text,
                            judged.finding("triangle")))  # fmt: skip
    names = [n for side in sides for n in (side.height, side.opening)]
    verdicts = [r["verdict"] for n in names for r in judged.rules(n)]
    if "too_close" in verdicts:
        words = "too close to call with this tool"
        lines.append((Piece(verdict="too_close"), Piece(words, fill=PENCIL)))
    key = [f"In {judged.unit}, not to scale. An empty box is not measured."]
    limits = dict.fromkeys(
        r["limit"]["text"] for s in sides for r in judged.rules(s.opening) if r["verdict"] == "fail"
    )
    if limits:
        key.append(f"Dashed circle: a {' or '.join(limits)} ball, where it passes.")
    return [*lines, (Piece(" ".join(key), fill=PENCIL),)]


def _twin(judged: Judged, sides: list[_Side]) -> list[str]:
    told = [f"A guard, in {judged.unit}.", f"Drop {judged.full_text('drop') or 'not measured'}."]
    for side in sides:
        told.append(_one(f"{side.name}, height", judged, side.height))
        openings = range(_count(judged, side))
        told += [_one(f"Opening {i + 1}", judged, side.opening, i) for i in openings]
    if STAIR in sides:
        told.append(_one("Triangle at the tread", judged, "triangle"))
    return told


def _one(name: str, judged: Judged, quantity: str, index: int | None = None) -> str:
    reading, verdict = judged.value(quantity, index or 0), judged.finding(quantity, index).verdict
    marked = f", {WORDS[verdict]}" if verdict in ("fail", "too_close") else ""
    return f"{name}: {reading.text or 'not measured'}{marked}."
