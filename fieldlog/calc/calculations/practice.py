"""What crews go by, from a data file: saw kerf, rough openings, the share that is noticed.

None of it is a limit; each value carries how it was verified and where it was seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from fieldlog.calc.books import VERIFIED
from fieldlog.calc.calculations.numbers import NotUnderstood, number_in
from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of

NEEDED = (
    "noticeable-share",
    "saw-kerf",
    "primer-least",
    "primer-most",
    "lift-least",
    "lift-most",
)
"""Values that calculations ask for by id; a file without one of them refuses to load."""


@dataclass(frozen=True, slots=True)
class Custom:
    """A value crews go by: nm where it is a length, else a plain number."""

    value: Fraction
    says: str
    verified: str
    seen: str

    @property
    def nm(self) -> int:
        """A length in whole nanometres."""
        return round(self.value)


@dataclass(frozen=True, slots=True)
class RoughOpening:
    """Width = `leaves` x leaf width + `width` (least, most), height = leaf + `height`; nm."""

    id: str
    name: str
    leaves: int
    width: tuple[int, int]
    height: tuple[int, int]
    verified: str
    seen: str


@dataclass(frozen=True, slots=True)
class Practice:
    """A file of practice, and the SHA-256 it is known by."""

    values: dict[str, Custom]
    openings: dict[str, RoughOpening]
    source: str
    sha256: str

    def __getitem__(self, id_: str) -> Custom:
        return self.values[id_]

    @classmethod
    def empty(cls) -> Practice:
        """Nothing in it: for calculations that look nothing up."""
        return cls({}, {}, "", "")


class _Value(Strict, frozen=True):
    id: str
    says: str
    kind: Literal["number", "length"]
    value: str
    verified: str
    seen: str


class _Opening(Strict, frozen=True):
    id: str
    name: str
    leaves: int
    width: tuple[str, str]
    height: tuple[str, str]
    verified: str
    seen: str


class _File(Strict, frozen=True):
    source: str
    value: tuple[_Value, ...]
    opening: tuple[_Opening, ...]


def load_practice(text: str, file: str) -> Practice:
    """A practice file. Raises DataFileError, naming file and line.

    Refused are unknown keys, float literals, a value without its source, a doubled id, an id
    of `NEEDED` that is missing, a length or number that can't be read or is not above zero.
    """
    raw = load_strict(text, file, _File)
    _unique(raw, text, file)
    missing = [one for one in NEEDED if one not in {v.id for v in raw.value}]
    if missing or not raw.source.strip():
        why = f"there is no value {missing[0]}" if missing else "source is empty"
        raise DataFileError(file, line_of(text, key="source"), why)
    values = {one.id: _custom(one, n, text, file) for n, one in enumerate(raw.value)}
    openings = {one.id: _opening(one, n, text, file) for n, one in enumerate(raw.opening)}
    return Practice(values, openings, raw.source, sha256_of(text))


def _unique(raw: _File, text: str, file: str) -> None:
    for table, ids in (
        ("value", [one.id for one in raw.value]),
        ("opening", [one.id for one in raw.opening]),
    ):
        for nth, name in enumerate(ids):
            if name in ids[:nth]:
                line = line_of(text, table, nth, "id")
                raise DataFileError(file, line, f'"{name}" is there twice')


def _sourced(raw: _Value | _Opening, table: str, nth: int, text: str, file: str) -> None:
    if raw.verified not in VERIFIED:
        why = f'verified is one of {", ".join(VERIFIED)}, not "{raw.verified}"'
        raise DataFileError(file, line_of(text, table, nth, "verified"), why)
    if not raw.seen.strip():
        raise DataFileError(file, line_of(text, table, nth, "seen"), "seen is empty")


def _custom(raw: _Value, nth: int, text: str, file: str) -> Custom:
    _sourced(raw, "value", nth, text, file)
    try:
        found = Fraction(parse_length(raw.value)) if raw.kind == "length" else number_in(raw.value)
    except (LengthNotUnderstood, NotUnderstood) as err:
        raise DataFileError(file, line_of(text, "value", nth, "value"), str(err)) from err
    if found <= 0:
        line = line_of(text, "value", nth, "value")
        raise DataFileError(file, line, f'"{raw.value}" is not above zero')
    return Custom(found, raw.says, raw.verified, raw.seen)


def _opening(raw: _Opening, nth: int, text: str, file: str) -> RoughOpening:
    _sourced(raw, "opening", nth, text, file)
    if raw.leaves < 1:
        line = line_of(text, "opening", nth, "leaves")
        raise DataFileError(file, line, "leaves is 1 or more")
    width, height = (_range(getattr(raw, key), key, nth, text, file) for key in ("width", "height"))
    return RoughOpening(raw.id, raw.name, raw.leaves, width, height, raw.verified, raw.seen)


def _range(raw: tuple[str, str], key: str, nth: int, text: str, file: str) -> tuple[int, int]:
    line = line_of(text, "opening", nth, key)
    try:
        least, most = (parse_length(one) for one in raw)
    except LengthNotUnderstood as err:
        raise DataFileError(file, line, str(err)) from err
    if not 0 <= least <= most:
        raise DataFileError(file, line, f"{key}: the least first, then the most")
    return least, most
