"""F-numbers after ASTM E1155: how flat (FF) and how level (FL) measured lines of a floor are.

Readings stand 12 in (300 mm) apart along a line. `q`, the second difference of height, is what
flatness is judged by, `z`, the difference over 10 ft (3 m), what levelness is:
    q_i = h_i - 2 h_(i-1) + h_(i-2)      z_i = h_i - h_(i-10)
    FF = 4.57 in / (3 s_q + |mean q|)    FL = 12.5 in / (3 s_z + |mean z|)
with s the sample standard deviation (n - 1). A positive q is a trough, a negative one a crest.
Definitions from E1155 s.3.2. *From memory, the text was not seen:* the constants 4.57 and 12.5
in (the metric edition is said to use 115.8 mm; 4.57 in is 116.08 mm, and is used here for
both), the combination of lines, and the rules on section size. Lines are combined as
    1 / F**2 = sum(r_j / F_j**2) / sum(r_j),  r_j the number of q (of z) of line j,
and a result names that rule. Heights are whole nm; F-numbers are exact to the hundredth they
are rounded to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from fieldlog.calc.floors_survey import Cell, Stations
from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_INCH, NM_PER_MM

FLATNESS = NM_PER_INCH * 457 // 100
LEVELNESS = NM_PER_INCH * 25 // 2
SPACINGS = (NM_PER_FOOT, 300 * NM_PER_MM)
LEAST_READINGS = 12  # a line of 11 ft
_TEN = 10  # spacings between the two heights of a z
_APART = 4  # lines are 4 ft (1.2 m) apart at least
_LEAST_SIDE = 8  # ft, of the section
_LEAST_AREA = 320  # ft2, of the section
COMPOSITE = "each line weighted by its number of readings (from memory of E1155 s.9)"

Line = Sequence[int]
"""Heights along one line, nm, 12 in (300 mm) apart."""


@dataclass(frozen=True, slots=True)
class LineNumbers:
    """One line: its q and z in nm, its F-numbers to the hundredth, None where it has none.

    `cells` are its stations, where it is a line of a survey.
    """

    q: tuple[int, ...]
    z: tuple[int, ...]
    ff: Fraction | None
    fl: Fraction | None
    cells: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True)
class FNumbers:
    """The section: `ff` and `fl` (None where no line allows one), its lines, and whether it
    qualifies under E1155; `why_not` has a sentence for each rule that it does not meet."""

    ff: Fraction | None
    fl: Fraction | None
    lines: tuple[LineNumbers, ...]
    why_not: tuple[str, ...]
    composite: str = COMPOSITE

    @property
    def qualifies(self) -> bool:
        """Whether these are F-numbers after E1155, not only numbers of the same kind."""
        return not self.why_not


def f_numbers(
    lines: Sequence[Line], why_not: Sequence[str] = (), cells: Sequence[tuple[Cell, ...]] = ()
) -> FNumbers:
    """F-numbers of a section from its lines; `why_not` is what is known against them already.

    `cells` are the stations of each line, where they are known.
    """
    places = cells or [()] * len(lines)
    numbers = tuple(_of_line(line, at) for line, at in zip(lines, places, strict=True))
    short = sum(1 for line in lines if len(line) < LEAST_READINGS)
    reasons = list(why_not)
    if not lines:
        reasons.append("There is no line of readings 12 in (300 mm) apart.")
    if short:
        reasons.append(
            f"{short} of {len(lines)} lines have fewer than {LEAST_READINGS} readings (11 ft)."
        )
    ff = combined([(n.ff, len(n.q)) for n in numbers])
    fl = combined([(n.fl, len(n.z)) for n in numbers])
    return FNumbers(ff, fl, numbers, tuple(reasons))


def f_numbers_of(stations: Stations) -> FNumbers:
    """F-numbers of a survey: its rows and columns where stations stand 12 in (300 mm) apart.

    Lines nearer to each other than 4 ft are left out, so that no part counts twice. What is
    not known here (walls, joints and openings nearer than 2 ft to a line) is for the person.
    """
    step, reasons = _step(stations.spacing)
    if not step:
        return f_numbers((), reasons)
    rows, columns = stations.shape
    lines, places = [], []
    for count, length, down in ((rows, columns, False), (columns, rows, True)):
        taken = -_APART * step
        for n in range(count):
            cells = [(k, n) if down else (n, k) for k in range(0, length, step)]
            found = _longest_run(stations, cells)
            if len(found) >= LEAST_READINGS and n - taken >= _APART * step:
                taken = n
                lines.append([int(stations.z[cell]) for cell in found])
                places.append(tuple(found))
    return f_numbers(lines, (*reasons, *_section(stations)), places)


def combined(parts: Sequence[tuple[Fraction | None, int]]) -> Fraction | None:
    """The F-number of several (F, weight), by number of readings or by area; to hundredths."""
    known = [(f, weight) for f, weight in parts if f is not None and weight > 0]
    if not known:
        return None
    over = sum((Fraction(weight) / f**2 for f, weight in known), Fraction(0))
    return _hundredths(_root(sum(weight for _, weight in known) / over))


def _of_line(line: Line, cells: tuple[Cell, ...]) -> LineNumbers:
    q = tuple(a - 2 * b + c for a, b, c in zip(line[2:], line[1:], line, strict=False))
    z = tuple(far - near for far, near in zip(line[_TEN:], line, strict=False))
    return LineNumbers(q, z, _f_number(q, FLATNESS), _f_number(z, LEVELNESS), cells)


def _f_number(values: Sequence[int], constant: int) -> Fraction | None:
    """The F-number of second differences or of differences; None for fewer than two, or for
    values that are all 0 (F would be without bound)."""
    if len(values) < 2:
        return None
    mean = Fraction(sum(values), len(values))
    variance = sum(((v - mean) ** 2 for v in values), Fraction(0)) / (len(values) - 1)
    under = 3 * _root(variance) + abs(mean)
    return _hundredths(constant / under) if under else None


def _root(square: Fraction) -> Fraction:
    """The square root to a billionth."""
    return Fraction(isqrt(square.numerator * 10**18 // square.denominator), 10**9)


def _hundredths(value: Fraction) -> Fraction:
    return Fraction(round(value * 100), 100)


def _step(spacing: int) -> tuple[int, tuple[str, ...]]:
    """Every how many-eth station stands 12 in (300 mm) from the last; 0 where none does."""
    for wanted in SPACINGS:
        if wanted % spacing == 0:
            return wanted // spacing, ()
    return 0, ("The stations do not stand 12 in (300 mm) apart, nor a whole part of it.",)


def _longest_run(stations: Stations, cells: Sequence[Cell]) -> list[Cell]:
    """The longest unbroken run of known stations along a line (the first of equals)."""
    best: list[Cell] = []
    run: list[Cell] = []
    for cell in cells:
        if stations.height(cell) is None:
            run = []
            continue
        run.append(cell)
        if len(run) > len(best):
            best = run
    return best


def _section(stations: Stations) -> list[str]:
    """What is against the section's size, by the stations' own extent."""
    rows, columns = stations.shape
    sides = sorted((rows * stations.spacing, columns * stations.spacing))
    reasons = []
    if stations.gridded:
        reasons.append("Heights are medians of a scan's cells, not readings along lines.")
    if sides[0] < _LEAST_SIDE * NM_PER_FOOT:
        reasons.append(f"The section is less than {_LEAST_SIDE} ft wide.")
    if sides[0] * sides[1] < _LEAST_AREA * NM_PER_FOOT**2:
        reasons.append(f"The section is smaller than {_LEAST_AREA} sq ft (30 m2).")
    return reasons
