"""Contours of a floor: lines of equal height between the stations, by contourpy (marching squares).

contourpy and NumPy are imported where a contour is drawn, never at the start.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from fieldlog.calc.lengths import NM_PER_INCH, NM_PER_MM, format_plain
from fieldlog.drawings.survey import Survey

Line = tuple[tuple[float, float], ...]
"""Points as (column, row) of stations, fractions between them."""

_STEPS = {
    False: tuple(NM_PER_INCH * Fraction(n, 16) for n in (1, 2, 4, 8, 16, 32, 64)),
    True: tuple(NM_PER_MM * Fraction(n) for n in (1, 2, 5, 10, 20, 50, 100)),
}
_MOST = 7
"""So many contours at the most: more hide the numbers."""


@dataclass(frozen=True)
class Contour:
    """The lines of one height: `level` in nm above zero, `text` with its sign."""

    level: int
    text: str
    lines: tuple[Line, ...]


def contours(survey: Survey) -> tuple[Contour, ...]:
    """The floor's contours, the lowest first; none where two rows or columns do not meet.

    Zero itself has no contour: on a floor with level parts it would lie anywhere in them.
    """
    rows, columns = survey.size
    levels = list(_levels(survey))
    if rows < 2 or columns < 2 or not levels:
        return ()
    import numpy as np
    from contourpy import contour_generator

    heights = [[np.nan if z is None else float(z) for z in row] for row in survey.offs]
    field = np.ma.masked_invalid(np.array(heights))
    finder = contour_generator(np.arange(float(columns)), np.arange(float(rows)), field)
    found = []
    for level in levels:
        drawn: Any = finder.lines(float(level))
        lines = tuple(
            tuple((float(x), float(y)) for x, y in line)
            for line in drawn if len(line) > 1
        )  # fmt: skip
        if lines:
            found.append(Contour(level, _text(level, survey.metric), lines))
    return tuple(found)


def step_of(survey: Survey) -> Fraction:
    """The height between two contours, nm."""
    apart = _apart(survey)
    steps = _STEPS[survey.metric]
    return next((s for s in steps if apart <= s * _MOST), steps[-1])


def _levels(survey: Survey) -> Iterator[int]:
    known = [z for row in survey.offs for z in row if z is not None]
    if not known:
        return
    step = step_of(survey)
    first, last = -(-min(known) // step), max(known) // step
    for n in range(int(first), int(last) + 1):
        level = int(n * step)
        if n and min(known) < level < max(known):
            yield level


def _apart(survey: Survey) -> int:
    known = [z for row in survey.offs for z in row if z is not None]
    return max(known) - min(known) if known else 0


def _text(level: int, metric: bool) -> str:
    said = format_plain(abs(level), "metric" if metric else "us")
    return f"{'+' if level > 0 else '−'}{said}"
