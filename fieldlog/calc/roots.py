"""Square root and arctangent in whole numbers, to a stated rounding: no float in between.

Every step is on non-negative integers, where Python's `//` and JavaScript's BigInt `/` are the
same, so a second implementation equals this one to the last digit:

- `root_nearest(n, d)`: sqrt(n/d) to the nearest integer, a half upwards:
  (isqrt(4n // d) + 1) // 2.
- `atan_microdegrees(p, q)`: atan(p/q) to the nearest microdegree. In units of 10**-40:
  t = min(p, q) / max(p, q); three times t = t / (1 + sqrt(1 + t**2)), which halves the angle;
  the series t - t**3/3 + t**5/5 - ... until a term is zero; times 8; in microdegrees by
  180 * 10**6 / pi; with p > q it is 90 degrees less that. All divisions round down; the error
  stays below 10**-30 microdegree, so that any sound method with as many digits agrees.
"""

from __future__ import annotations

from math import isqrt

RIGHT_ANGLE = 90_000_000
ONE = 10**40
PI = 31415926535897932384626433832795028841971
"""pi * 10**40, rounded down."""


def root_nearest(numerator: int, denominator: int = 1) -> int:
    """The square root of a fraction that is not negative, to the nearest integer."""
    return (isqrt(4 * numerator // denominator) + 1) // 2


def atan_microdegrees(p: int, q: int) -> int:
    """The angle (microdegrees, 0 to 90 degrees) whose tangent is p/q; neither is negative.

    Raises ZeroDivisionError for 0/0, which is no angle.
    """
    if p > q:
        return RIGHT_ANGLE - _nearest(q, p)
    return _nearest(p, q)


def _nearest(p: int, q: int) -> int:
    """atan(p/q) for p no larger than q, to the nearest microdegree."""
    t = p * ONE // q
    for _ in range(3):
        t = t * ONE // (ONE + isqrt(ONE * ONE + t * t))
    radians = 8 * _series(t)
    return (radians * 2 * 180 * 10**6 // PI + 1) // 2


def _series(t: int) -> int:
    """Arctangent of t (below 1/8) by its power series, in units of 10**-40."""
    square = t * t // ONE
    total, term, n = 0, t, 0
    while term:
        part = term // (2 * n + 1)
        total += -part if n % 2 else part
        term, n = term * square // ONE, n + 1
    return total
