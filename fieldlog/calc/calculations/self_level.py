"""Bags of self-leveling underlayment, and the primer before it."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Number,
    Result,
)
from fieldlog.calc.calculations.numbers import decimal_or_fraction
from fieldlog.calc.calculations.practice import Practice
from fieldlog.calc.calculations.running import length_text, number_text
from fieldlog.calc.tape import NM_PER_FOOT, NM_PER_MM

_FT2, _FT3 = NM_PER_FOOT**2, NM_PER_FOOT**3
_M2, _LITER = (1000 * NM_PER_MM) ** 2, (100 * NM_PER_MM) ** 3
_GALLON = 231 * (NM_PER_FOOT // 12) ** 3  # US, by definition 231 cubic inches
_LARGEST_BAG = 5 * _FT3


def bags(area: Fraction, depth: int, yield_: Fraction, waste: Fraction) -> Fraction:
    """Bags, exact: area (nm2) x mean depth (nm) / yield (nm3), and so many percent more."""
    return area * depth / yield_ * (1 + waste / 100)


def coverage(yield_: Fraction, depth: int) -> Fraction:
    """The area (nm2) that one bag covers at a depth."""
    return yield_ / depth


def _compute(given: Given) -> Answer:
    area, depth, yield_ = given["area"], given["depth"], given["yield"]
    needed = bags(area, depth, yield_, given["waste"])
    metric = given.system == "metric"
    volume, unit = (_LITER, "l") if metric else (_FT3, "cu ft")
    surface, per = (_M2, "m2") if metric else (_FT2, "sq ft")
    results = (
        Result("bags", "Bags", Number(ceil(needed))),
        Result("bags_exact", "exactly", Number(needed, "", 2)),
        Result("volume", "Volume", Number(area * depth / volume, unit, 2)),
        Result("coverage", "One bag covers", Number(coverage(yield_, depth) / surface, per, 1)),
        *_primer(area, given.reference.practice, metric),
    )
    more = f" x (1 + {decimal_or_fraction(given['waste'])}/100)" if given["waste"] else ""
    steps = (
        f"{number_text(area / surface, 1)} {per} x {length_text(depth, given.system)} = "
        f"{number_text(area * depth / volume, 2)} {unit}.",
        f"/ {number_text(yield_ / volume, 2)} {unit} a bag{more} = {number_text(needed, 2)} bags.",
    )
    return Answer(results, steps, _notes(given))


def _primer(area: Fraction, practice: Practice, metric: bool) -> tuple[Result, ...]:
    """The least and the most primer, by how thirsty the floor is."""
    unit, size = ("l", Fraction(_GALLON, _LITER)) if metric else ("gal", Fraction(1))
    dense, thirsty = (
        Number(area / _FT2 / practice[key].value * size, unit, 2)
        for key in ("primer-most", "primer-least")
    )
    return (
        Result("primer_least", "Primer, dense floor", dense),
        Result("primer_most", "Primer, thirsty floor", thirsty),
    )


def _notes(given: Given) -> tuple[str, ...]:
    practice = given.reference.practice
    thin, thick = practice["lift-least"], practice["lift-most"]
    told = [
        "Primer first, and dry: a thin pour on a bare floor flakes (common practice).",
        f"Primer: {practice['primer-least'].verified}; {practice['primer-least'].seen}.",
    ]
    if not thin.nm <= given["depth"] <= thick.nm:
        low, high = (length_text(one.nm, given.system) for one in (thin, thick))
        told.append(
            f"One lift is usually {low} to {high} ({thin.verified}; {thin.seen}). Outside of "
            "that look at the bag."
        )
    return tuple(told)


CALCULATIONS = (
    Calculation(
        name="self-level",
        title="Self-leveling bags",
        says="Bags and primer for a pour, from area, mean depth and a bag's yield.",
        inputs=(
            Input("area", "Area", "area", required=True, positive=True),
            Input("depth", "Mean depth", "length", required=True, positive=True),
            Input("yield", "Yield of a bag", "volume", "As printed on it: 0.45 cu ft.",
                  required=True, positive=True, high=_LARGEST_BAG),
            Input("waste", "More, for waste", "percent", default="0", low=0, high=100),
        ),
        formula="bags = area x depth / yield, and the waste, rounded up.",
        source="Arithmetic; published coverage ranges reproduced in the tests",
        caution="The bag's own sheet decides on depth, water, primer and drying.",
        compute=_compute,
    ),
)  # fmt: skip
