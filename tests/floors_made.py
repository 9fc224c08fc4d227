"""Floors made for tests of plans, and what plans are held against: every chord, and SciPy."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import isqrt

import numpy as np
from hypothesis import strategies as st

from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.floors_survey import Ints, Stations, stations_of

FOOT = 304_800_000
INCH = 25_400_000
SIXTEENTH = 1_587_500
MM = 1_000_000

Triple = tuple[int, int, int, int, int]
"""Start, end and station between (row * columns + column); spacings before it and after it."""


def floor(*rows: str, spacing: int = 2 * FOOT) -> Stations:
    """Stations from rows of sixteenths; a dot is a station that was not read."""
    return stations_of(
        [[None if t == "." else int(t) * SIXTEENTH for t in row.split()] for row in rows], spacing
    )


def limits(*pairs: tuple[int, int], method: str = "both") -> tuple[EdgeLimit, ...]:
    """Limits from (edge, limit) in nm."""
    kinds = ("hollow", "hump") if method == "both" else (method,)
    return tuple(EdgeLimit(e, limit, kind, "", "") for e, limit in pairs for kind in kinds)  # type: ignore[arg-type]


TEN_FEET = limits((10 * FOOT, 3 * SIXTEENTH))
TEN_FEET_HOLLOW = limits((10 * FOOT, 3 * SIXTEENTH), method="hollow")

floors = st.tuples(st.integers(1, 6), st.integers(3, 7)).flatmap(
    lambda size: st.lists(
        st.lists(st.one_of(st.integers(-16, 16), st.none()), min_size=size[1], max_size=size[1]),
        min_size=size[0],
        max_size=size[0],
    ).filter(lambda rows: any(z is not None for row in rows for z in row))
)
"""Small floors as rows of sixteenths, some stations not read."""


def stations_in(rows: list[list[int | None]], spacing: int = 2 * FOOT) -> Stations:
    """Stations from rows of sixteenths."""
    return stations_of([[z if z is None else z * SIXTEENTH for z in row] for row in rows], spacing)


def chords(stations: Stations, edge: int) -> Iterator[Triple]:
    """Every chord under an edge, by the definition: each triple of each line in four directions."""
    rows, columns = stations.shape
    for down, right in ((0, 1), (1, 0), (1, 1), (1, -1)):
        square = stations.spacing**2 * (down * down + right * right)
        reach = isqrt(edge**2 // square)
        for row in range(rows):
            for column in range(columns):
                line = [
                    (row + k * down, column + k * right)
                    for k in range(reach + 1)
                    if row + k * down < rows and 0 <= column + k * right < columns
                ]
                known = [k for k, cell in enumerate(line) if stations.mask[cell]]
                for at, end in combinations(known[1:] if known[:1] == [0] else [], 2):
                    places = (row * columns + column, *(_flat(line[k], columns) for k in (end, at)))
                    yield (*places, at, end - at)  # type: ignore[misc]


def _flat(cell: tuple[int, int], columns: int) -> int:
    return cell[0] * columns + cell[1]


def breaks(task: FloorTask, depths: Ints) -> list[str]:
    """What a change would leave broken, by every chord there is, in whole numbers."""
    z = (task.stations.z + depths).ravel().tolist()
    found = []
    for limit in task.limits:
        sign = 1 if limit.kind == "hollow" else -1
        for start, end, at, before, after in chords(task.stations, limit.edge):
            run = before + after
            gap = sign * (z[start] * after + z[end] * before - z[at] * run)
            if gap > limit.limit * run:
                found.append(f"{limit.kind} over {at}, {start} to {end}")
    known = task.stations.mask.ravel()
    heights = [h for h, is_known in zip(z, known, strict=True) if is_known]
    if task.level is not None and max(heights) - min(heights) > task.level:
        found.append("not level")
    return found


def constraints(task: FloorTask) -> tuple[np.ndarray, np.ndarray]:
    """Every chord as a row of `A @ change <= b`, mm."""
    rows, most = [], []
    size = task.stations.z.size
    z = task.stations.z.ravel() / MM
    for limit in task.limits:
        sign = 1 if limit.kind == "hollow" else -1
        for start, end, at, before, after in chords(task.stations, limit.edge):
            row = np.zeros(size)
            row[start], row[end], row[at] = after, before, -(before + after)
            row *= sign / (before + after)
            rows.append(row)
            most.append(limit.limit / MM - row @ z)
    if not rows:
        return np.zeros((1, size)), np.zeros(1)
    return np.array(rows), np.array(most)


def least_by_scipy(task: FloorTask) -> np.float64:
    """The least volume of any fill, mm times spacings squared, by SciPy over every chord."""
    from scipy.optimize import linprog

    a, b = constraints(task)
    area = task.areas.ravel() / task.stations.spacing**2
    return linprog(area, A_ub=a, b_ub=b, bounds=(0, None), method="highs").fun


def wavy(rows: int, columns: int, seed: int, height: int = INCH // 2) -> Ints:
    """A bent floor: waves of about that height, whole sixteenths."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:rows, :columns]
    waves = np.sin(x * 0.7 + rng.uniform(0, 6)) + np.sin(y * 0.6 + rng.uniform(0, 6))
    rough = waves * height / 2 + rng.normal(0, height / 10, (rows, columns))
    return np.rint(rough / SIXTEENTH).astype(np.int64) * SIXTEENTH


def bent(rows: int, columns: int, seed: int = 1, height: int = INCH // 2) -> Stations:
    """Stations of a bent floor, 2 ft apart."""
    z = wavy(rows, columns, seed, height)
    return stations_of([[int(h) for h in row] for row in z], 2 * FOOT)
