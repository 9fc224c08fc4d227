"""A slab's tests by their numbers: holes to depth with their humidity, dishes, pH spots."""

from __future__ import annotations

from functools import partial

from fieldlog.drawings.figures import FILL, Row, draw_rows, shown
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece
from fieldlog.drawings.svg import PAPER, PENCIL, RULE, Box, Sheet, num


def draw_slab(judged: Judged, width: float) -> str:
    """Each test as a figure; "" where none was made."""
    thick, wanted = _size(judged, "thickness"), _size(judged, "depth_wanted")
    deep = max([v.size or 0.0 for v in shown(judged, "hole_depth")] or [0.0])
    full = thick or deep * 1.3 or 1.0
    rows = [
        Row("hole_depth", _depth_title(judged), partial(_hole, wanted=wanted / full), full,
            ("depth_off",), either_way=True),
        Row("hole_humidity", _against(judged, "Humidity in the holes", "most_humidity"), _level,
            100.0, ("humidity_over",)),
        Row("emission", _against(judged, "Emission in 1000 sq ft and 24 h", "most_emission"), _dish,
            1.0, ("emission_over",)),
        Row("ph", _against(judged, "Surface pH", "most_ph"), _level, 14.0, ("ph_over",)),
    ]  # fmt: skip
    words = "Holes to the scale of the slab; the dashed line is the depth they need."
    return draw_rows(judged, width, "Slab tests", rows, words, _conditions(judged))


def _size(judged: Judged, name: str) -> float:
    values = shown(judged, name)
    return (values[0].size or 0.0) if values else 0.0


def _text(judged: Judged, name: str) -> str:
    values = judged.raw["quantities"].get(name, {"values": []})["values"]
    return str(values[0]["text"]) if values else ""


def _against(judged: Judged, name: str, most: str) -> str:
    limit = _text(judged, most)
    return f"{name}, covering's limit {limit}" if limit else f"{name}, covering's limit not known"


def _depth_title(judged: Judged) -> str:
    wanted, thick = _text(judged, "depth_wanted"), _text(judged, "thickness")
    parts = [f"slab {thick}" if thick else "", f"needed {wanted}" if wanted else ""]
    return ", ".join(["Hole depth", *(p for p in parts if p)])


def _conditions(judged: Judged) -> list[Label]:
    closed = _text(judged, "closed_for")
    told = f"Building closed, at service conditions, for {closed}." if closed else ""
    return [(Piece(told),)] if told else []


def _hole(sheet: Sheet, box: Box, part: float, wanted: float) -> None:
    """The slab with a hole in it, both to its thickness; dashed: how deep it has to be."""
    high, middle = box.bottom - box.top, (box.left + box.right) / 2
    deep = high * min(part, 1.0)
    outline = [(box.left, box.top), (middle - 6.0, box.top), (middle - 6.0, box.top + deep),
               (middle + 6.0, box.top + deep), (middle + 6.0, box.top), (box.right, box.top),
               (box.right, box.bottom), (box.left, box.bottom)]  # fmt: skip
    sheet.shape(outline, width=1.6, fill=FILL)
    if 0.0 < wanted <= 1.0:
        at = box.top + high * wanted
        sheet.line([(box.left, at), (box.right, at)], width=1.2, stroke=PENCIL, dash="4 3")


def _level(sheet: Sheet, box: Box, part: float) -> None:
    """A column filled to the share of the whole scale."""
    middle = (box.left + box.right) / 2
    frame = [(middle - 12.0, box.top), (middle + 12.0, box.top), (middle + 12.0, box.bottom),
             (middle - 12.0, box.bottom)]  # fmt: skip
    sheet.shape(frame, width=1.4, fill=PAPER)
    at = box.bottom - (box.bottom - box.top) * min(max(part, 0.0), 1.0)
    sheet.shape([(middle - 12.0, at), (middle + 12.0, at), *frame[2:]], width=1.4, fill=FILL)


def _dish(sheet: Sheet, box: Box, part: float) -> None:
    """A dome over a dish, arrows of vapor by the share of the largest."""
    low = box.bottom - 14.0
    floor = [(box.left, low), (box.right, low), (box.right, box.bottom), (box.left, box.bottom)]
    sheet.shape(floor, width=1.4, fill=FILL)
    dome = (
        f"M{num(box.left + 8.0)},{num(low)}V{num(box.top + 14.0)}q0,-12 14,-12"
        f"H{num(box.right - 22.0)}q14,0 14,12V{num(low)}"
    )
    sheet.path(dome, width=1.6)
    middle, rise = (box.left + box.right) / 2, (low - box.top - 14.0) * min(max(part, 0.0), 1.0)
    sheet.line([(middle, low), (middle, low - rise)], width=6.0, stroke=RULE)
    sheet.line([(middle, low), (middle, low - rise)], width=2.0)
