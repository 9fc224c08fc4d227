"""The shape of a sheet file (TOML): what may stand in it, before anything is checked."""

from __future__ import annotations

import msgspec

from fieldlog.calc.shape import Strict


class FieldText(Strict, frozen=True):
    """A `[[field]]` as written."""

    name: str
    label: str
    kind: str
    how: str
    plural: str = ""
    many: bool = False
    slots: int = 1
    most: int = 60
    picture: str = ""
    unit: str = ""
    feet: bool = False
    low: str = ""
    high: str = ""
    tools: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    required: bool = True
    seldom: bool = False
    follows: str = ""
    ask: str = ""
    one_serves_all: bool = False
    places: tuple[str, ...] = ()


class DerivedText(Strict, frozen=True):
    """A `[[derived]]` as written."""

    name: str
    label: str
    formula: str
    plural: str = ""
    shown: str = ""
    at: str = ""
    takes: tuple[str, ...] = ()
    feet: bool = False


class AgreeText(Strict, frozen=True):
    """An `[[agree]]` as written."""

    one: str
    other: str
    says: str


class ImpossibleText(Strict, frozen=True):
    """An `[[impossible]]` as written: what no thing can be, and what to say at which field."""

    field: str
    when: str
    says: str


class FinishedText(Strict, frozen=True):
    """A `[[finished]]` as written: what a reading becomes when the finishes are on."""

    field: str
    formula: str


class EarlierText(Strict, frozen=True):
    """An `[[earlier]]` as written: a list of what earlier looks have of a quantity, or the day."""

    name: str
    label: str
    of: str
    where: str = "here"


class FromLayersText(Strict, frozen=True):
    """A `[[from_layers]]` as written: what the layers of a room say is still to come."""

    name: str
    label: str
    of: str


class SheetText(Strict, frozen=True):
    """A sheet file as written."""

    id: str
    title: str
    trade: str
    caution: str
    source: str
    field: tuple[FieldText, ...]
    drawing: str = ""
    derived: tuple[DerivedText, ...] = msgspec.field(default=())
    agree: tuple[AgreeText, ...] = msgspec.field(default=())
    impossible: tuple[ImpossibleText, ...] = msgspec.field(default=())
    finished: tuple[FinishedText, ...] = msgspec.field(default=())
    earlier: tuple[EarlierText, ...] = msgspec.field(default=())
    from_layers: tuple[FromLayersText, ...] = msgspec.field(default=())
