"""What a source may not contain, as functions from its text to the breaches in it.

`tests/test_layers.py` runs them over the tree, and over made-up sources that break each rule.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from functools import cache

from fieldlog.calc.lengths import LengthNotUnderstood, parse_length

Breaches = list[str]
Rule = Callable[[str, str], Breaches]

MAY_IMPORT = {
    "calc": {"calc"},
    "config": {"config"},
    "store": {"calc", "store"},
    "drawings": {"calc", "drawings"},
    "judged_ahead": {"calc", "store", "judged_ahead"},
    "intake": {"calc", "store", "judged_ahead", "intake"},
    "changing": {"calc", "store", "intake", "changing"},
    "handover": {"calc", "store", "judged_ahead", "intake", "handover"},
    "taking": {"calc", "store", "handover", "taking"},
    "reports": {"calc", "store", "drawings", "reports", "config"},
    "web": {
        "calc", "store", "drawings", "judged_ahead", "intake", "handover", "changing", "reports",
        "web", "config", "tls",
    },
    "tls": {"store", "tls"},
    "lan": {"store", "tls", "config", "web", "app", "lan"},
    "app": {"calc", "store", "drawings", "intake", "reports", "web", "config"},
    "demo": {"calc", "store", "drawings", "intake", "reports", "demo", "config"},
    "cli_parts": {"cli_parts"},
    "cli_calc": {"calc", "store", "cli_parts", "cli_calc"},
    "cli_floor": {"calc", "store", "drawings", "cli_parts", "cli_floor"},
    "cli_keep": {"store", "taking", "cli_parts", "cli_keep"},
    "cli_house": {"calc", "store", "intake", "changing", "cli_parts", "cli_house"},
    "cli_lan": {"store", "tls", "config", "web", "lan", "cli_parts", "cli_lan"},
    "cli": {
        "calc", "store", "drawings", "intake", "changing", "reports", "demo", "app", "config",
        "cli_parts", "cli_house", "cli_calc", "cli_floor", "cli_keep", "cli_lan", "handover",
        "taking", "cli",
    },
    "__main__": {"cli"},
    "__init__": set(),
}  # fmt: skip
"""For each part of the package, the parts it may import. One that is not here has no layer."""

WEB_PARTS = {"web", "app", "lan", "cli"}
WEB_LIBRARIES = {"flask", "flask_wtf", "wtforms", "werkzeug", "cheroot"}
TIMELESS = {"calc", "store", "drawings", "reports", "intake"}
KEY_MAKER = "fieldlog.store.access"  # keys are drawn there, and are no part of the journal
OUTER_WORLD = {
    "asyncio", "http", "importlib", "io", "logging", "os", "pathlib", "random", "secrets",
    "shutil", "socket", "sqlite3", "subprocess", "sys", "tempfile", "threading", "time",
    "urllib", "uuid", "jinja2", *WEB_LIBRARIES,
}  # fmt: skip
CLOCK_CALLS = {"now", "utcnow", "today"}
TIME_CALLS = {"time", "time_ns", "localtime", "gmtime"}
SQL = re.compile(
    r"\bSELECT\s.+\sFROM\b|\bINSERT\s+(OR\s+\w+\s+)?INTO\b|\bUPDATE\s+\w+\s+SET\b"
    r"|\bDELETE\s+FROM\b|\b(CREATE|DROP|ALTER)\s+(TABLE|INDEX|TRIGGER|VIEW)\b|\bPRAGMA\s+\w"
    r"|\bBEGIN\s+(IMMEDIATE|EXCLUSIVE|DEFERRED)\b",
    re.DOTALL,
)
SQL_CALLS = {"execute", "executemany", "executescript"}
INLINE = (
    ("inline script", re.compile(r"<script(?![^>]*\ssrc=)", re.I)),
    ("inline style element", re.compile(r"<style\b", re.I)),
    ("style attribute", re.compile(r"\sstyle\s*=", re.I)),
    ("event attribute", re.compile(r"<[^>]*\son[a-z]+\s*=", re.I)),
    ("javascript: address", re.compile(r"javascript:", re.I)),
)


def part_of(module: str) -> str:
    """`fieldlog.calc.lengths` is in the part `calc`; `fieldlog` itself is `__init__`."""
    return [*module.split("."), "__init__"][1]


def imports_against_the_layers(source: str, module: str) -> Breaches:
    """Imports of a part that the module's layer may not know."""
    part = part_of(module)
    if part not in MAY_IMPORT:
        return [f"{module}: {part} is in no layer: say in MAY_IMPORT what it may import"]
    return [
        f"{module}:{line}: {part} may not import {name}"
        for line, name in _imports(source, module)
        if name.startswith("fieldlog.") and part_of(name) not in MAY_IMPORT[part]
    ]


def sql_outside_store(source: str, module: str) -> Breaches:
    """SQL text, or a statement run, outside store/. Docstrings may speak of it."""
    if part_of(module) == "store":
        return []
    texts = [f"{module}:{line}: SQL text" for line, text in _strings(source) if SQL.search(text)]
    runs = [
        f"{module}:{node.lineno}: runs SQL"
        for node in _nodes(source)
        if isinstance(node, ast.Call) and _called(node) in SQL_CALLS | {"sqlite3.connect"}
    ]
    return texts + runs


def flask_outside_web(source: str, module: str) -> Breaches:
    """Flask and its relations outside web/, app.py and cli.py."""
    if part_of(module) in WEB_PARTS:
        return []
    return [
        f"{module}:{line}: imports {name}"
        for line, name in _imports(source, module)
        if name.split(".")[0] in WEB_LIBRARIES
    ]


def outer_world_in_calc(source: str, module: str) -> Breaches:
    """Files, clocks, randomness, network or floats in calc/."""
    if part_of(module) != "calc":
        return []
    found = [
        f"{module}:{line}: calc imports {name}"
        for line, name in _imports(source, module)
        if name.split(".")[0] in OUTER_WORLD
    ]
    for node in _nodes(source):
        if isinstance(node, ast.Call) and _called(node) in {"open", "print", "input", "float"}:
            found.append(f"{module}:{node.lineno}: calc calls {_called(node)}")
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            found.append(f"{module}:{node.lineno}: calc has the float {node.value}")
    return found


def clock_below_the_edge(source: str, module: str) -> Breaches:
    """A clock read, or an id drawn, where the time and the ids are arguments."""
    if part_of(module) not in TIMELESS or module == KEY_MAKER:
        return []
    found = [
        f"{module}:{line}: imports {name}"
        for line, name in _imports(source, module)
        if name.split(".")[0] in {"random", "secrets", "uuid"}
    ]
    for node in _nodes(source):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            owner = node.func.value.id if isinstance(node.func.value, ast.Name) else ""
            if node.func.attr in CLOCK_CALLS or (owner == "time" and node.func.attr in TIME_CALLS):
                found.append(f"{module}:{node.lineno}: reads a clock")
    return found


def limits_in_python(limits: set[int]) -> Rule:
    """A rule that finds a book's limit (nanometres) as a text such as 7 3/4, or as a number.

    A bare whole number ("4", "36") is no sign of a limit, so it is let through.
    """

    def rule(source: str, module: str) -> Breaches:
        texts = [
            f"{module}:{line}: the limit {text!r}"
            for line, text in _strings(source)
            if re.search(r"[/a-z\"'′″]", text) and _nm(text) in limits
        ]
        numbers = [
            f"{module}:{node.lineno}: the limit {node.value} nm"
            for node in _nodes(source)
            if isinstance(node, ast.Constant) and type(node.value) is int and node.value in limits
        ]
        return texts + numbers

    return rule


def inline_in_template(source: str, name: str) -> Breaches:
    """Script or style written into a page: the page's policy drops it."""
    return [
        f"{name}:{source.count(chr(10), 0, found.start()) + 1}: {what}"
        for what, pattern in INLINE
        for found in pattern.finditer(source)
    ]


@cache
def _nodes(source: str) -> tuple[ast.AST, ...]:
    """Every node of a source; several rules look at each."""
    return tuple(ast.walk(ast.parse(source)))


def _nm(text: str) -> int | None:
    try:
        return parse_length(text.lstrip("<>= "))
    except LengthNotUnderstood:
        return None


def _imports(source: str, module: str) -> Iterator[tuple[int, str]]:
    """Every imported module, and for `from x import y` also x.y, which may be a module."""
    for node in _nodes(source):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = module.split(".")[: -node.level] if node.level else []
            base = ".".join([*above, *([node.module] if node.module else [])])
            if base != "fieldlog":
                yield node.lineno, base
            else:
                yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)


def _strings(source: str) -> Iterator[tuple[int, str]]:
    """String constants that are no docstrings."""
    bare = {
        id(node.value)
        for node in _nodes(source)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in _nodes(source):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in bare:
            yield node.lineno, node.value


def _called(node: ast.Call) -> str:
    """`execute` for any x.execute(...), `sqlite3.connect` in full, `open` for open(...)."""
    if isinstance(node.func, ast.Name):
        return node.func.id
    if not isinstance(node.func, ast.Attribute):
        return ""
    if ast.unparse(node.func) == "sqlite3.connect":
        return "sqlite3.connect"
    return node.func.attr if node.func.attr in SQL_CALLS else ""
