"""Volumes and areas as people write them, exact: "0.45 cu ft", "25 l", "200 sq ft"."""

from __future__ import annotations

import re
from fractions import Fraction

from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_INCH, NM_PER_MM
from fieldlog.calc.typed import short

_LITER = (100 * NM_PER_MM) ** 3
VOLUMES = {
    "ft3": NM_PER_FOOT**3,
    "in3": NM_PER_INCH**3,
    "l": _LITER,
    "m3": 1000 * _LITER,
}
AREAS = {"ft2": NM_PER_FOOT**2, "m2": (1000 * NM_PER_MM) ** 2}
_SAME = {
    "cuft": "ft3", "ft³": "ft3", "cuin": "in3", "in³": "in3", "liter": "l", "liters": "l",
    "litre": "l", "litres": "l", "m³": "m3", "sqft": "ft2", "ft²": "ft2", "sf": "ft2", "m²": "m2",
}  # fmt: skip
_AMOUNT = re.compile(r"(?P<number>[0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9}) ?(?P<unit>[^0-9].*)")
_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9})?|\.[0-9]{1,9}")
MOST_TEXT = 40


class AmountNotUnderstood(ValueError):
    """A text is no volume, area or price; the message is a sentence for the person."""


def parse_volume(text: str) -> Fraction:
    """A volume in nm3, above zero. Raises AmountNotUnderstood."""
    return _amount(text, VOLUMES, "a volume, as in 0.45 cu ft or 12.5 l")


def parse_area(text: str) -> Fraction:
    """An area in nm2, above zero. Raises AmountNotUnderstood."""
    return _amount(text, AREAS, "an area, as in 200 sq ft or 20 m2")


def parse_price(text: str) -> Fraction:
    """A price in the house's money, 0 and up: "38", "$38.50". Raises AmountNotUnderstood."""
    found = text.strip().removeprefix("$")
    if len(text) > MOST_TEXT or not _NUMBER.fullmatch(found):
        raise AmountNotUnderstood(f'"{short(text)}" is no price. Type a number, as in 38 or 38.50.')
    return Fraction(found if found[0] != "." else f"0{found}")


def _amount(text: str, units: dict[str, int], what: str) -> Fraction:
    found = _AMOUNT.fullmatch(text.strip()) if len(text) <= MOST_TEXT else None
    unit = re.sub(r"[ .]", "", found["unit"]).lower() if found else ""
    size = units.get(_SAME.get(unit, unit))
    if found is None or size is None:
        raise AmountNotUnderstood(f'"{short(text)}" is not {what}.')
    number = Fraction(found["number"] if found["number"][0] != "." else f"0{found['number']}")
    if number == 0:
        raise AmountNotUnderstood(f'"{short(text)}" is nothing. Type more than zero.')
    return number * size
