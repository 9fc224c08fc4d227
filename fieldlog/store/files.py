"""Data files on disk: the sheets, books and instruments that ship, and a house's own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from fieldlog.calc.library import Library, SourceText, build_library
from fieldlog.calc.readiness import Sequence, parse_sequence
from fieldlog.calc.toml_text import DataFileError

PACKAGE = Path(__file__).resolve().parent.parent
_FOLDERS = {"sheets": "sheet", "books": "book", "instruments": "instrument"}
OVERRIDES = "overrides.toml"
ORDER = Path("sequences") / "finish.toml"


def load_library(folder: Path | None = None) -> Library:
    """The library: files that ship, then the house's own, which take the place of namesakes.

    Raises DataFileError, naming file and line.
    """
    return build_library([*_files(PACKAGE), *(_files(folder) if folder else ())])


def order_file(folder: os.PathLike[str] | str) -> Path:
    """The house's own order of trades, or the one that ships."""
    own = Path(folder) / ORDER
    return own if own.is_file() else PACKAGE / ORDER


def load_order(folder: os.PathLike[str] | str) -> Sequence:
    """The order of trades and what each needs. Raises DataFileError, naming file and line."""
    path = order_file(folder)
    return parse_sequence(_text(path), path.name)


def newest_change(folder: Path) -> float:
    """Latest modification time (epoch seconds) of a house's own data files; 0.0 for none.

    Folders count too, so that a removed file is noticed.
    """
    paths = [folder / OVERRIDES, *(folder / name for name in _FOLDERS)]
    paths += [p for name in _FOLDERS for p in (folder / name).glob("*.toml")]
    return max((p.stat().st_mtime for p in paths if p.exists()), default=0.0)


def _files(base: Path) -> Iterator[SourceText]:
    for name, kind in _FOLDERS.items():
        for path in sorted((base / name).glob("*.toml")):
            yield SourceText(kind, path.name, _text(path))
    if (base / "words" / "en.toml").exists():
        yield SourceText("words", "en.toml", _text(base / "words" / "en.toml"))
    if base != PACKAGE and (base / OVERRIDES).exists():
        yield SourceText("overrides", OVERRIDES, _text(base / OVERRIDES))


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as err:
        raise DataFileError(path.name, 1, "is not text in UTF-8") from err
