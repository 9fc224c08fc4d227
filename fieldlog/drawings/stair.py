"""A stair in section, to scale: every riser and tread, what fails, the ball where it passes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.drawings.flight import Flight, Step, flight_of
from fieldlog.drawings.judged import Judged, inches
from fieldlog.drawings.labels import Label, Piece, label_width, notes, valued, write
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.panels import LINE, Fit, Labels, Part, fit, part_width
from fieldlog.drawings.stair_words import says, twin
from fieldlog.drawings.svg import PAD, PENCIL, WIDTH, Box, Sheet

OPEN_GAP = "stair.open-gap"
_DASH = "5 4"


def draw_stair(judged: Judged) -> str:
    """The section as SVG; "" where there is neither a riser nor a tread."""
    flight = flight_of(judged)
    if flight is None:
        return ""
    balls = passing_balls(judged, len(flight.steps))
    labels = Labels(
        [_riser_label(judged, s, balls.get(s.number - 1)) for s in flight.steps],
        [_tread_label(judged, s, flight) for s in flight.steps],
    )
    ball = max((_diameter(r) for r in balls.values()), default=0.0)
    fitted = fit(flight, labels, ball)
    sheet = Sheet()
    top, told = PAD, False
    for part in reversed(fitted.parts):
        drawn = _Part(sheet, judged, flight, fitted, part, balls)
        top = drawn.draw(labels, top)
        told = told or drawn.rise_told
    left = [name for name in ("total_rise", "headroom") if not (told and name == "total_rise")]
    height = notes(sheet, top, says(judged, flight, left, in_parts=len(fitted.parts) > 1))
    return sheet.finish(height + PAD, "Stair in section", twin(judged, flight, balls))


def passing_balls(judged: Judged, steps: int) -> dict[int, Mapping[str, Any]]:
    """The openings (from 0) through which the ball passes, with the rule that says so."""
    return {
        r["index"]: r
        for r in judged.raw["rules"]
        if r["rule"] == OPEN_GAP
        and r["verdict"] == "fail"
        and r["index"] is not None
        and r["index"] < steps
    }


def first_that_counts(judged: Judged) -> int | None:
    """The lowest opening (from 0) that the ball rule judges, where a lower one is exempt."""
    openings = [r for r in judged.raw["rules"] if r["rule"] == OPEN_GAP and r["index"] is not None]
    counts = [r["index"] for r in openings if r["verdict"] != "does_not_apply"]
    exempt = [r["index"] for r in openings if r["verdict"] == "does_not_apply"]
    if not counts or not exempt or min(exempt) > min(counts):
        return None
    return int(min(counts))


def _diameter(rule: Mapping[str, Any]) -> float:
    """The ball that the rule names, inches."""
    return inches(rule["limit"]["nm"]) or 0.0


def _riser_label(judged: Judged, step: Step, gap: Mapping[str, Any] | None) -> Label:
    finding = judged.finding("riser", step.number - 1)
    label = valued(f"R{step.number}", step.riser.text, finding)
    if gap is None:
        return label
    color = COLORS["fail"]
    opening = judged.value("open_gap", step.number - 1).text
    words = f"gap {opening}" if opening else "ball passes"
    return (Piece(verdict="fail"), Piece(words, bold=True, fill=color), Piece(), *label)


def _tread_label(judged: Judged, step: Step, flight: Flight) -> Label:
    if step.number == len(flight.steps) and not flight.top_tread:
        return ()
    return valued(f"T{step.number}", step.tread.text, judged.finding("tread", step.number - 1))


class _Part:
    """One part of the flight on the sheet; inches in, units out."""

    def __init__(
        self,
        sheet: Sheet,
        judged: Judged,
        flight: Flight,
        fitted: Fit,
        part: Part,
        balls: dict[int, Mapping[str, Any]],
    ) -> None:
        self.sheet, self.judged, self.flight, self.fit = sheet, judged, flight, fitted
        self.part, self.balls = part, balls
        self.ground = 0.0
        self.rise_told = False

    def x(self, along: float) -> float:
        return self.part.left + along * self.fit.scale

    def y(self, height: float) -> float:
        base = self.flight.heights[self.part.first]
        return self.ground - (height - base) * self.fit.scale

    def draw(self, labels: Labels, top: float) -> float:
        """Draw the part below `top`; gives the height reached."""
        steps = range(self.part.first, self.part.end)
        if len(self.fit.parts) > 1:
            top = self._heading(top, labels)
        rows = self._rows()
        base, end = self.flight.heights[self.part.first], self.flight.heights[self.part.end]
        rise = (end - base) * self.fit.scale
        self.ground = top + max(rise + 5.0, rows[-1] + self.fit.size * 0.6)
        self._floor_below()
        for i in steps:
            self._step(i)
        self._floor_above()
        self._labels(labels, rows)
        self._ball_starts()
        self._total_rise()
        return self.ground + 14.0

    def _heading(self, top: float, labels: Labels) -> float:
        """Which risers these are, beside the uppermost label where there is room."""
        words = f"Risers {self.part.first + 1} to {self.part.end}"
        box = self.sheet.text(PAD, top + 14.0, words, 15.0, bold=True, fill=PENCIL)
        last = self.part.end - 1
        room = self.x(self.flight.fronts[last]) - self.fit.off - 4.0
        beside = label_width(labels.risers[last], self.fit.size) + 2 * self.fit.size
        return top if box.right < room - beside else top + 18.0

    def _floor_below(self) -> None:
        if self.part.first == 0:
            self.sheet.line([(PAD, self.ground), (WIDTH - PAD, self.ground)], width=3.0)
            return
        below = self.flight.steps[self.part.first - 1]
        right = self.x(self.flight.back(self.part.first - 1))
        thick = below.thickness * self.fit.scale
        left = right - min(below.run * self.fit.scale, right - PAD)
        self._board(left, right, self.ground, thick, dashed=not below.thickness_known)

    def _step(self, i: int) -> None:
        step, flight = self.flight.steps[i], self.flight
        top, thick = self.y(flight.heights[i + 1]), step.thickness * self.fit.scale
        front = self.x(flight.fronts[i])
        face = self.x(flight.fronts[i] + step.nosing)
        if flight.open is not True:
            dash = _DASH if flight.open is None or not step.riser.known else ""
            self.sheet.line([(face, self.y(flight.heights[i])), (face, top + thick)], dash=dash)
        if i + 1 < len(flight.steps) or flight.top_tread:
            self._board(front, self.x(flight.back(i)), top, thick, dashed=not step.measured)
        self._riser_dimension(i, front)
        if i in self.balls:
            self._ball(i, step)

    def _board(self, left: float, right: float, top: float, thick: float, *, dashed: bool) -> None:
        corners = [(left, top), (right, top), (right, top + thick), (left, top + thick)]
        self.sheet.shape(corners, width=1.8, dash=_DASH if dashed else "", fill="#fffdf5")

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
                        dash="" if known else _DASH)  # fmt: skip

    def _ball(self, i: int, step: Step) -> None:
        radius = _diameter(self.balls[i]) / 2
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
                            stroke=PENCIL, dash=_DASH)  # fmt: skip
            return
        if flight.top_tread:
            return
        left = self.x(flight.fronts[end - 1])
        right = self.x(part_width(flight, (self.part.first, end)) + flight.fronts[self.part.first])
        step = flight.steps[-1]
        thick = step.thickness * self.fit.scale
        dash = "" if step.riser.known and step.thickness_known else _DASH
        edge = [(right, top), (left, top), (left, top + thick), (right, top + thick)]
        self.sheet.line(edge, width=1.8, dash=dash)
        self.sheet.line([(left, top), (right, top)], width=3.0)

    def _rows(self) -> list[float]:
        """How far above the ground the middle of each step's labels is, units.

        In the middle of its riser, but never into the row below.
        """
        heights, scale = self.flight.heights, self.fit.scale
        rows, below = [], -0.5 * self.fit.size
        for i in range(self.part.first, self.part.end):
            middle = (heights[i] + heights[i + 1]) / 2 - heights[self.part.first]
            below = max(middle * scale, below + self.fit.size * LINE)
            rows.append(below)
        return rows

    def _labels(self, labels: Labels, rows: list[float]) -> None:
        size, flight = self.fit.size, self.flight
        for i, above in enumerate(rows, start=self.part.first):
            middle = self.ground - above
            right = self.x(flight.fronts[i]) - self.fit.off - 4.0
            write(self.sheet, labels.risers[i], right, middle, size, end=True)
            if labels.treads[i]:
                write(self.sheet, labels.treads[i], self.x(flight.back(i)) + 8.0, middle, size)

    def _ball_starts(self) -> None:
        """A dotted line under the first opening that counts, where lower ones are exempt."""
        first = first_that_counts(self.judged)
        if first is None or not self.part.first <= first < self.part.end:
            return
        at = self.y(self.flight.heights[first])
        stops = sorted((b.left, b.right) for b in self.sheet.taken if b.top - 2 < at < b.bottom + 2)
        stops.append((WIDTH - PAD, 0.0))
        left = PAD
        for stop, after in stops:
            if stop - 5.0 > left:
                self.sheet.line([(left, at), (stop - 5.0, at)], width=1.5, dash="1.5 4",
                                stroke=PENCIL)  # fmt: skip
            left = max(left, after + 5.0)

    def _total_rise(self) -> None:
        """The dimension of the whole rise at the right edge, its number where it is free."""
        text = self.judged.full_text("total_rise")
        if not text or len(self.fit.parts) > 1:
            return
        top, at = self.y(self.flight.heights[-1]), WIDTH - PAD - 6.0
        self.sheet.line([(at, top), (at, self.ground)], width=1.1, stroke=PENCIL)
        for end in (top, self.ground):
            self.sheet.line([(at - 5.0, end), (at + 5.0, end)], width=1.1, stroke=PENCIL)
        label = valued(self.judged.label("total_rise"), text, self.judged.finding("total_rise"))
        width = label_width(label, 15.0)
        middle = self.ground - 14.0
        while middle > top + 10.0:
            box = Box(at - 8.0 - width, middle - 8.0, at - 8.0, middle + 8.0)
            if self.sheet.free(box, 5.0):
                write(self.sheet, label, at - 8.0, middle, 15.0, end=True)
                self.rise_told = True
                return
            middle -= 6.0
