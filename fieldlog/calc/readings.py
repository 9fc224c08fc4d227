"""What was entered, parsed once: text to exact numbers, with every error at its own slot.

A reading is text as typed, a yes/no, null or "" for not taken, or `{"value", "instrument"}`.
After this only exact integers and truths travel.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from fieldlog.calc.grid_reading import SlotRefused, as_text, grid_shape
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.calc.units import parse_measure, say_measure
from fieldlog.calc.values import (
    AWAY,
    GAP,
    Away,
    Element,
    Many,
    Number,
    ReadingKey,
    Text,
    Truth,
    Value,
)

MOST_IN_A_LIST, LONGEST_TEXT = 60, 500
BLOCKED = "x"


@dataclass(frozen=True, slots=True)
class SlotError:
    """One reading that can't be used: the field, its place (from 0, None for a scalar)."""

    field: str
    index: int | None
    message: str
    suggestions: tuple[str, ...] = ()


class ReadingsRefused(ValueError):
    """Some readings can't be used; nothing was judged. `errors` says which and why."""

    def __init__(self, errors: Sequence[SlotError]) -> None:
        self.errors = tuple(errors)
        super().__init__(" ".join(_placed(e) for e in self.errors))


def _placed(error: SlotError) -> str:
    place = "" if error.index is None else f" {error.index + 1}"
    return f"{error.field}{place}: {error.message}"


@dataclass(slots=True)
class Readings:
    """Parsed readings: a value per field, what was typed, and which tool read what.

    `read` is each reading as its tool read it, whatever `values` makes of it later.
    """

    values: dict[str, Value] = field(default_factory=dict)
    typed: dict[str, tuple[str, ...]] = field(default_factory=dict)
    tools: dict[ReadingKey, str] = field(default_factory=dict)
    read: dict[ReadingKey, Fraction] = field(default_factory=dict)
    errors: list[SlotError] = field(default_factory=list)


def parse_readings(
    sheet: Sheet, raw: Mapping[str, Any], instruments: Mapping[str, Instrument], tool: str,
    system: str = "us",
) -> Readings:  # fmt: skip
    """Readings for a sheet; `tool` holds where a reading names none.

    Raises ReadingsRefused with every error found, not just the first.
    """
    reader = _Reader(instruments, tool, system, Readings())
    for name in raw:
        if sheet.field(name) is None:
            known = ", ".join(f.name for f in sheet.fields)
            reader.refuse(name, None, f'The sheet "{sheet.id}" has no "{name}". It has: {known}.')
    for f in sheet.fields:
        reader.read(f, raw.get(f.name))
    if reader.out.errors:
        raise ReadingsRefused(reader.out.errors)
    return reader.out


@dataclass(slots=True)
class _Reader:
    instruments: Mapping[str, Instrument]
    tool: str
    system: str
    out: Readings

    def refuse(self, name: str, index: int | None, why: str, more: tuple[str, ...] = ()) -> None:
        self.out.errors.append(SlotError(name, index, why, more))

    def read(self, f: Field, raw: Any) -> None:
        if f.kind == "grid":
            self._grid(f, raw)
        elif f.many and isinstance(raw, list | tuple):
            self._list(f, raw)
        else:
            # one thickness for every tread: a list field given one value broadcasts it
            self.out.values[f.name] = self._slot(f, None, raw)

    def _list(self, f: Field, raw: Sequence[Any]) -> None:
        if len(raw) > f.most:
            self.refuse(f.name, None, f"{len(raw)} {f.plural.lower()}; {f.most} at most.")
            return
        items = tuple(self._slot(f, n, one) for n, one in enumerate(raw))
        if len(items) == 1 and f.one_serves_all:
            self.out.values[f.name] = items[0]
        else:
            self.out.values[f.name] = Many(items) if items else blank(f)

    def _slot(self, f: Field, index: int | None, raw: Any) -> Element:
        try:
            value, tool = self._unwrapped(raw)
            text = as_text(value)
            element = self._element(f, text, value, (f.name, index or 0, -1), tool)
        except SlotRefused as err:
            self.refuse(f.name, index, str(err), err.suggestions)
            text, element = "", blank(f)
        self.out.typed[f.name] = (*self.out.typed.get(f.name, ()), text)
        return element

    def _unwrapped(self, raw: Any) -> tuple[Any, str]:
        if not isinstance(raw, Mapping):
            return raw, self.tool
        if set(raw) - {"value", "instrument"} or "value" not in raw:
            raise SlotRefused('A reading is text, or {"value": ..., "instrument": ...}.')
        tool = raw.get("instrument") or self.tool
        if not isinstance(tool, str) or tool not in self.instruments:
            raise SlotRefused(f"There is no instrument {str(tool)[:40]!r}.")
        return raw["value"], tool

    def _element(self, f: Field, text: str, value: Any, key: ReadingKey, tool: str) -> Element:
        if text.strip() == "":
            return blank(f)
        if f.kind == "yes_no":
            return Truth(_yes_no(value))
        if f.kind == "choice":
            return Text(_choice(f, text))
        if f.kind == "text":
            return Text(_words(text))
        return self._measured(f, text, key, tool)

    def _measured(self, f: Field, text: str, key: ReadingKey, tool: str) -> Number:
        reads = self._tool_of(f, tool)
        try:
            metric = f.kind == "length" and self.system == "metric"
            value = parse_measure(f.kind, text, "mm" if metric else f.unit)
        except LengthNotUnderstood as err:
            raise SlotRefused(str(err), err.suggestions) from err
        self._plausible(f, value, text)
        if not reads:
            return Number(value)
        self.out.tools[key], self.out.read[key] = reads, value
        return Number(value, {key: Fraction(1)})

    def _tool_of(self, f: Field, tool: str) -> str:
        """The tool that reads a field; "" for what is counted or told, which no tool is off in.

        The check's own tool reads lengths; where another kind is asked, the field's first tool
        that can does, unless the reading names one.
        """
        if self.instruments[tool].kind == f.kind and (f.kind == "length" or tool in f.tools):
            return tool
        if tool == "exact" and f.tools:
            return tool
        if f.kind == "length":
            raise SlotRefused(f"{self.instruments[tool].name} gives no length: name a tool.")
        able = (t for t in f.tools if t in self.instruments)
        return next((t for t in able if self.instruments[t].kind == f.kind), "")

    def _plausible(self, f: Field, value: Fraction, text: str) -> None:
        low, high = f.low, f.high
        if (low is None or value >= low) and (high is None or value <= high):
            return
        said = [say_measure(f.kind, b, self.system) for b in (low, high) if b is not None]
        can = (
            " to ".join(said)
            if len(said) == 2
            else said[0] + (" or less" if low is None else " or more")
        )
        raise SlotRefused(
            f"{f.label} {text.strip()[:30]} is outside what this can be, {can}. "
            "Check the number and the unit."
        )

    def _grid(self, f: Field, raw: Any) -> None:
        self.out.typed[f.name] = ()
        self.out.values[f.name] = GAP
        if raw in (None, "", {}):
            return
        try:
            shape = grid_shape(raw, self.system)
        except SlotRefused as err:
            self.refuse(f.name, None, str(err), err.suggestions)
            return
        tool = raw.get("instrument") or self.tool
        width = len(shape.rows[0])
        cells = tuple(
            tuple(
                self._station(f, r, c, width, cell, shape.unit, tool) for c, cell in enumerate(row)
            )
            for r, row in enumerate(shape.rows)
        )
        if shape.set_ups:
            self.out.tools.update(dict.fromkeys(shape.set_ups.keys(f.name), tool))
        if shape.set_ups and any(e.field == f.name for e in self.out.errors):
            return  # what is missing may be what joins them
        try:
            self.out.values[f.name] = shape.made_of(cells, f.name)
        except SlotRefused as err:
            self.refuse(f.name, None, str(err))

    def _station(
        self, f: Field, row: int, column: int, width: int, raw: Any, unit: str, tool: Any
    ) -> Number | Away:
        try:
            text = as_text(raw).strip()
            if text.lower() == BLOCKED:
                return AWAY
            if not text:
                return GAP
            if tool not in self.instruments or self.instruments[tool].kind != "length":
                raise SlotRefused(f"There is no tool {str(tool)[:40]!r} that reads heights.")
            nm = parse_length(text, unit)
        except (LengthNotUnderstood, SlotRefused) as err:
            self.refuse(f.name, row * width + column, str(err), err.suggestions)
            return GAP
        self.out.tools[f.name, row, column] = tool
        return Number(Fraction(nm), {(f.name, row, column): Fraction(1)})


def blank(f: Field) -> Element:
    """A slot of this field that was not filled."""
    if f.kind == "yes_no":
        return Truth(None)
    return Text(None) if f.kind in ("choice", "text") else GAP


def _yes_no(value: Any) -> bool:
    text = as_text(value).strip().lower()
    if text in ("yes", "y", "true"):
        return True
    if text in ("no", "n", "false"):
        return False
    raise SlotRefused(f'Answer yes or no, not "{text[:40]}".')


def _choice(f: Field, text: str) -> str:
    if text.strip() not in f.choices:
        raise SlotRefused(f'One of {", ".join(f.choices)}, not "{text.strip()[:40]}".')
    return text.strip()


def _words(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise SlotRefused(f"{len(text)} characters; {LONGEST_TEXT} at most.")
    return text.strip()
