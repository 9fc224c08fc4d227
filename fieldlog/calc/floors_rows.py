"""Rows of text into points: fast where every row is plain numbers, row by row where one is not.

A number is a decimal in the file's unit, or what a person would write on a tape: 3/16,
7 1/2, 12'-6" (`lengths.parse_length`). A row that is not three such numbers is bad: the first
ten are named by their line in the file, all are counted.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache

import numpy as np

from fieldlog.calc.floors_passes import Floats
from fieldlog.calc.floors_survey import MAX_NM, Ints, SurveyNotUsable
from fieldlog.calc.lengths import UNITS, LengthNotUnderstood, parse_length
from fieldlog.calc.typed import short

NAMED = 10
_PIECE = 1 << 14
_FEW = 128  # rows that are read one by one rather than halved again
_HOPELESS = 1000  # so many bad rows, and more than half of those read: the wrong file

_DECIMAL = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_ON_A_TAPE = re.compile(r"[-+0-9 ./'\"’”′″a-z]+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that is no point: its line in the file (from 1; a point's number in a binary file)
    and why, without a full stop."""

    line: int
    why: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.why}"


class PointsRefused(SurveyNotUsable):
    """A file of points that is not taken. `sentence` says why; `bad` names the first rows,
    `count` is how many are bad (0 where the file as a whole is the trouble)."""

    def __init__(self, sentence: str, bad: Sequence[BadRow] = (), count: int = 0) -> None:
        super().__init__(sentence)
        self.bad = tuple(bad)
        self.count = count


@dataclass(frozen=True, slots=True)
class Columns:
    """How a row is read: its separator (None: blanks), which columns are x, y and z, the unit
    of each (a key of UNITS), and whether decimals have a comma."""

    separator: str | None
    places: tuple[int, int, int] = (0, 1, 2)
    units: tuple[str, str, str] = ("in", "in", "in")
    decimal_comma: bool = False

    def fields(self, line: str) -> list[str]:
        """The fields of a line, without blanks and quotes around them."""
        if self.decimal_comma:
            line = line.replace(",", ".")
        return [_bare(part) for part in line.split(self.separator)]


@dataclass(slots=True)
class Points:
    """What came of the rows: points in nm, and the rows that are none."""

    points: Ints
    bad: list[BadRow] = field(default_factory=list)
    count: int = 0

    def note(self, row: BadRow) -> None:
        """Count a bad row, and name it where it is among the first."""
        self.count += 1
        if len(self.bad) < NAMED:
            self.bad.append(row)


def points_of(lines: Sequence[str], numbers: Sequence[int], columns: Columns) -> Points:
    """Rows as points; `numbers` are their lines in the file. Raises PointsRefused for a file
    with so many bad rows that it is the wrong one."""
    result = Points(np.empty((0, 3), dtype=np.int64))
    found = [result.points]
    for start, stop in _pieces(len(lines)):
        found += _piece(lines[start:stop], numbers[start:stop], columns, result)
        if result.count > _HOPELESS and 2 * result.count > stop:
            raise _wrong_file(result, stop)
    result.points = np.concatenate(found)
    return result


def _pieces(count: int) -> Iterator[tuple[int, int]]:
    yield from ((start, min(start + _PIECE, count)) for start in range(0, count, _PIECE))


def _piece(
    lines: Sequence[str], numbers: Sequence[int], columns: Columns, result: Points
) -> list[Ints]:
    """The points of some rows, in order: at once where all are plain numbers, else by halves,
    so that one bad row in a million costs no more than the rows around it."""
    plain = _plain_numbers(lines, columns)
    if plain is not None:
        return [_from_floats(plain, numbers, columns.units, result)]
    if len(lines) > _FEW:
        half = len(lines) // 2
        return [
            *_piece(lines[:half], numbers[:half], columns, result),
            *_piece(lines[half:], numbers[half:], columns, result),
        ]
    found: list[tuple[int, int, int]] = []
    for number, line in zip(numbers, lines, strict=True):
        try:
            found.append(_point(columns, line))
        except _NotAPoint as err:
            result.note(BadRow(number, str(err)))
    return [np.array(found, dtype=np.int64).reshape(-1, 3)]


def from_floats(values: Floats, numbers: Sequence[int], units: tuple[str, str, str]) -> Points:
    """Points of numbers in their units (n, 3); those that are none, or far off, are bad."""
    result = Points(np.empty((0, 3), dtype=np.int64))
    result.points = _from_floats(values, numbers, units, result)
    return result


def _from_floats(
    values: Floats, numbers: Sequence[int], units: tuple[str, str, str], result: Points
) -> Ints:
    with np.errstate(over="ignore", invalid="ignore"):
        nm = np.rint(values * np.array([UNITS[unit] for unit in units]))
        sound = (np.abs(nm) <= MAX_NM).all(axis=1)
    unsound = np.flatnonzero(~sound).tolist()
    for row in unsound[:NAMED]:
        result.note(BadRow(numbers[row], _why_not(values[row])))
    result.count += len(unsound[NAMED:])
    points: Ints = np.where(sound[:, None], nm, 0).astype(np.int64)[sound]
    return points


def _why_not(row: Floats) -> str:
    if np.isfinite(row).all():
        return "is more than 1 km from zero"
    return "has no number in it" if np.isnan(row).any() else "has a number without end"


def _plain_numbers(lines: Sequence[str], columns: Columns) -> Floats | None:
    """All rows as floats (n, 3); None where one is not three plain numbers."""
    if not lines:
        return np.empty((0, 3))
    rows: Sequence[str] | Iterator[str] = lines
    if columns.decimal_comma:
        rows = (line.replace(",", ".") for line in lines)
    try:
        values: Floats = np.loadtxt(
            rows, delimiter=columns.separator, usecols=columns.places, comments=None, ndmin=2,
            quotechar='"',
        )  # fmt: skip
    except ValueError:
        return None
    # a quote that was left open swallows line ends: the rows are then no longer the lines
    return values if len(values) == len(lines) else None


class _NotAPoint(ValueError):
    """A row is no point; says why."""


def _point(columns: Columns, line: str) -> tuple[int, int, int]:
    fields = columns.fields(line)
    if len(fields) <= max(columns.places):
        few = sum(1 for part in fields if part)
        raise _NotAPoint(f"has {few} value{'' if few == 1 else 's'}; x, y and z are three")
    x, y, z = (
        _whole(_nm(fields[place], unit))
        for place, unit in zip(columns.places, columns.units, strict=True)
    )
    return x, y, z


def _whole(nm: int | str) -> int:
    if isinstance(nm, str):
        raise _NotAPoint(nm)
    return nm


@lru_cache(maxsize=4096)
def _nm(text: str, unit: str) -> int | str:
    """One field in nm, to the nearest, or why it is none: a bad one often comes again."""
    if _DECIMAL.fullmatch(text):
        nm = Decimal(text) * UNITS[unit]
        if abs(nm) > MAX_NM:
            return f'"{short(text)}" is more than 1 km from zero'
        return int(nm.to_integral_value())
    if not text:
        return "has an empty value"
    if not _ON_A_TAPE.fullmatch(text) or not any(c.isdigit() for c in text):
        return f'"{short(text)}" is no number'
    try:
        return parse_length(text, unit)
    except LengthNotUnderstood as err:
        return err.reason.rstrip(".")


def _bare(text: str) -> str:
    bare = text.strip()
    if len(bare) > 1 and bare[0] == bare[-1] == '"':
        return bare[1:-1].strip()
    return bare


def is_row(columns: Columns, line: str) -> bool:
    """Whether a line is a point in these columns."""
    try:
        _point(columns, line)
    except _NotAPoint:
        return False
    return True


def is_number(text: str) -> bool:
    """Whether a field is a plain number."""
    return _DECIMAL.fullmatch(text) is not None


def _wrong_file(result: Points, done: int) -> PointsRefused:
    return PointsRefused(
        f"{result.count} of the first {done} rows are no points: is this the right file? "
        + named(result.bad),
        result.bad, result.count,
    )  # fmt: skip


def named(bad: Sequence[BadRow]) -> str:
    """The named rows as a sentence."""
    return f"The first: {'; '.join(str(row) for row in bad)}."
