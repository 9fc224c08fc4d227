"""Lines over a stair's section: where the ball counts, total rise, headroom, the handrail.

They give way to what is written, and a number that finds no free place is told in the notes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from fieldlog.drawings.clear_lines import clear_line, place
from fieldlog.drawings.judged import Judged, inches
from fieldlog.drawings.labels import Piece, label_width, valued
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.stair_part import DrawnPart
from fieldlog.drawings.svg import PAD, PENCIL, Box, Point

OPEN_GAP, _TOP_OF_GAP = "stair.open-gap", "open_gap_height"
_SIZE = 15.0


@dataclass(frozen=True)
class Start:
    """Above this height an opening counts: inches above the floor below, and in words."""

    height: float
    words: str


def ball_starts(judged: Judged) -> Start | None:
    """From which height on the ball must not pass, as the rule's condition says it."""
    if judged.value("open_riser").yes is False:
        return None
    for rule in judged.raw["rules"]:
        for start in rule.get("starts", ()) if rule["rule"] == OPEN_GAP else ():
            height = inches(start.get("nm"))
            if start["quantity"] == _TOP_OF_GAP and height is not None:
                return Start(height, f"{start['text']} above the floor")
    return None


def rise_name(judged: Judged) -> str:
    """The total rise as it was measured, else what the risers add up to."""
    measured = bool(judged.full_text("total_rise"))
    return "total_rise" if measured or not judged.full_text("riser_sum") else "riser_sum"


def needed_above(judged: Judged, rail: Judged | None, first_rise: float, rise: float) -> float:
    """Inches above the floor below that headroom and handrail reach, where they are drawn."""
    headroom = judged.value("headroom").size
    reach = [first_rise + headroom] if headroom else []
    if rail is not None:
        reach += [rise + height for height in _rail_heights(rail)[-1:]]
    return max(reach, default=0.0)


class Lines:
    """The lines over one drawn part; what they told is in `told`, by quantity."""

    def __init__(self, part: DrawnPart) -> None:
        self.part, self.sheet, self.judged = part, part.sheet, part.judged
        self.flight = part.flight
        self.told: set[str] = set()

    def ball(self, start: Start | None) -> None:
        """A dotted line at the height from which on an opening counts, its words on it."""
        if start is None or not self._holds(start.height):
            return
        self.told.add(OPEN_GAP)
        at = self.part.y(start.height)
        words = (Piece(start.words, fill=PENCIL),)
        place(
            self.sheet, words, 14.0, self._beside_the_line(start.height, label_width(words, 14.0))
        )
        clear_line(self.sheet, (PAD, at), (self.sheet.right, at), width=1.5, dash="1.5 4")
        self.sheet.taken.append(Box(PAD, at - 1.0, self.sheet.right, at + 1.0))

    def _holds(self, height: float) -> bool:
        """Whether a height is in this part; a height where two parts meet is in the lower."""
        heights, first = self.flight.heights, self.part.part.first
        low, high = heights[first], heights[self.part.part.end]
        return low < height <= high

    def _beside_the_line(self, height: float, width: float) -> Iterator[Point]:
        """Above the line left of the flight, then below it under the flight."""
        steps = range(self.part.part.first, self.part.part.end)
        flight, at = self.flight, self.part.y(height)
        above = next((i for i in steps if flight.heights[i + 1] >= height), steps[-1])
        x, end = PAD, self.part.x(flight.fronts[above]) - self.part.fit.off - width - 6.0
        while x < end:
            yield x, at - 11.5
            x += 6.0
        x, end = self.sheet.right - width - 16.0, self.part.x(flight.back(above)) + 6.0
        while x > end:
            yield x, at + 11.5
            x -= 6.0

    def total_rise(self) -> None:
        """The dimension of the whole rise at the right edge, its number where it is free."""
        name = rise_name(self.judged)
        text = self.judged.full_text(name)
        if not text or not self.part.whole:
            return
        top, at = self.part.y(self.flight.heights[-1]), self.sheet.right - 6.0
        label = valued(self.judged.label(name), text, self.judged.finding(name))
        wide = label_width(label, _SIZE)
        left = at - 8.0 - wide
        rows = (
            (left, y)
            for y in _down_from(self.part.ground - 14.0, top + 10.0)
            if not any(b.hits(Box(left, y - 8.0, left + wide, y + 8.0)) for b in self.part.boards)
        )
        self.sheet.line([(at, top), (at, self.part.ground)], width=1.1, stroke=PENCIL)
        for end in (top, self.part.ground):
            self.sheet.line([(at - 5.0, end), (at + 5.0, end)], width=1.1, stroke=PENCIL)
        if place(self.sheet, label, _SIZE, rows):
            self.told.add(name)

    def headroom(self) -> None:
        """Plumb from the line of the nosings up to what is above, where the sheet reaches."""
        reading, flight = self.judged.value("headroom"), self.flight
        if not self.part.whole or self.sheet.narrow or reading.size is None:
            return
        finding = self.judged.finding("headroom")
        x, low = self.part.x(flight.fronts[0]), self.part.y(flight.heights[1])
        high = low - reading.size * self.part.fit.scale
        if high < self.part.top + 12.0:
            return
        label = valued(self.judged.label("headroom"), self.judged.full_text("headroom"), finding)
        wide = label_width(label, 14.0)
        spots = [(left, high + down) for down in range(13, int(low - high), 6)
                 for left in (x - wide - 8.0, x + 7.0)]  # fmt: skip
        # a long flight's labels reach across: then over the end of what is above
        spots += [(x + 7.0, high - 46.0 * self._pitch() - up) for up in (10.0, 22.0, 34.0)]
        if not place(self.sheet, label, 14.0, spots):
            return
        self.told.add("headroom")
        self._plumb(x, low, high, *ink(finding.verdict))
        steep = self._pitch()
        clear_line(self.sheet, (max(x - 46.0, PAD), high + (x - max(x - 46.0, PAD)) * steep),
                   (x + 46.0, max(high - 46.0 * steep, PAD)), width=2.0)  # fmt: skip

    def handrail(self, rail: Judged | None) -> None:
        """The top of the handrail over the line of the nosings, each reading where it was."""
        heights = _rail_heights(rail) if rail is not None else []
        if rail is None or not heights or not self.part.whole or self.sheet.narrow:
            return
        points = self._over_the_nosings(heights)
        if points[-1][1] < self.part.top + 8.0:
            return
        known = [i for i, v in enumerate(rail.values("height")) if v.known]
        placed = [
            self._beside_the_rail(rail, i, i == known[0], point)
            for i, point in zip(known, points, strict=True)
        ]
        for a, b in pairwise(points):
            clear_line(self.sheet, a, b, width=2.2, stroke=PENCIL)
        self.told |= {f"handrail {i}" for i, done in zip(known, placed, strict=True) if done}

    def _beside_the_rail(self, rail: Judged, i: int, named: bool, point: Point) -> bool:
        name, text = "handrail" if named else "", rail.value("height", i).text
        said = valued(name, text, rail.finding("height", i))
        label = tuple(p for p in said if p.words or p.verdict)
        (x, y), wide = point, label_width(label, _SIZE)
        spots = [(x - wide - 6.0 - aside, y - 8.0 - up)
                 for up in (0.0, 8.0, 16.0) for aside in (0.0, 12.0)]  # fmt: skip
        return place(self.sheet, label, _SIZE, [*spots, (x + 8.0, y + 14.0)])

    def _over_the_nosings(self, heights: list[float]) -> list[Point]:
        """Bottom, middle and top of the flight (as many as there are), so high above a nosing."""
        last = len(self.flight.steps) - 1
        steps = [round(last * n / max(len(heights) - 1, 1)) for n in range(len(heights))]
        return [
            (self.part.x(self.flight.fronts[i]), self.part.y(self.flight.heights[i + 1] + height))
            for i, height in zip(steps, heights, strict=True)
        ]

    def _plumb(self, x: float, low: float, high: float, stroke: str, width: float) -> None:
        clear_line(self.sheet, (x, low), (x, high), width=width, stroke=stroke)
        for y in (low, high):
            self.sheet.line([(x - 5.0, y), (x + 5.0, y)], width=1.2, stroke=stroke)

    def _pitch(self) -> float:
        """Rise over run of the line of the nosings."""
        run = self.flight.fronts[-1]
        return self.flight.heights[-1] / run if run else 0.0


def ink(verdict: str) -> tuple[str, float]:
    """Colour and width of a dimension: heavier where it does not pass."""
    return (COLORS[verdict], 2.6) if verdict in ("fail", "too_close") else (PENCIL, 1.2)


def _rail_heights(rail: Judged) -> list[float]:
    return [v.size for v in rail.values("height") if v.size is not None]


def _down_from(low: float, high: float) -> Iterator[float]:
    while low > high:
        yield low
        low -= 6.0
