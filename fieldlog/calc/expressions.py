"""The expression language of sheets and books: text to a JSON tree, checked when loaded.

    expression := arithmetic (+ - * /), comparisons (< <= > >=), and / or / not,
                  names of quantities, whole numbers, numbers with a unit as text ("4 in"),
                  calls of the named functions in `functions.py`

The tree is what is evaluated (`evaluate.py` here; the tablet's script in BigInt fractions):

    ["n", "762000000"]  ["q", "riser"]  ["t", "hollow"]  ["rule", "stair.open-gap"]
    ["+", a, b]  ["neg", a]  ["<=", a, b]  ["and", a, b]  ["not", a]  ["f", "max", a, ...]

Numbers in it are text, "n" or "n/d", in the base units of `units.py`. Kinds are checked here:
a length is nowhere compared with or added to a plain number, nor an angle to a percent.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from typing import Any

from fieldlog.calc import functions
from fieldlog.calc.functions import PLAIN, Kind
from fieldlog.calc.lengths import LengthNotUnderstood
from fieldlog.calc.units import APART, parse_constant, say_kind

Tree = list[Any]

LONGEST, DEEPEST = 500, 20

_ARITHMETIC: dict[type[ast.operator], str] = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Div: "/",
}
_COMPARISONS: dict[type[ast.cmpop], str] = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
}


class ExpressionError(ValueError):
    """An expression is not in the language, or mixes kinds; the message says where."""


def parse(text: str, kinds: Mapping[str, Kind]) -> tuple[Tree, Kind]:
    """The tree of an expression and the kind of its result.

    `kinds` gives the kind of every name it may use. Raises ExpressionError.
    """
    if len(text) > LONGEST:
        raise ExpressionError(f"an expression of {len(text)} characters; {LONGEST} at most")
    try:
        node = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError) as err:
        raise ExpressionError(f'"{text}" is not an expression: {err}') from err
    return _Parser(kinds, text).tree(node, 0)


def names_in(tree: Tree) -> tuple[str, ...]:
    """Names of quantities in a tree, in order of first use."""
    found: dict[str, None] = {}
    _walk(tree, lambda t: found.setdefault(t[1]) if t[0] == "q" else None)
    return tuple(found)


def _walk(tree: Tree, visit: Callable[[Tree], object]) -> None:
    visit(tree)
    for part in tree[1:]:
        if isinstance(part, list):
            _walk(part, visit)


class _Parser:
    """One pass over Python's syntax tree; whatever is not named here is refused."""

    def __init__(self, kinds: Mapping[str, Kind], text: str) -> None:
        self.kinds, self.text = kinds, text

    def tree(self, node: ast.expr, depth: int) -> tuple[Tree, Kind]:
        if depth > DEEPEST:
            raise ExpressionError(f"nested deeper than {DEEPEST} levels")
        name = type(node).__name__.lower()
        handler = getattr(self, f"_{name}", None)
        if handler is None:
            raise ExpressionError(f'"{ast.unparse(node)}" is not in the language')
        result: tuple[Tree, Kind] = handler(node, depth + 1)
        return result

    def _constant(self, node: ast.Constant, _depth: int) -> tuple[Tree, Kind]:
        value = node.value
        if isinstance(value, str):
            return self._measured(value)
        if isinstance(value, int) and not isinstance(value, bool):
            return ["n", str(value)], PLAIN
        raise ExpressionError(f"{value!r}: write whole numbers, or lengths as text")

    def _measured(self, text: str) -> tuple[Tree, Kind]:
        if not any(c.isalpha() or c in "'\":%°" for c in text):
            raise ExpressionError(f'"{text}" has no unit: write "{text} in" or "{text} mm"')
        try:
            value, kind = parse_constant(text)
            return ["n", str(value)], kind
        except LengthNotUnderstood as err:
            raise ExpressionError(str(err)) from err

    def _name(self, node: ast.Name, _depth: int) -> tuple[Tree, Kind]:
        if node.id not in self.kinds:
            raise ExpressionError(f'there is no quantity "{node.id}"')
        return ["q", node.id], self.kinds[node.id]

    def _binop(self, node: ast.BinOp, depth: int) -> tuple[Tree, Kind]:
        op = _ARITHMETIC.get(type(node.op))
        if op is None:
            raise ExpressionError(f'"{ast.unparse(node)}": only + - * / are in the language')
        (a, ka), (b, kb) = self.tree(node.left, depth), self.tree(node.right, depth)
        return [op, a, b], functions.arithmetic_kind(op, ka, kb, ExpressionError)

    def _unaryop(self, node: ast.UnaryOp, depth: int) -> tuple[Tree, Kind]:
        inner, kind = self.tree(node.operand, depth)
        if isinstance(node.op, ast.Not) and kind == "truth":
            return ["not", inner], kind
        if isinstance(node.op, ast.USub) and functions.is_number(kind) and kind not in APART:
            return ["neg", inner], kind
        raise ExpressionError(f'"{ast.unparse(node)}" is not in the language')

    def _boolop(self, node: ast.BoolOp, depth: int) -> tuple[Tree, Kind]:
        op = "and" if isinstance(node.op, ast.And) else "or"
        parts = [self.tree(value, depth) for value in node.values]
        if any(kind != "truth" for _, kind in parts):
            raise ExpressionError(f'"{ast.unparse(node)}": {op} joins conditions only')
        tree = parts[0][0]
        for part, _ in parts[1:]:
            tree = [op, tree, part]
        return tree, "truth"

    def _compare(self, node: ast.Compare, depth: int) -> tuple[Tree, Kind]:
        op = _COMPARISONS.get(type(node.ops[0]))
        if len(node.ops) != 1 or op is None:
            raise ExpressionError(f'"{ast.unparse(node)}": one of < <= > >= at a time')
        (a, ka), (b, kb) = self.tree(node.left, depth), self.tree(node.comparators[0], depth)
        if not functions.is_number(ka) or ka != kb:
            what = f"compares {say_kind(ka)} with {say_kind(kb)}"
            raise ExpressionError(f'"{ast.unparse(node)}" {what}')
        return [op, a, b], "truth"

    def _call(self, node: ast.Call, depth: int) -> tuple[Tree, Kind]:
        if not isinstance(node.func, ast.Name) or node.keywords:
            raise ExpressionError(f'"{ast.unparse(node)}" is not in the language')
        name = node.func.id
        if name in ("limit", "applies"):
            return self._rule_call(name, node)
        function = functions.FUNCTIONS.get(name)
        if function is None:
            raise ExpressionError(f'there is no function "{name}"')
        parts = [self._argument(name, a, depth) for a in node.args]
        kind = function.kind_of([k for _, k in parts], ExpressionError)
        return ["f", name, *(t for t, _ in parts)], kind

    def _argument(self, function: str, node: ast.expr, depth: int) -> tuple[Tree, Kind]:
        if function == "same" and isinstance(node, ast.Constant) and isinstance(node.value, str):
            return ["t", node.value], "text"
        return self.tree(node, depth)

    def _rule_call(self, name: str, node: ast.Call) -> tuple[Tree, Kind]:
        argument = node.args[0] if len(node.args) == 1 else None
        if not isinstance(argument, ast.Constant) or not isinstance(argument.value, str):
            raise ExpressionError(f"{name}(...) takes the id of one rule, as text")
        kind: Kind = functions.LENGTH if name == "limit" else "truth"
        return ["f", name, ["rule", argument.value]], kind
