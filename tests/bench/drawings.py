"""How long a drawing takes and how large it is: python tests/bench/drawings.py"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import process_time
from typing import Any

sys.path.append(str(Path(__file__).parent.parent / "drawings"))

from drawn import stair
from test_floor_map import FOOT, SIXTEENTH, floor

from fieldlog.calc.floors import Grid, plane, worst_under
from fieldlog.drawings import draw


def ground(side: int) -> list[list[int | None]]:
    """An uneven square of `side` x `side` stations."""
    return [[(r * r + 3 * c * r) % 11 * SIXTEENTH for c in range(side)] for r in range(side)]


def milliseconds(work: Callable[[], object], times: int = 15) -> float:
    """The median processor time of several runs."""
    taken = []
    for _ in range(times):
        start = process_time()
        work()
        taken.append((process_time() - start) * 1000)
    return median(taken)


def main() -> None:
    """Print the table."""
    drawn: list[tuple[str, dict[str, Any]]] = [
        (f"stair, {n} open risers", stair(["7 1/2"] * n, ["10 1/4"] * (n - 1), open_riser=True))
        for n in (3, 12, 20)
    ]
    drawn += [(f"floor, {n} x {n} stations", floor(ground(n))) for n in (5, 10, 20)]
    print(f"{'drawing':32}{'ms':>8}{'KB':>8}")
    for name, judged in drawn:
        size = len(draw(judged)) / 1024
        print(f"{name:32}{milliseconds(lambda j=judged: draw(j)):8.1f}{size:8.1f}")
    print(f"\n{'floor arithmetic, 10 ft edge':32}{'ms':>8}")
    for side in (10, 30, 100):
        grid = Grid(tuple(map(tuple, ground(side))), FOOT)
        took = milliseconds(lambda g=grid: worst_under(g, 10 * FOOT, "hump"), 5)
        print(f"{f'worst hump, {side} x {side}':32}{took:8.1f}")
        print(f"{f'best plane, {side} x {side}':32}{milliseconds(lambda g=grid: plane(g), 5):8.1f}")


if __name__ == "__main__":
    main()
