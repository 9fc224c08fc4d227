"""A wall by its numbers: how far it leans and bows over the height, corners off square."""

from __future__ import annotations

from fieldlog.drawings.figures import FILL, Row, draw_rows
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece
from fieldlog.drawings.svg import PENCIL, Box, Sheet, num


def draw_wall(judged: Judged, width: float) -> str:
    """Each reading as a figure; "" where none was measured."""
    rows = [
        Row("plumb_off", _over(judged, "Out of plumb", "plumb_over"), _lean, 0.5, ("plumb_32",)),
        Row("bow", _over(judged, "Bow", "bow_over"), _bow, 0.5, ("bow_32",)),
        Row("corner_off", _over(judged, "Corner off square", "corner_over"), _corner, 0.5,
            ("corner_32",)),
    ]  # fmt: skip
    words = "Leans and bows are drawn large; the dashed line is plumb, straight or square."
    return draw_rows(judged, width, "Wall", rows, words, _finish(judged))


def _over(judged: Judged, name: str, length: str) -> str:
    measured = judged.full_text(length)
    return f"{name}, over {measured}" if measured else name


def _finish(judged: Judged) -> list[Label]:
    """The gypsum's finish in a line, where both levels are known."""
    texts = []
    for name in ("finish_level", "finish_wanted"):
        values = judged.raw["quantities"].get(name, {"values": []})["values"]
        texts.append(str(values[0]["text"]) if values else "")
    if not all(texts):
        return []
    return [(Piece(f"Finish level there: {texts[0]}. Wanted: {texts[1]}."),)]


def _lean(sheet: Sheet, box: Box, part: float) -> None:
    """A face off its plumb line by the share, at the top."""
    off = (box.right - box.left) / 2 * min(abs(part), 1.0)
    left = box.left + 6.0
    face = [(left, box.bottom), (left + off, box.top), (left + off + 10.0, box.top),
            (left + 10.0, box.bottom)]  # fmt: skip
    sheet.shape(face, width=1.6, fill=FILL)
    sheet.line([(left, box.bottom), (left, box.top)], width=1.2, stroke=PENCIL, dash="4 3")
    sheet.line([(left, box.top), (left + off, box.top)], width=2.4)


def _bow(sheet: Sheet, box: Box, part: float) -> None:
    """A face away from its edge by the share, in the middle."""
    off = (box.right - box.left) / 2 * min(abs(part), 1.0)
    left, middle = box.left + 6.0, (box.top + box.bottom) / 2
    curve = (
        f"M{num(left)},{num(box.top)}Q{num(left + 2 * off)},{num(middle)} "
        f"{num(left)},{num(box.bottom)}h10Q{num(left + 10.0 + 2 * off)},{num(middle)} "
        f"{num(left + 10.0)},{num(box.top)}z"
    )
    sheet.path(curve, width=1.6, fill=FILL)
    sheet.line([(left, box.top), (left, box.bottom)], width=1.2, stroke=PENCIL, dash="4 3")
    sheet.line([(left, middle), (left + off, middle)], width=2.4)


def _corner(sheet: Sheet, box: Box, part: float) -> None:
    """A corner in plan, one wall off square by the share at its end."""
    off = (box.bottom - box.top) / 2 * min(abs(part), 1.0)
    left, high = box.left + 4.0, box.top + 6.0
    sheet.line([(left, box.bottom), (left, high), (box.right, high + off)], width=3.0)
    sheet.line([(left, high), (box.right, high)], width=1.2, stroke=PENCIL, dash="4 3")
    sheet.line([(box.right, high), (box.right, high + off)], width=2.4)
