"""One hung door in elevation: its gaps where they were read, and the floor still to come."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.drawings.figures import FILL, Shown, key_of, shown, whole_lines
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.spots import Spot, annotate, twin
from fieldlog.drawings.svg import PAD, PENCIL, Point, Sheet

_TOP, _HIGH = 24.0, 300.0
_LARGE, _LEAST, _MOST = 56.0, 2.5, 16.0  # units an inch of gap; how little and much is drawn
_UNDER = 22.0  # units an inch under the leaf


@dataclass(frozen=True)
class _Frame:
    """The frame's inside on the sheet, and where the columns of labels end."""

    left: float
    right: float
    edge: float

    @property
    def floor(self) -> float:
        """Today's floor."""
        return _TOP + _HIGH


def draw_door(judged: Judged, width: float) -> str:
    """The elevation; "" where no gap was measured."""
    sheet = Sheet(width=width)
    frame = _Frame(112.0, 238.0, 92.0) if sheet.narrow else _Frame(176.0, 324.0, 146.0)
    corners = _leaf(judged, frame)
    spots = [s for s in _spots(judged, frame, corners) if _tells(s.value)]
    if not any(s.value.text for s in spots):
        return ""
    _paint(sheet, judged, frame, corners)
    low = annotate(sheet, spots, frame.edge, 6.0)
    key = key_of(judged, "Seen with the hinges on the left. Gaps are drawn large.")
    lines = [*whole_lines(judged), *_words(judged), key]
    height = notes(sheet, max(low, frame.floor + 12.0) + 4.0, lines)
    return sheet.finish(height + PAD, "Door", [f"A door, in {judged.unit}.", *twin(spots)])


def _tells(value: Shown) -> bool:
    return bool(value.text) or value.finding.verdict in ("not_measured", "fail")


def _drawn(value: Shown | None, scale: float, most: float) -> float:
    size = value.size if value is not None and value.size is not None else 0.125
    return min(max(size * scale, _LEAST), most)


def _at(judged: Judged, name: str, index: int) -> Shown | None:
    values = shown(judged, name)
    return values[index] if index < len(values) else None


def _leaf(judged: Judged, frame: _Frame) -> dict[str, list[Point]]:
    """The leaf's edges by side, each gap from its reading."""
    heights = [_TOP + 30.0, _TOP + _HIGH / 2, frame.floor - 50.0]
    gap = [[_drawn(_at(judged, name, n), _LARGE, _MOST) for n in range(3)]
           for name in ("gap_hinge", "gap_latch")]  # fmt: skip
    hinge = [(frame.left + g, y) for g, y in zip(gap[0], heights, strict=True)]
    latch = [(frame.right - g, y) for g, y in zip(gap[1], heights, strict=True)]
    head = [_TOP + _drawn(_at(judged, "gap_head", n), _LARGE, _MOST) for n in (0, 1)]
    under = [
        frame.floor - _drawn(_at(judged, "gap_bottom", n), _UNDER, 40.0) for n in (0, 1)
    ]  # fmt: skip
    ends = (hinge[0][0], latch[0][0]), (hinge[2][0], latch[2][0])
    return {
        "hinge": hinge, "latch": latch,
        "head": list(zip(ends[0], head, strict=True)),
        "bottom": list(zip(ends[1], under, strict=True)),
    }  # fmt: skip


def _paint(sheet: Sheet, judged: Judged, at: _Frame, leaf: dict[str, list[Point]]) -> None:
    outer = 9.0
    for off, width in ((outer, 1.4), (0.0, 2.2)):
        left, right, top = at.left - off, at.right + off, _TOP - off
        sheet.line([(left, at.floor), (left, top), (right, top), (right, at.floor)], width=width)
    outline = [*leaf["head"], *leaf["latch"], *leaf["bottom"][::-1], *leaf["hinge"][::-1]]
    sheet.shape(outline, width=1.8, fill=FILL)
    handle = leaf["latch"][1][0] - 13.0, leaf["latch"][1][1] + 24.0
    sheet.circle(handle, 4.5, width=1.4)
    sheet.line([(at.left - 22.0, at.floor), (at.right + 22.0, at.floor)], width=3.0)
    comes = (_at(judged, "comes_under", 0) or _NONE).size or 0.0
    if comes > 0:
        top = at.floor - min(comes * _UNDER, 44.0)
        sheet.line([(at.left, top), (at.right, top)], width=1.4, stroke=PENCIL, dash="5 4")


_NONE = Shown("", "", None, Judged({"rules": []}).finding(""))


def _spots(judged: Judged, at: _Frame, leaf: dict[str, list[Point]]) -> list[Spot]:
    spots = []

    def put(name: str, quantity: str, nth: int, target: Point, right: bool, *by: str) -> None:
        values = shown(judged, quantity, by)
        if nth < len(values):
            spots.append(Spot(name, values[nth], target, right))

    for nth, right in enumerate((False, True)):
        edge = at.right if right else at.left
        x, y = leaf["head"][nth]
        put("head", "gap_head", nth, (x + (-22.0 if right else 22.0), (_TOP + y) / 2), right)
        side = "latch" if right else "hinge"
        for place in range(3):
            px, py = leaf[side][place]
            words = f"{side}, {('top', 'middle', 'bottom')[place]}"
            put(words, f"gap_{side}", place, ((px + edge) / 2, py), right)
        out = edge + (9.0 if right else -9.0)
        put("jamb off plumb", "plumb_off", nth, (out, _TOP + 190.0), right, "plumb_7ft")
        x, y = leaf["bottom"][nth]
        spot = (x + (-10.0 if right else 10.0), (y + at.floor) / 2)
        put("under it today", "gap_bottom", nth, spot, right)
        put("undercut then", "undercut", nth, (spot[0], y + 1.0), right)
    return spots


def _words(judged: Judged) -> list[Label]:
    """What is no gap: how it swings, whether it latches, what still comes under it."""
    told = []
    comes = judged.full_text("comes_under")
    if comes and (_at(judged, "comes_under", 0) or _NONE).size:
        told.append(f"{comes} still comes under it (dashed).")
    swing = _at(judged, "swing", 0)
    if swing is not None and swing.text:
        told.append(f"Left half open it {swing.text}.".replace("it stays.", "it stays there."))
    return [(Piece(" ".join(told), fill=PENCIL),)] if told else []
