"""Data files on disk: the sheets, books and instruments that ship, and a house's own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from fieldlog.calc.floors_limit_books import books_of
from fieldlog.calc.floors_limits import LimitTable, load_limit_table
from fieldlog.calc.levelling import Allowance, load_allowances
from fieldlog.calc.library import Library, SourceText, build_library
from fieldlog.calc.trade_order import Sequence, parse_sequence
from fieldlog.calc.words import load_words
from fieldlog.store.data_text import text_of, toml_files

PACKAGE = Path(__file__).resolve().parent.parent
_FOLDERS = {"sheets": "sheet", "books": "book", "instruments": "instrument"}
LIMITS, CLOSING = "limits", "levelling.toml"
"""Tables of limits that grow with distance, each row a book; and how far a run may miss."""
PLAN_WORDS = "en-floor-plans.toml"
OVERRIDES = "overrides.toml"
ORDER = Path("sequences") / "finish.toml"
LIBRARY_FOLDERS = (*_FOLDERS, LIMITS, "words")
OWN_DATA = (*LIBRARY_FOLDERS, "products", "sequences", "species", "practice", OVERRIDES)
"""Where in its folder a house may have data files of its own: what a backup takes along."""


def load_library(folder: Path | None = None) -> Library:
    """The library: files that ship, then the house's own, which take the place of namesakes.

    Raises DataFileError, naming file and line.
    """
    return _built((*_files(PACKAGE), *(_files(folder) if folder else ())))


@lru_cache(maxsize=4)  # the same texts make the same library, and reading them is most of the work
def _built(files: tuple[SourceText, ...]) -> Library:
    return build_library(files)


def order_file(folder: os.PathLike[str] | str) -> Path:
    """The house's own order of trades, or the one that ships."""
    own = Path(folder) / ORDER
    return own if own.is_file() else PACKAGE / ORDER


def load_order(folder: os.PathLike[str] | str) -> Sequence:
    """The order of trades and what each needs. Raises DataFileError, naming file and line."""
    path = order_file(folder)
    return parse_sequence(text_of(path), path.name)


def load_limit_tables(folder: Path | None = None) -> dict[str, LimitTable]:
    """Limits that grow with distance, by id. Raises DataFileError, naming file and line."""
    bases = (PACKAGE, *((folder,) if folder else ()))
    found = (one for base in bases for _, one in _tables(base))
    return {table.id: table for table in found}


def load_closings(folder: Path | None = None) -> dict[str, Allowance]:
    """How far a levelling run may miss, by id: the house's own list, or the one that ships.

    Raises DataFileError, naming file and line.
    """
    own = folder / LIMITS / CLOSING if folder else None
    path = own if own and own.is_file() else PACKAGE / LIMITS / CLOSING
    return load_allowances(text_of(path), path.name)


def load_plan_words() -> dict[str, str]:
    """Sentences of a floor's plans, by name."""
    path = PACKAGE / "words" / PLAN_WORDS
    return load_words(text_of(path), path.name)


def _files(base: Path) -> Iterator[SourceText]:
    for name, kind in _FOLDERS.items():
        for path in toml_files(base / name):
            yield SourceText(kind, path.name, text_of(path))
    for file, table in _tables(base):
        yield from books_of(table, file)
    if (base / "words" / "en.toml").exists():
        yield SourceText("words", "en.toml", text_of(base / "words" / "en.toml"))
    if base != PACKAGE and (base / OVERRIDES).exists():
        yield SourceText("overrides", OVERRIDES, text_of(base / OVERRIDES))


def _tables(base: Path) -> Iterator[tuple[str, LimitTable]]:
    for path in toml_files(base / LIMITS):
        if path.name != CLOSING:
            yield path.name, load_limit_table(text_of(path), path.name)
