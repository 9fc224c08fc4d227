"""What a named calculation is made of: its inputs, what it works by, its answer. Data.

A calculation is registered as data and computed by one pure function from what was given to
an `Answer`. Inputs are parsed by `inputs`, by the kinds of `kinds`; `running` puts an answer
into JSON.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

from fieldlog.calc.calculations.practice import Practice
from fieldlog.calc.calculations.species import Lifting, Looked, Wood
from fieldlog.calc.library import Library, build_library

Exact = int | Fraction | Decimal
"""A value: exact, or (Decimal) an irrational one to 40 figures, for showing only."""


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a calculation asks for.

    `kind` is a key of `kinds.KINDS`. `unit` holds for a length typed without one where the
    house is on the US system ("in" or "ft"); on the metric one it is mm. `default` is text,
    read as on the US system. `low` and `high` are in the kind's own unit (nm for lengths,
    both allowed); `positive` refuses zero as well.
    """

    name: str
    label: str
    kind: str
    how: str = ""
    unit: str = "in"
    required: bool = False
    default: str = ""
    choices: tuple[str, ...] = ()
    low: Fraction | int | None = None
    high: Fraction | int | None = None
    positive: bool = False
    most: int = 60  # members of a list


@dataclass(frozen=True, slots=True)
class Reference:
    """What calculations look things up in: limits, tools, species, the lifting constant,
    what crews go by."""

    library: Library
    wood: Wood
    lifting: Lifting
    practice: Practice = field(default_factory=Practice.empty)

    @classmethod
    def empty(cls) -> Reference:
        """A reference in which nothing is found: for calculations that look nothing up."""
        nothing = Looked(Fraction(0), "common practice", "")
        lifting = Lifting(nothing, "", "")
        return cls(build_library(()), Wood({}, nothing, "", ""), lifting)


@dataclass(frozen=True, slots=True)
class Given:
    """Parsed inputs by name (None where left out), the reference, and "us" or "metric"."""

    values: Mapping[str, Any]
    reference: Reference
    system: str

    def __getitem__(self, name: str) -> Any:
        return self.values[name]

    @property
    def library(self) -> Library:
        """Sheets, books and instruments."""
        return self.reference.library


@dataclass(frozen=True, slots=True)
class Length:
    """A length in nm; `feet` splits 1 ft and more in its text.

    `shown` "small": below 1/8 in (3 mm) its text is finer than a tape; "room": its text is what
    to leave, up to the next 1/32 in (half a millimeter).
    """

    nm: Exact
    feet: bool = False
    shown: Literal["", "small", "room"] = ""


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number with its unit ("deg", "lb", "%"), shown to so many decimals."""

    value: Exact
    unit: str = ""
    places: int = 0


@dataclass(frozen=True, slots=True)
class Words:
    """A sentence, a name, yes or no."""

    text: str


@dataclass(frozen=True, slots=True)
class Series:
    """Values in order, such as the risers of a flight."""

    items: tuple[Length | Number, ...]


@dataclass(frozen=True, slots=True)
class Rows:
    """A table: each row the same results."""

    rows: tuple[tuple[Result, ...], ...]


Value = Length | Number | Words | Series | Rows


@dataclass(frozen=True, slots=True)
class Result:
    """One line of an answer."""

    name: str
    label: str
    value: Value


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculation gives. `steps` are sentences that show the math; `drawing` names a
    drawing of the answer, or is "".
    """

    results: tuple[Result, ...]
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    drawing: str = ""


@dataclass(frozen=True, slots=True)
class Calculation:
    """A calculation that can be asked for by name."""

    name: str
    title: str
    says: str
    inputs: tuple[Input, ...]
    formula: str
    source: str
    caution: str
    compute: Callable[[Given], Answer] = field(repr=False)

    def input(self, name: str) -> Input | None:
        """The input of that name, or None."""
        return next((i for i in self.inputs if i.name == name), None)
