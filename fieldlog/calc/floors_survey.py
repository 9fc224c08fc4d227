"""What a floor survey is: points as they came, and stations on a square grid made of them.

Lengths are whole nanometres, up is positive, arrays are int64. `Survey` is what was read, in
input order; `Stations` is the square grid that everything else works on (straightedge, map,
plans), with a mask of the stations that are known. Who makes Stations: `stations_of` from rows
typed in a form, `floors_grid.survey_from_points` from points or a scan; `floors_outline` lays
them in a room. NumPy is imported here, so import this only where a survey is computed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fieldlog.calc.lengths import NM_PER_FOOT

Cell = tuple[int, int]
"""A station: row, column, both from 0. Rows run along y, columns along x."""

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

MAX_NM = 10**12
"""No house is more than 1 km long."""
MAX_RANGE = 10**10
"""Heights of one floor differ by less than 10 m: more is a wrong unit or a wrong column."""
MAX_CELLS = 2_000 * 2_000


class SurveyNotUsable(ValueError):
    """A survey that no floor can be judged by. `sentence` says to a person why and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, eq=False, slots=True)
class Survey:
    """Readings in input order: `points` is (n, 3) int64, x y z in nm, z up. Made by `survey_of`."""

    points: Ints

    def __len__(self) -> int:
        return len(self.points)


@dataclass(frozen=True, eq=False, slots=True)
class Stations:
    """Heights on a square grid.

    `z` (rows, columns) int64 nm, 0 where not known; `mask` True where known; `spacing` nm;
    `origin` (x, y) nm of row 0, column 0; `order` (n, 2) int64, row and column of each reading
    in input order; `counts` (rows, columns) how many readings a station was made of;
    `gridded` True where each height is the median of its cell's readings (a scan); `outside`
    True beyond the room's walls, None where those are not known.
    """

    z: Ints
    mask: Bools
    spacing: int
    origin: tuple[int, int]
    order: Ints
    counts: Ints
    gridded: bool = False
    outside: Bools | None = None

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.z.shape
        return rows, columns

    @property
    def known(self) -> int:
        """How many stations are known."""
        return int(self.mask.sum())

    def xy(self, cell: Cell) -> tuple[int, int]:
        """Where a station is, nm."""
        return self.origin[0] + cell[1] * self.spacing, self.origin[1] + cell[0] * self.spacing

    def height(self, cell: Cell) -> int | None:
        """A station's height in nm, None where it is not known."""
        return int(self.z[cell]) if self.mask[cell] else None

    def per_reading(self, values: Ints) -> Ints:
        """A (rows, columns) array as one value per reading, in input order: (n,)."""
        return values[self.order[:, 0], self.order[:, 1]]

    def with_heights(self, z: Ints) -> Stations:
        """The same stations with other heights (a floor after a plan)."""
        return replace(self, z=np.where(self.mask, z, 0))


def survey_of(points: Iterable[Sequence[int]] | Ints) -> Survey:
    """Readings (x, y, z in nm) as a Survey.

    Raises SurveyNotUsable for none, fewer than three, or a place or height that no house has.
    """
    array = points if isinstance(points, np.ndarray) else _array(points)
    if array.ndim != 2 or array.shape[1] != 3 or len(array) == 0:
        raise SurveyNotUsable("There are no readings in it. A reading is x, y and z.")
    if len(array) < 3:
        raise SurveyNotUsable("A floor needs three readings or more that are not on one line.")
    if int(np.abs(array).max()) > MAX_NM:
        raise SurveyNotUsable("A reading is more than 1 km away. Is the unit right?")
    heights = array[:, 2]
    if int(heights.max()) - int(heights.min()) > MAX_RANGE:
        raise SurveyNotUsable(
            "The heights differ by more than 10 m (30 ft). Is the unit right, and is z the height?"
        )
    return Survey(array.astype(np.int64))


def _array(points: Iterable[Sequence[int]]) -> Ints:
    rows = [tuple(point) for point in points]
    if any(len(row) != 3 for row in rows):
        raise SurveyNotUsable("Each reading is x, y and z: three numbers.")
    if any(abs(value) > MAX_NM for row in rows for value in row):
        raise SurveyNotUsable("A reading is more than 1 km away. Is the unit right?")
    return np.array(rows, dtype=np.int64).reshape(-1, 3)


def stations_of(
    rows: Sequence[Sequence[int | None]], spacing: int, beyond: Collection[Cell] = ()
) -> Stations:
    """Stations from rows of heights in nm (None: not read), as a form has them; `beyond` are
    places outside the walls.

    `order` lists the known stations row by row. Raises SurveyNotUsable for rows of unequal
    length, no known station or no spacing.
    """
    if not rows or not rows[0] or any(len(row) != len(rows[0]) for row in rows):
        raise SurveyNotUsable("The rows of the grid must all have the same number of stations.")
    if spacing <= 0:
        raise SurveyNotUsable("The spacing between stations must be more than zero.")
    mask = np.array([[height is not None for height in row] for row in rows])
    z = np.array([[height or 0 for height in row] for row in rows], dtype=np.int64)
    if not mask.any():
        raise SurveyNotUsable("No station has been read yet.")
    outside = None
    if beyond:
        outside = np.zeros(mask.shape, dtype=bool)
        outside[tuple(np.array(sorted(beyond)).T)] = True
    return Stations(
        z, mask, spacing, (0, 0), np.argwhere(mask), mask.astype(np.int64), outside=outside
    )


def about(nm: int) -> str:
    """A place on the floor for a sentence: decimal feet, to the nearest hundredth."""
    hundredths = (200 * abs(nm) + NM_PER_FOOT) // (2 * NM_PER_FOOT)
    whole, part = divmod(hundredths, 100)
    decimals = f".{part:02d}".rstrip("0").rstrip(".")
    return f"{'-' if nm < 0 and hundredths else ''}{whole}{decimals} ft"
