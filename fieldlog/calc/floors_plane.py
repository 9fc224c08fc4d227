"""The lie of a floor: its high and low, and the plane that fits it best, exact.

Least squares of heights over the known stations by centered normal equations, in whole numbers
(`floors.plane` does the same on the small grid of a form). Slopes are rise per run.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

import numpy as np

from fieldlog.calc.floors_survey import Cell, Ints, Stations

_LOW_BITS = 17  # heights are summed in two parts, so that no sum leaves int64


@dataclass(frozen=True, slots=True)
class Lie:
    """High and low station (the first of equals, row by row) and their difference, nm.

    `slope_x` and `slope_y` are the plane's rise per run along x and y (None where fewer than
    three stations, or all on one line, are known); `offset` its height at row 0, column 0, nm.
    """

    high: Cell
    low: Cell
    range: int
    slope_x: Fraction | None = None
    slope_y: Fraction | None = None
    offset: Fraction | None = None

    def rise_over(self, run: int) -> int | None:
        """How much the plane rises over `run` nm where it is steepest, to the nearest nm."""
        if self.slope_x is None or self.slope_y is None:
            return None
        squared = 4 * (self.slope_x**2 + self.slope_y**2) * run * run
        return (isqrt(squared.numerator // squared.denominator) + 1) // 2

    @property
    def downhill(self) -> str:
        """Which way the plane falls: "+x", "-y", "+x-y" ..., an eighth of the circle each; ""
        where it is level or not determined."""
        x, y = (-Fraction(slope or 0) for slope in (self.slope_x, self.slope_y))
        words = ""
        # 12/29 is tan 22.5 degrees to 3 in 10 000
        for axis, own, other in (("x", x, y), ("y", y, x)):
            if own and abs(own) * 29 > abs(other) * 12:
                words += ("+" if own > 0 else "-") + axis
        return words


def lie_of(stations: Stations) -> Lie:
    """High, low and best-fit plane of a survey. At least one station must be known."""
    known = np.flatnonzero(stations.mask)
    z = stations.z.ravel()[known]
    row, column = np.divmod(known, stations.shape[1])
    high, low = int(z.argmax()), int(z.argmin())
    cells: list[Cell] = [(int(row[n]), int(column[n])) for n in (high, low)]
    spread = int(z[high]) - int(z[low])
    fit = _fit(column, row, z)
    if fit is None:
        return Lie(cells[0], cells[1], spread)
    per_column, per_row, offset = fit
    return Lie(
        cells[0], cells[1], spread, per_column / stations.spacing, per_row / stations.spacing,
        offset,
    )  # fmt: skip


def _fit(x: Ints, y: Ints, z: Ints) -> tuple[Fraction, Fraction, Fraction] | None:
    """Slopes per station and the height at 0, 0; None where the stations lie on one line."""
    n, base = len(z), int(z.min())
    heights = z - base
    sum_x, sum_y, sum_z = (int(values.sum()) for values in (x, y, heights))
    # centered sums times n, so that they stay whole
    xx, yy, xy = (n * int((a * b).sum()) for a, b in ((x, x), (y, y), (x, y)))
    xx, yy, xy = xx - sum_x**2, yy - sum_y**2, xy - sum_x * sum_y
    xz = n * _sum_of_products(x, heights) - sum_x * sum_z
    yz = n * _sum_of_products(y, heights) - sum_y * sum_z
    determinant = xx * yy - xy * xy
    if determinant == 0:
        return None
    slope_x = Fraction(xz * yy - yz * xy, determinant)
    slope_y = Fraction(yz * xx - xz * xy, determinant)
    return slope_x, slope_y, base + (sum_z - slope_x * sum_x - slope_y * sum_y) / n


def _sum_of_products(places: Ints, heights: Ints) -> int:
    upper, lower = heights >> _LOW_BITS, heights & ((1 << _LOW_BITS) - 1)
    return (int((places * upper).sum()) << _LOW_BITS) + int((places * lower).sum())
