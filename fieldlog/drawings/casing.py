"""One opening in elevation: casing widths, reveals, miters and base gaps, each where it is."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, label_width, notes, valued, write
from fieldlog.drawings.marks import COLORS, WORDS
from fieldlog.drawings.svg import PAD, PAPER, PENCIL, WIDTH, Point, Sheet

# The opening is drawn as a door, not to scale: outer edges of the casing, its width, the reveal.
_LEFT, _RIGHT, _TOP, _FLOOR = 188.0, 312.0, 34.0, 340.0
_CASING, _REVEAL, _BASE = 20.0, 7.0, 26.0
_SIZE = 15.0


@dataclass(frozen=True)
class _Spot:
    """Where value `index` of a quantity is, the height of its label, and what it is called."""

    quantity: str
    index: int
    name: str
    target: Point
    row: float

    @property
    def right(self) -> bool:
        """Whether its label stands right of the opening."""
        return self.target[0] > WIDTH / 2


def _mirrored(x: float) -> float:
    return WIDTH - x


def _spots() -> list[_Spot]:
    """In the order of the sheet: left leg bottom and top, right leg top and bottom."""
    casing, reveal = _LEFT + _CASING / 2, _LEFT + _CASING + _REVEAL / 2
    spots = [
        _Spot("casing", 0, "casing, bottom", (casing, 206.0), 184.0),
        _Spot("casing", 1, "casing, top", (casing, 100.0), 80.0),
        _Spot("casing", 2, "casing, top", (_mirrored(casing), 100.0), 80.0),
        _Spot("casing", 3, "casing, bottom", (_mirrored(casing), 206.0), 184.0),
        _Spot("reveal", 0, "reveal, bottom", (reveal, 250.0), 234.0),
        _Spot("reveal", 1, "reveal, top", (reveal, 142.0), 131.0),
        _Spot("reveal", 2, "reveal, top", (_mirrored(reveal), 142.0), 131.0),
        _Spot("reveal", 3, "reveal, bottom", (_mirrored(reveal), 250.0), 234.0),
    ]
    miter = (_LEFT + _CASING / 2, _TOP + _CASING / 2)
    spots.append(_Spot("miter_gap", 0, "miter gap", miter, 22.0))
    spots.append(_Spot("miter_gap", 1, "miter gap", (_mirrored(miter[0]), miter[1]), 22.0))
    spots.append(_Spot("base_gap", 0, "base to floor", (_LEFT - 24.0, _FLOOR - 1.5), 283.0))
    top = _FLOOR - 3.0 - _BASE
    spots.append(_Spot("base_gap", 1, "base to wall", (_mirrored(_LEFT - 24.0), top), 283.0))
    return spots


def draw_casing(judged: Judged) -> str:
    """The elevation as SVG; "" where nothing around the opening was measured."""
    names = ("casing", "reveal", "miter_gap", "base_gap")
    if not any(v.known for name in names for v in judged.values(name)):
        return ""
    sheet = Sheet()
    _opening(sheet)
    for spot in _spots():
        if spot.index < max(len(judged.values(spot.quantity)), 1):
            _measure(sheet, judged, spot)
    height = notes(sheet, _FLOOR + 14.0, _says(judged))
    return sheet.finish(height + PAD, "Casing of one opening", _twin(judged))


def _opening(sheet: Sheet) -> None:
    sheet.line([(PAD, _FLOOR), (WIDTH - PAD, _FLOOR)], width=3.0)
    outer = [(_LEFT, _FLOOR), (_LEFT, _TOP), (_RIGHT, _TOP), (_RIGHT, _FLOOR)]
    sheet.shape(outer, width=0, fill=PAPER)
    for inset, width in ((0.0, 2.0), (_CASING, 2.0), (_CASING + _REVEAL, 1.2)):
        left, top, right = _LEFT + inset, _TOP + inset, _RIGHT - inset
        sheet.line([(left, _FLOOR), (left, top), (right, top), (right, _FLOOR)], width=width)
    for corner, inner in ((_LEFT, _LEFT + _CASING), (_RIGHT, _RIGHT - _CASING)):
        sheet.line([(corner, _TOP), (inner, _TOP + _CASING)], width=1.6)
    for start, end in ((PAD, _LEFT), (_RIGHT, WIDTH - PAD)):
        top, bottom = _FLOOR - 3.0 - _BASE, _FLOOR - 3.0
        sheet.shape([(start, top), (end, top), (end, bottom), (start, bottom)], width=1.4)


def _measure(sheet: Sheet, judged: Judged, spot: _Spot) -> None:
    """Name and value in two lines beside the opening, a thin line to where it was measured."""
    verdict = judged.finding(spot.quantity, spot.index).verdict
    marked = verdict in ("fail", "too_close")
    stroke, width = (COLORS[verdict], 2.4) if marked else (PENCIL, 1.0)
    edge = _mirrored(_LEFT - 42.0) if spot.right else _LEFT - 42.0
    label = _value(judged, spot)
    sheet.text(edge, spot.row, spot.name, 14.0, anchor="start" if spot.right else "end",
               fill=PENCIL)  # fmt: skip
    wide = label_width(label, _SIZE)
    box = write(sheet, label, edge if spot.right else edge - wide, spot.row + 14.0, _SIZE)
    near = (box.left - 4.0) if spot.right else (box.right + 4.0)
    reach = _CASING / 2 if spot.quantity == "casing" else 0.0
    at = spot.target[0] + (reach if spot.right else -reach)
    sheet.line([(near, spot.row + 14.0), (at, spot.target[1])], width=width, stroke=stroke)
    if spot.quantity == "casing":
        _across(sheet, spot.target, width, stroke)
    else:
        sheet.circle(spot.target, 2.6, width=1.0, stroke=stroke, fill=stroke)


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


def _says(judged: Judged) -> list[Label]:
    lines: list[Label] = []
    for rule in judged.raw["rules"]:
        spread = rule["index"] is None and rule["verdict"] in ("fail", "too_close")
        if spread:
            found = judged.finding(rule["quantity"])
            lines.append(valued(rule["name"], (rule["value"] or {"text": ""})["text"], found))
    for name in ("casing", "reveal", "miter_gap", "base_gap"):
        drawn = sum(spot.quantity == name for spot in _spots())
        for i, reading in enumerate(judged.values(name)[drawn:], start=drawn):
            label = f"{judged.label(name)} {i + 1}"
            lines.append(valued(label, reading.text, judged.finding(name, i)))
    shown = [judged.finding(s.quantity, s.index).verdict for s in _spots()]
    if "too_close" in shown:
        lines.append((Piece(verdict="too_close"), Piece("too close to call with this tool",
                                                        fill=PENCIL)))  # fmt: skip
    key = f"In {judged.unit}, not to scale. An empty box is not measured."
    return [*lines, (Piece(key, fill=PENCIL),)]


def _twin(judged: Judged) -> list[str]:
    told = [f"One opening with its casing, in {judged.unit}."]
    for spot in _spots():
        if spot.index >= max(len(judged.values(spot.quantity)), 1):
            continue
        side = "right" if spot.right else "left"
        place = f"{side} {spot.name}" if spot.quantity != "base_gap" else spot.name
        reading = judged.value(spot.quantity, spot.index)
        verdict = judged.finding(spot.quantity, spot.index).verdict
        marked = f", {WORDS[verdict]}" if verdict in ("fail", "too_close") else ""
        told.append(f"{place.capitalize()}: {reading.text or 'not measured'}{marked}.")
    return told
