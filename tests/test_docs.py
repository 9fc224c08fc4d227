"""The docs name what there is: every command, option, setting, data file and path."""

from __future__ import annotations

import argparse
import re
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from datetime import datetime
from html import escape
from pathlib import Path

import pytest

from fieldlog.app import create_app
from fieldlog.calc.books import load_book, load_overrides
from fieldlog.calc.house import House, Room, Story, Trade
from fieldlog.calc.ids import new_id
from fieldlog.calc.library import Library, SourceText, build_library
from fieldlog.calc.sheets import load_sheet
from fieldlog.config import Config
from fieldlog.intake import start_house
from fieldlog.store.files import load_library, load_limit_tables

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
PATH = re.compile(r"`((?:fieldlog|tests|templates|static|seed_data|\.ci)/[\w./-]*)`")


def missing_paths(text: str) -> list[str]:
    """Paths named in a text that the tree does not have."""
    return [path for path in PATH.findall(text) if not (ROOT / path).exists()]


def toml_examples(text: str) -> dict[str, str]:
    """The README's TOML blocks, by their top comment or first table."""
    blocks = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    return {block.split("\n")[0].strip("#[] "): block for block in blocks}


def commands() -> Iterator[str]:
    """Every command of the command line."""
    from fieldlog.cli import parser

    for action in parser()._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices


def test_every_path_named_for_developers_exists() -> None:
    assert len(PATH.findall(DEVELOPERS)) > 20
    assert not missing_paths(DEVELOPERS)
    assert not missing_paths(README)


def test_a_path_that_is_not_there_is_caught() -> None:
    assert missing_paths("see `fieldlog/calc/nowhere.py`") == ["fieldlog/calc/nowhere.py"]


def test_every_part_of_the_package_is_in_the_layer_table() -> None:
    package = ROOT / "fieldlog"
    parts = {f"fieldlog/{p.name}/" for p in package.iterdir() if (p / "__init__.py").exists()}
    parts |= {f"fieldlog/{p.name}" for p in package.glob("*.py") if not p.name.startswith("__")}
    assert {part for part in parts if part not in DEVELOPERS} == set()


def test_every_dependency_has_its_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    named = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = [re.split(r"[<>=]", one)[0] for one in named]
    assert [name for name in names if name not in DEVELOPERS] == []


def test_every_command_is_in_the_readme() -> None:
    found = list(commands())
    assert {"demo", "new", "serve", "judge", "report", "verify", "export"} <= set(found)
    assert [c for c in found if f"| `{c}` |" not in README] == []


def test_every_setting_is_described_where_it_is_made() -> None:
    from fieldlog import config

    source = Path(config.__file__).read_text()
    described = f"{config.Config.__doc__}\n{source}"
    assert [f.name for f in fields(config.Config) if f"{f.name}: " not in described] == []


def test_the_two_set_up_commands_stand_in_the_readme() -> None:
    assert "python3 -m venv .venv && .venv/bin/pip install -q -e . && .venv/bin/fieldlog demo" in (
        README.splitlines()
    )
    marked = README.split("<!-- ci:test -->\n```\n")[1].splitlines()[0]
    assert marked == (
        "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && .venv/bin/pytest"
    )


def test_the_readmes_check_and_override_load_as_they_stand() -> None:
    examples = toml_examples(README)
    sheet, book = examples["sheets/hearth.toml"], examples["books/hearth.toml"]
    packaged = load_library(None)
    texts = [SourceText("sheet", "hearth.toml", sheet), SourceText("book", "b.toml", book)]
    both = build_library([*packaged.sources.values(), *texts])
    assert load_sheet(sheet, "hearth.toml").id in both.sheets
    assert both.bound[load_book(book, "b.toml").id]
    overridden = load_overrides(examples["override"], "overrides.toml")
    known = {rule.id for one in packaged.books.values() for rule in one.rules}
    assert {one.rule for one in overridden} <= known


def test_the_codes_page_has_every_book_limit_and_tool(tmp_path: Path, now: datetime) -> None:
    library = load_library(None)
    house = House(
        name="Mill cottage", zone="America/Chicago", superintendent="Wren",
        stories=(Story("main", "Main floor"),), rooms=(Room("hall", "Hall", "main"),),
        trades=(Trade("stair", "Stair crew"),), books=tuple(library.books),
        instruments=tuple(library.instruments),
    )  # fmt: skip
    start_house(tmp_path, house, now, new_id(now, bytes(10)))
    app = create_app(Config(folder=tmp_path, clock=lambda: now, testing=True))
    page = app.test_client().get("/codes", base_url="http://127.0.0.1").get_data(as_text=True)
    rules = {rule.id for book in library.books.values() for rule in book.rules}
    assert rules - set(re.findall(r'id="([^"]+)"', page)) == set()
    titled = [*library.books.values(), *(library.sheet(r) for r in sheets_with_limits(library))]
    assert [one.title for one in titled if escape(one.title) not in page] == []
    assert [t.name for t in library.instruments.values() if escape(t.name) not in page] == []


def sheets_with_limits(library: Library) -> set[str]:
    """Ids of the sheets that a packaged book limits."""
    return {rule.sheet for book in library.books.values() for rule in book.rules}


@pytest.mark.parametrize("what", ["sheets", "books", "instruments"])
def test_every_data_file_loads(what: str) -> None:
    ids = {tomllib.loads(p.read_text())["id"] for p in (ROOT / "fieldlog" / what).glob("*.toml")}
    assert ids
    if what == "books":  # and one for each row of a table by distance that names one
        ids |= {row.book for t in load_limit_tables().values() for row in t.rows if row.book}
    assert ids == set(getattr(load_library(None), what))


def rows_of_table(first_column: str) -> set[str]:
    """First cells of the DEVELOPERS table whose first column is headed so."""
    table = DEVELOPERS[DEVELOPERS.index(f"\n| {first_column} |") :].split("\n\n")[0]
    return {line.split("|")[1].strip().strip("`") for line in table.strip().split("\n")[2:]}


def test_the_transition_table_is_published_as_it_is() -> None:
    from fieldlog.calc.items import TABLE

    for row in TABLE:
        cells = (
            row.act, ", ".join(row.roles), ", ".join(row.states), row.to or "stays",
            ", ".join(row.needs), row.says,
        )  # fmt: skip
        assert "| " + " | ".join(cells) + " |" in DEVELOPERS
    assert rows_of_table("act") == {row.act for row in TABLE}


def test_every_entry_type_and_function_is_published() -> None:
    from fieldlog.calc.entries import BODIES
    from fieldlog.calc.functions import FUNCTIONS

    assert rows_of_table("type") == set(BODIES)
    assert {call.split("(")[0] for call in rows_of_table("function")} == set(FUNCTIONS)
