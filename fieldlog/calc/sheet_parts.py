"""What a sheet says beyond its fields: what must agree, what can't be, what finishes change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fieldlog.calc.expressions import ExpressionError, Tree, names_in, parse
from fieldlog.calc.functions import LENGTH, Kind, is_number
from fieldlog.calc.sheet_file import (
    AgreeText,
    EarlierText,
    FinishedText,
    FromLayersText,
    ImpossibleText,
)
from fieldlog.calc.toml_text import DataFileError, line_of

FINISH_NAMES = (
    "floor_below", "floor_above", "floor_here", "floor_there", "ceiling_below", "ceiling_here",
)  # fmt: skip
"""Lengths that the layers of rooms give to `[[finished]]` formulas and to `[[from_layers]]`."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two quantities that must agree within their tools, or the page names the difference."""

    one: str
    other: str
    says: str


@dataclass(frozen=True, slots=True)
class Impossible:
    """What no such thing can be: where `tree` holds, `field` is refused with `says`."""

    field: str
    tree: Tree
    says: str


@dataclass(frozen=True, slots=True)
class Finished:
    """What a field's reading becomes when the finishes are on (`finished.py`)."""

    field: str
    tree: Tree
    names: tuple[str, ...] = ()
    """Quantities in the tree."""


@dataclass(frozen=True, slots=True)
class EarlierQuantity:
    """A list of what earlier looks have of quantity `of`, or of their "day" (`looks.py`)."""

    name: str
    label: str
    of: str
    where: str
    feet: bool = False


@dataclass(frozen=True, slots=True)
class LayerQuantity:
    """What is still to come by the layers of a room; `of` is one of FINISH_NAMES."""

    name: str
    label: str
    of: str
    feet: bool = False


WHERES = ("here", "house")


def load_earlier(
    raw: EarlierText, nth: int, kinds: dict[str, Kind], text: str, file: str
) -> EarlierQuantity:  # fmt: skip
    """An `[[earlier]]`, its name among the kinds from now on. Raises DataFileError."""
    kind = "date" if raw.of == "day" else kinds.get(raw.of)
    if kind is None or not is_number(kind):
        why = f'there is no number "{raw.of}" to read of earlier looks'
        raise DataFileError(file, line_of(text, "earlier", nth, "of"), why)
    if raw.where not in WHERES:
        why = f'where is one of {", ".join(WHERES)}, not "{raw.where}"'
        raise DataFileError(file, line_of(text, "earlier", nth, "where"), why)
    if raw.name in kinds or not raw.name.isidentifier():
        raise DataFileError(file, line_of(text, "earlier", nth, "name"), f'name "{raw.name}"')
    kinds |= {raw.name: kind, "today": "date"}
    return EarlierQuantity(raw.name, raw.label, raw.of, raw.where)


def load_from_layers(
    raw: FromLayersText, nth: int, kinds: dict[str, Kind], text: str, file: str
) -> LayerQuantity:  # fmt: skip
    """A `[[from_layers]]`, its name among the kinds from now on. Raises DataFileError."""
    if raw.of not in FINISH_NAMES:
        why = f'of is one of {", ".join(FINISH_NAMES)}, not "{raw.of}"'
        raise DataFileError(file, line_of(text, "from_layers", nth, "of"), why)
    if raw.name in kinds or not raw.name.isidentifier():
        raise DataFileError(file, line_of(text, "from_layers", nth, "name"), f'name "{raw.name}"')
    kinds[raw.name] = LENGTH
    return LayerQuantity(raw.name, raw.label, raw.of)


def load_agrees(raw: AgreeText, nth: int, kinds: Mapping[str, Kind], text: str, file: str) -> None:
    """Raises DataFileError where the two quantities are no numbers."""
    for key, name in (("one", raw.one), ("other", raw.other)):
        if name not in kinds or not is_number(kinds[name]):
            why = f'no quantity "{name}" to agree with'
            raise DataFileError(file, line_of(text, "agree", nth, key), why)


def load_impossible(
    raw: ImpossibleText, nth: int, kinds: Mapping[str, Kind], text: str, file: str
) -> Impossible:  # fmt: skip
    """An `[[impossible]]`. Raises DataFileError."""
    try:
        tree, kind = parse(raw.when, kinds)
    except ExpressionError as err:
        raise DataFileError(file, line_of(text, "impossible", nth, "when"), str(err)) from err
    if kind != "truth" or raw.field not in kinds:
        why = f'"{raw.field}" is a field, and when is a condition'
        raise DataFileError(file, line_of(text, "impossible", nth, "field"), why)
    return Impossible(raw.field, tree, raw.says)


def load_finished(
    raw: FinishedText, nth: int, kinds: Mapping[str, Kind], text: str, file: str
) -> Finished:  # fmt: skip
    """A `[[finished]]`. Raises DataFileError."""
    given: dict[str, Kind] = dict.fromkeys(FINISH_NAMES, LENGTH)
    try:
        tree, kind = parse(raw.formula, {**kinds, **given})
    except ExpressionError as err:
        raise DataFileError(file, line_of(text, "finished", nth, "formula"), str(err)) from err
    if kind != kinds.get(raw.field):
        why = f'"{raw.field}" is no field of that kind'
        raise DataFileError(file, line_of(text, "finished", nth, "field"), why)
    return Finished(raw.field, tree, names_in(tree))
