"""Prints how fast floors are judged here: `python tests/bench/floors.py`. Asserts nothing.

The straightedge stands beside the plain way to do it in NumPy (every chord of every length laid
over every station between, all stations at once), timed in the same run; both find hollows and
humps in four directions. "Grows by" is the exponent of time over stations: 1 is in proportion.
Times are the least of a few runs, in ms.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from math import log
from typing import Any

import numpy as np

from fieldlog.calc.floors_doubt import doubts
from fieldlog.calc.floors_edge import look_under
from fieldlog.calc.floors_fnumbers import f_numbers_of
from fieldlog.calc.floors_grid import survey_from_points
from fieldlog.calc.floors_import import parse_points
from fieldlog.calc.floors_noise import gaps_looked_at, judge_edge, normal_noise
from fieldlog.calc.floors_passes import DIRECTIONS, far, reach
from fieldlog.calc.floors_plane import lie_of
from fieldlog.calc.floors_survey import Stations, survey_of

FOOT, MM = 304_800_000, 1_000_000
STEPS = {"row": (0, 1), "column": (1, 0), "diagonal": (1, 1), "cross diagonal": (1, -1)}
MS = 1000.0


def floor(side: int) -> Stations:
    """A square floor of gentle waves, read to a sixteenth or so; whole nanometers."""
    random = np.random.default_rng(1)
    row, column = np.indices((side, side))
    z = 4 * MM * np.sin(row / 9) * np.cos(column / 7) + random.normal(0, MM, (side, side))
    known = np.ones((side, side), dtype=bool)
    return Stations(
        np.rint(z).astype(np.int64), known, FOOT, (0, 0), np.empty((0, 2), dtype=np.int64),
        known.astype(np.int64),
    )  # fmt: skip


def every_chord(stations: Stations, edge: int) -> tuple[float, float]:
    """Worst hollow and hump, nm, by every chord of every length; float64."""
    z = stations.z.astype(np.float64)
    hollow = hump = -np.inf
    for direction in DIRECTIONS:
        down, right = STEPS[direction]
        if right < 0:
            lines, down, right = z[:, ::-1], 1, 1
        else:
            lines = z
        rows, columns = lines.shape
        for run in range(2, far(stations, edge, direction) + 1):
            height, width = rows - run * down, columns - run * right
            start = lines[:height, :width]
            end = lines[run * down : run * down + height, run * right : run * right + width]
            for along in range(1, run):
                at = lines[
                    along * down : along * down + height, along * right : along * right + width
                ]
                gap = start + (end - start) * (along / run) - at
                hollow, hump = max(hollow, gap.max()), max(hump, -gap.min())
    return float(hollow), float(hump)


def least(work: Callable[[], object], runs: int) -> float:
    """Seconds of the fastest of some runs."""
    times = []
    for _ in range(runs):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def straightedge(spacings: int, sides: tuple[int, ...]) -> None:
    """A table for an edge of so many spacings."""
    print(f"straightedge over {spacings} spacings, hollow and hump, four directions")
    print(f"{'stations':>10} {'ms':>9} {'grows by':>9} {'every chord, ms':>16} {'times':>7}")
    before: tuple[int, float] | None = None
    for side in sides:
        stations, edge = floor(side), spacings * FOOT
        runs = 20 if side < 200 else 3
        ours = least(lambda s=stations, e=edge: look_under(s, e), runs)
        plain = least(lambda s=stations, e=edge: every_chord(s, e), 1)
        under = look_under(stations, edge)
        for found, other in zip(
            (under.hollow, under.hump), every_chord(stations, edge), strict=True
        ):
            if found is None or abs(float(found.gap) - other) > 1e-3:
                print(f"  DIFFERENT: {found} and {other}")
        growth = "" if before is None else f"{_exponent(before, (side * side, ours)):.2f}"
        print(
            f"{side * side:>10} {ours * MS:>9.1f} {growth:>9} {plain * MS:>16.1f} "
            f"{plain / ours:>6.1f}x"
        )
        before = side * side, ours
    print()


def _exponent(before: tuple[int, float], now: tuple[int, float]) -> float:
    return log(now[1] / before[1]) / log(now[0] / before[0])


def small() -> None:
    """100 stations, everything but the map."""
    stations = floor(10)

    def all_of_it() -> None:
        lie_of(stations)
        doubts(stations)
        f_numbers_of(stations)
        judged(stations)

    print(f"100 stations: lie, doubts, F-numbers, two edges: {least(all_of_it, 20) * MS:.1f} ms\n")


def judged(stations: Stations) -> None:
    """Two edges, both ways up, against their noise."""
    noise = normal_noise(MM, max(int(stations.counts[stations.mask].min()), 1))
    for feet in (6, 10):
        edge = feet * FOOT
        under, gaps = look_under(stations, edge), gaps_looked_at(stations, edge)
        for found in (under.hollow, under.hump):
            judge_edge(found, 5 * MM, noise, gaps, reach(stations.spacing, edge, "row"))


def million() -> None:
    """A million points of a scan, from the file's bytes to the verdict; run in its own process."""
    random = np.random.default_rng(2)
    x, y = random.uniform(0, 1200, (2, 1_000_000))
    z = 0.2 * np.sin(x / 60) + random.normal(0, 0.04, x.size)
    points = zip(x.tolist(), y.tolist(), z.tolist(), strict=True)
    data = "\n".join(f"{a:.3f},{b:.3f},{c:.4f}" for a, b, c in points).encode()
    del points, x, y, z
    resting = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"a million points, {len(data) / 1e6:.0f} MB of CSV")
    began = last = time.perf_counter()
    result: Any = data
    for what, work in (
        ("import", lambda data: parse_points(data, "scan.csv", "in")),
        ("grid", lambda imported: survey_from_points(survey_of(imported.points))),
        ("lie and doubts", lambda s: (lie_of(s), doubts(s)) and s),
        ("two edges judged", lambda s: judged(s) or s),
    ):
        result = work(result)
        print(f"  {what:<22} {(time.perf_counter() - last) * MS:>8.0f} ms")
        last = time.perf_counter()
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"  in all                 {(time.perf_counter() - began) * MS:>8.0f} ms")
    print(f"  memory at its most     {most:>8.0f} MB ({resting:.0f} before, with the file made)")
    print(f"  {result.known} cells of {result.spacing / FOOT * 12:.0f} in")


def main() -> None:
    straightedge(10, (10, 32, 100, 316, 1000))
    straightedge(100, (120, 316))
    small()
    subprocess.run([sys.executable, __file__, "million"], check=True)


if __name__ == "__main__":
    million() if sys.argv[1:] == ["million"] else main()
