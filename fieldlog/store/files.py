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
from fieldlog.calc.toml_text import DataFileError
from fieldlog.calc.trade_order import Sequence, parse_sequence
from fieldlog.calc.words import load_words

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
    return parse_sequence(_text(path), path.name)


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
    return load_allowances(_text(path), path.name)


def load_plan_words() -> dict[str, str]:
    """Sentences of a floor's plans, by name."""
    path = PACKAGE / "words" / PLAN_WORDS
    return load_words(_text(path), path.name)


def newest_change(folder: Path) -> float:
    """Latest modification time (epoch seconds) of a house's own data files; 0.0 for none.

    Folders count too, so that a removed file is noticed.
    """
    names = (*_FOLDERS, LIMITS)
    paths = [folder / OVERRIDES, *(folder / name for name in names)]
    paths += [p for name in names for p in (folder / name).glob("*.toml")]
    return max((p.stat().st_mtime for p in paths if p.exists()), default=0.0)


def _files(base: Path) -> Iterator[SourceText]:
    for name, kind in _FOLDERS.items():
        for path in sorted((base / name).glob("*.toml")):
            yield SourceText(kind, path.name, _text(path))
    for file, table in _tables(base):
        yield from books_of(table, file)
    if (base / "words" / "en.toml").exists():
        yield SourceText("words", "en.toml", _text(base / "words" / "en.toml"))
    if base != PACKAGE and (base / OVERRIDES).exists():
        yield SourceText("overrides", OVERRIDES, _text(base / OVERRIDES))


def _tables(base: Path) -> Iterator[tuple[str, LimitTable]]:
    for path in sorted((base / LIMITS).glob("*.toml")):
        if path.name != CLOSING:
            yield path.name, load_limit_table(_text(path), path.name)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as err:
        raise DataFileError(path.name, 1, "is not text in UTF-8") from err
