"""Where a rule starts to apply, read from its condition."""

from __future__ import annotations

from fractions import Fraction

import pytest

from fieldlog.calc.expressions import parse
from fieldlog.calc.functions import LENGTH
from fieldlog.calc.judging import judge
from fieldlog.calc.starts import starts_of
from fieldlog.store.files import load_library

INCH = 25_400_000


@pytest.mark.parametrize(
    ("condition", "found"),
    [
        ('high > "30 in"', [("high", ">", 30)]),
        ('"30 in" < high', [("high", ">", 30)]),
        ('solid or high >= "30 in"', [("high", ">=", 30)]),
        ('not (solid and high >= "11 in")', [("high", "<", 11)]),
        ('not (not (high < "2 in"))', [("high", "<", 2)]),
        ('high > "30 in" and high > "30 in"', [("high", ">", 30)]),
        ("high > low", []),
        ('max(high) > "30 in"', []),
        ("solid", []),
    ],
)
def test_comparisons_with_a_constant(condition: str, found: list[tuple[str, str, int]]) -> None:
    tree, _ = parse(condition, {"high": LENGTH, "low": LENGTH, "solid": "truth"})
    assert list(starts_of(tree)) == [(q, c, Fraction(n) * INCH) for q, c, n in found]


def test_a_rule_without_a_condition_has_none() -> None:
    assert starts_of(None) == ()


def test_the_judgement_carries_them_in_the_job_s_units() -> None:
    readings = {"riser": ["7 1/2 in"] * 6, "open_riser": "yes", "tread_thickness": "1 in"}
    for system, text in (("us", "30 in"), ("metric", "762 mm")):
        told = judge(load_library(None), "stair", ["irc-2021"], readings, "tape", system)
        starts = next(r["starts"] for r in told["rules"] if r["rule"] == "stair.open-gap")
        assert starts == [
            {"quantity": "open_gap_height", "compare": ">", "text": text, "nm": str(30 * INCH)}
        ]
        assert all(r["starts"] == [] for r in told["rules"] if r["rule"] == "stair.headroom")
