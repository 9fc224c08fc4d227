"""What named calculations look things up in: the library, and the species files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fieldlog.calc.calculations import Reference
from fieldlog.calc.calculations.practice import Practice, load_practice
from fieldlog.calc.calculations.species import Wood, load_lifting, load_wood
from fieldlog.calc.library import Library
from fieldlog.store.data_text import text_of
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
    lifting = load_lifting(text_of(shipped / LIFTING), LIFTING)
    return Reference(library or load_library(folder), wood, lifting, _practice(folder))


def _practice(folder: Path | None) -> Practice:
    own = folder / PRACTICE if folder else None
    path = own if own and own.exists() else PACKAGE / PRACTICE
    return load_practice(text_of(path), path.name)


def _wood(path: Path) -> Wood:
    return load_wood(text_of(path), path.name)
