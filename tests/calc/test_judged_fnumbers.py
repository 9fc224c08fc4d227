"""FF and FL as limits: judged on entry, with their tool's error, or not measured and why."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

import pytest

from fieldlog.calc.floors import Grid
from fieldlog.calc.floors_fnumbers_judged import Which, numbers_of, weighed
from fieldlog.calc.judging import judge
from fieldlog.store.files import load_library

LIBRARY = load_library()
FOOT, SIXTEENTH = 304_800_000, 1_587_500


def rows(size: int, seed: int = 1) -> list[list[int]]:
    drawn = random.Random(seed)
    return [[drawn.choice((-1, 0, 0, 0, 1)) for _ in range(size)] for _ in range(size)]


def judged(size: int, book: str = "f-numbers-conventional", spacing: str = "1 ft") -> Any:
    texts = [[f"{n:+d}" for n in row] for row in rows(size)]
    levels = {"spacing": spacing, "unit": "16ths", "rows": texts}
    return judge(LIBRARY, "floor", [book], {"levels": levels}, "laser-rod")


def test_a_limit_on_ff_is_judged_like_any_other_and_says_how_verified() -> None:
    found = {r["quantity"]: r for r in judged(20)["rules"]}
    assert {r["verdict"] for r in found.values()} <= {"pass", "fail", "too_close"}
    assert all(r["u"] for r in found.values())
    assert all(r["source"]["verified"] == "memory" for r in found.values())
    assert "E1155" in found["ff"]["source"]["clause"]


def test_the_judgement_keeps_every_line_with_its_q() -> None:
    numbers = judged(20)["grids"]["levels"]["f_numbers"]
    assert numbers["why_not"] == []
    assert len(numbers["lines"]) == 10  # 4 ft apart, both ways
    assert all(len(line["q"]) == 18 for line in numbers["lines"])
    assert {"text", "nm"} == set(numbers["lines"][0]["q"][0])


@pytest.mark.parametrize(("size", "spacing", "says"), [
    (9, "1 ft", "smaller than 320 sq ft"), (20, "2 ft", "do not stand 12 in"),
])  # fmt: skip
def test_readings_that_do_not_qualify_are_not_measured_and_it_is_said_why(
    size: int, spacing: str, says: str
) -> None:
    found = judged(size, spacing=spacing)
    assert {r["verdict"] for r in found["rules"]} == {"not_measured"}
    assert any("No FF and FL" in note and says in note for note in found["notes"])


def test_without_such_a_limit_nothing_of_it_is_kept() -> None:
    assert "f_numbers" not in judged(9, "plank-floor", "2 ft")["grids"]["levels"]


@pytest.mark.parametrize("which", ["ff", "fl"])
def test_the_sensitivities_are_those_of_a_small_change(which: Which) -> None:
    heights = [[n * SIXTEENTH for n in row] for row in rows(20)]
    grid = Grid(tuple(map(tuple, heights)), FOOT)
    found = weighed(grid, which)
    assert found is not None
    value, weights = found
    for cell in sorted(weights, key=lambda cell: -abs(weights[cell]))[:5]:
        step = SIXTEENTH // 2  # F is rounded to hundredths: no much smaller step shows
        moved = [list(row) for row in heights]
        moved[cell[0]][cell[1]] += step
        after = numbers_of(Grid(tuple(map(tuple, moved)), FOOT))
        change = getattr(after, which) - value
        assert abs(change - weights[cell] * step) <= Fraction(3, 100) + abs(change) / 5
