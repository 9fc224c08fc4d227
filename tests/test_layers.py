"""The tree keeps its layers, and each check here would catch a source that does not."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldlog.store.files import load_library
from tests.source_rules import (
    Rule,
    clock_below_the_edge,
    flask_outside_web,
    imports_against_the_layers,
    inline_in_template,
    limits_in_python,
    outer_world_in_calc,
    part_of,
    sql_outside_store,
)

ROOT = Path(__file__).parent.parent
SOURCES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted((ROOT / "fieldlog").rglob("*.py"))
}
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
# Readings that were invented for the demo's house, and the signs a keyboard has for fractions.
MAY_NAME_LENGTHS = {"fieldlog.demo", "fieldlog.calc.typed", "fieldlog.calc.tape"}
# A report that is mailed as one file carries its styles in itself; no browser policy is there.
STANDALONE = "templates/reports/frame.html"


def limits() -> set[int]:
    """Every length that a packaged book limits something to, in nanometres."""
    rules = [rule for book in load_library(None).bound.values() for rule in book]
    return {nm for rule in rules for nm in (rule.limit_nm, rule.gauge_nm) if nm}


NO_LIMITS = {("fieldlog.web.room_outline", "the limit '25 mm'")}
"""Lengths that are a limit's by chance: what the form proposes for the radius of a rod."""

RULES: dict[str, Rule] = {
    "layers": imports_against_the_layers,
    "sql": sql_outside_store,
    "flask": flask_outside_web,
    "pure calc": outer_world_in_calc,
    "clock": clock_below_the_edge,
}


@pytest.mark.parametrize("rule", RULES)
def test_every_source_keeps_the_rule(rule: str) -> None:
    breaches = [
        b for module, path in SOURCES.items() for b in RULES[rule](path.read_text(), module)
    ]
    assert not breaches, "\n".join(breaches)


def test_no_limit_of_a_book_is_written_in_python() -> None:
    rule = limits_in_python(limits())
    breaches = [
        breach
        for module, path in SOURCES.items()
        if not any(module == m or module.startswith(f"{m}.") for m in MAY_NAME_LENGTHS)
        for breach in rule(path.read_text(), module)
        if (module, breach.partition(": ")[2]) not in NO_LIMITS
    ]
    assert not breaches, "\n".join(breaches)


def test_no_template_has_inline_script_or_style() -> None:
    assert TEMPLATES
    found = [
        breach
        for path in TEMPLATES
        for breach in inline_in_template(path.read_text(), path.relative_to(ROOT).as_posix())
    ]
    inlined = [b for b in found if b.startswith(STANDALONE) and b.endswith("style element")]
    assert len(inlined) <= 1
    breaches = set(found) - set(inlined)
    assert not breaches, "\n".join(sorted(breaches))


BREAKS = [
    ("layers", "fieldlog.calc.x", "import fieldlog.store.db"),
    ("layers", "fieldlog.calc.x", "from fieldlog import store"),
    ("layers", "fieldlog.calc.x", "from ..store import db"),
    ("layers", "fieldlog.calc.x", "def f():\n    from fieldlog.web import forms"),
    ("layers", "fieldlog.store.x", "from fieldlog.intake import record"),
    ("layers", "fieldlog.reports.x", "from fieldlog.web.request import now"),
    ("layers", "fieldlog.drawings", "from fieldlog.store import reading"),
    ("layers", "fieldlog.intake", "from fieldlog.reports import facts"),
    ("layers", "fieldlog.web.x", "from fieldlog.app import create_app"),
    ("layers", "fieldlog.newcomer", "import re"),
    ("sql", "fieldlog.web.x", 'q = "SELECT a FROM b"'),
    ("sql", "fieldlog.reports.x", 'q = f"INSERT OR REPLACE INTO {t} VALUES (1)"'),
    ("sql", "fieldlog.intake", "def f(conn):\n    conn.execute(statement)"),
    ("sql", "fieldlog.cli", 'import sqlite3\nsqlite3.connect("x")'),
    ("flask", "fieldlog.reports.x", "from flask import render_template"),
    ("flask", "fieldlog.intake", "import wtforms.fields"),
    ("flask", "fieldlog.demo.x", "from cheroot.wsgi import Server"),
    ("pure calc", "fieldlog.calc.x", "import os.path"),
    ("pure calc", "fieldlog.calc.x", "from random import random"),
    ("pure calc", "fieldlog.calc.x", "def f():\n    import time"),
    ("pure calc", "fieldlog.calc.x", 'open("x")'),
    ("pure calc", "fieldlog.calc.x", "half = 0.5"),
    ("pure calc", "fieldlog.calc.x", 'float("1")'),
    ("clock", "fieldlog.calc.x", "import datetime\ndatetime.datetime.now()"),
    ("clock", "fieldlog.store.x", "from datetime import date\ndate.today()"),
    ("clock", "fieldlog.reports.x", "import time\ntime.time()"),
    ("clock", "fieldlog.intake", "from uuid import uuid4"),
]

KEEPS = [
    ("layers", "fieldlog.web.x", "from fieldlog.store import reading\nfrom fieldlog import intake"),
    ("layers", "fieldlog.calc.x", "from fieldlog.calc.lengths import parse_length\nimport re"),
    ("sql", "fieldlog.store.x", 'conn.execute("SELECT a FROM b")'),
    ("sql", "fieldlog.web.x", '"""SELECT a FROM b."""\nq = "Select a room from the list"'),
    ("flask", "fieldlog.web.x", "from flask import Blueprint"),
    ("pure calc", "fieldlog.calc.x", "from fractions import Fraction\nhalf = Fraction(1, 2)"),
    ("pure calc", "fieldlog.store.x", "import os"),
    ("clock", "fieldlog.web.x", "from datetime import datetime\ndatetime.now()"),
    ("clock", "fieldlog.store.x", "def f(now):\n    return now.isoformat()"),
]


@pytest.mark.parametrize(("rule", "module", "source"), BREAKS)
def test_a_breach_is_caught(rule: str, module: str, source: str) -> None:
    assert RULES[rule](source, module)


@pytest.mark.parametrize(("rule", "module", "source"), KEEPS)
def test_what_is_allowed_is_not_taken_for_a_breach(rule: str, module: str, source: str) -> None:
    assert not RULES[rule](source, module)


@pytest.mark.parametrize(
    "source",
    ['top = "7 3/4"', 'top = "<= 7 3/4 in"', "top = 196_850_000", "f'{x}'; y = '7-3/4\"'"],
)
def test_a_limit_in_python_is_caught(source: str) -> None:
    assert limits_in_python({196_850_000})(source, "fieldlog.calc.x")


@pytest.mark.parametrize(
    "source", ['"""At most 7 3/4 in."""', 'say = "as in 7 3/4"', 'n = "4"', 'x = "7 5/8"']
)
def test_a_sentence_or_another_length_is_no_limit(source: str) -> None:
    assert not limits_in_python({196_850_000, 101_600_000})(source, "fieldlog.calc.x")


@pytest.mark.parametrize(
    "source",
    [
        "<script>alert(1)</script>",
        "<style>b{}</style>",
        '<p style="color:red">',
        '<a href="#" onclick="x()">',
        '<a href="javascript:x()">',
    ],
)
def test_inline_script_and_style_are_caught(source: str) -> None:
    assert inline_in_template(f"<p>\n{source}", "made-up.html")[0].startswith("made-up.html:2:")


def test_a_linked_script_is_no_inline_script() -> None:
    source = '<script type="module" src="/static/js/keys.js"></script><p class="on-site">'
    assert not inline_in_template(source, "made-up.html")


def test_the_books_have_limits_to_look_for() -> None:
    assert len(limits()) > 10


def test_every_part_of_the_tree_is_seen() -> None:
    assert {"calc", "store", "web", "reports", "drawings"} <= {part_of(m) for m in SOURCES}
