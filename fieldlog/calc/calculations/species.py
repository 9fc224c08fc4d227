"""Wood species and the lifting constant: data files with a source for every value.

`movement` values are dimensional change coefficients: the share by which a board's width
changes for each point of moisture content, valid from 6 to 14 %. `gravity` is the specific
gravity of wood whose volume is measured at 12 % moisture content, its weight oven-dry.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.books import VERIFIED
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of


@dataclass(frozen=True, slots=True)
class Looked:
    """A value looked up: exact as printed, how it was verified, where it was seen."""

    value: Fraction
    verified: str
    seen: str


@dataclass(frozen=True, slots=True)
class Species:
    """A species or trade group. What is not known is None."""

    id: str
    name: str
    also: tuple[str, ...]
    gravity: Looked | None
    radial: Looked | None
    tangential: Looked | None


@dataclass(frozen=True, slots=True)
class Wood:
    """A species file: its species, where its numbers come from, water's weight in lb/ft3."""

    species: dict[str, Species]
    water: Looked
    source: str
    sha256: str

    def find(self, typed: str, name: str = "species") -> Species:
        """The species by its id, name or other name. Raises InputsRefused at input `name`."""
        asked = re.sub(r"[\s_-]+", "-", typed.strip().lower())
        for one in self.species.values():
            if asked in (one.id, *one.also, re.sub(r"\W+", "-", one.name.lower()).strip("-")):
                return one
        known = tuple(self.species)
        near = tuple(k for k in known if asked and (asked in k or k.split("-")[-1] in asked))
        why = f'No species "{typed.strip()[:40]}". There are: {", ".join(known)}.'
        raise refused(name, why, near)


@dataclass(frozen=True, slots=True)
class Lifting:
    """The most that one person should lift in the best of conditions, lb, and its source."""

    most_lb: Looked
    source: str
    sha256: str


class _Value(Strict, frozen=True):
    value: str
    verified: str
    seen: str


class _Species(Strict, frozen=True):
    id: str
    name: str
    also: tuple[str, ...] = ()
    gravity: _Value | None = None
    radial: _Value | None = None
    tangential: _Value | None = None


class _WoodFile(Strict, frozen=True):
    source: str
    water_lb_ft3: _Value
    species: tuple[_Species, ...]


class _LiftingFile(Strict, frozen=True):
    source: str
    most_lb: _Value


def load_wood(text: str, file: str) -> Wood:
    """A species file. Raises DataFileError, naming file and line.

    Refused are unknown keys, float literals, a value without its source, a doubled id or name,
    a coefficient that is no plain decimal above zero.
    """
    raw = load_strict(text, file, _WoodFile)
    _filled("source", raw.source, text, file)
    found: dict[str, Species] = {}
    names: set[str] = set()
    for nth, one in enumerate(raw.species):
        if not re.fullmatch(r"[a-z][a-z-]*", one.id):
            why = f'id "{one.id}": small letters and hyphens'
            raise DataFileError(file, line_of(text, "species", nth, "id"), why)
        for name in (one.id, *one.also):
            if name in names:
                why = f'"{name}" is there twice'
                raise DataFileError(file, line_of(text, "species", nth, "id"), why)
            names.add(name)
        found[one.id] = _species(one, nth, text, file)
    return Wood(found, _water(raw, text, file), raw.source, sha256_of(text))


def load_lifting(text: str, file: str) -> Lifting:
    """The lifting constant. Raises DataFileError."""
    raw = load_strict(text, file, _LiftingFile)
    _filled("source", raw.source, text, file)
    return Lifting(_looked(raw.most_lb, text, file, "", 0, "most_lb"), raw.source, sha256_of(text))


def _water(raw: _WoodFile, text: str, file: str) -> Looked:
    return _looked(raw.water_lb_ft3, text, file, "", 0, "water_lb_ft3")


def _species(raw: _Species, nth: int, text: str, file: str) -> Species:
    looked = {
        key: _looked(value, text, file, "species", nth, key) if value else None
        for key in ("gravity", "radial", "tangential")
        for value in (getattr(raw, key),)
    }
    if not any(looked.values()):
        why = f'"{raw.id}" has no value'
        raise DataFileError(file, line_of(text, "species", nth, "id"), why)
    return Species(raw.id, raw.name, raw.also, **looked)


def _looked(raw: _Value, text: str, file: str, table: str, nth: int, key: str) -> Looked:
    line = line_of(text, table, nth, key)
    if not re.fullmatch(r"\d+(\.\d+)?", raw.value, re.ASCII) or not Fraction(raw.value):
        raise DataFileError(file, line, f'{key}: "{raw.value}" is no decimal above zero')
    if raw.verified not in VERIFIED:
        why = f'{key}: verified is one of {", ".join(VERIFIED)}, not "{raw.verified}"'
        raise DataFileError(file, line, why)
    if not raw.seen.strip():
        raise DataFileError(file, line, f"{key}: seen is empty")
    return Looked(Fraction(raw.value), raw.verified, raw.seen)


def _filled(key: str, value: str, text: str, file: str) -> None:
    if not value.strip():
        raise DataFileError(file, line_of(text, key=key), f"{key} is empty")


__all__ = ["Lifting", "Looked", "Species", "Wood", "load_lifting", "load_wood"]
