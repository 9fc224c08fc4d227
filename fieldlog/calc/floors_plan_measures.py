"""Amounts of a plan as a crew works them: depths, areas, volumes, bags, distances, patch names."""

from __future__ import annotations

from fractions import Fraction

from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_INCH, NM_PER_MM, format_length

_SIXTEENTHS_OF_A_FOOT = 192


def area_text(nm2: int, system: str = "us") -> str:
    """An area to a tenth: "12.5 sq ft", "1.2 m2"."""
    if system == "metric":
        return f"{tenths(Fraction(nm2, (1000 * NM_PER_MM) ** 2))} m2"
    return f"{tenths(Fraction(nm2, NM_PER_FOOT**2))} sq ft"


def volume_text(nm3: int | Fraction, system: str = "us") -> str:
    """A volume to a tenth: "1.2 cu ft", "34 l"."""
    if system == "metric":
        return f"{tenths(Fraction(nm3, (100 * NM_PER_MM) ** 3))} l"
    return f"{tenths(Fraction(nm3, NM_PER_FOOT**3))} cu ft"


def depth_text(nm: int, system: str = "us") -> str:
    """A depth as a crew works it: up to the next 1/16 in, or half a millimeter; a hair more than
    a mark is that mark."""
    step = NM_PER_MM // 2 if system == "metric" else NM_PER_FOOT // _SIXTEENTHS_OF_A_FOOT
    return format_length(-(-(nm - NM_PER_MM // 100) // step) * step, system)


def set_text(nm: int, system: str = "us") -> str:
    """A height as a level is set: to the nearest 1/32 in, or half a millimeter."""
    step = NM_PER_MM // 2 if system == "metric" else NM_PER_INCH // 32
    return format_length(round(Fraction(nm, step)) * step, system)


def far_text(nm: int, system: str = "us") -> str:
    """A distance along the floor, in feet and inches."""
    if nm == 0 and system != "metric":
        return "0 ft"
    return format_length(nm, system, feet=True)


def span_text(low: int, high: int, system: str = "us") -> str:
    """From where to where: "8 ft to 12 ft"."""
    if low == high:
        return far_text(low, system)
    return f"{far_text(low, system)} to {far_text(high, system)}"


def units_text(count: int, unit: str) -> str:
    """So many of a unit: "1 bag of 50 lb", "3 layers"."""
    name, *rest = unit.split(" ", 1)
    return " ".join([str(count), name if count == 1 else f"{name}s", *rest])


def share_text(volume: int, yields: Fraction | int, unit: str) -> str:
    """What a part of the work takes, up to the next half: "2 1/2 bags", "1/2 bag"."""
    halves = -(-Fraction(volume) * 2 // Fraction(yields))
    whole, half = divmod(int(halves), 2)
    name = unit.split(" ", 1)[0]
    said = f"{whole or ''}{' ' if whole and half else ''}{f'{half}/2' if half else ''}"
    return f"{said or '0'} {name}{'' if halves <= 2 else 's'}"


def patch_name(number: int) -> str:
    """A, B, ... Z, A2, B2: what a patch is called on the map and in the steps."""
    turn, letter = divmod(number, 26)
    return chr(ord("A") + letter) + (str(turn + 1) if turn else "")


def tenths(value: Fraction) -> str:
    """A number to a tenth; one that rounds to none is "less than 0.1"."""
    rounded = int(value * 10 + Fraction(1, 2))
    whole, part = divmod(rounded, 10)
    if not rounded and value:
        return "less than 0.1"
    return f"{whole}.{part}" if part else str(whole)
