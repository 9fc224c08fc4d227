"""A handrail: its heights over the line of the nosings, and its section beside the wall.

Not to scale: every height stands where it was measured, at the bottom, the middle and the top.
"""

from __future__ import annotations

from collections.abc import Iterator

from fieldlog.drawings.judged import Judged, finding_of
from fieldlog.drawings.labels import Label, Piece, notes, stacked, valued, write
from fieldlog.drawings.marks import WORDS
from fieldlog.drawings.stair_lines import ink
from fieldlog.drawings.svg import INK, PAD, PAPER, PENCIL, WIDTH, Point, Sheet

_SIZE = 15.0
_HEIGHTS = 3
_SECTION = ("clearance", "grip_diameter", "projection")
_LEFT, _GROUND, _STEPS = PAD + 78.0, 316.0, 5
_RUN, _RISE, _OVER = 42.0, 24.0, 84.0
"""Units of a step, and of the rail over the nosings."""


def draw_handrail(judged: Judged, width: float = WIDTH) -> str:
    """Elevation and section as SVG; "" where no size of it was measured."""
    if not any(v.known for name in ("height", *_SECTION) for v in judged.values(name)):
        return ""
    sheet = Sheet(width=width)
    _elevation(sheet, judged)
    if sheet.narrow:
        bottom = _Section(sheet, judged, (PAD + 24.0, _GROUND + 44.0), aside=True).draw()
    else:
        bottom = _Section(sheet, judged, (_LEFT + 230.0, 50.0), aside=False).draw()
    height = notes(sheet, max(bottom, _GROUND) + 14.0, list(_says(judged)))
    return sheet.finish(height + PAD, "Handrail", list(_twin(judged)))


def _elevation(sheet: Sheet, judged: Judged) -> None:
    """Steps, the rail over them, and each height plumb between."""
    nosings = [(_LEFT + i * _RUN, _GROUND - (i + 1) * _RISE) for i in range(_STEPS)]
    steps: list[Point] = [(PAD, _GROUND), (_LEFT, _GROUND)]
    for x, y in nosings:
        steps += [(x, y), (x + _RUN, y)]
    sheet.line(steps, width=1.8)
    (x0, y0), (x1, y1) = nosings[0], nosings[-1]
    sheet.line([nosings[0], nosings[-1]], width=1.0, stroke=PENCIL, dash="6 3")
    slope = _RISE / _RUN
    ends = [(x0 - 18.0, y0 - _OVER + 18.0 * slope), (x1 + 24.0, y1 - _OVER - 24.0 * slope)]
    sheet.shape([*ends, *((x, y + 8.0) for x, y in reversed(ends))], width=1.8, fill=PAPER)
    for i, step in enumerate((0, _STEPS // 2, _STEPS - 1)):
        _height(sheet, judged, i, nosings[step])


def _height(sheet: Sheet, judged: Judged, index: int, nosing: Point) -> None:
    """One height, plumb from a nosing to the top of the rail; its number above, in rows."""
    reading, finding = judged.value("height", index), judged.finding("height", index)
    stroke, width = ink(finding.verdict)
    x, y = nosing
    sheet.line([(x, y), (x, y - _OVER)], width=width, stroke=stroke)
    for end in (y, y - _OVER):
        sheet.line([(x - 4.0, end), (x + 4.0, end)], width=1.2, stroke=stroke)
    rows = [(Piece(_place(judged, index), fill=PENCIL),), *stacked(reading, finding)]
    for n, row in enumerate(reversed(rows)):
        write(sheet, row, x - 6.0, y - _OVER - 12.0 - 17.0 * n, _SIZE, end=True)


def _place(judged: Judged, index: int) -> str:
    """What the sheet calls the place."""
    names = judged.places("height")
    return names[index] if index < len(names) else str(index + 1)


class _Section:
    """Wall, bracket and rail in section, with what was measured there."""

    def __init__(self, sheet: Sheet, judged: Judged, corner: Point, aside: bool) -> None:
        self.sheet, self.judged, self.aside = sheet, judged, aside
        self.x, self.y = corner

    def draw(self) -> float:
        """Draw it, its numbers beside or below; gives the height reached."""
        x, y, radius = self.x, self.y, 20.0
        center = (x + 66.0, y + 20.0)
        self.sheet.line([(x, y - 26.0), (x, y + 112.0)], width=3.0)
        self.sheet.circle(center, radius, width=2.0)
        bracket = [(x, y + 60.0), (center[0], y + 60.0), (center[0], center[1] + radius)]
        self.sheet.line(bracket, width=1.4)
        self._across("clearance", "a", (x, center[0] - radius), center[1])
        self._across("grip_diameter", "b", (center[0] - radius, center[0] + radius), y - 12.0)
        self._across("projection", "c", (x, center[0] + radius), y + 80.0)
        at = y - 16.0 if self.aside else y + 132.0
        left = x + 120.0 if self.aside else x - 4.0
        for letter, name in zip("abc", _SECTION, strict=True):
            if name in self.judged.raw["quantities"]:
                at = self._told(letter, name, left, at)
        return max(at - 10.0, y + 112.0)

    def _told(self, letter: str, name: str, left: float, at: float) -> float:
        reading, finding = self.judged.value(name), self.judged.finding(name)
        named = (Piece(letter, bold=True), Piece(self.judged.label(name), fill=PENCIL))
        write(self.sheet, named, left, at, 14.0)
        label = tuple(p for p in valued("", reading.text, finding) if p.words or p.verdict)
        write(self.sheet, label, left + 16.0, at + 18.0, _SIZE)
        return at + 40.0

    def _across(self, name: str, letter: str, ends: tuple[float, float], y: float) -> None:
        stroke, width = ink(self.judged.finding(name).verdict)
        self.sheet.line([(ends[0], y), (ends[1], y)], width=width, stroke=stroke)
        for x in ends:
            self.sheet.line([(x, y - 5.0), (x, y + 5.0)], width=1.2, stroke=stroke)
        below = y + (16.0 if name == "clearance" else -4.0)
        middle = (ends[0] + ends[1]) / 2
        self.sheet.text(middle, below, letter, 14.0, bold=True, anchor="middle", fill=INK)


def _says(judged: Judged) -> Iterator[Label]:
    for rule in judged.raw["rules"]:
        place = rule["index"] if rule["quantity"] == "height" else 0
        drawn = rule["quantity"] in ("height", *_SECTION) and (place or 0) < _HEIGHTS
        if rule["verdict"] in ("fail", "too_close") and not drawn:
            text = (rule["value"] or {"text": ""})["text"]
            yield valued(rule["name"], text or "–", finding_of(rule))
    for i, reading in enumerate(judged.values("height")[_HEIGHTS:], start=_HEIGHTS):
        name = f"{judged.label('height')} {i + 1}"
        yield valued(name, reading.text, judged.finding("height", i))
    if any(r["verdict"] == "too_close" for r in judged.raw["rules"]):
        words = "too close to call with this tool"
        yield (Piece(verdict="too_close"), Piece(words, fill=PENCIL))
    key = f"Heights are over the line of the nosings. In {judged.unit}, not to scale."
    yield (Piece(f"{key} An empty box is not measured.", fill=PENCIL),)


def _twin(judged: Judged) -> Iterator[str]:
    yield f"A handrail, in {judged.unit}."
    for i in range(max(len(judged.values("height")), _HEIGHTS)):
        yield _one(f"Height, {_place(judged, i)}", judged, "height", i)
    for name in _SECTION:
        if name in judged.raw["quantities"]:
            yield _one(judged.label(name), judged, name)


def _one(name: str, judged: Judged, quantity: str, index: int | None = None) -> str:
    reading, verdict = judged.value(quantity, index or 0), judged.finding(quantity, index).verdict
    marked = f", {WORDS[verdict]}" if verdict in ("fail", "too_close") else ""
    return f"{name}: {reading.text or 'not measured'}{marked}."
