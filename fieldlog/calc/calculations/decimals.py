"""Irrational numbers to 40 figures, for showing. No verdict and no count hangs on them.

Comparisons with a limit are made exactly: squares with squares, or by bounds (`cos_bounds`)
that are 1e-40 apart, taken on the safe side. Series: arctan by Taylor after halving the angle,
sine and cosine by Taylor; both are summed until a term no longer counts.
"""

from __future__ import annotations

from decimal import Context, Decimal, localcontext
from fractions import Fraction

FIGURES = 40
_WORK = Context(prec=FIGURES + 15)

Exact = int | Fraction | Decimal


def decimal_of(value: Exact) -> Decimal:
    """A number as a decimal of 55 figures."""
    if isinstance(value, Decimal):
        return value
    whole = Fraction(value)
    return _WORK.divide(Decimal(whole.numerator), Decimal(whole.denominator))


def root(value: Exact) -> Decimal:
    """Square root of a number that is zero or more."""
    return _WORK.sqrt(decimal_of(value))


def pi() -> Decimal:
    """Pi, by Machin's formula: 4 (4 atan 1/5 - atan 1/239)."""
    with localcontext(_WORK):
        return 4 * (4 * _atan_small(Decimal(1) / 5) - _atan_small(Decimal(1) / 239))


def degrees(radians: Exact) -> Decimal:
    """Radians in degrees."""
    return _WORK.divide(decimal_of(radians) * 180, pi())


def radians(angle: Exact) -> Decimal:
    """Degrees in radians."""
    return _WORK.divide(_WORK.multiply(decimal_of(angle), pi()), Decimal(180))


def atan(value: Exact) -> Decimal:
    """Arc tangent, in radians."""
    x = decimal_of(value)
    with localcontext(_WORK):
        for _ in range(3):  # atan x = 2 atan (x / (1 + sqrt(1 + x^2)))
            x = x / (1 + (1 + x * x).sqrt())
        return 8 * _atan_small(x)


def asin(value: Exact) -> Decimal:
    """Arc sine, in radians, of a number from -1 to 1."""
    x = decimal_of(value)
    with localcontext(_WORK):
        if abs(x) == 1:
            return x * pi() / 2
        return atan(x / (1 - x * x).sqrt())


def sin(angle: Exact) -> Decimal:
    """Sine of an angle in radians."""
    with localcontext(_WORK):
        return _circular(decimal_of(angle) % (2 * pi()), 1)


def cos(angle: Exact) -> Decimal:
    """Cosine of an angle in radians."""
    with localcontext(_WORK):
        return _circular(decimal_of(angle) % (2 * pi()), 0)


def cos_bounds(degrees_: Fraction) -> tuple[Fraction, Fraction]:
    """Two fractions, 2e-40 apart, with the cosine of an angle in degrees between them."""
    near = Fraction(cos(radians(degrees_)))
    apart = Fraction(1, 10**FIGURES)
    return near - apart, near + apart


def _atan_small(x: Decimal) -> Decimal:
    total, power, square, nth = x, x, x * x, 1
    while True:
        power, nth = -power * square, nth + 2
        more = total + power / nth
        if more == total:
            return total
        total = more


def _circular(x: Decimal, start: int) -> Decimal:
    """Taylor's series of cosine (start 0) or sine (start 1)."""
    term = x if start else Decimal(1)
    total, nth, square = term, start, x * x
    while True:
        nth += 2
        term = -term * square / (nth * (nth - 1))
        more = total + term
        if more == total:
            return total
        total = more
