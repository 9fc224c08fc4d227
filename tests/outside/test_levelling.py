"""Levelling against published worked examples, each with its source.

An answer that was published is "published"; one computed a second time from published inputs
says so.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from fieldlog.calc.levelling import (
    Allowance,
    Sight,
    close_run,
    level_run,
    load_allowances,
    two_peg,
)

ROOT = Path(__file__).parent.parent.parent
M = 1_000_000_000
FT = 304_800_000


def m(text: str) -> int:
    return int(Fraction(text) * M)


def ft(text: str) -> int:
    return int(Fraction(text) * FT)


@pytest.fixture(scope="module")
def allowances() -> dict[str, Allowance]:
    path = ROOT / "fieldlog" / "limits" / "levelling.toml"
    return load_allowances(path.read_text(), path.name)


def test_lv1_a_published_run_of_three_set_ups() -> None:
    """Public page, complete with answers, feet: 100.00 to 102.30."""
    run = level_run(
        ft("100.00"),
        [Sight(ft(b), ft(f)) for b, f in (("4.20", "2.50"), ("5.15", "3.50"), ("3.05", "4.10"))],
    )
    assert [leg.height_of_instrument for leg in run.legs] == [
        ft("104.20"), ft("106.85"), ft("106.40"),
    ]  # fmt: skip
    assert [leg.elevation for leg in run.legs] == [ft("101.70"), ft("103.35"), ft("102.30")]
    assert (run.sum_back, run.sum_fore) == (ft("12.40"), ft("10.10"))
    assert run.sum_back - run.sum_fore == run.end - run.start == ft("2.30")


LV3 = [("4.388", "4.538"), ("6.907", "8.800"), ("4.680", "5.978"), ("3.730", "5.245"),
       ("8.464", "3.598")]  # fmt: skip


def test_lv3_a_closed_loop_by_a_second_computation(allowances: dict[str, Allowance]) -> None:
    """Textbook loop of 1500 m from BM7 at 852.045 m on a public page: inputs published, the
    heights, the misclosure and what is allowed computed a second time."""
    run = level_run(m("852.045"), [Sight(m(b), m(f)) for b, f in LV3])
    assert [leg.height_of_instrument for leg in run.legs] == [
        m("856.433"), m("858.802"), m("854.682"), m("852.434"), m("855.653"),
    ]  # fmt: skip
    assert [leg.elevation for leg in run.legs] == [
        m("851.895"), m("850.002"), m("848.704"), m("847.189"), m("852.055"),
    ]  # fmt: skip
    assert (run.sum_back, run.sum_fore) == (m("28.169"), m("28.159"))
    third = close_run(run, run.start, allowances["third-order"], m("1500"))
    assert third.misclosure == m("0.010")
    assert third.within
    assert round(third.allowed / 1_000_000, 2) == 14.70  # 12 sqrt(1.5)
    assert list(third.adjusted) == [m("851.893"), m("849.998"), m("848.698"), m("847.181"),
                                    m("852.045")]  # fmt: skip
    second = close_run(run, run.start, allowances["second-order-class-ii"], m("1500"))
    assert not second.within
    assert round(second.allowed / 1_000_000, 2) == 9.80  # 8 sqrt(1.5)


def test_a_building_loop_that_misses_0_015_ft_is_accepted(allowances: dict[str, Allowance]) -> None:
    """Public page: allowed 0.02 ft, actual 0.015 ft, acceptable."""
    run = level_run(0, [Sight(ft("5.000"), ft("4.985"))])
    closed = close_run(run, 0, allowances["building-loop"])
    assert (closed.misclosure, closed.within) == (ft("0.015"), True)


def test_tp1_a_published_two_peg_test() -> None:
    """Public page, with its answer: 0.05 m in 100 m, correct readings 1.105 and 1.345."""
    test = two_peg((m("1.32"), m("1.56")), (m("1.11"), m("1.39")), (m("10"), m("90")))
    assert (test.true_difference, test.observed_difference) == (m("0.24"), m("0.28"))
    assert test.tilt.error_at(m("100")) == m("0.05")
    assert test.tilt.corrected(m("1.39"), m("90")) == m("1.345")
    assert test.tilt.corrected(m("1.11"), m("10")) == m("1.105")


def test_tp2_the_size_of_a_published_two_peg_test() -> None:
    """Public page: observed 0.615, true 0.630, 0.060 m in 100 m. Its signs treat readings as
    elevations, so only the size is compared."""
    test = two_peg((0, m("0.630")), (m("2.847"), m("3.462")), (m("25"), m("50")))
    assert test.observed_difference == m("0.615")
    assert abs(test.tilt.error_at(m("100"))) == m("0.060")


def test_tp3_a_two_peg_test_by_a_second_computation() -> None:
    """Inputs published on a public page, the answer computed a second time."""
    test = two_peg((m("2.00"), m("3.00")), (m("1.50"), m("2.75")), (m("120"), m("20")))
    assert test.tilt.per_length == Fraction(-25, 10_000)
    assert test.tilt.corrected(m("1.50"), m("120")) == m("1.80")
    assert test.tilt.corrected(m("2.75"), m("20")) == m("2.80")


# 12 mm sqrt(km), 0.05 ft sqrt(miles): surveying glossary; 5 mm sqrt(n): state guide
PUBLISHED = [
    ("third-order", "kilometer", 12_000_000), ("third-order-feet", "mile", ft("0.05")),
    ("set-ups-5mm", "set-up", 5_000_000), ("building-loop", "loop", ft("0.02")),
    ("second-order-class-ii", "kilometer", 8_000_000),
]  # fmt: skip


@pytest.mark.parametrize(("name", "per", "value"), PUBLISHED)
def test_each_published_allowance(
    allowances: dict[str, Allowance], name: str, per: str, value: int
) -> None:
    assert (allowances[name].per, allowances[name].value) == (per, value)
    assert len(allowances) == len(PUBLISHED)
