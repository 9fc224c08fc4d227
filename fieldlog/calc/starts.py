"""Where a rule starts to apply: the comparisons with a constant in its condition.

A drawing shows such a place (an opening more than so high above the floor) and takes the number
from here, so that it stands in the book alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fieldlog.calc.expressions import Tree

_TURNED = {"<": ">", "<=": ">=", ">": "<", ">=": "<="}
_NEGATED = {"<": ">=", "<=": ">", ">": "<=", ">=": "<"}

Start = tuple[str, str, Fraction]
"""A quantity, the comparison that makes the condition hold, and the constant in base units."""


def starts_of(when: Tree | None) -> tuple[Start, ...]:
    """Each comparison of a quantity with a constant, in order, as it reads without a `not`."""
    return () if when is None else tuple(dict.fromkeys(_starts(when, turned=False)))


def _starts(tree: Tree, *, turned: bool) -> Iterator[Start]:
    head, parts = tree[0], [p for p in tree[1:] if isinstance(p, list)]
    if head in _TURNED:
        found = _compared(head, parts[0], parts[1])
        if found:
            quantity, compare, value = found
            yield quantity, _NEGATED[compare] if turned else compare, value
    elif head in ("and", "or", "not"):
        for part in parts:
            yield from _starts(part, turned=turned != (head == "not"))


def _compared(compare: str, one: Tree, other: Tree) -> Start | None:
    if one[0] == "q" and other[0] == "n":
        return one[1], compare, Fraction(other[1])
    if one[0] == "n" and other[0] == "q":
        return other[1], _TURNED[compare], Fraction(one[1])
    return None
