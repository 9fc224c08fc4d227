"""A guard in elevation: heights, openings with the ball where it passes, the drop it protects.

A level part and the open side of a stair are drawn below each other, each where it was
measured; openings are drawn alike, not to scale, so that their numbers stand in them. What fills
the level part is drawn as it is: balusters, cables pushed apart, glass, or a solid panel.
"""

from __future__ import annotations

from collections.abc import Iterator

from fieldlog.drawings.guard_infill import fill_in
from fieldlog.drawings.guard_words import (
    MOST,
    POSTS,
    STAIR,
    UNDER_RAIL,
    Side,
    level_of,
    says,
    twin,
)
from fieldlog.drawings.judged import Finding, Judged, Reading
from fieldlog.drawings.labels import Label, label_width, notes, stacked, valued, write
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.svg import INK, PAD, PAPER, PENCIL, WIDTH, Box, Sheet

_MOST_NARROW = 2
_LEFT, _LEFT_NARROW = 128.0, 98.0
_SIZE = 15.0
_DASH = "3.5 2.5"


def draw_guard(judged: Judged, width: float = WIDTH) -> str:
    """The elevation as SVG; "" where nothing of the guard was measured."""
    level = level_of(judged)
    sides = [s for s in (level, STAIR) if s.measured(judged)]
    if not sides and not any(judged.value(n).known for n in ("drop", "triangle")):
        return ""
    sides = sides or [level]
    sheet, top = Sheet(width=width), PAD
    pieces = [(side, openings) for side in sides for openings in _bays(judged, side, sheet.narrow)]
    for n, (side, openings) in enumerate(pieces, start=1):
        drawn = _Elevation(sheet, judged, side, openings, top)
        top = drawn.draw(last=n == len(pieces))
    height = notes(sheet, top + 8.0, says(judged, sides))
    return sheet.finish(height + PAD, "Guard in elevation", twin(judged, sides))


def _bays(judged: Judged, side: Side, narrow: bool) -> list[range]:
    """The side's openings; on a narrow sheet so many a piece as have room for their numbers."""
    count, most = side.count(judged), _MOST_NARROW if narrow else MOST
    return [range(first, min(first + most, count)) for first in range(0, count, most)]


class _Elevation:
    """One piece of the guard below `top`: posts, rails, an opening for each number."""

    def __init__(
        self, sheet: Sheet, judged: Judged, side: Side, openings: range, top: float
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
        for i in self.openings if self.side.opening else ():
            self._opening(i)
        bottom = self._floor()
        if self.openings.start == 0:
            self._height()
            bottom = self._triangle_or_posts(bottom)
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
        if self.side.infill != "balusters":
            inside = Box(self.left + 10.0, self.rail + 8.0, self.right, self.foot)
            fill_in(self.sheet, inside, self.side.infill, len(self.openings))
            return
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
        if self.side.infill == "cable":
            y = (self.rail + 8.0 + self.foot) / 2 - 17.0 * (len(rows) - 1) / 2
        for row in rows:
            write(self.sheet, row, middle - label_width(row, _SIZE) / 2, y, _SIZE)
            y += 17.0
        if finding.verdict == "fail" and self.side.infill == "balusters":
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

    def _triangle_or_posts(self, bottom: float) -> float:
        """What only one of the two parts has; gives the height reached."""
        if self.side.rake:
            self._triangle()
            return bottom
        self._posts()
        return self._under_rail(bottom)

    def _posts(self) -> None:
        """Center to center over the rail, where one number says it; several are told below."""
        reading, finding = self._of(POSTS)
        label = valued("posts", reading.text, finding)
        ends = (self.left + 5.0, self.right + 5.0)
        wide = label_width(label, _SIZE)
        alone = len(self.judged.values(POSTS)) == 1
        if not alone or not reading.known or wide > ends[1] - ends[0]:
            return
        at = self.rail - 8.0
        self.sheet.line([(ends[0], at), (ends[1], at)], width=1.2, stroke=PENCIL)
        for x in ends:
            self.sheet.line([(x, at - 5.0), (x, at + 5.0)], width=1.2, stroke=PENCIL)
        write(self.sheet, label, (ends[0] + ends[1] - wide) / 2, at - 12.0, _SIZE)

    def _under_rail(self, bottom: float) -> float:
        """The gap between floor and bottom rail, its number below the floor."""
        reading, finding = self._of(UNDER_RAIL)
        if not reading.known:
            return bottom
        stroke, width = _ink(finding)
        x, y = self.left + 12.0 + self.bay / 2, bottom + 13.0
        self.sheet.line([(x, self.foot + 5.0), (x, self.floor)], width=width, stroke=stroke)
        self.sheet.line([(x, self.floor), (x, y - 8.0)], width=0.9, stroke=PENCIL)
        label = valued("under the rail", reading.text, finding)
        left = min(x - 20.0, self.sheet.right - label_width(label, _SIZE))
        write(self.sheet, label, left, y, _SIZE)
        return bottom + 24.0

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
