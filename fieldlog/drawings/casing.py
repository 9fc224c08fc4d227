"""One opening in elevation: casing widths, reveals, miters and base gaps, each where it is."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.drawings.casing_more import rows_beside
from fieldlog.drawings.figures import paint_rows
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes, valued, write
from fieldlog.drawings.marks import COLORS, WORDS
from fieldlog.drawings.svg import NARROW, PAD, PAPER, PENCIL, WIDTH, Box, Point, Sheet, text_width

# The opening is drawn as a door, not to scale: its casing, the reveal, the base beside it.
_TOP, _CASING, _REVEAL, _BASE = 34.0, 20.0, 7.0, 26.0
_SIZE = 15.0


@dataclass(frozen=True)
class _Layout:
    """Units: the sheet, the casing's left edge, the floor, where the labels on the left end.

    `base` is how far from the casing the base is looked at; `tall` stretches what
    is read from top to bottom, where a label has a line more.
    """

    width: float
    left: float
    edge: float
    base: float
    tall: float

    @property
    def right(self) -> float:
        """The casing's right edge."""
        return self.width - self.left

    @property
    def floor(self) -> float:
        """The floor."""
        return self.down(340.0)

    def mirrored(self, x: float) -> float:
        """The same place on the right leg."""
        return self.width - x

    def down(self, y: float) -> float:
        """A place so far below the top of the casing, stretched."""
        return _TOP + (y - _TOP) * self.tall


_LAYOUTS = {
    False: _Layout(WIDTH, left=188.0, edge=146.0, base=24.0, tall=1.0),
    True: _Layout(NARROW, left=122.0, edge=106.0, base=9.0, tall=1.2),
}


@dataclass(frozen=True)
class _Spot:
    """Where value `index` of a quantity is, the height of its label, and what it is called."""

    quantity: str
    index: int
    name: str
    target: Point
    row: float
    right: bool


# Quantity, index, which side, where on it (down the leg), the height of its label.
_LEGS = (
    ("casing", 0, False, 206.0, 184.0), ("casing", 1, False, 100.0, 80.0),
    ("casing", 2, True, 100.0, 80.0), ("casing", 3, True, 206.0, 184.0),
    ("reveal", 0, False, 250.0, 234.0), ("reveal", 1, False, 142.0, 131.0),
    ("reveal", 2, True, 142.0, 131.0), ("reveal", 3, True, 250.0, 234.0),
)  # fmt: skip


def _spots(at: _Layout) -> list[_Spot]:
    """In the order of the sheet: left leg bottom and top, right leg top and bottom."""
    spots = []
    for quantity, index, right, y, row in _LEGS:
        x = at.left + (_CASING / 2 if quantity == "casing" else _CASING + _REVEAL / 2)
        target = (at.mirrored(x) if right else x, at.down(y))
        name = f"{quantity}, {'bottom' if index in (0, 3) else 'top'}"
        spots.append(_Spot(quantity, index, name, target, at.down(row), right))
    miter, base = (at.left + _CASING / 2, _TOP + _CASING / 2), at.left - at.base
    lows = (at.floor - 1.5, at.floor - 3.0 - _BASE)
    for index, right in enumerate((False, True)):
        corner = (at.mirrored(miter[0]) if right else miter[0], miter[1])
        spots.append(_Spot("miter_gap", index, "miter gap", corner, 22.0, right))
    for index, (right, name) in enumerate(((False, "base to floor"), (True, "base to wall"))):
        spot = (at.mirrored(base) if right else base, lows[index])
        spots.append(_Spot("base_gap", index, name, spot, at.down(283.0), right))
    return spots


def draw_casing(judged: Judged, width: float = WIDTH) -> str:
    """The elevation as SVG; "" where nothing around the opening was measured."""
    names = ("casing", "reveal", "miter_gap", "base_gap", *(r.quantity for r in rows_beside()))
    if not any(v.known for name in names for v in judged.values(name)):
        return ""
    sheet = Sheet(width=width)
    at = _LAYOUTS[sheet.narrow]
    _opening(sheet, at)
    spots = _spots(at)
    for spot in spots:
        if spot.index < max(len(judged.values(spot.quantity)), 1):
            _measure(sheet, judged, spot, at)
    beside = paint_rows(sheet, judged, rows_beside(), at.floor + 10.0)
    height = notes(sheet, beside.bottom + 4.0, [*beside.more, *_says(judged, spots)])
    twin = [*_twin(judged, spots), *beside.twin]
    return sheet.finish(height + PAD, "Casing of one opening", twin)


def _opening(sheet: Sheet, at: _Layout) -> None:
    floor = at.floor
    sheet.line([(PAD, floor), (sheet.right, floor)], width=3.0)
    outer = [(at.left, floor), (at.left, _TOP), (at.right, _TOP), (at.right, floor)]
    sheet.shape(outer, width=0, fill=PAPER)
    for inset, width in ((0.0, 2.0), (_CASING, 2.0), (_CASING + _REVEAL, 1.2)):
        left, top, right = at.left + inset, _TOP + inset, at.right - inset
        sheet.line([(left, floor), (left, top), (right, top), (right, floor)], width=width)
    for corner, inner in ((at.left, at.left + _CASING), (at.right, at.right - _CASING)):
        sheet.line([(corner, _TOP), (inner, _TOP + _CASING)], width=1.6)
    for start, end in ((PAD, at.left), (at.right, sheet.right)):
        top, bottom = floor - 3.0 - _BASE, floor - 3.0
        sheet.shape([(start, top), (end, top), (end, bottom), (start, bottom)], width=1.4)


def _measure(sheet: Sheet, judged: Judged, spot: _Spot, at: _Layout) -> None:
    """Name and value in lines beside the opening, a thin line to where it was measured."""
    verdict = judged.finding(spot.quantity, spot.index).verdict
    marked = verdict in ("fail", "too_close")
    stroke, width = (COLORS[verdict], 2.4) if marked else (PENCIL, 1.0)
    edge = at.mirrored(at.edge) if spot.right else at.edge
    name = _name(judged, spot, at)
    sheet.text(edge, spot.row, name, 14.0, anchor="start" if spot.right else "end",
               fill=PENCIL)  # fmt: skip
    value, *more = _rows(_value(judged, spot), sheet.narrow)
    box = _beside(sheet, value, edge, spot.row + 14.0, spot.right)
    for row in more:
        _beside(sheet, row, edge, spot.row + 30.0, spot.right)
    near = (box.left - 4.0) if spot.right else (box.right + 4.0)
    reach = _CASING / 2 if spot.quantity == "casing" else 0.0
    end = spot.target[0] + (reach if spot.right else -reach)
    sheet.line([(near, spot.row + 14.0), (end, spot.target[1])], width=width, stroke=stroke)
    if spot.quantity == "casing":
        _across(sheet, spot.target, width, stroke)
    else:
        sheet.circle(spot.target, 2.6, width=1.0, stroke=stroke, fill=stroke)


_WORDS = {"casing": "casing", "reveal": "reveal", "miter_gap": "miter gap", "base_gap": "base"}


def _name(judged: Judged, spot: _Spot, at: _Layout) -> str:
    """The sheet's own name of the place, without the side that it stands on."""
    places = judged.places(spot.quantity)
    if spot.index >= len(places):
        return spot.name
    place = " ".join(w for w in places[spot.index].split() if w not in ("left", "right"))
    name = f"{_WORDS[spot.quantity]}, {place}" if place else _WORDS[spot.quantity]
    return name if text_width(name, 14.0) <= at.edge - PAD else spot.name


def _rows(label: Label, narrow: bool) -> list[Label]:
    """A label in one line, or with its word below it where the sheet is narrow."""
    return [label[:2], label[2:]] if narrow and len(label) > 2 else [label]


def _beside(sheet: Sheet, label: Label, edge: float, middle: float, right: bool) -> Box:
    return write(sheet, label, edge, middle, _SIZE, end=not right)


def _across(sheet: Sheet, middle: Point, width: float, stroke: str) -> None:
    """A dimension over the casing, edge to edge."""
    x, y = middle
    ends = (x - _CASING / 2, x + _CASING / 2)
    sheet.line([(ends[0], y), (ends[1], y)], width=width, stroke=stroke)
    for end in ends:
        sheet.line([(end, y - 5.0), (end, y + 5.0)], width=width, stroke=stroke)


def _value(judged: Judged, spot: _Spot) -> Label:
    reading = judged.value(spot.quantity, spot.index)
    finding = judged.finding(spot.quantity, spot.index)
    _, *rest = valued("", reading.text, finding)
    if finding.verdict in ("fail", "too_close") and reading.known:
        return (Piece(verdict=finding.verdict), *rest[1:])
    return tuple(rest)


def _says(judged: Judged, spots: list[_Spot]) -> list[Label]:
    lines: list[Label] = []
    for rule in judged.raw["rules"]:
        spread = rule["index"] is None and rule["verdict"] in ("fail", "too_close")
        if spread:
            found = judged.finding(rule["quantity"])
            lines.append(valued(rule["name"], (rule["value"] or {"text": ""})["text"], found))
    for name in ("casing", "reveal", "miter_gap", "base_gap"):
        drawn = sum(spot.quantity == name for spot in spots)
        for i, reading in enumerate(judged.values(name)[drawn:], start=drawn):
            label = f"{judged.label(name)} {i + 1}"
            lines.append(valued(label, reading.text, judged.finding(name, i)))
    shown = [judged.finding(s.quantity, s.index).verdict for s in spots]
    if "too_close" in shown:
        lines.append((Piece(verdict="too_close"), Piece("too close to call with this tool",
                                                        fill=PENCIL)))  # fmt: skip
    key = f"In {judged.unit}, not to scale. An empty box is not measured."
    return [*lines, (Piece(key, fill=PENCIL),)]


def _twin(judged: Judged, spots: list[_Spot]) -> list[str]:
    told = [f"One opening with its casing, in {judged.unit}."]
    for spot in spots:
        if spot.index >= max(len(judged.values(spot.quantity)), 1):
            continue
        side = "right" if spot.right else "left"
        place = f"{side} {spot.name}" if spot.quantity != "base_gap" else spot.name
        reading = judged.value(spot.quantity, spot.index)
        verdict = judged.finding(spot.quantity, spot.index).verdict
        marked = f", {WORDS[verdict]}" if verdict in ("fail", "too_close") else ""
        told.append(f"{place.capitalize()}: {reading.text or 'not measured'}{marked}.")
    return told
