"""Named functions of two lengths at a right angle: the slant, the other leg, the angle.

Each is rounded as `roots.py` says. A mark (may rise, may fall) does not go through a root:
what is not wholly measured is not measured.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from math import isqrt

from fieldlog.calc.named import number_of
from fieldlog.calc.roots import RIGHT_ANGLE, atan_microdegrees, root_nearest
from fieldlog.calc.values import (
    AWAY,
    GAP,
    Away,
    Element,
    Number,
    ReadingKey,
    Value,
    combined,
    exact,
    paired,
)

PER_RADIAN = Fraction(57_295_779_513_082_320_877, 10**12)
"""Microdegrees in a radian, to 20 digits: sensitivities only, no value hangs on it."""


def hypot(a: Value, b: Value) -> Value:
    """The slant of two lengths at a right angle, to the nearest nm"""
    return paired(_both_known(_hypot), a, b)


def leg(slant: Value, other: Value) -> Value:
    """The other leg below a slant, to the nm below; not measured where the leg is longer"""
    return paired(_both_known(_leg), slant, other)


def angle_of(rise: Value, run: Value) -> Value:
    """The angle of a rise over a run, to the nearest microdegree; down is negative"""
    return paired(_both_known(_angle), rise, run)


def steps(value: Value, step: Value) -> Value:
    """How many whole steps of one length fit into another; none into less than nothing"""
    return paired(_both_known(_steps), value, step)


def _both_known(
    work: Callable[[Number, Number, Fraction, Fraction], Element],
) -> Callable[..., Element]:
    def of_pair(a: Element, b: Element) -> Element:
        if isinstance(a, Away) or isinstance(b, Away):
            return AWAY
        x, y = number_of(a), number_of(b)
        if x.value is None or y.value is None or x.may or y.may:
            return GAP
        return work(x, y, x.value, y.value)

    return of_pair


def _hypot(a: Number, b: Number, x: Fraction, y: Fraction) -> Element:
    square = x * x + y * y
    slant = root_nearest(square.numerator, square.denominator)
    if not slant:
        return Number(Fraction(0), combined(a.sens, Fraction(1), b.sens, Fraction(1)))
    return Number(Fraction(slant), combined(a.sens, x / slant, b.sens, y / slant))


def _leg(a: Number, b: Number, slant: Fraction, other: Fraction) -> Element:
    square = slant * slant - other * other
    if square < 0 or slant < 0:
        return GAP
    found = isqrt(square.numerator // square.denominator)
    sens: dict[ReadingKey, Fraction] = {}
    if found:
        sens = combined(a.sens, slant / found, b.sens, -other / found)
    return Number(Fraction(found), sens)


def _angle(a: Number, b: Number, rise: Fraction, run: Fraction) -> Element:
    if run < 0 or not (rise or run):
        return GAP
    p, q = abs(rise), run
    angle = atan_microdegrees(p.numerator * q.denominator, q.numerator * p.denominator)
    square = rise * rise + run * run
    sens = combined(a.sens, PER_RADIAN * run / square, b.sens, -PER_RADIAN * rise / square)
    return Number(Fraction(-angle if rise < 0 else min(angle, RIGHT_ANGLE)), sens)


def _steps(_a: Number, _b: Number, value: Fraction, step: Fraction) -> Element:
    return exact(max(0, value // step)) if step > 0 else GAP
