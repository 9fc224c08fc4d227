"""A tree's value, in exact fractions. The tablet's script does the same in BigInt pairs."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import Protocol

from fieldlog.calc.expressions import Tree
from fieldlog.calc.functions import FUNCTIONS
from fieldlog.calc.named import number_of, truth_of
from fieldlog.calc.values import (
    AWAY,
    Away,
    Element,
    Number,
    Text,
    Value,
    both,
    either,
    exact,
    less,
    opposite,
    over,
    paired,
    plus,
    scaled,
    times,
)


class Environment(Protocol):
    """Where names, limits and conditions of rules come from."""

    def quantity(self, name: str) -> Value:
        """The value of a quantity."""

    def limit(self, rule: str) -> Value:
        """The limit of a rule in force, or a gap."""

    def applies(self, rule: str) -> Value:
        """Whether a rule in force applies, place by place."""


_NUMBERS: dict[str, Callable[..., Element]] = {
    "+": plus,
    "-": lambda a, b: plus(a, b, -1),
    "*": times,
    "/": over,
    "neg": lambda a: scaled(a, Fraction(-1)),
    "<": lambda a, b: less(a, b, or_equal=False),
    "<=": lambda a, b: less(a, b, or_equal=True),
    ">": lambda a, b: less(b, a, or_equal=False),
    ">=": lambda a, b: less(b, a, or_equal=True),
}
_TRUTHS: dict[str, Callable[..., Element]] = {"and": both, "or": either, "not": opposite}


def evaluate(tree: Tree, where: Environment) -> Value:
    """The value of a tree. Never raises on a gap: what is not measured stays not measured."""
    op = tree[0]
    if op == "n":
        return _constant(tree[1])
    if op == "t":
        return Text(tree[1])
    if op == "q":
        return where.quantity(tree[1])
    if op == "f":
        return _call(tree, where)
    return paired(_PLACES[op], *(evaluate(part, where) for part in tree[1:]))


def _of_numbers(function: Callable[..., Element]) -> Callable[..., Element]:
    """At one place: left out where a part of it is, else of numbers, gaps among them."""

    def place(*row: Element) -> Element:
        for element in row:
            if isinstance(element, Away):
                return AWAY
        return function(*map(number_of, row))

    return place


def _of_truths(function: Callable[..., Element]) -> Callable[..., Element]:
    return lambda *row: function(*map(truth_of, row))


_PLACES = {op: _of_numbers(f) for op, f in _NUMBERS.items()} | {
    op: _of_truths(f) for op, f in _TRUTHS.items()
}


@lru_cache(maxsize=4096)
def _constant(text: str) -> Number:
    """A constant of an expression: sheets and books have some hundred."""
    return exact(Fraction(text))


def _call(tree: Tree, where: Environment) -> Value:
    name = tree[1]
    if name == "limit":
        return where.limit(tree[2][1])
    if name == "applies":
        return where.applies(tree[2][1])
    return FUNCTIONS[name].call(*(evaluate(part, where) for part in tree[2:]))
