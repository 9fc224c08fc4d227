"""The layers of a room as a form: rows of kind, name, thickness and whether it is laid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from werkzeug.datastructures import MultiDict
from wtforms import BooleanField, StringField, TextAreaField

from fieldlog.calc.bodies import Layer, Layers
from fieldlog.calc.lengths import NM_PER_FOOT, LengthNotUnderstood, parse_length
from fieldlog.web.saving import EntryForm, Sound, tidy

MOST_ROWS = 20
BLANK_ROWS: Final = ("pour", "underlay", "finish", "ceiling")
"""Kinds that an empty form begins with."""
THICKEST = NM_PER_FOOT
KINDS = (
    ("pour", "Pour"),
    ("underlay", "Underlay"),
    ("finish", "Floor finish"),
    ("ceiling", "Ceiling"),
    ("carpet", "Carpet: counts as zero"),
    ("runner", "Runner: counts as zero"),
)
ZERO = ("carpet", "runner")


class LayersForm(EntryForm):
    """What every number of rows has beside them."""

    rows = StringField()
    note = TextAreaField("Note", filters=[tidy], validators=[Sound(2000, lines=True)])


@dataclass(frozen=True)
class Row:
    """One row: its fields, by the part's name."""

    number: int
    kind: Any
    name: Any
    thickness: Any
    laid: Any

    @property
    def blank(self) -> bool:
        """Whether nothing is said in it."""
        said = self.thickness.data or self.name.data or self.laid.data
        return not said and self.kind.data not in ZERO

    def layer(self, unit: Any) -> Layer:
        """The layer as it is kept."""
        kind: Any = self.kind.data
        thick = "0" if kind in ZERO and not self.thickness.data else self.thickness.data or ""
        return Layer(kind, thick, unit, self.name.data or "", bool(self.laid.data))


@lru_cache(maxsize=32)
def _class_of(rows: int) -> type[LayersForm]:
    fields: dict[str, Any] = {}
    for n in range(1, rows + 1):
        fields[f"kind-{n}"] = StringField(filters=[tidy])
        fields[f"name-{n}"] = StringField(filters=[tidy], validators=[Sound(100)])
        fields[f"thickness-{n}"] = StringField(filters=[tidy])
        fields[f"laid-{n}"] = BooleanField()
    return type(f"LayersFormOf{rows}", (LayersForm,), fields)


def form_of(layers: Layers | None, posted: Mapping[str, Any] | None) -> LayersForm:
    """The form as posted, else the layers as they are, else an empty one."""
    if posted is not None:
        count = _count(str(posted.get("rows", "")), "more" in posted)
        form = _class_of(count)(MultiDict(posted))
        form.rows.data = str(count)
        return form
    rows = _with_blanks(layers.layers if layers else ())
    data: dict[str, Any] = {"note": layers.note if layers else "", "rows": str(len(rows))}
    for n, one in enumerate(rows, 1):
        data |= {f"kind-{n}": one.kind, f"name-{n}": one.name, f"laid-{n}": one.laid}
        data |= {f"thickness-{n}": "" if one.kind in ZERO else one.thickness}
    form = _class_of(len(rows))(data=data)
    form.fresh()
    return form


def _with_blanks(known: Sequence[Layer]) -> list[Layer]:
    """The layers in their order, with an empty row for each usual kind where it belongs."""
    rows = list(known)
    order = [kind for kind, _ in KINDS]
    for kind in BLANK_ROWS:
        if len(rows) < MOST_ROWS and kind not in {one.kind for one in known}:
            later = (n for n, one in enumerate(rows) if order.index(one.kind) > order.index(kind))
            rows.insert(next(later, len(rows)), Layer(kind, ""))
    return rows


def _count(text: str, more: bool) -> int:
    known = int(text) if text.isascii() and text.isdigit() and len(text) < 4 else len(BLANK_ROWS)
    return min(max(known + more, 1), MOST_ROWS)


def rows_of(form: LayersForm) -> list[Row]:
    """The rows in order."""
    parts = ("kind", "name", "thickness", "laid")
    return [
        Row(n, *(form[f"{part}-{n}"] for part in parts))
        for n in range(1, int(form.rows.data or 1) + 1)
    ]


def check_rows(form: LayersForm, unit: str) -> None:
    """Put what is wrong with a row on its field."""
    for row in (r for r in rows_of(form) if not r.blank):
        if row.kind.data not in dict(KINDS):
            row.kind.errors = [*row.kind.errors, "Pick what it is."]
        if why := _wrong(row, unit):
            row.thickness.errors = [*row.thickness.errors, why]


def _wrong(row: Row, unit: str) -> str:
    """What is wrong with a thickness, or ""."""
    text = row.thickness.data or ""
    if not text:
        return "" if row.kind.data in ZERO else "How thick is it? Type 0 where it adds nothing."
    try:
        thick = parse_length(text, unit)
    except LengthNotUnderstood as err:
        return str(err)
    if not 0 <= thick <= THICKEST:
        return f"{text} is no thickness of a layer: more than nothing, a foot at most."
    return ""
