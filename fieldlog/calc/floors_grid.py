"""From points to stations: the square grid they were read on is found, or a scan is gridded.

Readings placed by hand lie on a grid, give or take where the rod was set: its spacing is the
greatest common step of their places, whole where the places are whole. Points that lie on no
grid (a scan) are gathered into square cells: a cell's height is the median of its readings,
which one bad reflection does not move, and its count says how many there were.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldlog.calc.floors_survey import (
    MAX_CELLS,
    Bools,
    Ints,
    Stations,
    Survey,
    SurveyNotUsable,
    about,
)
from fieldlog.calc.lengths import NM_PER_INCH, NM_PER_MM, format_length

_SCAN = 400  # from so many readings on no grid it is a scan: cells hold several of them
_PER_CELL = 4  # what the median of a cell is wanted of, on average
_CELLS_US = tuple(n * NM_PER_INCH for n in (1, 2, 3, 4, 6, 12, 18, 24, 36, 48, 60, 120, 240))
_CELLS_METRIC = tuple(
    n * NM_PER_MM for n in (25, 50, 75, 100, 150, 200, 300, 500, 1000, 1500, 2000, 3000, 6000)
)
_ROUND_STEPS = tuple(
    sorted(
        [*(NM_PER_INCH * n // 16 for n in (1, 4, 16, 48, 96, 192)),
         *(NM_PER_MM * n for n in (1, 5, 10, 50, 100))],
        reverse=True,
    )
)  # fmt: skip
"""Spacings that people lay out: a found one is rounded to the coarsest of these that fits."""
_ALMOST_LINE = 1000  # points no farther off a line than a thousandth of its length lie on it


@dataclass(frozen=True, slots=True)
class _Axis:
    """A grid's first line along one axis (nm), and the line of each reading."""

    start: int
    line: Ints


def survey_from_points(survey: Survey, *, cell: int | None = None, system: str = "us") -> Stations:
    """The stations of a survey: on the grid it was read on, else in cells.

    `cell` (nm) grids it into cells of that size whatever it was read on; without it the size
    of a scan's cells is chosen ("us" or "metric" sizes) so that one holds about four readings.
    Raises SurveyNotUsable: all on one line, two readings at one place, too many cells.
    """
    x, y = survey.points[:, 0], survey.points[:, 1]
    _refuse_one_line(x, y)
    if cell is not None:
        return _in_cells(survey, cell)
    grid = _grid_of(x, y)
    if grid is None:
        return _in_cells(survey, _cell_for(x, y, system))
    stations = _on_grid(survey, *grid)
    if len(survey) < _SCAN and _has_doubles(x, y):
        _refuse_doubles(survey, stations)
    if stations.known * 10 >= len(survey) * 9:  # a slip or two, not a scan of a fine grid
        _refuse_doubles(survey, stations)
        return stations
    return _in_cells(survey, _cell_for(x, y, system))


def _refuse_one_line(x: Ints, y: Ints) -> None:
    dx, dy = (x - x[0]).astype(np.float64), (y - y[0]).astype(np.float64)
    far = int(np.argmax(dx * dx + dy * dy))
    length = np.hypot(dx[far], dy[far])
    off = np.abs(dx * dy[far] - dy * dx[far]).max() / max(length, 1)
    if off <= max(length / _ALMOST_LINE, NM_PER_MM):
        raise SurveyNotUsable(
            "All readings lie on one line. A floor needs a second line of readings beside it."
        )


def _grid_of(x: Ints, y: Ints) -> tuple[int, _Axis, _Axis] | None:
    """Spacing and both axes of the grid under the points, or None where there is none."""
    xs, ys = _distinct(x), _distinct(y)
    few = 4 * len(x)
    for widest in (0, 1):
        if widest:  # places that scatter about the grid's lines: take each line's middle
            xs, ys = _middles(xs), _middles(ys)
        if len(xs) * len(ys) > few or min(len(xs), len(ys)) < 2:
            continue
        step = _common_step(xs, ys, 8 if widest else 32)
        if step is None:
            continue
        a, b = _axis(x, step), _axis(y, step)
        if a is not None and b is not None and _cells(a, b) <= 16 * len(x) + 10_000:
            return step, a, b
    return None


def _distinct(values: Ints) -> Ints:
    """As np.unique, which takes ten times longer where nearly all of a million differ."""
    in_order: Ints = np.sort(values)
    distinct: Ints = in_order[np.concatenate([[True], np.diff(in_order) > 0])]
    return distinct


def _middles(values: Ints) -> Ints:
    """Sorted places in bunches, as the middle of each bunch; gaps of two sizes tell them."""
    gaps = np.diff(values)
    sizes = np.sort(gaps)
    if len(sizes) < 2:
        return values
    jumps = sizes[1:] / np.maximum(sizes[:-1], 1)
    at = int(np.argmax(jumps))
    if jumps[at] < 2:
        return values
    breaks = np.flatnonzero(gaps > sizes[at])
    first = values[np.concatenate([[0], breaks + 1])]
    last = values[np.concatenate([breaks, [len(values) - 1]])]
    middles: Ints = (first + last) // 2
    return middles


def _common_step(xs: Ints, ys: Ints, fineness: int) -> int | None:
    """The greatest step that all gaps are whole multiples of, within a part of the least gap."""
    gaps = sorted({int(g) for values in (xs, ys) for g in np.diff(values)})
    slack = gaps[0] // fineness
    step = 0
    for gap in gaps:
        step = _almost_gcd(gap, step, slack)
    if step <= 0:
        return None
    spans = int(xs[-1] - xs[0]) + int(ys[-1] - ys[0])
    lines = sum(int(np.rint(np.diff(values) / step).sum()) for values in (xs, ys))
    if all(gap % step == 0 for gap in gaps):
        return step
    longest = max(len(xs), len(ys))
    refined = (2 * spans + lines) // (2 * lines)
    for unit in _ROUND_STEPS:
        rounded = (2 * refined + unit) // (2 * unit) * unit
        if rounded and abs(rounded - refined) * longest <= max(slack, 2):
            return rounded
    return refined


def _almost_gcd(a: int, b: int, slack: int) -> int:
    while b > slack:
        rest = a % b
        a, b = b, min(rest, b - rest)
    return a


def _axis(values: Ints, step: int) -> _Axis | None:
    """Each reading's line along one axis; None where one is too far off its line."""
    from_first = values - values.min()
    line = (2 * from_first + step) // (2 * step)
    off = from_first - line * step
    middle = (int(off.min()) + int(off.max())) // 2
    if int(np.abs(off - middle).max()) > step // 8:
        return None
    return _Axis(int(values.min()) + middle, line)


def _cells(a: _Axis, b: _Axis) -> int:
    return (int(a.line.max()) + 1) * (int(b.line.max()) + 1)


def _on_grid(survey: Survey, step: int, across: _Axis, along: _Axis) -> Stations:
    order = np.stack([along.line, across.line], axis=1)
    return _gathered(survey, order, step, (across.start, along.start), gridded=False)


def _has_doubles(x: Ints, y: Ints) -> bool:
    """Whether two readings are at one place: of a few by hand one is a slip."""
    return len(np.unique(np.stack([x, y]), axis=1).T) < len(x)


def _refuse_doubles(survey: Survey, stations: Stations) -> None:
    if not (stations.counts > 1).any():
        return
    row, column = (int(i) for i in np.argwhere(stations.counts > 1)[0])
    same = (stations.order[:, 0] == row) & (stations.order[:, 1] == column)
    first, second = (int(i) for i in np.flatnonzero(same)[:2])
    x, y = (int(v) for v in survey.points[first, :2])
    raise SurveyNotUsable(
        f"Readings {first + 1} and {second + 1} are at the same place (x {about(x)}, "
        f"y {about(y)}). Keep one of them, or give a cell size to take the median."
    )


def _cell_for(x: Ints, y: Ints, system: str) -> int:
    """The size of a scan's cells: a size people use, holding about _PER_CELL readings."""
    wanted = _PER_CELL if len(x) >= _SCAN else 1
    area = int(x.max() - x.min()) * int(y.max() - y.min())
    sizes = _CELLS_METRIC if system == "metric" else _CELLS_US
    return next((s for s in sizes if s * s * len(x) >= wanted * area), sizes[-1])


def _in_cells(survey: Survey, cell: int) -> Stations:
    if cell <= 0:
        raise SurveyNotUsable("A cell must be larger than nothing.")
    lines, starts = [], []
    for values in (survey.points[:, 0], survey.points[:, 1]):
        low, high = int(values.min()), int(values.max())
        count = (high - low) // cell + 1
        if count > MAX_CELLS:
            break
        edge = low - (count * cell - (high - low)) // 2  # what is over lies on both sides
        lines.append((values - edge) // cell)
        starts.append(edge + cell // 2)
    if len(lines) < 2 or (int(lines[0].max()) + 1) * (int(lines[1].max()) + 1) > MAX_CELLS:
        raise SurveyNotUsable(
            f"Cells of {format_length(cell)} make more than {MAX_CELLS} of them. "
            "Take larger cells, or look for a reading that lies far off."
        )
    order = np.stack([lines[1], lines[0]], axis=1)
    return _gathered(survey, order, cell, (starts[0], starts[1]), gridded=True)


def _gathered(
    survey: Survey, order: Ints, spacing: int, origin: tuple[int, int], gridded: bool
) -> Stations:
    """Stations with the median of their readings; of an even number the middle of two."""
    rows, columns = (int(order[:, k].max()) + 1 for k in (0, 1))
    if rows * columns > MAX_CELLS:
        raise SurveyNotUsable(f"The readings span more than {MAX_CELLS} stations.")
    flat = order[:, 0] * columns + order[:, 1]
    counts = np.bincount(flat, minlength=rows * columns)
    z = _medians(flat, survey.points[:, 2], counts)
    mask: Bools = counts > 0
    shape = (rows, columns)
    return Stations(
        z.reshape(shape), mask.reshape(shape), spacing, origin, order,
        counts.reshape(shape), gridded,
    )  # fmt: skip


def _medians(flat: Ints, heights: Ints, counts: Ints) -> Ints:
    """The median height of each cell, nm (rounded down between two); 0 for an empty one."""
    low = int(heights.min())
    span = int(heights.max()) - low + 1
    # cell and height in one number, so that one plain sort does both
    keys = np.sort(flat * span + (heights - low))
    in_order = keys % span + low
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    at = np.flatnonzero(counts)
    lower = in_order[first[at] + (counts[at] - 1) // 2]
    upper = in_order[first[at] + counts[at] // 2]
    z = np.zeros(len(counts), dtype=np.int64)
    z[at] = (lower + upper) // 2
    return z
