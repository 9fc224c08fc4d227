"""What named calculations look things up in: the library, and the species files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fieldlog.calc.calculations import Reference
from fieldlog.calc.calculations.practice import Practice, load_practice
from fieldlog.calc.calculations.species import Wood, load_lifting, load_wood
from fieldlog.calc.library import Library
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.files import PACKAGE, load_library

FOLDER, WOOD, LIFTING = "species", "wood.toml", "lifting.toml"
PRACTICE = Path("practice") / "finish.toml"


def load_reference(folder: Path | None = None, library: Library | None = None) -> Reference:
    """The library of a house, the species that ship and the house's own (its
    `species/wood.toml`, whose species take the place of namesakes), the lifting constant,
    and what crews go by (the house's own `practice/finish.toml`, or the one that ships).
    A `library` that is loaded already is taken as it is.

    Raises DataFileError, naming file and line.
    """
    shipped = PACKAGE / FOLDER
    wood = _wood(shipped / WOOD)
    own = folder / FOLDER / WOOD if folder else None
    if own and own.exists():
        wood = replace(wood, species=wood.species | _wood(own).species)
    lifting = load_lifting(_text(shipped / LIFTING), LIFTING)
    return Reference(library or load_library(folder), wood, lifting, _practice(folder))


def _practice(folder: Path | None) -> Practice:
    own = folder / PRACTICE if folder else None
    path = own if own and own.exists() else PACKAGE / PRACTICE
    return load_practice(_text(path), path.name)


def _wood(path: Path) -> Wood:
    return load_wood(_text(path), path.name)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as err:
        raise DataFileError(path.name, 1, "is not text in UTF-8") from err
