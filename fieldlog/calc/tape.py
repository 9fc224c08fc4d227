"""What a tape shows: units, marks, and a length as the person reading it would say it.

Every 1/64 in (396 875 nm) and every 0.001 mm is a whole number of nanometres; 1 in is 25.4 mm
by definition (international yard and pound agreement, 1959). Nothing here is a float.
"""

from __future__ import annotations

from fractions import Fraction
from math import gcd

NM_PER_INCH = 25_400_000
NM_PER_FOOT = 304_800_000
NM_PER_MM = 1_000_000

UNITS = {
    "in": NM_PER_INCH,
    "ft": NM_PER_FOOT,
    "mm": NM_PER_MM,
    "cm": 10 * NM_PER_MM,
    "m": 1000 * NM_PER_MM,
    "16ths": NM_PER_INCH // 16,
}
"""Nanometres in one of each unit; `16ths` are sixteenths of an inch."""

_MARK = NM_PER_INCH // 64
_THOUSANDTH = NM_PER_INCH // 1000
_MICRON = NM_PER_MM // 1000


def format_length(nm: int | Fraction, system: str = "us", feet: bool = False) -> str:
    """`nm` nanometres for a person, with its unit: "7 1/2 in", "190.5 mm", "6 ft 8 in".

    `system` is "us" or "metric"; `feet` splits 1 ft and more. Off every 1/64 in (or 0.001 mm)
    it is the nearest one, half to even, and says "about"; what would be 0 in and is something is
    said finer.
    """
    if system == "metric":
        return f"{format_plain(nm, system)} mm"
    marks, about = _nearest(nm, _MARK)
    if about and not marks:
        return format_fine(nm)
    whole_feet, rest = divmod(abs(marks), 64 * 12)
    if not feet or not whole_feet:
        return f"{about}{inches_text(marks)} in"
    sign = "-" if marks < 0 else ""
    return f"{about}{sign}{whole_feet} ft" + (f" {inches_text(rest)} in" if rest else "")


def format_fine(nm: int | Fraction) -> str:
    """To the nearest 0.001 in, for what a 64th does not tell apart: "about 0.065 in"."""
    steps, about = _nearest(nm, _THOUSANDTH)
    if about and not steps:
        return "less than 0.001 in"
    return f"{about}{'-' if steps < 0 else ''}{abs(steps) // 1000}.{abs(steps) % 1000:03d} in"


def format_beside(
    nm: int | Fraction, limit: int | Fraction, system: str, feet: bool = False
) -> str:
    """As `format_length`; finer where it would read the same as a limit that it is not."""
    text = format_length(nm, system, feet)
    same = text.removeprefix("about ") == format_length(limit, system, feet)
    return format_fine(nm) if same and nm != limit and system != "metric" else text


def format_plain(nm: int | Fraction, system: str = "us") -> str:
    """The same without feet and unit: "7 1/2", "190.5".

    Parses back to `nm` where it is on a mark; "about 7 11/64" is refused by the parser, so
    that a rounded number is never taken for a reading.
    """
    marks, about = _nearest(nm, _MICRON if system == "metric" else _MARK)
    if system != "metric":
        return about + inches_text(marks)
    whole, thousandths = divmod(abs(marks), 1000)
    decimals = f".{thousandths:03d}".rstrip("0").rstrip(".")
    return f"{about}{'-' if marks < 0 else ''}{whole}{decimals}"


def step_above(nm: int | Fraction, step: int) -> int:
    """The next multiple of `step` (nanometres) strictly above `nm`."""
    return (nm // step + 1) * step


def step_below(nm: int | Fraction, step: int) -> int:
    """The next multiple of `step` (nanometres) strictly below `nm`."""
    return -step_above(-nm, step)


def decimal_text(value: Fraction) -> str:
    """A tape fraction (64 at most under the line, so six decimals at most) as a decimal."""
    whole, millionths = divmod(int(value * 10**6), 10**6)
    return f"{whole}.{millionths:06d}".rstrip("0").rstrip(".")


def _nearest(nm: int | Fraction, step: int) -> tuple[int, str]:
    """How many steps, half to even, and "about " where that is not all of it."""
    # Whole-number division: a judgement says hundreds of lengths, and Fraction is slow.
    part = nm.denominator * step
    steps, rest = divmod(nm.numerator, part)
    if not rest:
        return steps, ""
    return steps + (2 * rest > part or (2 * rest == part and steps % 2 == 1)), "about "


def inches_text(marks: int) -> str:
    """A count of 64ths as 7 1/2."""
    whole, rest = divmod(abs(marks), 64)
    common = gcd(rest, 64)
    fraction = f"{rest // common}/{64 // common}" if rest else ""
    shown = " ".join(part for part in (str(whole) if whole else "", fraction) if part) or "0"
    return ("-" if marks < 0 else "") + shown


def missed_spaces(num: str, den: int) -> tuple[str, ...]:
    """71/2 may be 7 1/2, and 111/16 may be 11 1/16 or 1 11/16."""
    splits = ((num[:at], num[at:]) for at in range(len(num) - 1, 0, -1))
    return tuple(
        f"{whole} {rest}/{den}"
        for whole, rest in splits
        if whole[0] != "0" and rest[0] != "0" and int(rest) < den
    )


def uncertainty_text(u_nm: int, system: str) -> str:
    """A standard uncertainty: "0.018 in" or "0.46 mm", rounded up in its last place."""
    step, places, unit = (25_400, 3, "in") if system == "us" else (10_000, 2, "mm")
    steps = -(-u_nm // step)
    return f"{steps // 10**places}.{steps % 10**places:0{places}d} {unit}"
