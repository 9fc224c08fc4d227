"""A sheet as a form: a plain text field for every slot, and the readings that come back.

WTForms renders and carries; it validates nothing. The shared parser judges what was typed and
its errors are put on the fields, so that form, tablet and command line say the same.
Names: `q-<field>`, `q-<field>-<slot>`, in a grid `q-<field>-<row>-<column>`, all from 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from werkzeug.datastructures import MultiDict
from wtforms import Field as FormField
from wtforms import StringField

from fieldlog.calc.readings import SlotError
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.web.forms import FieldlogForm

MOST_ROWS = 40
GRID_START = (4, 5)
GRID_PARTS = ("spacing", "unit")


@dataclass(frozen=True, slots=True)
class Extent:
    """How many slots each list has, and rows and columns of each grid."""

    slots: Mapping[str, int]
    grids: Mapping[str, tuple[int, int]]


class SheetForm(FieldlogForm):
    """What every sheet's form has beside its readings."""

    sheet_sha256 = StringField()
    instrument = StringField()
    place = StringField()
    note = StringField()


def slot_name(field: str, *places: int) -> str:
    """The form's name of a slot; places count from 0."""
    return "-".join(("q", field, *(str(p + 1) for p in places)))


def slot_names(sheet: Sheet, extent: Extent) -> tuple[str, ...]:
    """Every reading's name in the form, in the sheet's order."""
    names: list[str] = []
    for f in sheet.fields:
        if f.kind == "grid":
            rows, columns = extent.grids[f.name]
            names += [f"q-{f.name}-{part}" for part in GRID_PARTS]
            names += [slot_name(f.name, r, c) for r in range(rows) for c in range(columns)]
        elif f.many:
            names += [slot_name(f.name, n) for n in range(extent.slots[f.name])]
        else:
            names.append(slot_name(f.name))
    return tuple(names)


@lru_cache(maxsize=64)
def _class_of(digest: str, names: tuple[str, ...], tools: tuple[str, ...]) -> type[SheetForm]:
    fields = {name: StringField() for name in (*names, *(f"tool-{t}" for t in tools))}
    return type(f"SheetForm_{digest[:12]}", (SheetForm,), fields)


def make_form(
    sheet: Sheet,
    extent: Extent,
    posted: Mapping[str, Any] | None = None,
    start: Mapping[str, str] | None = None,
) -> SheetForm:
    """The form of a sheet (its digest names the class), filled with what was posted."""
    kind = _class_of(sheet.sha256, slot_names(sheet, extent), tuple(f.name for f in sheet.fields))
    return kind(MultiDict(posted) if posted is not None else None, data=start)


def typed(form: SheetForm, name: str) -> str:
    """What stands in a slot, "" for nothing."""
    return str(form[name].data or "") if name in form else ""


def extent_of(
    sheet: Sheet, posted: Mapping[str, str] | None, earlier: Mapping[str, Any] | None
) -> Extent:
    """Slots as the person set them, else as in the last check of this, else the sheet's."""
    slots: dict[str, int] = {}
    grids: dict[str, tuple[int, int]] = {}
    for f in sheet.fields:
        if f.kind == "grid":
            grids[f.name] = _grid_extent(f, posted, earlier)
        elif f.many:
            slots[f.name] = _slot_count(f, posted, earlier)
    for f in sheet.fields:
        if f.follows in slots:
            slots[f.name] = slots[f.follows]
    return Extent(slots, grids)


def _slot_count(
    f: Field, posted: Mapping[str, str] | None, earlier: Mapping[str, Any] | None
) -> int:
    if posted is not None:
        return _bounded(posted.get(f"slots-{f.name}", ""), f.slots, f.most)
    last = (earlier or {}).get(f.name)
    if last is None:
        return f.slots
    return _bounded(len(last), f.slots, f.most) if isinstance(last, list) else 1


def _grid_extent(
    f: Field, posted: Mapping[str, str] | None, earlier: Mapping[str, Any] | None
) -> tuple[int, int]:
    rows, columns = GRID_START
    if posted is not None:
        return (
            _bounded(posted.get(f"rows-{f.name}", ""), rows, MOST_ROWS),
            _bounded(posted.get(f"columns-{f.name}", ""), columns, MOST_ROWS),
        )
    last = (earlier or {}).get(f.name)
    if isinstance(last, Mapping) and last.get("rows"):
        return len(last["rows"]), len(last["rows"][0])
    return rows, columns


def _bounded(text: str | int, default: int, most: int) -> int:
    """A whole number from 1 to `most`; anything else is `default`."""
    plain = str(text)
    if not (plain.isascii() and plain.isdigit() and len(plain) <= 4):
        return default
    return min(max(int(plain), 1), most)


def readings_of(
    sheet: Sheet, form: SheetForm, extent: Extent, main: str, tools: Mapping[str, str]
) -> dict[str, Any]:
    """Raw readings for the parser; `tools` names each field's tool.

    A list that the sheet can do without and that is all blank is left out; any other keeps its
    blanks, because the person set its number of slots.
    """
    readings: dict[str, Any] = {}
    for f in sheet.fields:
        tool = tools.get(f.name, main)
        if f.kind == "grid":
            value = _grid_reading(f, form, extent.grids[f.name])
            if value is not None and tool != main:
                value["instrument"] = tool
        elif f.many:
            value = _list_reading(f, form, extent.slots[f.name], tool, main)
        else:
            value = _with_tool(typed(form, slot_name(f.name)), tool, main)
        if value is not None:
            readings[f.name] = value
    return readings


def _list_reading(f: Field, form: SheetForm, slots: int, tool: str, main: str) -> Any:
    texts = [typed(form, slot_name(f.name, n)) for n in range(slots)]
    if slots == 1 and not f.follows:
        # One of a kind is said of all: one thickness where all treads are alike.
        return _with_tool(texts[0], tool, main)
    if not any(t.strip() for t in texts) and not f.required:
        return None
    return [_with_tool(t, tool, main) for t in texts]


def _with_tool(text: str, tool: str, main: str) -> Any:
    if not text.strip():
        return None
    return text if tool == main else {"value": text, "instrument": tool}


def _grid_reading(f: Field, form: SheetForm, size: tuple[int, int]) -> dict[str, Any] | None:
    rows = [
        [typed(form, slot_name(f.name, r, c)).strip() or None for c in range(size[1])]
        for r in range(size[0])
    ]
    if not any(cell for row in rows for cell in row):
        return None
    return {
        "spacing": typed(form, f"q-{f.name}-spacing"),
        "unit": typed(form, f"q-{f.name}-unit"),
        "rows": rows,
    }


def nothing_entered(readings: Mapping[str, Any]) -> bool:
    """Whether no slot at all was filled."""
    return not any(
        any(one is not None for one in value) if isinstance(value, list) else value is not None
        for value in readings.values()
    )


def place_errors(
    sheet: Sheet, form: SheetForm, extent: Extent, errors: Iterable[SlotError]
) -> dict[str, tuple[str, ...]]:
    """Put the parser's errors on their fields; the suggestions by field name come back."""
    suggestions: dict[str, tuple[str, ...]] = {}
    for error in errors:
        name = error_name(sheet, extent, error)
        if name in form:
            field: FormField = form[name]
            field.errors = [*field.errors, error.message]
        suggestions[name] = error.suggestions
    return suggestions


def error_name(sheet: Sheet, extent: Extent, error: SlotError) -> str:
    """The form's name of the slot an error is about."""
    f = sheet.field(error.field)
    if f is not None and f.kind == "grid":
        if error.index is None:
            return f"q-{f.name}-spacing"
        return slot_name(f.name, *divmod(error.index, extent.grids[f.name][1]))
    if f is not None and f.many:
        return slot_name(error.field, error.index or 0)
    return slot_name(error.field)


def left_over(form: SheetForm, posted: Mapping[str, str]) -> list[tuple[str, str]]:
    """What was typed for questions that the sheet no longer asks: it is shown, not lost."""
    return [
        (name.removeprefix("q-").replace("-", " ").replace("_", " ").capitalize(), value)
        for name, value in posted.items()
        if name.startswith("q-") and name not in form and value.strip()
    ]
