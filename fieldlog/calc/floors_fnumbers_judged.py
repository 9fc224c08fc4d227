"""F-numbers of a judged grid: how each hangs on the readings, and what a judgement keeps of them.

The sensitivities (JCGM 100, 5.1.2) are those of the formulas in `floors_fnumbers`:
    dF/dv = -F**2 / C * (3 (v - mean) / ((n - 1) s) + sign(mean) / n)     for one line
    dF/dF_j = F**3 r_j / (sum(r) F_j**3)                                  for lines combined
to a part in 10**15 of a nm: they only weigh an error, they are no part of the value.
NumPy is imported here: import this only where a floor is judged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import lru_cache
from math import isqrt
from typing import Any, Literal

from fieldlog.calc.floors import Grid
from fieldlog.calc.floors_fnumbers import (
    FLATNESS,
    LEVELNESS,
    FNumbers,
    LineNumbers,
    f_numbers_of,
)
from fieldlog.calc.floors_survey import Cell, stations_of

Which = Literal["ff", "fl"]
_CONSTANT = {"ff": FLATNESS, "fl": LEVELNESS}
_STEPS: dict[str, tuple[tuple[int, int], ...]] = {
    "ff": ((0, 1), (1, -2), (2, 1)), "fl": ((0, -1), (10, 1)),
}  # fmt: skip
"""Which readings of a line a q and a z are made of: how far on, and how often."""
_FINE = 10**15


@lru_cache(maxsize=4)
def numbers_of(grid: Grid) -> FNumbers | None:
    """The F-numbers of a grid, whether they qualify or not; None where nothing was read."""
    if not any(z is not None for row in grid.rows for z in row):
        return None
    return f_numbers_of(stations_of(grid.rows, grid.spacing))


def weighed(grid: Grid, which: Which) -> tuple[Fraction, dict[Cell, Fraction]] | None:
    """FF or FL that qualifies, and how much it changes by a nm at each station; else None."""
    found = numbers_of(grid)
    value = getattr(found, which) if found is not None and found.qualifies else None
    return None if found is None or value is None else (value, _weights(found, which, value))


def as_json(grid: Grid, length: Callable[[int], Any]) -> dict[str, Any]:
    """What a judgement keeps: the numbers, each line's, its q by `length`; and why they do not
    count."""
    found = numbers_of(grid)
    if found is None:
        return {"ff": None, "fl": None, "why_not": ["No station was read."], "lines": []}
    return {
        "ff": _text(found.ff), "fl": _text(found.fl), "why_not": list(found.why_not),
        "composite": found.composite, "lines": [_line(line, length) for line in found.lines],
    }  # fmt: skip


def _line(line: LineNumbers, length: Callable[[int], Any]) -> dict[str, Any]:
    return {
        "from": list(line.cells[0]), "to": list(line.cells[-1]), "ff": _text(line.ff),
        "fl": _text(line.fl), "q": [length(q) for q in line.q],
    }  # fmt: skip


def _text(value: Fraction | None) -> str | None:
    """Two decimals, as an F-number is rounded."""
    if value is None:
        return None
    whole, part = divmod(round(value * 100), 100)
    return f"{whole}.{part:02d}"


def _weights(found: FNumbers, which: Which, value: Fraction) -> dict[Cell, Fraction]:
    counted = [(line, getattr(line, which)) for line in found.lines]
    known = [(line, own) for line, own in counted if own is not None]
    readings = sum(len(_values(line, which)) for line, _ in known)
    out: dict[Cell, Fraction] = {}
    for line, own in known:
        share = value**3 * len(_values(line, which)) / (readings * own**3)
        for cell, weight in _of_line(line, which, own):
            out[cell] = out.get(cell, Fraction(0)) + share * weight
    return {cell: Fraction(round(w * _FINE), _FINE) for cell, w in out.items()}


def _of_line(line: LineNumbers, which: Which, own: Fraction) -> Iterator[tuple[Cell, Fraction]]:
    values = _values(line, which)
    count = len(values)
    mean = Fraction(sum(values), count)
    variance = sum(((v - mean) ** 2 for v in values), Fraction(0)) / (count - 1)
    wide = Fraction(isqrt(variance.numerator // variance.denominator)) or Fraction(1)
    sign = (mean > 0) - (mean < 0)
    for n, v in enumerate(values):
        rate = -(own**2) / _CONSTANT[which] * (3 * (v - mean) / ((count - 1) * wide)
                                              + Fraction(sign, count))  # fmt: skip
        for on, times in _STEPS[which]:
            yield line.cells[n + on], rate * times


def _values(line: LineNumbers, which: Which) -> tuple[int, ...]:
    return line.q if which == "ff" else line.z
