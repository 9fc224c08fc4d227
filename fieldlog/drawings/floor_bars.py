"""The worst straightedges on a floor's map: each where it lies, beside the numbers, never on them.

A hollow's bar lies above (left of) its stations, a hump's below (right of) them; along a
diagonal a bar runs midway to the next one. Its name stands outside the room, or at its end.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot

from fieldlog.drawings.floor_room import Room
from fieldlog.drawings.floor_words import ink
from fieldlog.drawings.survey import Bar, Cell
from fieldlog.drawings.svg import PAD, Box, Point, Sheet, text_box, text_width

_SIZE = 14.0
_STEP = 8.0
"""Boxes of this size along a diagonal bar are taken, so that no text is set on it."""


@dataclass
class Bars:
    """Bars on a sheet; `strips` are the free strips of cells that they have taken."""

    sheet: Sheet
    room: Room
    strips: set[tuple[Cell, str]] = field(default_factory=set)

    def draw(self, bar: Bar) -> None:
        """The bar, its rests, and a point at the gap."""
        color, width = ink(bar)
        (dx, dy), (nx, ny) = self._off(bar)
        start, end, at = (self.room.middle(c) for c in (bar.start, bar.end, bar.at))
        points = [(x + dx, y + dy) for x, y in (start, end)]
        (x, y), along = (at[0] + dx, at[1] + dy), self._along(bar)
        tip = [
            (x - 5 * along[0], y - 5 * along[1]),
            (x + 5 * along[0], y + 5 * along[1]),
            (x + 6 * nx, y + 6 * ny),
        ]
        self.sheet.line(points, width=width, stroke=color)
        self._take(points)
        for rest in points:
            self.sheet.circle(rest, 3.0, width=1.0, stroke=color, fill=color)
        self.sheet.shape(tip, width=1.0, stroke=color, fill=color)
        if bar.along_row:
            strip = "top" if bar.kind == "hollow" else "bottom"
            columns = range(bar.start[1], bar.end[1] + 1)
            self.strips |= {((bar.start[0], column), strip) for column in columns}

    def name(self, bar: Bar) -> None:
        """The bar's kind in a word."""
        (dx, dy), _ = self._off(bar)
        ends = [(x + dx, y + dy) for x, y in map(self.room.middle, (bar.start, bar.end))]
        if bar.along_row:
            self._beside(bar, ends[1])
        elif bar.along_column:
            self._below(bar, ends[1])
        else:
            self._at_an_end(bar, ends)

    def _off(self, bar: Bar) -> tuple[Point, Point]:
        """How far the bar lies from its stations, and the direction back to them."""
        sign = -1.0 if bar.kind == "hollow" else 1.0
        half = self.room.cell / 2 - 3.5
        if bar.along_row:
            return (0.0, sign * half), (0.0, -sign)
        if bar.along_column:
            return (sign * half, 0.0), (-sign, 0.0)
        aside = 1.0 if self._along(bar)[0] < 0 else -1.0  # where a diagonal has its lower side
        quarter, slant = sign * self.room.cell / 4, -sign / hypot(1.0, 1.0)
        return (aside * quarter, quarter), (aside * slant, slant)

    def _along(self, bar: Bar) -> Point:
        across, down = bar.end[1] - bar.start[1], bar.end[0] - bar.start[0]
        length = hypot(across, down) or 1.0
        return across / length, down / length

    def _take(self, points: list[Point]) -> None:
        (x0, y0), (x1, y1) = points
        steps = 1 if x0 == x1 or y0 == y1 else max(int(hypot(x1 - x0, y1 - y0) / _STEP), 1)
        for n in range(steps):
            a, b = n / steps, (n + 1) / steps
            xs = sorted((x0 + a * (x1 - x0), x0 + b * (x1 - x0)))
            ys = sorted((y0 + a * (y1 - y0), y0 + b * (y1 - y0)))
            self.sheet.taken.append(Box(xs[0] - 3.0, ys[0] - 3.0, xs[1] + 3.0, ys[1] + 3.0))

    def _beside(self, bar: Bar, end: Point) -> None:
        """Right of the room, with a thin line to it."""
        edge, y = self.room.frame.right, end[1] + 4.5
        color, _ = ink(bar)
        while not self.sheet.free(text_box(edge + 6.0, y, bar.kind, _SIZE, bold=True), 1.0):
            y += 3.0
        leader = [end, (edge + 2.0, end[1]), (edge + 5.0, y - 4.5)]
        self.sheet.line(leader, width=0.9, stroke=color)
        self.sheet.text(edge + 6.0, y, bar.kind, _SIZE, bold=True, fill=color)

    def _below(self, bar: Bar, end: Point) -> None:
        """Under the room, with a thin line to it."""
        edge = self.room.frame.bottom
        color, _ = ink(bar)
        self.sheet.line([end, (end[0], edge + 5.0)], width=0.9, stroke=color)
        half = text_width(bar.kind, _SIZE, bold=True) / 2
        at = min(max(end[0], PAD + half), self.sheet.right - half)
        spot = Box(at - half, edge + 6.0, at + half, edge + 22.0)
        if not self.sheet.free(spot, 3.0):  # the other bar's name is there
            at = max(PAD, *(b.right for b in self.sheet.taken if b.top > edge)) + half + 6.0
        self.sheet.text(at, edge + 18.0, bar.kind, _SIZE, bold=True, anchor="middle", fill=color)

    def _at_an_end(self, bar: Bar, ends: list[Point]) -> None:
        """Beyond either end of a diagonal, where that is free; the notes name it anyway."""
        color, _ = ink(bar)
        for (x, y), down in ((ends[1], 1.0), (ends[0], -1.0)):
            for shift in (0.0, 14.0, -14.0, 26.0, -26.0):
                base = y + (17.0 if down > 0 else -7.0)
                box = text_box(x + shift, base, bar.kind, _SIZE, bold=True, anchor="middle")
                if self.sheet.free(box, 1.0) and box.bottom < self.room.frame.bottom + 24.0:
                    self.sheet.text(x + shift, base, bar.kind, _SIZE, bold=True, anchor="middle",
                                    fill=color, halo=True)  # fmt: skip
                    return
