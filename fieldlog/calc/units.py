"""Kinds of numbers, and the units that each is typed in, kept in and said in. Exact.

A length is a power of a kind of its own (an area is its square), a plain number is power 0,
and every other kind has a name: an angle is nowhere added to a length, nor a percent to a
count. Each value is kept in one base unit, in which every reading is exact:

    length       nm                angle    microdegree (an integer)
    temperature  degree Celsius    degrees  difference of two temperatures, in kelvin
    percent      one of a hundred  time     second          weight   microgram
    date         second from the start of year 1; two dates are a time apart

A slope, a count and a number are all plain numbers, said differently: 1:48, 4, 0.5.
Pound and inch are those of 1959: 1 lb is 453.592 37 g.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.dates import say_date, seconds_of
from fieldlog.calc.lengths import LengthNotUnderstood, format_length, parse_length
from fieldlog.calc.typed import plain, short

Kind = int | str
PLAIN: Kind = 0
LENGTH: Kind = 1
TEMPERATURE: Kind = "temperature"
DEGREES: Kind = "degrees"
APART: dict[Kind, Kind] = {TEMPERATURE: DEGREES, "date": "time"}
"""Kinds that have no zero of their own, and what the difference of two of them is."""

MAX_SIZE = 10**15
_NUMBER = r"(?:[0-9]{1,15}(?:\.[0-9]{1,12})?|\.[0-9]{1,12}|(?:[0-9]{1,9} )?[0-9]{1,9}/[0-9]{1,9})"
_TYPED = re.compile(rf"(?P<sign>[+-]?) ?(?P<number>{_NUMBER}) ?(?P<unit>[^0-9 ./].*)?")
_RATIO = re.compile(rf"(?P<one>{_NUMBER}) ?(?::|in) ?(?P<of>{_NUMBER})")


class NumberNotUnderstood(LengthNotUnderstood):
    """A text is no number of its kind; `reason` is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class Measure:
    """What a field or quantity is measured in: its kind, base unit, and units as typed.

    `units` gives each spelling its size and zero in the base unit; `bare` is the unit that
    holds where none is typed, None where one has to be; `places` are decimals when said.
    """

    name: str
    kind: Kind
    unit: str
    units: Mapping[str, tuple[Fraction, Fraction]]
    bare: str | None
    shown: str
    metric: str
    places: int
    example: str
    whole: bool = False
    least: int | None = None


def _scaled(**sizes: Fraction | int) -> dict[str, tuple[Fraction, Fraction]]:
    return {name: (Fraction(size), Fraction(0)) for name, size in sizes.items()}


_FIVE_NINTHS = Fraction(5, 9)
_POUND = Fraction(453_592_370)
_HOUR, _DAY = 3600, 86_400
_ANGLES = _scaled(deg=10**6, degree=10**6, degrees=10**6) | {"°": (Fraction(10**6), Fraction(0))}
_FAHRENHEIT = (_FIVE_NINTHS, Fraction(-160, 9))
_TEMPERATURES = {
    **dict.fromkeys(("f", "°f", "deg f", "degf"), _FAHRENHEIT),
    **dict.fromkeys(("c", "°c", "deg c", "degc"), (Fraction(1), Fraction(0))),
}
_PERCENTS = _scaled(percent=1, pct=1) | {"%": (Fraction(1), Fraction(0))}
_TIMES = _scaled(
    s=1, sec=1, min=60, minutes=60, h=_HOUR, hour=_HOUR, hours=_HOUR, hr=_HOUR,
    day=_DAY, days=_DAY, d=_DAY,
)  # fmt: skip
_WEIGHTS = _scaled(lb=_POUND, lbs=_POUND, oz=_POUND / 16, g=10**6, kg=10**9)

MEASURES: dict[str, Measure] = {
    m.name: m
    for m in (
        Measure("length", LENGTH, "nm", {}, "in", "in", "mm", 0, "7 1/2 in"),
        Measure("angle", "angle", "microdegree", _ANGLES, "deg", "deg", "deg", 2, "40 deg"),
        Measure("slope", PLAIN, "", {}, None, "%", "%", 2, "1:48 or 2 %"),
        Measure("number", PLAIN, "", {}, "", "", "", 3, "0.5"),
        Measure("count", PLAIN, "", {}, "", "", "", 0, "4", whole=True, least=0),
        Measure("percent", "percent", "%", _PERCENTS, "%", "%", "%", 2, "45 %"),
        Measure("temperature", TEMPERATURE, "degC", _TEMPERATURES, None, "f", "c", 1, "70 F"),
        Measure(
            "degrees", DEGREES, "K", {k: (s, Fraction(0)) for k, (s, _) in _TEMPERATURES.items()},
            None, "f", "c", 1, "5 F",
        ),
        Measure("time", "time", "s", _TIMES, None, "h", "h", 2, "48 h", least=0),
        Measure("weight", "weight", "ug", _WEIGHTS, None, "lb", "kg", 1, "50 lb", least=0),
        Measure("date", "date", "s", {}, None, "", "", 0, "2026-03-04 or 3/4/2026"),
    )
}  # fmt: skip
"""Every measure, by the name that a sheet's field or an instrument has as its kind."""

_SAID = {"f": "F", "c": "C"}


def parse_measure(measure: str, text: str, unit: str = "") -> Fraction:
    """The number typed, in the base unit of `measure`; `unit` holds where the text has none.

    Raises LengthNotUnderstood, for other kinds its NumberNotUnderstood.
    """
    m = MEASURES[measure]
    if m.kind == LENGTH:
        return Fraction(parse_length(text, unit or "in"))
    spelled = _bounded(text, m)
    if measure == "date":
        return _date(spelled, text, m)
    value = _slope(spelled, text, m) if measure == "slope" else _value(spelled, unit, text, m)
    if abs(value) > MAX_SIZE:
        raise NumberNotUnderstood(f'"{short(text)}" is too large to be one. Type it again.')
    if m.least is not None and value < m.least:
        raise NumberNotUnderstood(f'"{short(text)}" is less than nothing. Type it again.')
    if m.whole and value.denominator != 1:
        raise NumberNotUnderstood(f'"{short(text)}" is no whole number. Count again, as in 4.')
    if measure == "angle" and value.denominator != 1:
        raise NumberNotUnderstood(f'"{short(text)}" is finer than a millionth of a degree.')
    return value


def say_measure(
    measure: str, value: Fraction | int, system: str = "us", feet: bool = False
) -> str:  # fmt: skip
    """A value in words with its unit; "about" where it is not all of it."""
    m, value = MEASURES[measure], Fraction(value)
    if m.kind == LENGTH:
        return format_length(value, system, feet=feet)
    if measure == "slope":
        return _say_slope(value)
    if measure == "date":
        return say_date(value)
    unit = m.metric if system == "metric" else m.shown
    if measure == "time" and 0 < value < _HOUR:
        unit = "min"
    size, zero = m.units.get(unit, (Fraction(1), Fraction(0)))
    number = decimal((value - zero) / size, m.places)
    return f"{number} {_SAID.get(unit, unit)}".strip()


def say_error(measure: str, u: Fraction, system: str) -> str:
    """A standard uncertainty, rounded up in its last place: "0.06 deg"."""
    m = MEASURES[apart(measure)]
    unit = m.metric if system == "metric" else m.shown
    size = Fraction(1, 100) if measure == "slope" else m.units.get(unit, (Fraction(1),))[0]
    step = 10 ** (m.places + 1)
    steps = -(-(u * step) // size)
    return f"{decimal(Fraction(steps, step), m.places + 1)} {_SAID.get(unit, unit)}".strip()


def apart(measure: str) -> str:
    """What a difference of two of a measure is said in: "degrees" for "temperature"."""
    return str(APART.get(measure, measure))


def decimal(value: Fraction, places: int) -> str:
    """A number as a decimal of so many places, half to even; "about" where that is not all."""
    scaled = value * 10**places
    whole = round(scaled)
    about = "" if scaled == whole else "about "
    digits = f"{abs(whole):0{places + 1}d}"
    point = len(digits) - places
    rest = digits[point:].rstrip("0")
    sign = "-" if whole < 0 else ""
    return f"{about}{sign}{digits[:point]}{'.' + rest if rest else ''}"


def parse_constant(text: str) -> tuple[Fraction, Kind]:
    """A constant of an expression, with its unit: its value and kind. Raises LengthNotUnderstood.

    "4 in" is a length, "42 deg" an angle, "1:48" a plain number, "70 F" a temperature.
    """
    if _RATIO.fullmatch(plain(text)):
        return parse_measure("slope", text), PLAIN
    found = _TYPED.fullmatch(plain(text))
    unit = (found["unit"] or "").strip() if found else ""
    for m in MEASURES.values():
        if unit in m.units:
            return parse_measure(m.name, text), m.kind
    return Fraction(parse_length(text)), LENGTH


def say_kind(kind: Kind) -> str:
    """A kind in words, for faults in data files."""
    if isinstance(kind, str):
        return f"a {kind}" if kind != "angle" else "an angle"
    named = {0: "a plain number", 1: "a length"}
    return named.get(kind, f"a length to power {kind}")


def _bounded(text: str, m: Measure) -> str:
    if len(text) > 40 or any(ord(sign) < 32 or ord(sign) == 127 for sign in text):
        raise NumberNotUnderstood(f'"{short(text)}" is no number. Type it as in {m.example}.')
    if spelled := plain(text):
        return spelled
    raise NumberNotUnderstood(f"Nothing was typed. Type it as in {m.example}.")


def _value(spelled: str, unit: str, text: str, m: Measure) -> Fraction:
    found = _TYPED.fullmatch(spelled)
    if found is None:
        raise NumberNotUnderstood(f'"{short(text)}" is no number. Type it as in {m.example}.')
    number = _number(found["number"], text)
    number = -number if found["sign"] == "-" else number
    typed = (found["unit"] or "").strip()
    wanted = typed or unit.lower() or m.bare
    if wanted is None:
        raise NumberNotUnderstood(
            f'"{short(text)}" has no unit. Type it as in {m.example}.',
            tuple(f"{short(text).strip()} {_SAID.get(u, u)}" for u in _ways(m)),
        )
    if wanted == "" and not m.units:
        return number
    if wanted not in m.units:
        raise NumberNotUnderstood(f'"{short(text)}": type it as in {m.example}.')
    size, zero = m.units[wanted]
    return number * size + zero


def _date(spelled: str, text: str, m: Measure) -> Fraction:
    found = seconds_of(spelled)
    if found is None:
        raise NumberNotUnderstood(f'"{short(text)}" is no date. Type it as in {m.example}.')
    return found


def _ways(m: Measure) -> tuple[str, ...]:
    return tuple(dict.fromkeys((m.shown, m.metric)))


def _slope(spelled: str, text: str, m: Measure) -> Fraction:
    """1:48, or a percent; a bare number could be either, so it is asked about."""
    if found := _RATIO.fullmatch(spelled):
        of = _number(found["of"], text)
        if not of:
            raise NumberNotUnderstood(f'"{short(text)}" has nothing under it. As in {m.example}.')
        return _number(found["one"], text) / of
    typed = _TYPED.fullmatch(spelled)
    if typed is None or (typed["unit"] or "").strip() not in _PERCENTS:
        meant = (f"1:{spelled}", f"{spelled} %") if re.fullmatch(_NUMBER, spelled) else ()
        raise NumberNotUnderstood(f'"{short(text)}" is no slope. Type it as in {m.example}.', meant)
    number = _number(typed["number"], text) / 100
    return -number if typed["sign"] == "-" else number


def _number(number: str, text: str) -> Fraction:
    """A decimal, a fraction or a whole and a fraction, exactly."""
    try:
        return sum((Fraction(part) for part in number.split(" ")), Fraction(0))
    except ZeroDivisionError as err:
        raise NumberNotUnderstood(f'"{short(text)}" has a zero under the line.') from err


def _say_slope(value: Fraction) -> str:
    percent = value * 100
    if (percent * 100).denominator == 1:
        return f"{decimal(percent, 2)} %"
    if value.numerator == 1:
        return f"1:{value.denominator}"
    return f"{decimal(percent, 2)} %"
