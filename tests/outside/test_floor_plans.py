"""Plans of a floor against what is published, and against SciPy.

Coverage of self-levelling underlayment: 40 to 50, 20 to 25, 13 to 17 and 10 to 12 ft2 from a
50-lb bag at 1/8, 1/4, 3/8 and 1/2 in, two generic guides on public pages (secondary). Yields of
0.45 and 0.50 ft3 a bag are from memory and agree with them. The area of a bag is its yield
times 12 over the thickness in inches: an identity, given with both yields below.

`scipy.optimize.linprog` solves the least fill and the bound of a mix over every chord there is,
without choosing any of them first.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from fieldlog.calc.amounts import parse_volume
from fieldlog.calc.floors_fill import least_fill
from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_mix import MixPrices, cheapest_mix
from fieldlog.calc.floors_plan_materials import material, primer
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.lengths import NM_PER_FOOT, parse_length
from fieldlog.calc.products import with_yield
from fieldlog.store.product_files import load_products
from tests.floors_made import FOOT, INCH, MM, SIXTEENTH, bent, breaks, chords, limits

PRODUCTS = load_products()
SQUARE_FOOT = NM_PER_FOOT**2

COVERAGE = [
    ("1/8 in", 40, 50), ("1/4 in", 20, 25), ("3/8 in", 13, 17), ("1/2 in", 10, 12),
]  # fmt: skip
IDENTITY = [
    ("0.45 ft3", "1/8 in", "43.2"), ("0.45 ft3", "1/4 in", "21.6"), ("0.45 ft3", "3/8 in", "14.4"),
    ("0.45 ft3", "1/2 in", "10.8"), ("0.45 ft3", "1 in", "5.4"),
    ("0.50 ft3", "1/8 in", "48"), ("0.50 ft3", "1/4 in", "24"), ("0.50 ft3", "3/8 in", "16"),
    ("0.50 ft3", "1/2 in", "12"), ("0.50 ft3", "1 in", "6"),
]  # fmt: skip


@pytest.mark.parametrize(("yields", "thick", "covers"), IDENTITY)
def test_a_bag_covers_its_yield_over_the_thickness(yields: str, thick: str, covers: str) -> None:
    product = with_yield(PRODUCTS["pour"], parse_volume(yields))
    deep = parse_length(thick)
    volume = Fraction(covers) * SQUARE_FOOT * deep
    assert volume.denominator == 1
    assert material(product, int(volume), deep).units == 1
    assert material(product, int(volume) + 1, deep).units == 2


@pytest.mark.parametrize("kind", ["pour", "trowel"])
@pytest.mark.parametrize(("thick", "least", "most"), COVERAGE)
def test_what_ships_covers_what_the_guides_print(
    kind: str, thick: str, least: int, most: int
) -> None:
    covers = PRODUCTS[kind].yields / parse_length(thick) / SQUARE_FOOT
    assert least <= covers <= most


def test_primer_covers_200_to_400_square_feet_a_gallon() -> None:
    """From memory; it depends on how thirsty the floor is."""
    found = primer(PRODUCTS["primer"], 400 * SQUARE_FOOT)
    assert (found.least_units, found.most_units) == (1, 2)


TWO = limits((10 * FOOT, 3 * SIXTEENTH), (6 * FOOT, 2 * SIXTEENTH))
HOLLOW = limits((10 * FOOT, 3 * SIXTEENTH), (2 * 2 * FOOT, SIXTEENTH), method="hollow")


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("asked", [TWO, HOLLOW], ids=["both", "hollow"])
def test_the_least_fill_is_scipys(seed: int, asked: tuple[EdgeLimit, ...]) -> None:
    task = FloorTask(bent(9, 11, seed), asked)
    found = least_fill(task)
    area = np.ones(task.stations.z.size)
    assert breaks(task, found.depths) == []
    assert found.volume == pytest.approx(by_scipy(task, area, area, 0), rel=1e-5)


@pytest.mark.parametrize("seed", range(3))
def test_the_bound_of_a_mix_is_scipys(seed: int) -> None:
    task = FloorTask(bent(9, 11, seed), TWO)
    prices = MixPrices(Fraction(38), PRODUCTS["trowel"].yields, Fraction(6), INCH // 4)
    found = cheapest_mix(task, prices)
    each = np.ones(task.stations.z.size)
    fill = 38 / 0.45 * 4 * MM / FOOT * each
    grind = 6 * 4 / (INCH / 4 / MM) * each
    assert breaks(task, found.depths) == []
    assert found.bound == pytest.approx(by_scipy(task, fill, grind, INCH / 4 / MM), rel=1e-5)
    assert found.bound <= found.cost <= 1.5 * found.bound


def by_scipy(task: FloorTask, fill: np.ndarray, grind: np.ndarray, most: float) -> float:
    """The least cost over every chord; changes in mm."""
    from scipy.optimize import linprog
    from scipy.sparse import coo_array, hstack

    rows, columns, values, below = [], [], [], []
    z = task.stations.z.ravel() / MM
    for limit in task.limits:
        sign = 1 if limit.kind == "hollow" else -1
        for start, end, at, before, after in chords(task.stations, limit.edge):
            run = before + after
            weights = (sign * after / run, sign * before / run, -sign)
            rows += [len(below)] * 3
            columns += [start, end, at]
            values += weights
            below.append(limit.limit / MM - np.dot(weights, z[[start, end, at]]))
    a = coo_array((values, (rows, columns)), shape=(len(below), len(z)))
    found = linprog(
        np.concatenate([fill, grind]), A_ub=hstack([a, -a]), b_ub=below,
        bounds=[(0, None)] * len(z) + [(0, most)] * len(z), method="highs",
    )  # fmt: skip
    return float(found.fun)
