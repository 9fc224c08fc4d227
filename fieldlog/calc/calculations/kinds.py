"""The kinds of inputs: typed text to an exact value, and the value said back.

A kind is a `Kind(read, say)`. `read` gets the text, the input and the house's system, and
raises InputsRefused, or LengthNotUnderstood (of which NotUnderstood is one) with a sentence
for the person.

    length       nm (int)                        lengths   tuple of nm
    number       Fraction                        numbers   tuple of Fractions
    percent      Fraction, 45 for "45 %"         count     int; counts: tuple of int
    angle        Fraction of a degree            pitch     Pitch: degrees, or rise over run
    temperature  Temperature, with its unit      yes_no    bool
    area         Fraction, nm2                   volume    Fraction, nm3
    time         Fraction, seconds               weight    Fraction, micrograms
    choice       one of the input's choices      text      text; names: tuple of texts
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from fieldlog.calc.calculations.model import Input
from fieldlog.calc.calculations.numbers import (
    NotUnderstood,
    Pitch,
    Temperature,
    decimal_or_fraction,
    number_in,
    temperature_in,
)
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.tape import NM_PER_FOOT, NM_PER_INCH, NM_PER_MM, format_length
from fieldlog.calc.typed import plain, short
from fieldlog.calc.units import parse_measure, say_measure

LONGEST_LIST, LONGEST_TEXT = 2_000, 80
MICRODEGREES = 10**6

Read = Callable[[str, Input, str], Any]
Say = Callable[[Any, str], str]


@dataclass(frozen=True, slots=True)
class Kind:
    """How a kind is read, and how its value is said back in the house's system."""

    read: Read
    say: Say


def _length(text: str, spec: Input, system: str) -> int:
    return parse_length(text, "mm" if system == "metric" else spec.unit)


def _angle(text: str, _spec: Input, _system: str) -> Fraction:
    return parse_measure("angle", text) / MICRODEGREES


def _say_angle(value: Fraction, _system: str) -> str:
    return f"{decimal_or_fraction(value)} deg"


def _count(text: str, _spec: Input, _system: str) -> int:
    return int(parse_measure("count", text))


def _temperature(text: str, _spec: Input, _system: str) -> Temperature:
    return temperature_in(text)


def _say_temperature(value: Temperature, _system: str) -> str:
    number = value.fahrenheit if value.unit == "F" else value.celsius
    return f"{decimal_or_fraction(number)} {value.unit}"


def _pitch(text: str, spec: Input, system: str) -> Pitch:
    """Degrees, or rise over run: 37.5 deg, 7 1/2 over 10, 190 mm : 250 mm."""
    parts = re.split(r"\s+over\s+|\s*:\s*", text.strip()) if len(text) <= LONGEST_TEXT else []
    if len(parts) == 2:
        rise, run = (_length(part, spec, system) for part in parts)
        if rise <= 0 or run <= 0:
            raise NotUnderstood("Rise and run are more than zero.")
        return Pitch(None, rise, run)
    try:
        degrees = _angle(text, spec, system)
    except NotUnderstood as err:
        why = f'"{short(text)}" is no pitch. Type degrees, or rise over run: 7 1/2 over 10.'
        raise NotUnderstood(why) from err
    if not 0 <= degrees < 90:
        raise NotUnderstood(f"A pitch is 0 to 90 degrees, not {short(text)}.")
    return Pitch(degrees)


def _say_pitch(pitch: Pitch, system: str) -> str:
    if pitch.degrees is not None:
        return _say_angle(pitch.degrees, system)
    return f"{format_length(pitch.rise, system)} over {format_length(pitch.run, system)}"


_AREA = {
    "ft2|sq ft|sqft|ft²|square feet": NM_PER_FOOT**2,
    "in2|sq in|in²|square inches": NM_PER_INCH**2,
    "yd2|sq yd|yd²|square yards": (3 * NM_PER_FOOT) ** 2,
    "m2|sq m|m²|square meters": (1000 * NM_PER_MM) ** 2,
}
_VOLUME = {
    "ft3|cu ft|cuft|ft³|cubic feet": NM_PER_FOOT**3,
    "in3|cu in|in³|cubic inches": NM_PER_INCH**3,
    "yd3|cu yd|yd³|cubic yards": (3 * NM_PER_FOOT) ** 3,
    "m3|cu m|m³|cubic meters": (1000 * NM_PER_MM) ** 3,
    "l|liter|liters": (100 * NM_PER_MM) ** 3,
    "gal|gallon|gallons": 231 * NM_PER_INCH**3,
}


def _sized(units: dict[str, int], us: str, metric: str) -> Kind:
    """Areas or volumes; a number without a unit is in the system's own."""

    def own(system: str) -> str:
        return metric if system == "metric" else us

    def size(unit: str) -> int:
        return next(nm for names, nm in units.items() if unit in names.split("|"))

    def read(text: str, _spec: Input, system: str) -> Fraction:
        spelled = plain(text) if len(text) <= LONGEST_TEXT else ""
        found = re.fullmatch(rf"(?P<number>[0-9./ ]+?) ?(?P<unit>{'|'.join(units)})?", spelled)
        if not found:
            raise NotUnderstood(f'"{short(text)}": type it as in 12 {own(system)}.')
        return number_in(found["number"]) * size(found["unit"] or own(system))

    def say(value: Fraction, system: str) -> str:
        return f"{decimal_or_fraction(value / size(own(system)))} {own(system)}"

    return Kind(read, say)


def _yes_no(text: str, _spec: Input, _system: str) -> bool:
    spelled = plain(text)
    if spelled not in ("yes", "y", "true", "no", "n", "false"):
        raise NotUnderstood(f'Answer yes or no, not "{short(text)}".', ("yes", "no"))
    return spelled in ("yes", "y", "true")


def _say_yes(value: bool, _system: str) -> str:
    return "yes" if value else "no"


def _choice(text: str, spec: Input, _system: str) -> str:
    spelled = text.strip().lower()
    if spelled not in spec.choices:
        known = ", ".join(spec.choices)
        raise NotUnderstood(f'One of {known}, not "{short(text)}".', spec.choices)
    return spelled


def _text(text: str, _spec: Input, _system: str) -> str:
    if len(text) > LONGEST_TEXT or not text.isprintable():
        raise NotUnderstood(f"{LONGEST_TEXT} plain characters at most.")
    return text.strip()


def _say(value: Any, _system: str) -> str:
    return str(value)


def parts_of(text: str, spec: Input) -> list[str]:
    """The members of a list as typed, split at commas and semicolons. Raises NotUnderstood."""
    if len(text) > LONGEST_LIST:
        raise NotUnderstood(f"{len(text)} characters; {LONGEST_LIST} at most.")
    parts = [part.strip() for part in re.split(r"[,;]", text)]
    if parts and not parts[-1]:
        parts.pop()
    if len(parts) > spec.most:
        raise NotUnderstood(f"{len(parts)} of them; {spec.most} at most.")
    return parts


def _each(one: Kind) -> Kind:
    """Lists of a kind; what is refused says its place."""

    def read(text: str, spec: Input, system: str) -> tuple[Any, ...]:
        found = []
        for place, part in enumerate(parts_of(text, spec)):
            try:
                found.append(one.read(part, spec, system))
            except LengthNotUnderstood as err:
                raise refused(spec.name, str(err), err.suggestions, place) from err
        return tuple(found)

    def say(values: tuple[Any, ...], system: str) -> str:
        return ", ".join(one.say(value, system) for value in values)

    return Kind(read, say)


def _of_one_system(lengths: Kind) -> Kind:
    """Lists of lengths in inches or in millimeters: one among the others is asked about."""

    def read(text: str, spec: Input, system: str) -> Any:
        found = lengths.read(text, spec, system)
        named = {"us": "inches", "metric": "millimeters"}
        systems = [named[_system_of(part, system)] for part in parts_of(text, spec)]
        for place, one in enumerate(systems):
            if one != systems[0]:
                why = f"this is in {one} and the first is in {systems[0]}. Type all in one unit."
                raise refused(spec.name, why, (), place)
        return found

    return Kind(read, lengths.say)


def _system_of(part: str, system: str) -> str:
    unit = re.search(r"(mm|cm|m|ft\.?|in\.?|foot|feet|inch|inches|'|\")$", plain(part))
    if not unit:
        return system
    return "metric" if unit[1] in ("mm", "cm", "m") else "us"


def _measured(measure: str) -> Kind:
    """A kind of `units`, in its base unit."""
    return Kind(
        lambda text, _spec, _system: parse_measure(measure, text),
        lambda value, system: say_measure(measure, value, system),
    )


KINDS: dict[str, Kind] = {
    "length": Kind(_length, format_length),
    "number": _measured("number"),
    "percent": _measured("percent"),
    "time": _measured("time"),
    "weight": _measured("weight"),
    "count": Kind(_count, _say),
    "angle": Kind(_angle, _say_angle),
    "pitch": Kind(_pitch, _say_pitch),
    "temperature": Kind(_temperature, _say_temperature),
    "area": _sized(_AREA, "sq ft", "m2"),
    "volume": _sized(_VOLUME, "cu ft", "m3"),
    "yes_no": Kind(_yes_no, _say_yes),
    "choice": Kind(_choice, _say),
    "text": Kind(_text, _say),
}
KINDS |= {
    "lengths": _of_one_system(_each(KINDS["length"])),
    "numbers": _each(KINDS["number"]),
    "counts": _each(KINDS["count"]),
    "names": _each(KINDS["text"]),
}
