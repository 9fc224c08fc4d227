"""Numbers of inputs, read by the parser of `units`, and values of two kinds of their own."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.typed import plain
from fieldlog.calc.units import NumberNotUnderstood as NotUnderstood
from fieldlog.calc.units import parse_measure

__all__ = [
    "NotUnderstood",
    "Pitch",
    "Temperature",
    "decimal_or_fraction",
    "number_in",
    "temperature_in",
]


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature, exact; `unit` is the one it was typed in, "F" or "C"."""

    celsius: Fraction
    unit: str

    @property
    def fahrenheit(self) -> Fraction:
        """The same in degrees Fahrenheit."""
        return self.celsius * 9 / 5 + 32


@dataclass(frozen=True, slots=True)
class Pitch:
    """A pitch: `degrees`, or `rise` over `run` in nm where it was given so."""

    degrees: Fraction | None
    rise: int = 0
    run: int = 0


def number_in(text: str) -> Fraction:
    """A plain number: 45, 0.5, 1/2, 7 1/2. Raises NotUnderstood."""
    return parse_measure("number", text)


def temperature_in(text: str) -> Temperature:
    """A temperature with its unit: 70 F, 21 C. Raises NotUnderstood, which asks for the unit."""
    return Temperature(parse_measure("temperature", text), plain(text)[-1].upper())


def decimal_or_fraction(value: Fraction | int) -> str:
    """A number as a decimal where it has one of 12 places or fewer, else as n/d."""
    value = Fraction(value)
    tens = value * 10**12
    if tens.denominator != 1:
        return str(value)
    whole, rest = divmod(abs(tens.numerator), 10**12)
    decimals = f".{rest:012d}".rstrip("0").rstrip(".")
    return f"{'-' if value < 0 else ''}{whole}{decimals}"
