"""Buttons that change the form and save nothing: one more, one fewer, that is all, use this.

Without a script they are plain submits named `do`; the page comes back with all that was typed.
"""

from __future__ import annotations

from collections.abc import Mapping

from fieldlog.calc.sheets import Field, Sheet
from fieldlog.web.sheet_form import MOST_ROWS, Extent, extent_of, slot_name

GRID_STEPS = {"row": (1, 0), "row-off": (-1, 0), "column": (0, 1), "column-off": (0, -1)}


def pressed(sheet: Sheet, posted: Mapping[str, str]) -> tuple[Extent, dict[str, str]]:
    """The extent and the typed values after the pressed button; an unknown one does nothing."""
    data = dict(posted)
    act, _, rest = data.pop("do", "").partition(":")
    if act == "use":
        name, _, text = rest.partition(":")
        if name.startswith("q-"):
            data[name] = text
    f = sheet.field(rest)
    if f is not None and f.many and not f.follows:
        data[f"slots-{f.name}"] = str(_count(act, f, extent_of(sheet, data, None), data))
    if f is not None and f.kind == "grid" and act in GRID_STEPS:
        rows, columns = extent_of(sheet, data, None).grids[f.name]
        down, right = GRID_STEPS[act]
        data[f"rows-{f.name}"] = str(min(max(rows + down, 1), MOST_ROWS))
        data[f"columns-{f.name}"] = str(min(max(columns + right, 1), MOST_ROWS))
    return extent_of(sheet, data, None), data


def _count(act: str, f: Field, extent: Extent, data: Mapping[str, str]) -> int:
    now = extent.slots[f.name]
    if act == "more":
        return min(now + 1, f.most)
    if act == "fewer":
        return max(now - 1, 1)
    if act == "all":
        filled = [n for n in range(now) if data.get(slot_name(f.name, n), "").strip()]
        return filled[-1] + 1 if filled else now
    return now
