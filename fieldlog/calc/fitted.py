"""Named functions whose maths is not arithmetic: dew point, wood in air, a circle, a trend.

What comes out is rounded to a step that no tool reads (a millionth), so that the judgement is
exact from there on. How it hangs on each reading is found by moving that reading: a dew point's
doubt comes from the thermometer and the hygrometer. All are computed by the server only.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from fieldlog.calc.dates import DAY
from fieldlog.calc.named import number_of
from fieldlog.calc.values import (
    AWAY,
    GAP,
    Away,
    Element,
    Many,
    Number,
    ReadingKey,
    Value,
    combined,
    elements,
    exact,
    paired,
)

MICRO = 10**6
_STEP = Fraction(1, 1000)
"""How far a temperature (C) or a humidity (%) is moved to see what hangs on it."""

_OfTwo = Callable[[Fraction, Fraction], Fraction]


def dew_point(temperature: Value, humidity: Value) -> Value:
    """Dew point of air, to a millionth of a degree C; none for a humidity that no air has"""
    return paired(lambda t, h: _of_air(_dew_point, t, h), temperature, humidity)


def wood_moisture(temperature: Value, humidity: Value) -> Value:
    """Moisture content that wood comes to in air, to a millionth of a percent"""
    return paired(lambda t, h: _of_air(_wood_moisture, t, h), temperature, humidity)


def _of_air(work: _OfTwo, t: Element, h: Element) -> Element:
    if isinstance(t, Away) or isinstance(h, Away):
        return AWAY
    from fieldlog.calc.calculations.vapor import COLDEST, HOTTEST

    warm, humid = number_of(t), number_of(h)
    celsius, percent = warm.value, humid.value
    if celsius is None or percent is None or warm.may or humid.may:
        return GAP
    if not (COLDEST < celsius < HOTTEST and 0 < percent <= 100):
        return GAP
    at = work(celsius, percent)
    by_t = (at - work(celsius - _STEP, percent)) / _STEP
    by_h = (at - work(celsius, percent - min(_STEP, percent / 2))) / min(_STEP, percent / 2)
    return Number(_rounded(at), combined(warm.sens, by_t, humid.sens, by_h))


def _dew_point(celsius: Fraction, percent: Fraction) -> Fraction:
    from fieldlog.calc.calculations.vapor import dew_point as of_air

    return Fraction(of_air(celsius, percent))


def _wood_moisture(celsius: Fraction, percent: Fraction) -> Fraction:
    from fieldlog.calc.calculations.numbers import Temperature
    from fieldlog.calc.calculations.vapor import wood_moisture as in_air

    return in_air(Temperature(celsius, "C"), percent)


def _rounded(value: Fraction) -> Fraction:
    return Fraction(round(value * MICRO), MICRO)


def arc_departure(across: Value, up: Value) -> Value:
    """How far each point is off the circle that fits them best, outward, to the nearest nm"""
    circle = _circle(across, up)
    if circle is None:
        return _gaps(across)
    points, fit = circle
    return Many(tuple(Number(Fraction(d), s) for d, s in zip(fit, points, strict=True)))


def arc_radius(across: Value, up: Value) -> Value:
    """Radius of the circle that fits points best, to the nearest nm"""
    from fieldlog.calc.calculations.curves import NoCircle, fit_circle

    points = _points(across, up)
    try:
        return GAP if points is None else exact(round(fit_circle(points).radius))
    except NoCircle:
        return GAP


def _points(across: Value, up: Value) -> list[tuple[int, int]] | None:
    """Points in nm; None where one is not measured: a circle through a gap is no circle."""
    xs, ys = ([number_of(e).value for e in elements(v)] for v in (across, up))
    known = [(x, y) for x, y in zip(xs, ys, strict=False) if x is not None and y is not None]
    if not len(known) == len(xs) == len(ys):
        return None
    return [(round(x), round(y)) for x, y in known]


def _circle(
    across: Value, up: Value
) -> tuple[list[dict[ReadingKey, Fraction]], tuple[int, ...]] | None:
    """Departures, and how each hangs on its own point: by the outward direction there."""
    from fieldlog.calc.calculations.curves import NoCircle, fit_circle

    points = _points(across, up)
    if points is None or len(points) < 4:  # three points depart from no circle
        return None
    try:
        fit = fit_circle(points)
    except NoCircle:
        return None
    sens = []
    for (px, py), x, y in zip(points, elements(across), elements(up), strict=True):
        dx, dy = (Fraction(round((p - c) * MICRO / fit.radius), MICRO)
                  for p, c in ((px, fit.x), (py, fit.y)))  # fmt: skip
        sens.append(combined(number_of(x).sens, dx, number_of(y).sens, dy))
    return [{k: v for k, v in s.items() if v} for s in sens], fit.departures


def _gaps(like: Value) -> Value:
    return Many((GAP,) * len(like.items)) if isinstance(like, Many) else GAP


def daily_change(values: Value, days: Value) -> Value:
    """Change a day, by the straight line of least squares through values at dates; exact"""
    both = zip(elements(values), elements(days), strict=False)
    rows = [(number_of(v), number_of(d)) for v, d in both if not _left_out(v, d)]
    looks = [(v, d.value / DAY) for v, d in rows if v.value is not None and d.value is not None]
    if len(looks) < len(rows) or len({day for _, day in looks}) < 2:
        return GAP
    middle = sum((day for _, day in looks), Fraction(0)) / len(looks)
    square = sum(((day - middle) ** 2 for _, day in looks), Fraction(0))
    return _weighted([(v, (day - middle) / square) for v, day in looks])


def _left_out(*row: Element) -> bool:
    return any(isinstance(e, Away) for e in row)


def _weighted(terms: Sequence[tuple[Number, Fraction]]) -> Number:
    value, sens = Fraction(0), dict[ReadingKey, Fraction]()
    for number, weight in terms:
        value += weight * (number.value or 0)
        sens = combined(sens, Fraction(1), number.sens, weight)
    return GAP if any(n.may for n, _ in terms) else Number(value, sens)
