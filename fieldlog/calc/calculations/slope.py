"""Slopes: rise over run as a ratio, a percentage, an angle, and inches in a foot."""

from __future__ import annotations

from fractions import Fraction

from fieldlog.calc.calculations import decimals
from fieldlog.calc.calculations.decimals import Exact, decimal_of
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Words,
)
from fieldlog.calc.calculations.numbers import Pitch
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text, number_text
from fieldlog.calc.tape import NM_PER_FOOT


def _compute(given: Given) -> Answer:
    run, ratio = given["run"], _ratio(given)
    rise: Exact = given["rise"] if given["rise"] is not None else ratio * run
    results = [
        Result("rise", "Rise", Length(rise)),
        Result("run", "Run", Length(run)),
        Result("percent", "Slope", Number(100 * ratio, "%", 2)),
        Result("angle", "Angle", Number(_degrees(ratio), "deg", 2)),
        Result("per_foot", "In a foot", Length(ratio * NM_PER_FOOT)),
    ]
    says = "Level."
    if ratio:
        one_in = Fraction(1) / Fraction(ratio)
        results.append(Result("one_in", "1 in", Number(one_in, "", 1)))
        says = f"1 in {number_text(one_in, 1).removesuffix('.0')}: {number_text(100 * ratio, 2)} %."
    results.append(Result("says", "In words", Words(says)))
    up, along = length_text(rise, given.system), length_text(run, given.system)
    return Answer(tuple(results), (f"{up} / {along} = {number_text(ratio, 4)}.",))


def _ratio(given: Given) -> Exact:
    """Rise over run from the one of three inputs that was typed."""
    typed = [name for name in ("rise", "slope", "percent") if given[name] is not None]
    if len(typed) != 1:
        raise refused("rise", "Type the rise, the slope or the percent; one of them.")
    if given["rise"] is not None:
        return Fraction(given["rise"], given["run"])
    if given["percent"] is not None:
        return Fraction(given["percent"]) / 100
    slope: Pitch = given["slope"]
    if slope.degrees is None:
        return Fraction(slope.rise, slope.run)
    angle = decimals.radians(slope.degrees)
    return decimals.sin(angle) / decimals.cos(angle)


def _degrees(ratio: Exact) -> Exact:
    return decimals.degrees(decimals.atan(decimal_of(ratio)))


CALCULATIONS = (
    Calculation(
        name="slope",
        title="Slope",
        says="A slope as a ratio, percent, angle and inches in a foot; or the rise of a slope.",
        inputs=(
            Input("run", "Run", "length", "Level; the length of the level that was used.",
                  required=True, positive=True),
            Input("rise", "Rise, or gap under the low end", "length", low=0),
            Input("slope", "Slope", "pitch", "In place of the rise: 1 : 50, or 2 deg."),
            Input("percent", "Slope in percent", "percent", "In place of the rise.", low=0,
                  high=1000),
        ),
        formula="slope = rise / run; angle = atan(slope).",
        source="Geometry; the US DOJ checklist's gaps under a level reproduced in the tests",
        caution="A level reads its own length only: try it along and across.",
        compute=_compute,
    ),
)  # fmt: skip
