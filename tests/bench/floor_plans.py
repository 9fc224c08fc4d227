"""Prints how fast a floor's plans are made: `python tests/bench/floor_plans.py`. Asserts nothing.

Medians of the processor's own time, with the slowest beside them: on a machine that is busy with
other things the wall's time says little. The baseline is the same programme handed to SciPy whole,
every chord of every limit in it. `--waves` adds 10 000 stations of 3/4 in waves, patch by patch.
"""

from __future__ import annotations

import math
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

import numpy as np

from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_mix import MixPrices, cheapest_mix
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.floors_plan_watch import Progress, Stopped, Watch
from fieldlog.calc.floors_pool import NothingToPour, pour
from fieldlog.calc.floors_survey import Stations
from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_INCH
from tests.floors_made import chords

MS = 1000
TIMES = 5
LIMIT = 3 * NM_PER_INCH // 16
EIGHTH, QUARTER = NM_PER_INCH // 8, NM_PER_INCH // 4
PAID = MixPrices(Fraction(38), Fraction(45 * NM_PER_FOOT**3, 100), Fraction(6), QUARTER)
Row = tuple[str, str, str]


def stations(inches: np.ndarray, spacing: int) -> Stations:
    """Stations from heights in inches, to the sixteenth; `spacing` in inches."""
    z = np.rint(inches * 16).astype(np.int64) * (NM_PER_INCH // 16)
    known = np.ones(z.shape, dtype=bool)
    apart = spacing * NM_PER_INCH
    return Stations(z, known, apart, (0, 0), np.argwhere(known), known.astype(np.int64))


def task(of: Stations, method: str = "both") -> FloorTask:
    """3/16 in under 10 ft."""
    kinds = ("hollow", "hump") if method == "both" else (method,)
    asked = tuple(EdgeLimit(10 * NM_PER_FOOT, LIMIT, kind, "", "") for kind in kinds)  # type: ignore[arg-type]
    return FloorTask(of, asked)


def small_floors() -> Iterator[tuple[str, np.ndarray]]:
    """400 stations of one kind of floor each, inches."""
    rng = np.random.default_rng(1)
    y, x = np.mgrid[:20, :20]
    yield "1/8 in of noise", rng.normal(0, 1 / 8, (20, 20))
    yield "3/4 in of noise", rng.normal(0, 3 / 4, (20, 20))
    yield "3/4 in waves", 3 / 8 * (np.sin(x * 0.73 + y * 0.2) + np.sin(y * 0.61 + x * 0.2))
    yield "a 1 in ridge", np.maximum(0, 1 - abs(x - y / 2 - 4) / 4)
    yield "a 2 in bowl", ((x - 10) ** 2 + (y - 10) ** 2) / 100
    yield "a 3/4 in spike", np.where((x == 10) & (y == 10), 3 / 4, 0)
    yield "ordinary", ordinary(20, 1)


def ordinary(size: int, seed: int) -> np.ndarray:
    """Gentle unevenness over about 8 stations and a little roughness, inches."""
    rng = np.random.default_rng(seed)
    sums = np.cumsum(np.cumsum(rng.normal(0, 1, (size + 8, size + 8)), 0), 1)
    smooth = (sums[8:, 8:] - sums[:-8, 8:] - sums[8:, :-8] + sums[:-8, :-8]) / 8
    return smooth * 0.06 + rng.normal(0, 0.02, (size, size))


def took(work: Callable[[], object], times: int = TIMES) -> list[float]:
    """Processor seconds of each call, after one that is not counted."""
    work()
    found = []
    for _ in range(times):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return found


def shown(times: list[float]) -> str:
    return f"{statistics.median(times) * MS:.0f} ms (slowest {max(times) * MS:.0f})"


def small() -> Iterator[Row]:
    """Every plan of 400 stations."""
    for spacing in (24, 12):
        for name, inches in small_floors():
            yield from plans(stations(inches, spacing), f"{name}, {spacing} in apart")


def plans(of: Stations, told: str) -> Iterator[Row]:
    hollows, both = task(of, "hollow"), task(of)
    yield f"fill, hollows: {told}", shown(took(lambda: least_fill(hollows))), "50 ms"
    yield f"fill, both: {told}", shown(took(lambda: least_fill(both))), "300 ms"
    yield f"mix: {told}", shown(took(lambda: cheapest_mix(both, PAID))), "300 ms"
    yield f"pool: {told}", shown(took(lambda: poured(both), 1)), ""


def poured(of: FloorTask) -> object:
    try:
        return pour(of, least_fill(of).depths, EIGHTH)
    except NothingToPour:
        return None


def baseline() -> Iterator[Row]:
    """The least fill of one floor as the whole programme, by SciPy."""
    of = task(stations(dict(small_floors())["3/4 in waves"], 24))
    yield "same fill by SciPy, every chord in it (3/4 in waves, 24 in)", shown(took(
        lambda: by_scipy(of), 1)), ""  # fmt: skip


def by_scipy(of: FloorTask) -> float:
    from scipy.optimize import linprog
    from scipy.sparse import coo_array, vstack

    z = of.stations.z.ravel() / 1_000_000
    found = np.array(list(chords(of.stations, 10 * NM_PER_FOOT)))
    run = (found[:, 3] + found[:, 4])[:, None]
    weights = np.hstack([found[:, 4:5], found[:, 3:4], -run]) / run
    places, count = found[:, :3], len(found)
    gap = (weights * z[places]).sum(axis=1)
    a = coo_array((weights.ravel(), (np.repeat(np.arange(count), 3), places.ravel()))).tocsr()
    most = LIMIT / 1_000_000
    solved = linprog(
        np.ones(len(z)), A_ub=vstack([a, -a]), b_ub=np.concatenate([most - gap, most + gap]),
        bounds=(0, None), method="highs",
    )  # fmt: skip
    return float(solved.fun)


def large() -> Iterator[Row]:
    """Ordinary floors, growing; the exponent of the time's growth."""
    sizes, times = (50, 100, 200), []
    for size in sizes:
        of = task(stations(ordinary(size, 1), 12))
        found = took(lambda: cheapest_mix(of, PAID), 2)  # noqa: B023
        times.append(statistics.median(found))
        want = "1000 ms" if size == 200 else ""
        yield f"mix, ordinary floor, {size * size} stations 12 in apart", shown(found), want
    grows = math.log(times[-1] / times[0]) / math.log(sizes[-1] ** 2 / sizes[0] ** 2)
    yield "  time grows with stations to the power", f"{grows:.2f}", ""


def waves() -> Iterator[Row]:
    """10 000 stations of 3/4 in waves, patch by patch, and stopped after two seconds."""
    rng = np.random.default_rng(5)
    y, x = np.mgrid[:100, :100]
    inches = 3 / 8 * (np.sin(x * 0.73 + 0.4 * np.sin(y * 0.31)) + np.sin(y * 0.61 + x * 0.2))
    of = task(stations(inches + rng.normal(0, 0.06, (100, 100)), 24))

    def tell(progress: Progress) -> None:
        print(f"  {progress.done} of {progress.of}, at least {progress.bound:.0f}", file=sys.stderr)

    began = time.process_time()
    found = cheapest_mix(of, PAID, Watch(tell))
    above = (found.cost / found.bound - 1) * 100
    yield "mix, 10 000 stations of 3/4 in waves", f"{time.process_time() - began:.0f} s", ""
    yield "  above its bound", f"{above:.0f} %", ""
    began = time.perf_counter()
    try:
        cheapest_mix(of, PAID, Watch(stop=lambda: time.perf_counter() - began > 2))
    except Stopped as stopped:
        waited, least = time.perf_counter() - began, stopped.progress.bound
        yield "  asked to stop after 2 s", f"{waited:.1f} s", f"at least {least:.0f} in all"


def main() -> None:
    """Print the table."""
    rows = [small, baseline, large, *([waves] if "--waves" in sys.argv else [])]
    print(f"{'':68}  {'seen':>28}  budget")
    for part in rows:
        for name, seen, budget in part():
            print(f"{name:68}  {seen:>28}  {budget}", flush=True)


if __name__ == "__main__":
    main()
