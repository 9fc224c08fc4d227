"""Uncertainty against the `uncertainties` package, which propagates linearly on its own."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import isclose, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat  # type: ignore[import-untyped]

from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.expressions import parse
from fieldlog.calc.uncertainty import ErrorPart, too_close, tool_error, variance
from fieldlog.calc.values import Many, Number, ReadingKey, Value

TOOLS = {
    "tape": (
        ErrorPart("reading", 793_750, "rectangular", "each", "test"),
        ErrorPart("scale", 500_000, "normal", "shared", "test"),
    ),
    "rule": (ErrorPart("reading", 200_000, "triangular", "each", "test"),),
    "exact": (),
}
ERRORS = {tool: tool_error(parts) for tool, parts in TOOLS.items()}
_DEVIATION = {"rectangular": sqrt(3), "triangular": sqrt(6), "normal": 2.0}

FORMULAS = (
    "sum(a)", "mean(a)", "spread(a)", "max(a) - min(a)", "a - b", "running(a) - a + b",
    "(a - b) / 2", "a * b", "a / b", "sum(a) / sum(b)",
)  # fmt: skip


class Given:
    def __init__(self, values: dict[str, Value]) -> None:
        self.values = values

    def quantity(self, name: str) -> Value:
        return self.values[name]

    def limit(self, rule: str) -> Value:
        raise KeyError(rule)

    def applies(self, rule: str) -> Value:
        raise KeyError(rule)


def plain(value: Any) -> float:
    """The nominal value; a reading by the exact instrument is a plain number."""
    return float(getattr(value, "n", value))


def reference(a: list[Any], b: list[Any], formula: str) -> Any:
    """The formula in `uncertainties`' numbers, element 0 where it is a list."""

    def first(values: list[Any]) -> Any:
        return values[0]

    by_hand = {
        "sum(a)": lambda: sum(a),
        "mean(a)": lambda: sum(a) / len(a),
        "spread(a)": lambda: max(a, key=plain) - min(a, key=plain),
        "max(a) - min(a)": lambda: max(a, key=plain) - min(a, key=plain),
        "a - b": lambda: first(a) - first(b),
        "running(a) - a + b": lambda: first(b),
        "(a - b) / 2": lambda: (first(a) - first(b)) / 2,
        "a * b": lambda: first(a) * first(b),
        "a / b": lambda: first(a) / first(b),
        "sum(a) / sum(b)": lambda: sum(a) / sum(b),
    }
    return by_hand[formula]()


readings = st.lists(st.integers(100_000_000, 400_000_000), min_size=1, max_size=5)
tools = st.sampled_from(["tape", "rule", "exact"])


@given(readings, readings, st.lists(tools, min_size=10, max_size=10), st.sampled_from(FORMULAS))
def test_u_equals_the_reference_library(
    a: list[int], b: list[int], with_tools: list[str], formula: str
) -> None:
    tool_of: dict[ReadingKey, str] = {}
    shared = {
        (tool, n): ufloat(0, part.half_width / _DEVIATION[part.distribution])
        for tool, parts in TOOLS.items()
        for n, part in enumerate(parts)
        if part.scope == "shared"
    }
    values: dict[str, Value] = {}
    theirs: dict[str, list[Any]] = {"a": [], "b": []}
    pick = iter(with_tools)
    for name, raw in (("a", a), ("b", b)):
        items = []
        for n, nm in enumerate(raw):
            key, tool = (name, n, -1), next(pick)
            tool_of[key] = tool
            items.append(Number(Fraction(nm), {key: Fraction(1)}))
            total: Any = nm
            for k, part in enumerate(TOOLS[tool]):
                own = part.half_width / _DEVIATION[part.distribution]
                total += shared[tool, k] if part.scope == "shared" else ufloat(0, own)
            theirs[name].append(total)
        values[name] = Many(tuple(items))
    tree, _ = parse(formula, {"a": 1, "b": 1})
    found = evaluate(tree, Given(values))
    ours = found.items[0] if isinstance(found, Many) else found
    assert isinstance(ours, Number)
    assert ours.value is not None
    expected = reference(theirs["a"], theirs["b"], formula)
    nominal, deviation = plain(expected), float(getattr(expected, "s", 0))
    u = sqrt(variance(ours.sens, tool_of.__getitem__, ERRORS, {}))
    assert isclose(float(ours.value), nominal, rel_tol=1e-12, abs_tol=1e-6)
    # the reference sums in floats: where everything cancels it leaves a few nm of dust
    assert isclose(u, deviation, rel_tol=1e-9, abs_tol=1e-3)


def test_a_shared_part_cancels_in_a_difference() -> None:
    sens = {("a", 0, -1): Fraction(1), ("a", 1, -1): Fraction(-1)}
    only_shared = {"tape": tool_error([TOOLS["tape"][1]])}
    assert variance(sens, lambda _key: "tape", only_shared, {}) == 0


def test_a_shared_part_that_grows_leaves_what_the_longer_reading_has_more() -> None:
    """JCGM 100:2008 5.2.2: inputs off by one source add with their signs before they are squared.

    A tape off by 2 on short readings and by 4 on long ones, of one source: long less short is off
    by 4 - 2, long less long by nothing, and three short ones less a long one by 3 * 2 - 4.
    """
    part = replace(TOOLS["tape"][1], half_width=Fraction(2), longer=((100, Fraction(4)),))
    tape = {"tape": tool_error([part])}
    read = {("a", n, -1): Fraction(length) for n, length in enumerate((101, 100, 200, 50, 50))}

    def off(*signs: int) -> Fraction:
        sens = {key: Fraction(c) for key, c in zip(read, signs, strict=False) if c}
        return variance(sens, lambda _key: "tape", tape, read) * 4  # of a normal one

    assert [off(1), off(0, 1), off(1, -1), off(1, 0, -1), off(-1, 1, 0, 1, 1)] == [16, 4, 4, 0, 4]


@pytest.mark.parametrize(
    ("distribution", "divisor", "clause"),
    [
        ("rectangular", 3, "JCGM 100:2008 4.3.7"),
        ("triangular", 6, "JCGM 100:2008 4.3.9"),
        ("normal", 4, "JCGM 100:2008 4.3.4, half width as two standard deviations"),
    ],
)
def test_variance_of_a_half_width(distribution: str, divisor: int, clause: str) -> None:
    part = ErrorPart("x", 6_000, distribution, "each", clause)
    assert part.variance == Fraction(36_000_000, divisor)


@pytest.mark.parametrize(
    ("margin", "u_squared", "close"),
    [(20, 100, False), (19, 100, True), (-19, 100, True), (-20, 100, False), (0, 0, False)],
)
def test_too_close_is_strictly_within_two_u(margin: int, u_squared: int, close: bool) -> None:
    """JCGM 106:2012, guard bands of 2u on both sides; exactly 2u is clear."""
    assert too_close(Fraction(margin), Fraction(u_squared)) is close


def test_jcgm_106_example_lies_in_the_band() -> None:
    """y = -5.47, u = 0.05, upper limit -5.40: conformance probability 0.92, no clear verdict.

    JCGM 106:2012 7.3.3 example 1, inputs from memory.
    """
    margin, u = Fraction(-540 + 547, 100), Fraction(5, 100)
    assert too_close(margin, u * u)
