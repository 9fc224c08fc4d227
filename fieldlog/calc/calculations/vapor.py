"""Air: dew point, and the moisture content that wood comes to in it.

Saturation pressure is Hyland and Wexler's (ASHRAE Handbook, Fundamentals 2017, ch. 1, eq. 5
over ice, eq. 6 over water), to 28 figures; the dew point is found by halving an interval until
it is 1e-12 K wide. Wood's moisture is Hailwood and Horrobin's equation with the constants of
the USDA Forest Products Laboratory: rational, so exact in fractions.
No float takes part; what is shown is rounded to the decimals its result names.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Context, Decimal, localcontext
from fractions import Fraction

from fieldlog.calc.calculations.decimals import decimal_of
from fieldlog.calc.calculations.numbers import Temperature

_FIGURES = Context(prec=28)
_D = Decimal
_KELVIN, _TRIPLE = _D("273.15"), _D("273.16")
_ICE = tuple(map(_D, ("-5674.5359", "6.3925247", "-9.677843E-3", "6.2215701E-7",
                      "2.0747825E-9", "-9.484024E-13", "4.1635019")))  # fmt: skip
_WATER = tuple(map(_D, ("-5800.2206", "1.3914993", "-4.8640239E-2", "4.1764768E-5",
                        "-1.4452093E-8", "0", "6.5459673")))  # fmt: skip
COLDEST, HOTTEST = -100, 60
"""Celsius: the equations' lowest, and hotter than any air in a house."""
_SEA_LEVEL = _D(101_325)
_HALVINGS = 48


def log_saturation(celsius: Fraction | Decimal) -> Decimal:
    """Natural log of water vapor's saturation pressure, Pa: over ice up to the triple point."""
    with localcontext(_FIGURES):
        kelvin = +decimal_of(celsius) + _KELVIN
        a, b, c, d, e, f, g = _ICE if kelvin <= _TRIPLE else _WATER
        powers = b + kelvin * (c + kelvin * (d + kelvin * (e + kelvin * f)))
        return a / kelvin + powers + g * kelvin.ln()


def dew_point(celsius: Fraction, humidity: Fraction) -> Decimal:
    """Dew point, C, of air at so many percent relative humidity (above 0, at most 100).

    Below freezing it is the frost point: over ice, as the handbook has it. Source: ASHRAE
    Handbook, Fundamentals 2017, ch. 1, eq. 5 and 6.
    """
    if humidity == 100:
        return decimal_of(celsius)
    with localcontext(_FIGURES):
        wanted = log_saturation(celsius) + (decimal_of(humidity) / 100).ln()
        return _temperature_of(wanted, +decimal_of(celsius))


def _temperature_of(wanted: Decimal, warm: Decimal) -> Decimal:
    """The temperature, C, at which saturation's log is `wanted`; `warm` is not below it."""
    cold = _D(COLDEST)
    for _ in range(_HALVINGS):
        middle = (cold + warm) / 2
        if log_saturation(middle) < wanted:
            cold = middle
        else:
            warm = middle
    return warm


def magnus(celsius: Fraction, humidity: Fraction) -> Decimal:
    """Dew point by Magnus' formula over water: b 17.62, c 243.12 C (the common WMO set)."""
    with localcontext(_FIGURES):
        b, c, t = _D("17.62"), _D("243.12"), +decimal_of(celsius)
        g = (decimal_of(humidity) / 100).ln() + b * t / (c + t)
        return c * g / (b - g)


def humidity_of_wet_bulb(dry: Fraction, wet: Fraction) -> Decimal:
    """Relative humidity, percent, of a wet and a dry bulb, C, at sea level; below 0 is no air.

    Source: ASHRAE Handbook, Fundamentals 2017, ch. 1, eq. 33 (water), 35 (ice).
    """
    with localcontext(_FIGURES):
        t, w = +decimal_of(dry), +decimal_of(wet)
        pressure = log_saturation(w).exp()
        full = _D("0.621945") * pressure / (_SEA_LEVEL - pressure)
        if w >= 0:
            top = (_D(2501) - _D("2.326") * w) * full - _D("1.006") * (t - w)
            ratio = top / (_D(2501) + _D("1.86") * t - _D("4.186") * w)
        else:
            top = (_D(2830) - _D("0.24") * w) * full - _D("1.006") * (t - w)
            ratio = top / (_D(2830) + _D("1.86") * t - _D("2.1") * w)
        vapor = _SEA_LEVEL * ratio / (_D("0.621945") + ratio)
        return 100 * vapor / log_saturation(t).exp()


@dataclass(frozen=True, slots=True)
class Constants:
    """The four of Hailwood and Horrobin at a temperature; exact."""

    w: Fraction
    k: Fraction
    k1: Fraction
    k2: Fraction


_FAHRENHEIT = (
    ("330", "0.452", "0.00415"),
    ("0.791", "4.63e-4", "-8.44e-7"),
    ("6.34", "7.75e-4", "-9.35e-5"),
    ("1.09", "2.84e-2", "-9.04e-5"),
)
_CELSIUS = (
    ("349", "1.29", "0.0135"),
    ("0.805", "7.36e-4", "-2.73e-6"),
    ("6.27", "-9.38e-3", "-3.03e-4"),
    ("1.91", "4.07e-2", "-2.93e-4"),
)
"""Each constant is a + b T + c T^2. Source: USDA FPL; Celsius FPL-RN-0268, Fahrenheit from
memory, checked against every cell of the published table that was seen."""


def constants(temperature: Temperature) -> Constants:
    """The constants, by the form of the unit that the temperature was typed in."""
    form, t = _CELSIUS, temperature.celsius
    if temperature.unit == "F":
        form, t = _FAHRENHEIT, temperature.fahrenheit
    return Constants(*(Fraction(a) + Fraction(b) * t + Fraction(c) * t * t for a, b, c in form))


def wood_moisture(temperature: Temperature, humidity: Fraction) -> Fraction:
    """Equilibrium moisture content of wood, percent, in air of so many percent humidity.

    M = (1800/W) [KH/(1 - KH) + (K1 K H + 2 K1 K2 K^2 H^2)/(1 + K1 K H + K1 K2 K^2 H^2)], exact.
    Source: Hailwood and Horrobin, with the constants of USDA FPL-RN-0268.
    """
    of, h = constants(temperature), humidity / 100
    kh = of.k * h
    once, twice = of.k1 * kh, of.k1 * of.k2 * kh * kh
    return 1800 / of.w * (kh / (1 - kh) + (once + 2 * twice) / (1 + once + twice))
