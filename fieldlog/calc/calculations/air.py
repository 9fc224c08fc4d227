"""Dew point of a room, and the moisture content that wood comes to in it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from fieldlog.calc.calculations import vapor
from fieldlog.calc.calculations.decimals import decimal_of
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Number,
    Result,
    Words,
)
from fieldlog.calc.calculations.numbers import Temperature, decimal_or_fraction
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import number_text

_FREEZING, _MILD = 0, 40
_TABLE_COLDEST, _TABLE_DRIEST, _TABLE_WETTEST = 30, 5, 95
"""The published table of wood's moisture: from 30 F, and from 5 to 95 % humidity."""


def _temperature(given: Given, name: str) -> Temperature:
    """A temperature that a house can have; one that looks like the other unit is asked about."""
    found: Temperature = given[name]
    fahrenheit = found.unit == "F"
    number = found.fahrenheit if fahrenheit else found.celsius
    typed, other = decimal_or_fraction(number), "C" if fahrenheit else "F"
    if not vapor.COLDEST / 2 <= found.celsius <= vapor.HOTTEST:
        why = f"{_said(found)} is {_in(found, other)}: no air in a house is."
        raise refused(name, why, (f"{typed} {other}",))
    could_be_celsius = fahrenheit and 5 <= number <= _MILD and found.celsius < _FREEZING
    if could_be_celsius and not given["cold"]:
        why = (
            f"{_said(found)} is {_in(found, 'C')}. Is this {typed} C? If it really is that cold, "
            "say so: cold=yes."
        )
        raise refused(name, why, (f"{typed} C",))
    return found


def _said(temperature: Temperature) -> str:
    number = temperature.fahrenheit if temperature.unit == "F" else temperature.celsius
    return f"{decimal_or_fraction(number)} {temperature.unit}"


def _in(temperature: Temperature, unit: str) -> str:
    value = temperature.fahrenheit if unit == "F" else temperature.celsius
    return f"{number_text(value, 1)} {unit}"


def _number(celsius: Decimal | Fraction, unit: str) -> Number:
    """A temperature to a tenth of a degree of its unit."""
    if unit == "C":
        return Number(celsius, "C", 1)
    return Number(decimal_of(celsius) * 9 / 5 + 32, "F", 1)


def _dew_point(given: Given) -> Answer:
    air = _temperature(given, "temperature")
    humidity, step = _humidity(given, air)
    if humidity == 0:
        raise refused("humidity", "Air at 0 % has no dew point. Measure the humidity again.")
    dew = vapor.dew_point(air.celsius, Fraction(humidity))
    other = "C" if air.unit == "F" else "F"
    results = [
        Result("dew_point", "Dew point", _number(dew, air.unit)),
        Result("dew_point_other", "Dew point", _number(dew, other)),
        Result("humidity", "Relative humidity", Number(humidity, "%", 1)),
    ]
    results += _margin(given, air, dew)
    return Answer(tuple(results), (*step, *_shown(air, humidity, dew)), _of_frost(dew))


def _humidity(given: Given, air: Temperature) -> tuple[Fraction | Decimal, tuple[str, ...]]:
    """The humidity typed, or the one that a wet bulb tells."""
    typed, wet = given["humidity"], given["wet-bulb"]
    if (typed is None) == (wet is None):
        why = "Type the humidity, or the wet bulb's temperature; one of them."
        raise refused("humidity", why)
    if typed is not None:
        return typed, ()
    wet = _temperature(given, "wet-bulb")
    if wet.celsius > air.celsius:
        why = f"A wet bulb is never warmer than the air: {_said(wet)} in {_said(air)}."
        raise refused("wet-bulb", why)
    found = vapor.humidity_of_wet_bulb(air.celsius, wet.celsius)
    if found <= 0:
        why = f"No air is so dry that a wet bulb shows {_said(wet)} in {_said(air)}."
        raise refused("wet-bulb", why)
    found = min(found, Decimal(100))
    return found, (
        f"Dry bulb {_said(air)}, wet bulb {_said(wet)}: {number_text(found, 1)} % at sea level.",
    )


def _margin(given: Given, air: Temperature, dew: Decimal) -> list[Result]:
    """How far a surface is above the dew point, in degrees of the air's unit."""
    if given["surface"] is None:
        return []
    surface = _temperature(given, "surface")
    kelvins = decimal_of(surface.celsius) - dew
    degrees = kelvins * 9 / 5 if air.unit == "F" else kelvins
    says = "The surface is above the dew point."
    if kelvins <= 0:
        says = "Water settles on the surface: it is at the dew point or below it."
    return [
        Result("margin", "Surface above the dew point", Number(degrees, f"deg {air.unit}", 1)),
        Result("surface_says", "Surface", Words(says)),
    ]


def _shown(air: Temperature, humidity: Fraction | Decimal, dew: Decimal) -> tuple[str, ...]:
    full = vapor.log_saturation(air.celsius).exp()
    vapor_pressure = full * decimal_of(humidity) / 100
    told = (
        f"Saturated air at {_in(air, 'C')} holds water vapor at {number_text(full, 1)} Pa.",
        f"{number_text(humidity, 1)} % of that is {number_text(vapor_pressure, 1)} Pa, which is "
        f"saturation at {number_text(dew, 2)} C.",
    )
    if dew < 0:
        return told
    simple = vapor.magnus(air.celsius, Fraction(humidity))
    return (*told, f"The short formula (Magnus) gives {number_text(simple, 2)} C.")


def _of_frost(dew: Decimal) -> tuple[str, ...]:
    if dew >= 0:
        return ()
    return (
        "Below freezing this is the frost point: saturation over ice. Over water the dew point is "
        "lower, and some meters show that one.",
    )


def _room_moisture(given: Given) -> Answer:
    air, humidity = _temperature(given, "temperature"), given["humidity"]
    moisture = vapor.wood_moisture(air, humidity)
    of = vapor.constants(air)
    results = [Result("moisture", "Wood comes to", Number(decimal_of(moisture), "%", 1))]
    if given["wood"] is not None:
        off = given["wood"] - moisture
        results.append(
            Result("difference", "Wood above the room", Number(decimal_of(off), "points", 1))
        )
    shown = ", ".join(
        f"{name} {number_text(value, places)}"
        for name, value, places in (
            ("W", of.w, 2), ("K", of.k, 4), ("K1", of.k1, 3), ("K2", of.k2, 3)
        )
    )  # fmt: skip
    steps = (
        f"At {_said(air)}: {shown}.",
        f"With H = {decimal_or_fraction(humidity / 100)}: M = {number_text(moisture, 2)} %.",
    )
    return Answer(tuple(results), steps, _outside_the_table(air, humidity))


def _outside_the_table(air: Temperature, humidity: Fraction) -> tuple[str, ...]:
    notes = ["What wood comes to after weeks in steady air, not what it has today."]
    if not _TABLE_DRIEST <= humidity <= _TABLE_WETTEST:
        notes.append(
            f"The published table is for {_TABLE_DRIEST} to {_TABLE_WETTEST} %; beyond, the "
            "equation is a guide only."
        )
    if air.fahrenheit < _TABLE_COLDEST:
        notes.append(f"The published table begins at {_TABLE_COLDEST} F.")
    return tuple(notes)


def _humidity_input(required: bool) -> Input:
    return Input("humidity", "Relative humidity", "percent", required=required, low=0, high=100)


_AIR = Input("temperature", "Air temperature", "temperature", "With its unit: 70 F or 21 C.",
             required=True)  # fmt: skip
_COLD = Input("cold", "It really is below freezing", "yes_no", default="no")

CALCULATIONS = (
    Calculation(
        name="dew-point",
        title="Dew point",
        says="At what temperature water settles, and how far a surface is above it.",
        inputs=(
            _AIR,
            _humidity_input(False),
            Input("wet-bulb", "Wet bulb", "temperature", "In place of the humidity."),
            Input("surface", "Surface temperature", "temperature"),
            _COLD,
        ),
        formula=(
            "The temperature at which saturation pressure is humidity x saturation pressure of "
            "the air; over ice below freezing."
        ),
        source=(
            "ASHRAE Handbook, Fundamentals 2017, ch. 1, eq. 5 and 6 (Hyland and Wexler); "
            "wet bulb eq. 33 and 35"
        ),
        caution="The coating's data sheet decides. Measure the coldest surface, not the air.",
        compute=_dew_point,
    ),
    Calculation(
        name="room-moisture",
        title="Wood in this air",
        says="The moisture content that wood comes to in a room.",
        inputs=(
            _AIR,
            _humidity_input(True),
            Input("wood", "Moisture of the wood now", "percent", low=0, high=100),
            _COLD,
        ),
        formula=(
            "M = (1800/W) [KH/(1-KH) + (K1 K H + 2 K1 K2 K^2 H^2)/(1 + K1 K H + K1 K2 K^2 H^2)], "
            "H humidity as a fraction; W, K, K1, K2 by temperature."
        ),
        source="Hailwood and Horrobin's equation, USDA Forest Products Laboratory FPL-RN-0268",
        caution=(
            "The floor maker's own range decides. One reading of the air is not its history: "
            "look at a week."
        ),
        compute=_room_moisture,
    ),
)
