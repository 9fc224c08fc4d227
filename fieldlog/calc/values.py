"""Values of expressions: exact numbers that remember their readings, gaps, truths, lists.

A number knows how it hangs on each reading (`sens`, the partial derivative by reading, JCGM
100:2008 5.1.2), so that one instrument's error can be put in later, or another's tried.
A gap is a number without a value. Where `max`, `min` or `spread` step over a gap the known
value is kept and marked: the true one *may rise* or *may fall* when the gap is measured.
Truths are three-valued (Kleene): yes, no, not known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldlog.calc.floors_worst import WorstOf
    from fieldlog.calc.set_ups import Joining
    from fieldlog.calc.tested import Tested

ReadingKey = tuple[str, int, int]
"""Field, index (row in a grid), column (-1 outside a grid)."""
Sens = Mapping[ReadingKey, Fraction]

RISE, FALL = 1, 2


@dataclass(frozen=True, slots=True)
class Number:
    """An exact number (lengths in nm), its sensitivities by reading, and what a gap may do.

    `worst` is there where the number is the worst of many noisy ones: see `floors_worst`.
    """

    value: Fraction | None
    sens: Mapping[ReadingKey, Fraction] = field(default_factory=dict)
    may: int = 0
    worst: WorstOf | None = None


@dataclass(frozen=True, slots=True)
class Truth:
    """Yes, no, or None: not known."""

    value: bool | None


@dataclass(frozen=True, slots=True)
class Text:
    """A choice or words; None: not given."""

    value: str | None


@dataclass(frozen=True, slots=True)
class Away:
    """Left out on purpose by `where`: not a gap, skipped by max, min, sum and the like."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Level readings on a square grid: rows of numbers (nm, up is positive), spacing in nm.

    A gap is a station not read yet; `Away` is one that is blocked and cannot be read.
    `readings` is the fewest readings whose median a height is; `rings` are the room's walls
    and its cut-outs, corners in nm from the station of row 0, column 0. `joining` is there
    where several set-ups were joined, `tested` where the level was tested before.
    """

    rows: tuple[tuple[Number | Away, ...], ...]
    spacing: int
    readings: int = 1
    rings: tuple[tuple[tuple[int, int], ...], ...] = ()
    joining: Joining | None = None
    tested: tuple[Tested, ...] = ()


Element = Number | Truth | Text | Away


@dataclass(frozen=True, slots=True)
class Many:
    """A list of elements; a place keeps its number even when it is blank."""

    items: tuple[Element, ...]


Value = Number | Truth | Text | Away | Many | Grid

GAP = Number(None)
AWAY = Away()
UNKNOWN = Truth(None)


def exact(value: int | Fraction) -> Number:
    """A number that hangs on no reading."""
    return Number(value if type(value) is Fraction else Fraction(value))


def elements(value: Value) -> tuple[Element, ...]:
    """A list's elements, or the one element of a scalar."""
    if isinstance(value, Many):
        return value.items
    if isinstance(value, Grid):
        raise TypeError("a grid is read by its own functions")
    return (value,)


def paired(function: Callable[..., Element], *values: Value) -> Value:
    """`function` place by place: lists pair by position, scalars broadcast.

    A shorter list's tail is a gap, of the same sort as its elements.
    """
    length = -1
    for value in values:
        if isinstance(value, Many) and len(value.items) > length:
            length = len(value.items)
    if length < 0:
        return function(*values)
    columns = [_stretched(v, length) for v in values]
    return Many(tuple(function(*row) for row in zip(*columns, strict=True)))


def _stretched(value: Value, length: int) -> tuple[Element, ...]:
    if isinstance(value, Many):
        gap = _gap_like(value.items)
        return value.items + (gap,) * (length - len(value.items))
    return (elements(value)[0],) * length


def _gap_like(items: tuple[Element, ...]) -> Element:
    if any(isinstance(i, Truth) for i in items):
        return UNKNOWN
    return Text(None) if any(isinstance(i, Text) for i in items) else GAP


def turned(may: int) -> int:
    """The marks of -x from those of x."""
    return (RISE if may & FALL else 0) | (FALL if may & RISE else 0)


def combined(
    a: Mapping[ReadingKey, Fraction], ka: Fraction, b: Mapping[ReadingKey, Fraction], kb: Fraction
) -> dict[ReadingKey, Fraction]:
    """Sensitivities of `ka*a + kb*b`; readings that cancel are dropped."""
    out = dict(a) if ka == 1 else {key: ka * c for key, c in a.items()}
    for key, c in b.items():
        term = c if kb == 1 else -c if kb == -1 else kb * c
        before = out.get(key)
        out[key] = term if before is None else before + term
    return {key: c for key, c in out.items() if c}


def scaled(number: Number, k: Fraction) -> Number:
    """`k` times a number."""
    if number.value is None:
        return GAP
    sens = {key: k * c for key, c in number.sens.items()} if k else {}
    may = number.may if k > 0 else turned(number.may) if k < 0 else 0
    return Number(k * number.value, sens, may)


def plus(a: Number, b: Number, sign: int = 1) -> Number:
    """`a + b`, or `a - b` with sign -1."""
    if a.value is None or b.value is None:
        return GAP
    may = a.may | (b.may if sign > 0 else turned(b.may))
    value = a.value + b.value if sign > 0 else a.value - b.value
    return Number(value, _summed(a.sens, b.sens, sign) if b.sens else a.sens, may)


def _summed(a: Sens, b: Sens, sign: int) -> Sens:
    """`combined` without the products: sums and differences are most of what is computed."""
    out = dict(a)
    for key, c in b.items():
        before = out.get(key)
        if before is None:
            out[key] = c if sign > 0 else -c
        elif together := before + c if sign > 0 else before - c:
            out[key] = together
        else:
            del out[key]
    return out


def times(a: Number, b: Number) -> Number:
    """`a * b`. Two marked factors, or a marked one by a measured one, are not measured."""
    if a.value is None or b.value is None:
        return GAP
    if a.may or b.may:
        return _marked_product(a, b)
    return Number(a.value * b.value, combined(a.sens, b.value, b.sens, a.value))


def over(a: Number, b: Number) -> Number:
    """`a / b`; division by zero is not measured."""
    if a.value is None or not b.value:
        return GAP
    if b.may:
        return GAP
    if a.may:
        return scaled(a, 1 / b.value) if not b.sens else GAP
    quotient = a.value / b.value
    return Number(quotient, combined(a.sens, 1 / b.value, b.sens, -quotient / b.value))


def _marked_product(a: Number, b: Number) -> Number:
    if a.may and not b.may and not b.sens and b.value is not None:
        return scaled(a, b.value)
    if b.may and not a.may and not a.sens and a.value is not None:
        return scaled(b, a.value)
    return GAP


def less(a: Number, b: Number, or_equal: bool) -> Truth:
    """`a < b` (or `a <= b`), by the plain values; not known where a gap could change it."""
    if a.value is None or b.value is None:
        return UNKNOWN
    difference = a.value - b.value
    may = a.may | turned(b.may)
    true = difference <= 0 if or_equal else difference < 0
    if (true and may & RISE) or (not true and may & FALL):
        return UNKNOWN
    return Truth(true)


def both(a: Truth, b: Truth) -> Truth:
    """Kleene and."""
    if a.value is False or b.value is False:
        return Truth(False)
    return Truth(True) if a.value and b.value else UNKNOWN


def either(a: Truth, b: Truth) -> Truth:
    """Kleene or."""
    return opposite(both(opposite(a), opposite(b)))


def opposite(a: Truth) -> Truth:
    """Kleene not."""
    return UNKNOWN if a.value is None else Truth(not a.value)
