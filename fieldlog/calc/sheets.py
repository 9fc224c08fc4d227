"""Sheets: what is measured in one look at one thing, and what is derived from it. Data.

A sheet file names its fields (what a person enters) and its derived quantities (expressions).
Limits are not in it: they are in books. A new kind of check is one new file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

import msgspec

from fieldlog.calc.expressions import ExpressionError, Tree, names_in, parse
from fieldlog.calc.functions import LENGTH, PLAIN, Kind, is_number
from fieldlog.calc.house import slug
from fieldlog.calc.instruments import measure_in
from fieldlog.calc.sheet_file import (
    DerivedText,
    FieldText,
    SheetText,
)
from fieldlog.calc.sheet_parts import (
    Agreement,
    EarlierQuantity,
    Finished,
    Impossible,
    LayerQuantity,
    load_agrees,
    load_earlier,
    load_finished,
    load_from_layers,
    load_impossible,
)
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of
from fieldlog.calc.units import MEASURES

FIELD_KINDS = (*MEASURES, "yes_no", "choice", "text", "grid")
_PLAIN_MEASURES = ("number", "count", "slope")
_KIND: dict[str, Kind] = {
    **{name: measure.kind for name, measure in MEASURES.items()},
    "yes_no": "truth",
    "choice": "text",
    "text": "text",
    "grid": "grid",
}


@dataclass(frozen=True, slots=True)
class Field:
    """One thing a person enters. `kind` is what it is measured in (`units.py`), or what is asked.

    `low` and `high` bound what is plausible, in the base unit of the kind (nm for a length).

    `many`: a list, one slot each, `slots` to begin with, `most` at most. `follows` names the
    list whose length it shares; `one_serves_all`: a list of one stands for every place;
    `required` is false where the sheet does without it; `seldom` where it is rarely measured,
    so that the page folds it away; `ask` is the question put to a person;
    `tools` are the instruments that can take it; `places` are the names of a list's places.
    """

    name: str
    label: str
    kind: str
    how: str
    plural: str
    many: bool
    slots: int
    most: int
    picture: str
    unit: str
    feet: bool
    low: Fraction | None
    high: Fraction | None
    tools: tuple[str, ...]
    choices: tuple[str, ...]
    required: bool
    seldom: bool
    follows: str
    ask: str
    one_serves_all: bool
    places: tuple[str, ...]

    def place(self, index: int) -> str:
        """What the place of a list is called ("right top"), or "" for one that has a number."""
        return self.places[index] if index < len(self.places) else ""


@dataclass(frozen=True, slots=True)
class Derived:
    """A quantity computed from others. `at` names the field whose places it counts by.

    `measure` says in what it is said: a plain number may be shown as a slope or a count.
    `takes` are lengths that a rule gives it (an edge's length), so it has no value of its own.
    """

    name: str
    label: str
    plural: str
    formula: str
    tree: Tree
    kind: Kind
    measure: str
    at: str
    takes: tuple[str, ...]
    feet: bool


@dataclass(frozen=True)
class Sheet:
    """A loaded sheet; `kinds` gives the kind of every quantity."""

    id: str
    title: str
    trade: str
    caution: str
    source: str
    drawing: str
    fields: tuple[Field, ...]
    derived: tuple[Derived, ...]
    agreements: tuple[Agreement, ...]
    impossible: tuple[Impossible, ...]
    finished: tuple[Finished, ...]
    earlier: tuple[EarlierQuantity, ...]
    from_layers: tuple[LayerQuantity, ...]
    kinds: Mapping[str, Kind]
    sha256: str
    text: str = field(repr=False)

    def field(self, name: str) -> Field | None:
        """The field of that name, or None."""
        return self._fields.get(name)

    def derived_of(self, name: str) -> Derived | None:
        """The derived quantity of that name, or None."""
        return self._derived.get(name)

    def measure(self, name: str) -> str:
        """What a quantity is measured in (a name of MEASURES); "" where it is no number."""
        found = self.derived_of(name)
        if found:
            return found.measure
        f = self.field(name)
        if f is None and (kind := self.kinds.get(name)) is not None:
            return _measure_of(kind)  # of an earlier look, or the day of this one
        return f.kind if f and f.kind in MEASURES else ""

    # Judging a stair asks for a quantity by its name some thousand times.
    @cached_property
    def _fields(self) -> dict[str, Field]:
        return {f.name: f for f in self.fields}

    @cached_property
    def _derived(self) -> dict[str, Derived]:
        return {d.name: d for d in self.derived}

    def label(self, name: str) -> str:
        """What the page calls a quantity."""
        found = self.field(name) or self.derived_of(name)
        return found.label if found else name


def load_sheet(text: str, file: str) -> Sheet:
    """A sheet file. Raises DataFileError, naming file and line."""
    raw = load_strict(text, file, SheetText)
    _sound_head(raw, text, file)
    _no_doubles(raw, text, file)
    fields = tuple(_field(f, n, raw, text, file) for n, f in enumerate(raw.field))
    kinds: dict[str, Kind] = {f.name: _KIND[f.kind] for f in fields}
    from_layers = tuple(
        load_from_layers(one, n, kinds, text, file) for n, one in enumerate(raw.from_layers)
    )
    derived, earlier = _computed(raw, kinds, text, file)
    for n, agree in enumerate(raw.agree):
        load_agrees(agree, n, kinds, text, file)
    impossible = tuple(
        load_impossible(i, n, kinds, text, file) for n, i in enumerate(raw.impossible)
    )
    finished = tuple(load_finished(f, n, kinds, text, file) for n, f in enumerate(raw.finished))
    return Sheet(
        id=raw.id, title=raw.title, trade=raw.trade, caution=raw.caution, source=raw.source,
        drawing=raw.drawing, fields=fields, derived=derived,
        agreements=tuple(Agreement(a.one, a.other, a.says) for a in raw.agree),
        impossible=impossible, finished=finished, earlier=earlier,
        from_layers=from_layers, kinds=kinds, sha256=sha256_of(text), text=text,
    )  # fmt: skip


def _computed(
    raw: SheetText, kinds: dict[str, Kind], text: str, file: str
) -> tuple[tuple[Derived, ...], tuple[EarlierQuantity, ...]]:
    """Derived quantities in order; what earlier looks have of one is there for those after it."""
    waiting, derived, earlier = dict(enumerate(raw.earlier)), [], []
    for nth in range(len(raw.derived) + 1):
        for n, one in list(waiting.items()):
            if one.of in kinds or one.of == "day" or nth == len(raw.derived):
                earlier.append(load_earlier(waiting.pop(n), n, kinds, text, file))
        if nth < len(raw.derived):
            derived.append(_derived(raw.derived[nth], nth, kinds, text, file))
    return tuple(derived), tuple(earlier)


def _sound_head(raw: SheetText, text: str, file: str) -> None:
    if raw.id != slug(raw.id) or not raw.id:
        raise DataFileError(file, line_of(text, key="id"), f'id "{raw.id}": a-z, 0-9, hyphens')
    for key, value in (("source", raw.source), ("caution", raw.caution), ("title", raw.title)):
        if not value.strip():
            raise DataFileError(file, line_of(text, key=key), f"{key} is empty")
    if not raw.field:
        raise DataFileError(file, 1, "a sheet has at least one [[field]]")


def _no_doubles(raw: SheetText, text: str, file: str) -> None:
    seen: set[str] = set()
    for table, names in (
        ("field", [f.name for f in raw.field]),
        ("derived", [d.name for d in raw.derived]),
    ):
        for n, name in enumerate(names):
            line = line_of(text, table, n, "name")
            if not name.isidentifier() or name != name.lower():
                raise DataFileError(file, line, f'name "{name}": a-z, 0-9 and _')
            if name in seen:
                raise DataFileError(file, line, f'"{name}" is there twice')
            seen.add(name)


def _field(raw: FieldText, nth: int, sheet: SheetText, text: str, file: str) -> Field:
    def refuse(key: str, why: str) -> DataFileError:
        return DataFileError(file, line_of(text, "field", nth, key), why)

    if raw.kind not in FIELD_KINDS:
        raise refuse("kind", f'kind is one of {", ".join(FIELD_KINDS)}, not "{raw.kind}"')
    if raw.kind == "choice" and not raw.choices:
        raise refuse("name", f'"{raw.name}" is a choice without choices')
    if raw.follows and not any(f.name == raw.follows and f.many for f in sheet.field):
        raise refuse("follows", f'follows "{raw.follows}", which is no list here')
    if not 1 <= raw.slots <= raw.most <= 60:
        raise refuse("slots", "slots is 1 to most, and most is 60 at most")
    if raw.seldom and raw.required:
        raise refuse("seldom", f'"{raw.name}" is seldom measured: say required = false as well')
    if raw.places and not (raw.many and len(raw.places) <= raw.most):
        raise refuse("places", "places are for a list, and no more than it has slots at most")
    if raw.kind not in (*MEASURES, "grid") and (raw.low or raw.high or raw.unit):
        raise refuse("kind", f"a {raw.kind} has no unit and no bounds")
    low, high = (
        measure_in(raw.kind, value, text, file, "field", nth, key) if value else None
        for key, value in (("low", raw.low), ("high", raw.high))
    )
    unit = raw.unit or _bare_unit(raw.kind)
    data = msgspec.structs.asdict(raw) | {"low": low, "high": high, "unit": unit}
    return Field(**data | {"plural": raw.plural or raw.label + "s"})


def _bare_unit(kind: str) -> str:
    if kind == "grid":
        return "in"
    return (MEASURES[kind].bare or "") if kind in MEASURES else ""


def _derived(raw: DerivedText, nth: int, kinds: dict[str, Kind], text: str, file: str) -> Derived:
    given: dict[str, Kind] = dict.fromkeys(raw.takes, LENGTH)
    try:
        tree, kind = parse(raw.formula, kinds | given)
    except ExpressionError as err:
        line = line_of(text, "derived", nth, "formula")
        raise DataFileError(file, line, f"{raw.name}: {err}") from err
    if raw.at and raw.at not in kinds:
        raise DataFileError(file, line_of(text, "derived", nth, "at"), f'no field "{raw.at}"')
    if raw.shown and (kind != PLAIN or raw.shown not in _PLAIN_MEASURES):
        why = f"{raw.name}: a plain number may be shown as {', '.join(_PLAIN_MEASURES)}"
        raise DataFileError(file, line_of(text, "derived", nth, "shown"), why)
    if not raw.takes:
        kinds[raw.name] = kind  # later formulas may use it; one that takes lengths they may not
    return Derived(
        raw.name, raw.label, raw.plural or raw.label + "s", raw.formula, tree, kind,
        raw.shown or _measure_of(kind), raw.at, raw.takes, raw.feet,
    )  # fmt: skip


def _measure_of(kind: Kind) -> str:
    if kind == LENGTH:
        return "length"
    return kind if isinstance(kind, str) and is_number(kind) else "number" if kind == PLAIN else ""


def fields_behind(sheet: Sheet, tree: Tree) -> tuple[str, ...]:
    """Names of the fields that a tree hangs on, through derived quantities, in order."""
    found: dict[str, None] = {}
    for name in names_in(tree):
        derived = sheet.derived_of(name)
        behind = fields_behind(sheet, derived.tree) if derived else (name,)
        found.update(dict.fromkeys(behind))
    return tuple(found)
