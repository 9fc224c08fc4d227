"""An arch to lay out, with its ordinates; and an arch as built, with its departures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, cos, pi, sin
from typing import Any

from fieldlog.drawings.calc_told import Told, hint, said, size_of
from fieldlog.drawings.labels import notes
from fieldlog.drawings.svg import INK, PAD, PENCIL, SMALL, WIDTH, Point, Sheet, text_box

_SIDE, _TOP = 40.0, 40.0
_LISTED, _ARC_POINTS, _WORST = 12, 60, 22.0


def draw_arch(raw: Mapping[str, Any], width: float = WIDTH) -> str:
    """The curve over its chord, ordinates both ways from the middle, heights where they fit."""
    told, sheet = Told(raw), Sheet(width=width)
    scale = (width - 2 * _SIDE) / told.size("chord")
    radius, rise = told.size("radius"), told.size("rise")
    base = _TOP + rise * scale + 4.0
    middle = width / 2

    def at(x: float) -> Point:
        height = max(radius**2 - x**2, 0.0) ** 0.5 - (radius - rise)
        return middle + x * scale, base - height * scale

    half = told.size("chord") / 2
    for row in told.rows("ordinates"):
        for side in (-1.0, 1.0):
            x, y = at(side * size_of(row["from_middle"]))
            sheet.line([(x, base), (x, y)], width=1.0, stroke=PENCIL)
    curve = [at(half * sin(pi * (n / _ARC_POINTS - 0.5))) for n in range(_ARC_POINTS + 1)]
    sheet.line(curve, width=2.6)
    sheet.line([(_SIDE, base), (width - _SIDE, base)], width=1.4)
    _heights(sheet, told, at)
    sheet.text(middle, base + 18.0, f"chord {told.text('chord')}", anchor="middle", bold=True)
    height = notes(sheet, base + 34.0, [*map(said, _arch_says(told)), hint("To scale.")])
    return sheet.finish(height + PAD, "Arch with its ordinates", _arch_twin(told))


def _heights(sheet: Sheet, told: Told, at: Any) -> None:
    """The height over each ordinate right of the middle, where there is room for it."""
    for nth, row in enumerate(told.rows("ordinates")[:-1]):
        x, y = at(size_of(row["from_middle"]))
        words = row["height"]["text"].removeprefix("about ")
        x, anchor = (x + 4.0, "start") if nth else (x, "middle")
        if sheet.free(text_box(x, y - 6.0, words, SMALL, anchor=anchor), 3.0):
            sheet.text(x, y - 6.0, words, SMALL, anchor=anchor)


def _arch_says(told: Told) -> list[str]:
    lines = [
        f"Radius {told.text('radius')}, along the curve {told.text('arc_length')}, "
        f"rise {told.text('rise')}.",
    ]
    if told.has("segment_miter"):
        lines.append(
            f"Straight pieces {told.text('segment_length')} long, mitered "
            f"{told.text('segment_miter')}."
        )
    return lines


def _arch_twin(told: Told) -> list[str]:
    rows = told.rows("ordinates")
    shown = [f"At {r['from_middle']['text']} {r['height']['text']}." for r in rows[:_LISTED]]
    more = [f"And {len(rows) - _LISTED} more."] if len(rows) > _LISTED else []
    return ["Heights over the chord, from the middle.", *shown, *more, *_arch_says(told)]


@dataclass(frozen=True)
class _Built:
    """Measured points (nm), the circle fitted to them, and how it lies on the sheet."""

    points: list[Point]
    off: list[float]
    middle: Point
    radius: float
    scale: float
    times: float

    @classmethod
    def of(cls, told: Told, width: float) -> _Built:
        """Scaled to the sheet; departures grown until the worst can be seen."""
        rows = told.rows("points")
        points = [(size_of(r["across"]), size_of(r["up"])) for r in rows]
        wide, high = (max(axis) - min(axis) for axis in zip(*points, strict=True))
        scale = min((width - 2 * _SIDE) / max(wide, 1.0), 300.0 / max(high, 1.0))
        worst = told.size("worst")
        times = max(1.0, round(_WORST / (worst * scale))) if worst else 1.0
        middle = told.size("center_across"), told.size("center_up")
        off = [size_of(r["departure"]) for r in rows]
        return cls(points, off, middle, told.size("radius"), scale, times)

    @property
    def base(self) -> float:
        """Where the lowest point stands on the sheet."""
        heights = [y for _, y in self.points]
        return _TOP + (max(heights) - min(heights)) * self.scale

    def place(self, turn: float, away: float) -> Point:
        """On the sheet: at an angle about the circle's middle, so far from it (nm)."""
        x, y = self.middle[0] + away * cos(turn), self.middle[1] + away * sin(turn)
        left, low = (min(axis) for axis in zip(*self.points, strict=True))
        return _SIDE + (x - left) * self.scale, self.base - (y - low) * self.scale

    def turns(self) -> list[float]:
        """The angle of each point about the middle."""
        return [atan2(y - self.middle[1], x - self.middle[0]) for x, y in self.points]


def draw_built(raw: Mapping[str, Any], width: float = WIDTH) -> str:
    """Measured points about the circle fitted to them, each drawn off it many times as far."""
    told, sheet = Told(raw), Sheet(width=width)
    built = _Built.of(told, width)
    curve = [built.place(t, built.radius) for t in _between(sorted(built.turns()))]
    sheet.line(curve, width=1.6, stroke=PENCIL)
    worst = round(told.size("worst_point")) if told.size("worst") else 0
    for n, (turn, off) in enumerate(zip(built.turns(), built.off, strict=True), 1):
        spot = built.place(turn, built.radius + off * built.times)
        sheet.line([built.place(turn, built.radius), spot], width=1.2, stroke=PENCIL)
        sheet.circle(spot, 5.0 if n == worst else 3.0, fill=INK, width=1.0)
        if sheet.free(text_box(spot[0] + 9.0, spot[1] - 6.0, str(n), SMALL)):
            sheet.text(spot[0] + 9.0, spot[1] - 6.0, str(n), SMALL, bold=n == worst)
    drawn = (
        f"Points drawn {built.times:.0f} times as far off the circle. The large dot is the worst."
    )
    lines = [said(told.text("says")), said(f"Radius {told.text('radius')}."), hint(drawn)]
    height = notes(sheet, built.base + 34.0, lines)
    return sheet.finish(height + PAD, "Arch as built", _built_twin(told))


def _between(turns: list[float]) -> list[float]:
    """Angles to draw the circle through, over the side on which the points lie."""
    gaps = [b - a for a, b in zip(turns, [*turns[1:], turns[0] + 2 * pi], strict=True)]
    start = (gaps.index(max(gaps)) + 1) % len(turns)
    whole = 2 * pi - max(gaps)
    return [turns[start] + whole * n / _ARC_POINTS for n in range(_ARC_POINTS + 1)]


def _built_twin(told: Told) -> list[str]:
    rows = told.rows("points")
    each = [f"Point {n}: {r['departure']['text']} off." for n, r in enumerate(rows, 1)]
    return [told.text("says"), f"Radius {told.text('radius')}.", *each]
