"""Winders in plan: the walkline with the depth of each on it, and the least depth at the turn.

Not to scale: how wide a winder is away from the walkline is not measured. The turn is drawn to
the right, a quarter of a circle in equal shares.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import cos, pi, sin

from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, label_width, valued, write
from fieldlog.drawings.stair_lines import ink
from fieldlog.drawings.svg import PAD, PENCIL, Point, Sheet, text_box

WALKLINE, LEAST = "winder_walkline", "winder_least"
_SIZE = 15.0
_OUTER, _INNER, _WALK = 190.0, 34.0, 88.0
_STUB, _BLOCK = 36.0, 44.0


def winders_of(judged: Judged) -> list[list[int]]:
    """The treads (from 0) that are winders, those of one turn together."""
    count = max(len(judged.values(name)) for name in (WALKLINE, LEAST, "winder"))
    turns: list[list[int]] = []
    for i in range(count):
        known = judged.value(WALKLINE, i).known or judged.value(LEAST, i).known
        if not known and judged.value("winder", i).yes is not True:
            continue
        if turns and turns[-1][-1] == i - 1:
            turns[-1].append(i)
        else:
            turns.append([i])
    return turns


def draw_winders(sheet: Sheet, judged: Judged, top: float) -> float:
    """The turns one below the other under `top`; gives the height reached."""
    for turn in winders_of(judged):
        top = _Turn(sheet, judged, turn, top + 6.0).draw()
    return top


def winders_told(judged: Judged) -> Iterator[str]:
    """The plan in sentences."""
    for i in (i for turn in winders_of(judged) for i in turn):
        walk, least = judged.value(WALKLINE, i).text, judged.value(LEAST, i).text
        yield (
            f"Winder {i + 1}: {walk or 'not measured'} at the walkline, "
            f"least {least or 'not measured'}."
        )


class _Turn:
    """Winders that follow each other, around one inside corner."""

    def __init__(self, sheet: Sheet, judged: Judged, turn: list[int], top: float) -> None:
        self.sheet, self.judged, self.turn, self.top = sheet, judged, turn, top
        self.x = sheet.right - 60.0
        self.y = top + 22.0 + _OUTER
        self.angles = [pi - pi / 2 * n / len(turn) for n in range(len(turn) + 1)]

    def at(self, radius: float, angle: float) -> Point:
        """A place around the inside corner."""
        return self.x + radius * cos(angle), self.y - radius * sin(angle)

    def draw(self) -> float:
        """Draw the turn and its numbers; gives the height reached."""
        first, last = self.turn[0] + 1, self.turn[-1] + 1
        words = f"Winders {first} to {last} in plan" if last > first else f"Winder {first} in plan"
        self.sheet.text(PAD, self.top + 14.0, words, _SIZE, bold=True, fill=PENCIL)
        self._outline()
        for i, (a, b) in zip(self.turn, pairwise(self.angles), strict=True):
            self._winder(i, a, b)
        self._walkline()
        bottom = self.y + _STUB + 8.0
        return self._listed(bottom) if self.sheet.narrow else max(bottom, self._beside())

    def _outline(self) -> None:
        for radius in (_INNER, _OUTER):
            x, y = self.x - radius, self.y - radius
            self._arc(radius, self.angles[0], self.angles[-1], 1.8)
            self.sheet.line([(x, self.y), (x, self.y + _STUB)], width=1.8)
            self.sheet.line([(self.x, y), (self.x + _STUB, y)], width=1.8)
        for angle in self.angles:
            self.sheet.line([self.at(_INNER, angle), self.at(_OUTER, angle)], width=1.5)

    def _winder(self, i: int, start: float, end: float) -> None:
        """Its name, and a heavy line where a depth does not pass."""
        middle = (start + end) / 2
        x, y = self.at(_OUTER * (0.84 if i % 2 else 0.66), middle)
        name = f"W{i + 1}"
        if self.sheet.free(text_box(x, y + 5.0, name, _SIZE, bold=True, anchor="middle")):
            self.sheet.text(x, y + 5.0, name, _SIZE, bold=True, anchor="middle")
        for quantity, radius in ((WALKLINE, _WALK), (LEAST, _INNER)):
            verdict = self.judged.finding(quantity, i).verdict
            if verdict in ("fail", "too_close"):
                stroke, width = ink(verdict)
                self._arc(radius, start, end, width + 1.0, stroke)

    def _walkline(self) -> None:
        self._arc(_WALK, self.angles[0], self.angles[-1], 1.2, PENCIL, "6 3")
        x, y = self.x - _WALK, self.y - _WALK
        self.sheet.line([(x, self.y + _STUB), (x, self.y)], width=1.2, stroke=PENCIL, dash="6 3")
        end = self.x + _STUB
        self.sheet.line([(self.x, y), (end, y)], width=1.2, stroke=PENCIL, dash="6 3")
        self.sheet.shape([(end + 8.0, y), (end, y - 5.0), (end, y + 5.0)], width=1.0, fill=PENCIL)

    def _arc(self, radius: float, start: float, end: float, width: float,
             stroke: str = "", dash: str = "") -> None:  # fmt: skip
        steps = max(2, round(abs(start - end) * 14))
        points = [self.at(radius, start + (end - start) * n / steps) for n in range(steps + 1)]
        self.sheet.line(points, width=width, stroke=stroke or ink("pass")[0], dash=dash)

    def _labels(self, i: int) -> tuple[Label, Label]:
        walk, least = self.judged.value(WALKLINE, i), self.judged.value(LEAST, i)
        return (
            valued(f"W{i + 1} walkline", walk.text, self.judged.finding(WALKLINE, i)),
            valued("least", least.text, self.judged.finding(LEAST, i)),
        )

    def _listed(self, top: float) -> float:
        """The numbers in rows under the plan."""
        at = top + 8.0
        for i in self.turn:
            for row in self._labels(i):
                write(self.sheet, row, PAD, at, _SIZE)
                at += 19.0
        return at

    def _beside(self) -> float:
        """The numbers left of the plan, each with a thin line to its winder; the highest first."""
        at = self.top + 34.0
        for i, (a, b) in reversed(list(zip(self.turn, pairwise(self.angles), strict=True))):
            target = self.at(_OUTER, (a + b) / 2)
            at = max(at, target[1])
            rows = self._labels(i)
            for n, row in enumerate(rows):
                write(self.sheet, row, PAD, at + 18.0 * n, _SIZE)
            start = PAD + label_width(rows[0], _SIZE) + 6.0
            self.sheet.line([(start, at), target], width=0.9, stroke=PENCIL)
            at += _BLOCK
        return at


def key(judged: Judged) -> Label | None:
    """How to read the plan, or None where there is none."""
    if not winders_of(judged):
        return None
    words = "W is a winder, measured at the walkline. Its plan is not to scale."
    return (Piece(words, fill=PENCIL),)
