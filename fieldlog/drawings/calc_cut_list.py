"""A cut list: every stick as a bar, its pieces by length, what is left over dashed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.drawings.calc_told import Told, hint, said, size_of
from fieldlog.drawings.labels import notes
from fieldlog.drawings.svg import PAD, PAPER, PENCIL, SMALL, WIDTH, Sheet, text_width

_LEFT, _BAR, _ROW = 46.0, 24.0, 52.0

Row = Mapping[str, Any]


def draw_cut_list(raw: Mapping[str, Any], width: float = WIDTH) -> str:
    """Sticks to scale, like ones once with their count before them."""
    told, sheet = Told(raw), Sheet(width=width)
    sticks = _alike(told)
    scale = (sheet.right - _LEFT) / max(size_of(row["stock"]) for row, _ in sticks)
    at = PAD + SMALL
    for row, count in sticks:
        head = f"{row['stock']['text']}, {row['left_over']['text']} left over"
        sheet.text(_LEFT, at, head, SMALL, fill=PENCIL)
        sheet.text(_LEFT - 10.0, at + 24.0, f"{count} x", 15.0, bold=True, anchor="end")
        _bar(sheet, row, at + 7.0, scale)
        at += _ROW
    height = notes(sheet, at, [*map(said, _sums(told)), hint("To scale. Dashed: left over.")])
    return sheet.finish(height + PAD, "Cut list", _twin(told))


def _alike(told: Told) -> list[tuple[Row, int]]:
    """Sticks in order, those that are cut alike together."""
    found: dict[str, tuple[Row, int]] = {}
    for row in told.rows("cuts"):
        key = f"{row['stock']['text']} {row['pieces']['text']}"
        found[key] = (row, found.get(key, (row, 0))[1] + 1)
    return list(found.values())


def _bar(sheet: Sheet, row: Row, top: float, scale: float) -> None:
    end = _LEFT + size_of(row["stock"]) * scale
    box = [(_LEFT, top), (end, top), (end, top + _BAR), (_LEFT, top + _BAR)]
    sheet.shape(box, width=1.0, stroke=PENCIL, dash="4 3")
    pieces = row["pieces"]["values"]
    cut = size_of(row["stock"]) - sum(map(size_of, pieces)) - size_of(row["left_over"])
    kerf, x = max(cut, 0.0) / len(pieces) * scale, _LEFT
    for piece in pieces:
        right = x + size_of(piece) * scale
        corners = [(x, top), (right, top), (right, top + _BAR), (x, top + _BAR)]
        sheet.shape(corners, width=1.5, fill=PAPER)
        for words in (piece["text"], piece["text"].removesuffix(" in").removesuffix(" mm")):
            if text_width(words, SMALL) + 4.0 <= right - x:
                sheet.text((x + right) / 2, top + 17.0, words, SMALL, anchor="middle")
                break
        x = right + kerf


def _sums(told: Told) -> list[str]:
    bought = f"{told.text('bought')} bought, {told.text('waste')} waste "
    return [bought + f"({told.text('waste_percent')}).", told.text("proven")]


def _twin(told: Told) -> list[str]:
    each = [
        f"{count} of {row['stock']['text']}: {row['pieces']['text']}; "
        f"{row['left_over']['text']} left over."
        for row, count in _alike(told)
    ]
    return [*each, *_sums(told)]
