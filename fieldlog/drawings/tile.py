"""Tile by its numbers: gaps under an edge, steps, joints, sides, and the fall of a pan."""

from __future__ import annotations

from fieldlog.drawings.figures import FILL, Row, draw_rows
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.svg import INK, PENCIL, Box, Sheet, num


def draw_tile(judged: Judged, width: float) -> str:
    """Each list of the sheet as a row of figures; "" where none was measured."""
    rows = [
        Row("under_10ft", "Gap under a 10 ft edge", _hollow, 0.25),
        Row("under_short", "Gap under a short edge", _hollow, 0.125),
        Row("lippage", "Lippage, tile to tile", _step, 0.125, ("beyond_warpage",)),
        Row("joint", "Joint width", _joint, 0.375),
        Row("tile_size", "The same side of tiles from the boxes", _side, 1.0),
        Row("pan_slope", "Fall to the drain, in a foot", _fall, 0.75),
    ]
    return draw_rows(judged, width, "Tile", rows, "Steps, gaps and falls are drawn large.")


def _hollow(sheet: Sheet, box: Box, part: float) -> None:
    """An edge over a hollow as deep as the share."""
    high, deep = box.top + 12.0, (box.bottom - box.top - 20.0) * min(abs(part), 1.0)
    middle = (box.left + box.right) / 2
    curve = (
        f"M{num(box.left)},{num(high)}Q{num(middle)},{num(high + 2 * deep)} "
        f"{num(box.right)},{num(high)}V{num(box.bottom)}H{num(box.left)}z"
    )
    sheet.path(curve, width=1.6, fill=FILL)
    edge = [(box.left, high - 8.0), (box.right, high - 8.0), (box.right, high), (box.left, high)]
    sheet.shape(edge, width=1.4)
    sheet.line([(middle, high + 1.0), (middle, high + deep)], width=1.0, stroke=PENCIL)


def _step(sheet: Sheet, box: Box, part: float) -> None:
    """Two tiles, the second one higher by the share."""
    rise = (box.bottom - box.top - 24.0) * min(abs(part), 1.0)
    middle, low = (box.left + box.right) / 2, box.bottom - 18.0
    _tile(sheet, Box(box.left, low, middle - 4.0, box.bottom))
    _tile(sheet, Box(middle + 4.0, low - rise, box.right, box.bottom))
    sheet.line([(box.left, low - rise), (middle + 4.0, low - rise)], width=1.0, stroke=PENCIL,
               dash="4 3")  # fmt: skip


def _joint(sheet: Sheet, box: Box, part: float) -> None:
    """Two tiles apart by the share."""
    gap = (box.right - box.left - 24.0) * min(abs(part), 1.0)
    middle = (box.left + box.right) / 2
    _tile(sheet, Box(box.left, box.top, middle - gap / 2, box.bottom))
    _tile(sheet, Box(middle + gap / 2, box.top, box.right, box.bottom))


def _side(sheet: Sheet, box: Box, part: float) -> None:
    """One tile, its side the share of the largest."""
    wide = (box.right - box.left) * min(abs(part), 1.0)
    _tile(sheet, Box(box.left, box.top + 10.0, box.left + wide, box.bottom - 10.0))


def _fall(sheet: Sheet, box: Box, part: float) -> None:
    """The pan's floor from its edge down to the drain."""
    drop = (box.bottom - box.top - 18.0) * min(max(part, 0.0), 1.0)
    top = box.top + 6.0
    corners = [(box.left, top), (box.right - 8.0, top + drop), (box.right - 8.0, box.bottom),
               (box.left, box.bottom)]  # fmt: skip
    sheet.shape(corners, width=1.6, fill=FILL)
    sheet.line([(box.left, top), (box.right, top)], width=1.0, stroke=PENCIL, dash="4 3")
    sheet.line([(box.right - 8.0, top + drop), (box.right, top + drop)], width=3.0)


def _tile(sheet: Sheet, box: Box) -> None:
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
               (box.left, box.bottom)]  # fmt: skip
    sheet.shape(corners, width=1.6, stroke=INK, fill=FILL)
