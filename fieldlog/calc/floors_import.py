"""Files of points: CSV, TXT, XYZ and PLY, into readings in whole nanometers.

Text is sniffed: separator (comma, semicolon, tab, blanks), decimal comma, a header with the
names of columns and perhaps their unit, a first line that is a count. All or nothing: one bad
row refuses the file, unless bad rows are skipped by choice. Files come as bytes; what a file is
shows in its bytes, not in its name.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from fieldlog.calc.floors_ply import ply_points
from fieldlog.calc.floors_rows import (
    BadRow,
    Columns,
    Points,
    PointsRefused,
    is_number,
    is_row,
    named,
    points_of,
)
from fieldlog.calc.floors_survey import Ints
from fieldlog.calc.lengths import UNITS
from fieldlog.calc.typed import short

__all__ = ["BadRow", "Imported", "PointsRefused", "parse_points"]

MAX_BYTES = 250 * 1_000_000
_ARCHIVES = (
    (b"PK\x03\x04", "a zip archive"), (b"PK\x05\x06", "a zip archive"),
    (b"\x1f\x8b", "a gzip archive"), (b"7z\xbc\xaf", "a 7z archive"), (b"Rar!", "a rar archive"),
    (b"%PDF", "a PDF"), (b"\x89PNG", "a picture"), (b"\xff\xd8\xff", "a picture"),
    (b"LASF", "a LAS file"),
)  # fmt: skip
_SAMPLE = 20
_SEPARATORS: tuple[str | None, ...] = (";", "\t", ",", None)
_NAMES = {
    "x": 0, "e": 0, "east": 0, "easting": 0, "y": 1, "n": 1, "north": 1, "northing": 1,
    "z": 2, "h": 2, "height": 2, "elev": 2, "elevation": 2, "level": 2,
}  # fmt: skip
_HEADED = re.compile(r"(?P<name>[a-z]+)[ _]?[(\[]?(?P<unit>[a-z0-9]*)[)\]]?")
_UNIT_NAMES = {"inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "meters": "m"}


class Imported(NamedTuple):
    """A file's points: (n, 3) int64 nm in the file's order; how many rows were skipped, and the
    first of them; the unit of x, y and z (a key of UNITS; of z where they differ)."""

    points: Ints
    skipped: int
    named: tuple[BadRow, ...]
    unit: str


def parse_points(data: bytes, name: str, unit: str = "", skip_bad_rows: bool = False) -> Imported:
    """The points of a file called `name`.

    `unit` (a key of UNITS) holds for x, y and z alike; "" takes the header's, else inches.
    Raises PointsRefused: its `sentence` says what is wrong and, of bad rows, names ten.
    """
    called = f'"{short(name)}"'
    if unit and unit not in UNITS:
        raise PointsRefused(f'No unit "{short(unit)}": use one of {", ".join(UNITS)}.')
    if len(data) > MAX_BYTES:
        raise PointsRefused(f"{called} is larger than {MAX_BYTES // 10**6} MB.")
    for begins, what in _ARCHIVES:
        if data.startswith(begins):
            raise PointsRefused(
                f"{called} is {what}, not a list of points. Unpack or export it first."
            )
    if data[:4].rstrip() == b"ply":
        found, units = ply_points(data, (unit or "in",) * 3), (unit or "in",) * 3
    elif name.lower().endswith(".ply"):
        raise PointsRefused(f'{called} is not a PLY file: it does not begin with "ply".')
    else:
        found, units = _text_points(_decoded(data, called), called, unit)
    return _all_or_nothing(found, called, units[2], skip_bad_rows)


def _all_or_nothing(found: Points, called: str, unit: str, skip_bad_rows: bool) -> Imported:
    if found.count and not skip_bad_rows:
        rows = "1 row is no point" if found.count == 1 else f"{found.count} rows are no points"
        raise PointsRefused(
            f"{called}: {rows}, so nothing was taken. {named(found.bad)}",
            found.bad, found.count,
        )  # fmt: skip
    if not len(found.points):
        raise PointsRefused(f"There are no points in {called}.", found.bad, found.count)
    return Imported(found.points, found.count, tuple(found.bad), unit)


def _decoded(data: bytes, called: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    if b"\0" in data[:4096]:
        raise PointsRefused(f"{called} is not text. Export the points as CSV, XYZ or PLY.")
    return data.decode("utf-8-sig", "replace")


def _text_points(text: str, called: str, unit: str) -> tuple[Points, tuple[str, str, str]]:
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    if "#" in text or "//" in text:
        numbers = [n for n, line in enumerate(lines, start=1) if _is_data(line)]
    else:  # no comments: a million calls saved
        numbers = [n for n, line in enumerate(lines, start=1) if line and not line.isspace()]
    rows = lines if len(numbers) == len(lines) else [lines[n - 1] for n in numbers]
    if not rows:
        raise PointsRefused(f"There are no points in {called}.")
    columns = _sniffed(rows, unit or "in")
    headed = 0 if is_row(columns, rows[0]) else _heading(columns, rows)
    if headed:
        columns = _headed(columns, rows[0], unit)
    return points_of(rows[headed:], numbers[headed:], columns), columns.units


def _heading(columns: Columns, rows: Sequence[str]) -> int:
    """1 where the first row, which is no point, is a header, a title or a count; else 0.

    A row with a number in it is no header: it is a bad row.
    """
    if (count := _count(rows[0])) is not None:
        if count != len(rows) - 1:
            raise PointsRefused(
                f"The first line says {count} points and the file holds {len(rows) - 1}: "
                "is it cut off?"
            )
        return 1
    return 0 if any(is_number(text) for text in columns.fields(rows[0])) else 1


def _is_data(line: str) -> bool:
    bare = line.lstrip()
    return bool(bare) and not bare.startswith(("#", "//"))


def _sniffed(rows: Sequence[str], unit: str) -> Columns:
    """The separator by which most of the first rows are points."""
    best, most = Columns(",", units=(unit,) * 3), 0
    for separator in _SEPARATORS:
        for comma in (False, True) if separator != "," else (False,):
            columns = Columns(separator, units=(unit,) * 3, decimal_comma=comma)
            good = sum(1 for row in rows[:_SAMPLE] if is_row(columns, row))
            if good > most:
                best, most = columns, good
    return best if most else Columns(_separator_in(rows[0]), units=(unit,) * 3)


def _separator_in(row: str) -> str | None:
    return next((s for s in (";", "\t", ",") if s in row), None)


def _count(row: str) -> int | None:
    """A first line that is a number of points, as some scanners write."""
    bare = row.strip()
    return int(bare) if bare.isascii() and bare.isdigit() and len(bare) < 19 else None


def _names(columns: Columns, row: str) -> list[tuple[int, int, str]]:
    """Of a header's columns: its place, whether it is x, y or z, and its unit or ""."""
    found = []
    for place, text in enumerate(columns.fields(row)):
        headed = _HEADED.fullmatch(text.lower())
        if headed and headed["name"] in _NAMES:
            unit = _UNIT_NAMES.get(headed["unit"], headed["unit"])
            found.append((place, _NAMES[headed["name"]], unit if unit in UNITS else ""))
    return found


def _headed(columns: Columns, row: str, unit: str) -> Columns:
    """The columns as a header names them. Raises PointsRefused where its unit is another."""
    axes = {axis: (place, said) for place, axis, said in reversed(_names(columns, row))}
    if set(axes) != {0, 1, 2}:
        return columns
    said = {axes[axis][1] for axis in axes} - {""}
    if unit and said - {unit}:
        raise PointsRefused(
            f"The header says {' and '.join(sorted(said))}, and {unit} was chosen. Which is it?"
        )
    x, y, z = axes[0], axes[1], axes[2]
    units = tuple(given or unit or "in" for _, given in (x, y, z))
    return Columns(
        columns.separator, (x[0], y[0], z[0]), (units[0], units[1], units[2]),
        columns.decimal_comma,
    )  # fmt: skip
