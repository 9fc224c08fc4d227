"""Guide grooves of all pocket doors of the house in a row: what is unlike the others is seen."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.drawings.figures import FILL, Shown, key_of, known, strip, twin_of, whole_lines
from fieldlog.drawings.figures import shown as values_of
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.svg import PAD, Box, Sheet

_FULL = 0.75  # inches that fill a figure


def draw_pocket_door(judged: Judged, width: float) -> str:
    """Widths and depths of every groove; "" where none of this door was measured."""
    rows = {
        "Guide groove width, this door and the others": _all(judged, "groove_width"),
        "Guide groove depth, this door and the others": _all(judged, "groove_depth"),
    }
    if not any(rows.values()):
        return ""
    sheet = Sheet(width=width)
    at, told = PAD, ["Guide grooves."]
    for (title, values), paint in zip(rows.items(), (_wide, _deep), strict=True):
        at = strip(sheet, at, title, values, paint, _FULL)
        told += twin_of(title.split(",")[0], values)
    lines = [*whole_lines(judged), *_frame(judged), key_of(judged, "Grooves to one scale.")]
    height = notes(sheet, at + 4.0, lines)
    return sheet.finish(height + PAD, "Pocket door", told)


def _all(judged: Judged, quantity: str) -> list[Shown]:
    """This door's grooves by their places, then those of the other doors."""
    here = known(values_of(judged, quantity))
    others = known(values_of(judged, f"other_{quantity}"))
    return here + [replace(v, name="other door") for v in others] if here else []


def _frame(judged: Judged) -> list[Label]:
    told = [
        (f"{judged.label(name)}: {judged.full_text(name)}.")
        for name in ("opening_width", "leaf_width", "opening_height", "leaf_height")
        if judged.full_text(name)
    ]
    return [(Piece(" ".join(told)),)] if told else []


def _groove(sheet: Sheet, box: Box, wide: float, deep: float) -> None:
    """The bottom edge of a leaf, cut through, with its groove."""
    middle = (box.left + box.right) / 2
    left, right, at = middle - wide / 2, middle + wide / 2, box.bottom - deep
    outline = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom),
               (right, box.bottom), (right, at), (left, at), (left, box.bottom),
               (box.left, box.bottom)]  # fmt: skip
    sheet.shape(outline, width=1.6, fill=FILL)


def _wide(sheet: Sheet, box: Box, part: float) -> None:
    _groove(sheet, box, (box.right - box.left - 12.0) * min(abs(part), 1.0), 22.0)


def _deep(sheet: Sheet, box: Box, part: float) -> None:
    _groove(sheet, box, 18.0, (box.bottom - box.top - 8.0) * min(abs(part), 1.0))
