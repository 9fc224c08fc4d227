"""One part of a stair's section on the sheet: steps, risers' dimensions, balls, labels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.drawings.flight import Flight, Step
from fieldlog.drawings.judged import Judged, inches
from fieldlog.drawings.labels import label_width, write
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.panels import LINE, Fit, Labels, Part, part_width
from fieldlog.drawings.svg import PAD, PAPER, PENCIL, Box, Sheet

DASH = "5 4"

Balls = Mapping[int, Mapping[str, Any]]
"""The openings (from 0) through which the ball passes, with the rule that says so."""


def diameter(rule: Mapping[str, Any]) -> float:
    """The ball that the rule names, inches."""
    return inches(rule["limit"]["nm"]) or 0.0


class DrawnPart:
    """One part of the flight on the sheet; inches in, units out."""

    def __init__(
        self, sheet: Sheet, judged: Judged, flight: Flight, fitted: Fit, part: Part, balls: Balls
    ) -> None:
        self.sheet, self.judged, self.flight, self.fit = sheet, judged, flight, fitted
        self.part, self.balls = part, balls
        self.ground = self.top = 0.0
        self.boards: list[Box] = []

    @property
    def whole(self) -> bool:
        """Whether it is the whole flight."""
        return len(self.fit.parts) == 1

    def x(self, along: float) -> float:
        """A place along the flight (inches from its first nosing) on the sheet."""
        return self.part.left + along * self.fit.scale

    def y(self, height: float) -> float:
        """A height above the floor below (inches) on the sheet."""
        base = self.flight.heights[self.part.first]
        return self.ground - (height - base) * self.fit.scale

    def draw(self, labels: Labels, top: float, reserve: float = 0.0) -> float:
        """Draw the part below `top`, with `reserve` inches above its floor; gives the height
        reached."""
        self.top = top
        if not self.whole:
            top = self._heading(top, labels)
        rows = self._rows(labels)
        base, end = self.flight.heights[self.part.first], self.flight.heights[self.part.end]
        rise = (end - base) * self.fit.scale
        over = len(labels.risers[self.part.end - 1]) * self.fit.size * 0.6
        above = reserve * self.fit.scale + 22.0 if reserve else 0.0
        self.ground = top + max(rise + 5.0, rows[-1] + over, above)
        self._floor_below()
        for i in range(self.part.first, self.part.end):
            self._step(i)
        self._floor_above()
        self._labels(labels, rows)
        return self.ground + 14.0 + self._hangs_below()

    def _heading(self, top: float, labels: Labels) -> float:
        """Which risers these are, beside the uppermost label where there is room."""
        first, last = self.part.first + 1, self.part.end
        words = f"Risers {first} to {last}" if last > first else f"Riser {first}"
        box = self.sheet.text(PAD, top + 14.0, words, 15.0, bold=True, fill=PENCIL)
        uppermost = labels.risers[last - 1]
        room = self.x(self.flight.fronts[last - 1]) - self.fit.off - 4.0
        beside = max(label_width(line, self.fit.size) for line in uppermost) + 2 * self.fit.size
        return top if box.right < room - beside else top + 18.0

    def _floor_below(self) -> None:
        if self.part.first == 0:
            self.sheet.line([(PAD, self.ground), (self.sheet.right, self.ground)], width=3.0)
            return
        below = self.flight.steps[self.part.first - 1]
        right = self.x(self.flight.back(self.part.first - 1))
        thick = below.thickness * self.fit.scale
        left = right - min(below.run * self.fit.scale, right - PAD)
        self._board(left, right, self.ground, thick, dashed=not below.thickness_known)

    def _hangs_below(self) -> float:
        """How far the tread below the part's first step reaches under its ground, units."""
        first = self.part.first
        return self.flight.steps[first - 1].thickness * self.fit.scale if first else 0.0

    def _step(self, i: int) -> None:
        step, flight = self.flight.steps[i], self.flight
        top, thick = self.y(flight.heights[i + 1]), step.thickness * self.fit.scale
        front = self.x(flight.fronts[i])
        face = self.x(flight.fronts[i] + step.nosing)
        if flight.open is not True:
            dash = DASH if flight.open is None or not step.riser.known else ""
            self.sheet.line([(face, self.y(flight.heights[i])), (face, top + thick)], dash=dash)
        if i + 1 < len(flight.steps) or flight.top_tread:
            self._board(front, self.x(flight.back(i)), top, thick, dashed=not step.measured)
        self._riser_dimension(i, front)
        if i in self.balls:
            self._ball(i, step)

    def _board(self, left: float, right: float, top: float, thick: float, *, dashed: bool) -> None:
        corners = [(left, top), (right, top), (right, top + thick), (left, top + thick)]
        self.sheet.shape(corners, width=1.8, dash=DASH if dashed else "", fill=PAPER)
        self.boards.append(Box(left, top, right, top + thick))

    def _riser_dimension(self, i: int, front: float) -> None:
        """From the top of the tread below to the top of the tread, left of the nosing."""
        verdict = self.judged.finding("riser", i).verdict
        marked = verdict in ("fail", "too_close")
        stroke, width = (COLORS[verdict], 3.2) if marked else (PENCIL, 1.1)
        known = self.flight.steps[i].riser.known
        low, high = self.y(self.flight.heights[i]), self.y(self.flight.heights[i + 1])
        at = front - self.fit.off
        self.sheet.line([(at - 3.0, high), (front, high)], width=1.0, stroke=PENCIL)
        self.sheet.line([(at - 3.0, low), (at + 3.0, low)], width=1.0, stroke=PENCIL)
        self.sheet.line([(at, low), (at, high)], width=width, stroke=stroke,
                        dash="" if known else DASH)  # fmt: skip

    def _ball(self, i: int, step: Step) -> None:
        radius = diameter(self.balls[i]) / 2
        center = (
            self.x(self.flight.fronts[i] + step.nosing / 2),
            self.y(self.flight.heights[i] + radius),
        )
        size = radius * self.fit.scale
        self.sheet.circle(center, size, width=2.0, stroke=COLORS["fail"], dash="3.5 2.5")

    def _floor_above(self) -> None:
        end, flight = self.part.end, self.flight
        top = self.y(flight.heights[end])
        if end < len(flight.steps):
            front = self.x(flight.fronts[end])
            self.sheet.line([(front, top), (front, top - self.fit.size * 0.9)], width=1.0,
                            stroke=PENCIL, dash=DASH)  # fmt: skip
            return
        if flight.top_tread:
            return
        left = self.x(flight.fronts[end - 1])
        right = self.x(part_width(flight, (self.part.first, end)) + flight.fronts[self.part.first])
        step = flight.steps[-1]
        thick = step.thickness * self.fit.scale
        dash = "" if step.riser.known and step.thickness_known else DASH
        edge = [(right, top), (left, top), (left, top + thick), (right, top + thick)]
        self.sheet.line(edge, width=1.8, dash=dash)
        self.sheet.line([(left, top), (right, top)], width=3.0)

    def _rows(self, labels: Labels) -> list[float]:
        """How far above the ground the middle of each step's labels is, units.

        In the middle of its riser, but never into the row below.
        """
        heights, scale = self.flight.heights, self.fit.scale
        rows, below, line = [], 0.04 * self.fit.size, self.fit.size * LINE
        for i in range(self.part.first, self.part.end):
            middle = (heights[i] + heights[i + 1]) / 2 - heights[self.part.first]
            half = len(labels.risers[i]) * line / 2
            rows.append(max(middle * scale, below + half))
            below = rows[-1] + half
        return rows

    def _labels(self, labels: Labels, rows: list[float]) -> None:
        size, flight = self.fit.size, self.flight
        for i, above in enumerate(rows, start=self.part.first):
            middle, lines = self.ground - above, labels.risers[i]
            right = self.x(flight.fronts[i]) - self.fit.off - 4.0
            for n, line in enumerate(lines):
                at = middle + (n - (len(lines) - 1) / 2) * size * LINE
                write(self.sheet, line, right, at, size, end=True)
            if labels.treads[i]:
                write(self.sheet, labels.treads[i], self.x(flight.back(i)) + 8.0, middle, size)
