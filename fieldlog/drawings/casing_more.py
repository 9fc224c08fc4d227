"""What else is read at an opening: strips, sill and apron, the base's height, scribed gaps."""

from __future__ import annotations

from fieldlog.drawings.figures import FILL, Row
from fieldlog.drawings.svg import PAPER, PENCIL, Box, Point, Sheet


def rows_beside() -> list[Row]:
    """The lists that are drawn as figures under the opening, where they were measured."""
    return [
        Row("casing_other", "Casing at the room's other openings", _strip, 5.0),
        Row("mullion", "Mullion strips between windows", _strip, 5.0),
        Row("sill_horn", "Sill past the casing", _horn, 2.0),
        Row("apron_off", "Apron end off the casing's edge", _apron, 0.5),
        Row("base_height", "Base height", _base, 8.0),
        Row("scribe_gap", "Scribe gap", _scribe, 0.25),
    ]


def _rect(left: float, top: float, right: float, bottom: float) -> list[Point]:
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def _strip(sheet: Sheet, box: Box, part: float) -> None:
    """A strip as wide as the share."""
    half = (box.right - box.left) / 2 * min(abs(part), 1.0)
    middle = (box.left + box.right) / 2
    sheet.shape(_rect(middle - half, box.top, middle + half, box.bottom), width=1.6, fill=FILL)


def _horn(sheet: Sheet, box: Box, part: float) -> None:
    """The leg on the sill; the sill runs past it by the share."""
    past = (box.right - box.left - 24.0) * min(abs(part), 1.0)
    sill = box.bottom - 12.0
    leg = box.right - 20.0
    sheet.shape(_rect(leg, box.top, box.right, sill), width=1.6, fill=FILL)
    sheet.shape(_rect(leg - past, sill, box.right, box.bottom), width=1.6, fill=FILL)
    sheet.line([(leg, sill), (leg, box.top)], width=1.0, stroke=PENCIL, dash="4 3")


def _apron(sheet: Sheet, box: Box, part: float) -> None:
    """The apron under the sill; its end is off the leg's edge by the share."""
    off = (box.right - box.left - 24.0) * min(abs(part), 1.0)
    sill, leg = box.top + 22.0, box.left + 8.0
    sheet.shape(_rect(leg, box.top, leg + 18.0, sill), width=1.4, fill=FILL)
    sheet.shape(_rect(box.left, sill, box.right, sill + 8.0), width=1.4, fill=PAPER)
    sheet.shape(_rect(leg + off, sill + 8.0, box.right, box.bottom), width=1.6, fill=FILL)
    sheet.line([(leg, box.bottom), (leg, sill)], width=1.0, stroke=PENCIL, dash="4 3")


def _base(sheet: Sheet, box: Box, part: float) -> None:
    """The base as high as the share, on the floor."""
    high = (box.bottom - box.top) * min(abs(part), 1.0)
    rect = _rect(box.left, box.bottom - high, box.right, box.bottom)
    sheet.shape(rect, width=1.6, fill=FILL)
    sheet.line([(box.left - 4.0, box.bottom), (box.right + 4.0, box.bottom)], width=3.0)


def _scribe(sheet: Sheet, box: Box, part: float) -> None:
    """A straight edge and a ragged one, apart by the share."""
    gap = (box.right - box.left - 44.0) * min(abs(part), 1.0)
    edge = box.left + 22.0
    sheet.shape(_rect(box.left, box.top, edge, box.bottom), width=1.6, fill=FILL)
    high = (box.bottom - box.top) / 4
    rag = [(edge + gap * n / 2, box.top + high * i) for i, n in enumerate((1, 2, 1, 2, 1))]
    ragged = [*rag, (box.right, box.bottom), (box.right, box.top)]
    sheet.shape(ragged, width=1.6, fill=PAPER)
