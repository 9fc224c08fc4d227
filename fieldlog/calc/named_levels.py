"""What the named functions of expressions do with a floor's levels: gaps, range, F-numbers."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from fieldlog.calc import floors
from fieldlog.calc.named import number_of, spread
from fieldlog.calc.values import (
    GAP,
    RISE,
    Element,
    Grid,
    Many,
    Number,
    ReadingKey,
    Value,
    combined,
    elements,
)


def hollow_under(levels: Value, edge: Value) -> Value:
    """The worst hollow under an edge; it may rise while a station is not read."""
    return _under(levels, edge, "hollow")


def hump_under(levels: Value, edge: Value) -> Value:
    """The worst hump under an edge; it may rise while a station is not read."""
    return _under(levels, edge, "hump")


def _under(levels: Value, edge: Value, kind: floors.Kind) -> Value:
    """Along rows, columns and both diagonals; judged as the worst of many (`floors_worst`)."""
    length = number_of(elements(edge)[0]).value
    if not isinstance(levels, Grid) or length is None:
        return GAP
    from fieldlog.calc.floors_worst import worst_of  # NumPy: only where a floor is judged

    found = worst_of(plain_grid(levels), int(length), kind, levels)
    if found is None:
        return GAP
    sens: dict[ReadingKey, Fraction] = {}
    for (row, column), weight in found.edge.weights:
        sens = combined(sens, Fraction(1), number_of(levels.rows[row][column]).sens, weight)
    return Number(found.edge.gap, sens, RISE if _unread(levels) else 0, found)


def _unread(levels: Grid) -> bool:
    return any(isinstance(n, Number) and n.value is None for row in levels.rows for n in row)


def range_of(levels: Value) -> Value:
    """Highest less lowest station."""
    if not isinstance(levels, Grid):
        return GAP
    return spread(Many(tuple(n for row in levels.rows for n in row)))


def ff_of(levels: Value) -> Value:
    """How flat a floor is, FF after E1155; not measured where the readings do not qualify."""
    return _f_number(levels, "ff")


def fl_of(levels: Value) -> Value:
    """How level a floor is, FL after E1155; not measured where the readings do not qualify."""
    return _f_number(levels, "fl")


def _f_number(levels: Value, which: Literal["ff", "fl"]) -> Value:
    if not isinstance(levels, Grid) or _unread(levels):
        return GAP
    from fieldlog.calc.floors_fnumbers_judged import weighed  # NumPy: only where one is judged

    found = weighed(plain_grid(levels), which)
    if found is None:
        return GAP
    sens: dict[ReadingKey, Fraction] = {}
    for (row, column), weight in found[1].items():
        sens = combined(sens, Fraction(1), number_of(levels.rows[row][column]).sens, weight)
    return Number(found[0], sens)


def plain_grid(levels: Grid) -> floors.Grid:
    """The heights alone, nm, for the floor calculations."""
    rows = tuple(tuple(_height(n) for n in row) for row in levels.rows)
    if not levels.rings:
        return floors.Grid(rows=rows, spacing=levels.spacing)
    from fieldlog.calc.floors_walls import outside_of  # NumPy: only where a floor is judged

    return floors.Grid(rows=rows, spacing=levels.spacing, outside=outside_of(levels))


def _height(station: Element) -> int | None:
    value = number_of(station).value
    return None if value is None else int(value)
