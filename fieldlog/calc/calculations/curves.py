"""Circular arcs: from chord and rise, and the circle that fits measured points best.

Radius and ordinates' squares are exact; roots and angles are decimals of 28 figures or more, for
showing. The fit is by least squares of the distances to the circle: Gauss and Newton's steps from
the algebraic circle (which is exact, in fractions), until a step is under a millionth of a
nanometre; departures are quantised to whole nanometres before anything compares them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Context, Decimal, localcontext
from fractions import Fraction
from typing import TypeVar

from fieldlog.calc.calculations import decimals
from fieldlog.calc.calculations.decimals import decimal_of, root

_N = TypeVar("_N", Fraction, Decimal)


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc over a chord, of at most half a circle; nm."""

    chord: int
    rise: int

    @property
    def radius(self) -> Fraction:
        """r = (c^2/4 + h^2) / (2h), exact."""
        return (Fraction(self.chord**2, 4) + self.rise**2) / (2 * self.rise)

    @property
    def angle(self) -> Decimal:
        """The central angle, radians: 4 atan(2h / c), without cancellation."""
        return 4 * decimals.atan(Fraction(2 * self.rise, self.chord))

    @property
    def length(self) -> Decimal:
        """Along the curve, nm."""
        return decimal_of(self.radius) * self.angle

    def height(self, from_middle: Fraction | int) -> Decimal:
        """Height over the chord, nm, at a distance from its middle."""
        drop = self.radius - self.rise
        return root(self.radius**2 - Fraction(from_middle) ** 2) - decimal_of(drop)

    def stations(self, spacing: Fraction | int) -> list[Fraction]:
        """Distances from the middle: every spacing, then the end."""
        half = Fraction(self.chord, 2)
        count = -(-half // spacing)
        return [*(Fraction(spacing) * n for n in range(count)), half]


@dataclass(frozen=True, slots=True)
class Fitted:
    """A circle by least squares: middle and radius in nm; departures outward, whole nm."""

    x: Decimal
    y: Decimal
    radius: Decimal
    departures: tuple[int, ...]

    @property
    def worst(self) -> int:
        """The index of the point that departs most; of equals, the first."""
        return max(range(len(self.departures)), key=lambda n: (abs(self.departures[n]), -n))


class NoCircle(ValueError):
    """The points make no circle; the message says why."""


_FIGURES = Context(prec=60)
_STEPS, _CLOSE = 60, Decimal("1e-6")
_FLATTEST = 1_000
"""A radius so many times the points' spread is a line, for anyone with a tape."""


def fit_circle(points: Sequence[tuple[int, int]]) -> Fitted:
    """The circle nearest to points (nm), by least squares of their distances to it.

    Raises NoCircle for fewer than three points, points on a line, or nearly so.
    """
    with localcontext(_FIGURES):  # normal equations of a flat arc eat half the figures
        return _fitted(points, *_algebraic(points))


def _fitted(points: Sequence[tuple[int, int]], x: Decimal, y: Decimal, radius: Decimal) -> Fitted:
    spread = max(max(axis) - min(axis) for axis in zip(*points, strict=True))
    for _ in range(_STEPS):
        if radius > _FLATTEST * spread:
            break
        dx, dy, dr = _step(points, x, y, radius)
        x, y, radius = x + dx, y + dy, radius + dr
        if max(abs(dx), abs(dy), abs(dr)) < _CLOSE:
            off = tuple(round(_distance(p, x, y) - radius) for p in points)
            return Fitted(x, y, radius, off)
    raise NoCircle("These points are too near a straight line: no circle can be told from them.")


def _distance(point: tuple[int, int], x: Decimal, y: Decimal) -> Decimal:
    return root((point[0] - x) ** 2 + (point[1] - y) ** 2)


def _algebraic(points: Sequence[tuple[int, int]]) -> tuple[Decimal, Decimal, Decimal]:
    """The circle that x^2 + y^2 = a x + b y + c fits best; exact until the radius' root."""
    if len(set(points)) < 3:
        raise NoCircle("A circle needs three different points, and more to say how true it is.")
    rows = [[Fraction(p[0]), Fraction(p[1]), Fraction(1)] for p in points]
    a, b, c = _least_squares(rows, [Fraction(p[0] ** 2 + p[1] ** 2) for p in points])
    return decimal_of(a / 2), decimal_of(b / 2), root(c + (a * a + b * b) / 4)


def _step(
    points: Sequence[tuple[int, int]], x: Decimal, y: Decimal, radius: Decimal
) -> tuple[Decimal, Decimal, Decimal]:
    rows, off = [], []
    for point in points:
        away = _distance(point, x, y)
        if not away:
            raise NoCircle("A point lies in the middle of the circle: look at the points again.")
        rows.append([(x - point[0]) / away, (y - point[1]) / away, Decimal(-1)])
        off.append(radius - away)
    return _least_squares(rows, off)


def _least_squares(rows: list[list[_N]], wanted: list[_N]) -> tuple[_N, _N, _N]:
    """Three unknowns from their normal equations, by Cramer's rule. Raises NoCircle."""
    a = [[_sum([r[i] * r[j] for r in rows]) for j in range(3)] for i in range(3)]
    b = [_sum([r[i] * w for r, w in zip(rows, wanted, strict=True)]) for i in range(3)]
    whole = _determinant(a)
    if not whole:
        raise NoCircle("These points lie on one line: no circle goes through them.")
    found = []
    for column in range(3):
        swapped = [[b[i] if j == column else a[i][j] for j in range(3)] for i in range(3)]
        found.append(_determinant(swapped) / whole)
    return found[0], found[1], found[2]


def _determinant(m: list[list[_N]]) -> _N:
    return (
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
        - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    )


def _sum(terms: list[_N]) -> _N:
    total = terms[0]
    for term in terms[1:]:
        total = total + term
    return total
