"""Lengths as people type them, in exact integer nanometres; `tape` says them back.

The grammar, after `typed.plain` has turned curly quotes, primes, dashes, odd spaces and vulgar
fractions (7½) into plain ones. `" "` is an optional space unless it is all of a join:

    length      = [ "+" | "-" ] " " ( quantity | feet-inches | hyphen-feet )
    quantity    = number [ " " | "-" ] [ unit ]          7 3/4   3/4-in   196mm   6.5 ft   +3
    feet-inches = digits " " foot [ " " "-" " " ] number " " [ inch ]      6'-8 1/2"   6 ft 8
    hyphen-feet = digits "-" number " " [ inch ]                            6-8 3/4   6-8
    number      = decimal | [ digits join ] digits "/" digits | digits
    decimal     = [ digits ] "." digits
    join        = " " | "-" | " and " | " & "
    unit        = foot | inch | "mm" | "cm" | "m"
    foot        = "'" | "ft" | "ft." | "foot" | "feet"
    inch        = '"' | "in" | "in." | "inch" | "inches"

What the grammar lets through and is still asked about or refused, never guessed:
a denominator that is on no tape (1/3, 1/10, 1/128); a fraction of a whole inch or more
(`71/2` may be a missed space: `LengthAmbiguous`; `3/2` and `7 3/2` are on no tape either, so
they are refused and 1 1/2 is offered); 12 in or more after feet; a fraction of a millimeter;
a fraction typed where sixteenths are counted; more than 1 km; finer than a nanometer.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Self

from fieldlog.calc.tape import (
    NM_PER_FOOT,
    NM_PER_INCH,
    NM_PER_MM,
    UNITS,
    decimal_text,
    format_beside,
    format_length,
    format_plain,
    inches_text,
    missed_spaces,
    step_above,
    step_below,
)
from fieldlog.calc.typed import plain, short

__all__ = [
    "NM_PER_FOOT",
    "NM_PER_INCH",
    "NM_PER_MM",
    "UNITS",
    "LengthAmbiguous",
    "LengthNotUnderstood",
    "format_beside",
    "format_length",
    "format_plain",
    "parse_length",
    "step_above",
    "step_below",
]

MAX_TEXT = 40
MAX_NM = 10**12
_TAPE = ("2", "4", "8", "16", "32", "64")


class LengthNotUnderstood(ValueError):
    """A text is no length. `reason` is a sentence for the person, `suggestions` texts to tap."""

    def __init__(self, reason: str, suggestions: tuple[str, ...] = ()) -> None:
        super().__init__(reason)
        self.reason = reason
        self.suggestions = suggestions

    def within(self, before: str, after: str) -> Self:
        """The same refusal of a part of a text, its suggestions with the rest around them."""
        around = (before + s + (after if s[-1].isdigit() else "") for s in self.suggestions)
        return type(self)(self.reason, tuple(around))


class LengthAmbiguous(LengthNotUnderstood):
    """A text could be two lengths: ask the person which, with `suggestions`."""


# Each pattern stands under the rule it implements.
# digits: ASCII only, so that full-width and superscript digits do not slip through
_D = r"[0-9]+"
# join
_JOIN = r"(?: and | & | |-)"
# number = decimal | [ digits join ] digits "/" digits | digits
_NUMBER = rf"(?:[0-9]*\.{_D}|(?:{_D}{_JOIN})?{_D}/{_D}|{_D})"
_NUMBER_PARTS = re.compile(
    rf"(?P<before>[0-9]*)\.(?P<after>{_D})"
    rf"|(?:(?P<whole>{_D}){_JOIN})?(?P<num>{_D})/(?P<den>{_D})"
    rf"|(?P<digits>{_D})"
)
# foot, inch, unit
_FOOT = r"(?:'|ft\.?|foot|feet)"
_INCH = r"(?:\"|in\.?|inch|inches)"
_UNIT = rf"(?:{_FOOT}|{_INCH}|mm|cm|m)"
# quantity
_QUANTITY = re.compile(rf"(?P<number>{_NUMBER})[ -]?(?P<unit>{_UNIT})?")
# feet-inches
_FEET_INCHES = re.compile(rf"(?P<feet>{_D}) ?{_FOOT} ?-? ?(?P<inches>{_NUMBER}) ?{_INCH}?")
# hyphen-feet
_HYPHEN_FEET = re.compile(rf"(?P<feet>{_D})-(?P<inches>{_NUMBER}) ?{_INCH}?")

# Why a text that the grammar refuses is refused: the first pattern found names the reason.
_REASONS = (
    (r"[^\x00-\x7f]", "has a sign that is on no tape. Type plain digits, as in 7 3/4"),
    (r"[0-9],[0-9]", "has a comma. Use a point for decimals, as in 7.5, and none for thousands"),
    (r"^[+-]", "has two signs. Type one, as in -3"),
    (r"[0-9]e[+-]?[0-9]", "is written in powers of ten. Type the number out, as in 1000"),
    (r"/.*/", "has two fractions. Type one, as in 7 3/4"),
    (r"\.[0-9]*[ -].*/", "has a decimal and a fraction. Type one of them, as in 7.75 or 7 3/4"),
    (
        r" (strong|full|shy|scant)$",
        "is beside a mark. Type the mark or the next 32nd, as in 15/16 or 31/32",
    ),
    (r"[a-z\"'].*[0-9].*[a-z\"']", "has units that clash. Type feet and inches, or one unit"),
    (r"^[+-]? ?[a-z\"'. -]*$", "has no number. Type a length, as in 7 3/4"),
    (r"[0-9]\.?$|\.", "is not one number. Type a length, as in 7 3/4 or 6 ft 8 in"),
)


def parse_length(text: str, unit: str = "in") -> int:
    """The length typed, in nanometres; `unit` (a key of UNITS) holds where the text has none.

    Raises LengthNotUnderstood, or its LengthAmbiguous where the text could be two lengths.
    """
    return _parsed(text, unit) if len(text) <= MAX_TEXT else _parse(text, unit)


def _parse(text: str, unit: str) -> int:
    if unit not in UNITS:
        raise LengthNotUnderstood(f'No unit "{short(unit)}": use one of {", ".join(UNITS)}.')
    spelled = _bounded(text)
    sign = "-" if spelled[0] == "-" else ""
    unsigned = spelled[1:].lstrip(" ") if spelled[0] in "+-" else spelled
    try:
        size = _whole_nm(_magnitude(unsigned, unit, text), text)
    except LengthNotUnderstood as err:
        err.suggestions = tuple(one for one in err.suggestions if _is_length(one, unit))
        raise err.within(sign, "") from None
    return -size if sign else size


_parsed = lru_cache(maxsize=4096)(_parse)
"""A house's readings are the same few hundred texts; what is refused is looked at anew."""


def _bounded(text: str) -> str:
    """The text in plain signs. Its length is bounded here, before any pattern looks at it."""
    if len(text) > MAX_TEXT:
        raise LengthNotUnderstood(
            f'"{short(text)}" is {len(text)} characters long. Type a length, as in 7 3/4.'
        )
    if any(ord(sign) < 32 or ord(sign) == 127 for sign in text):
        raise LengthNotUnderstood(
            f'"{short(text)}" has a line break or a hidden sign in it. Type it again.'
        )
    if spelled := plain(text):
        return spelled
    raise LengthNotUnderstood("Nothing was typed. Type a length, as in 7 3/4.")


def _whole_nm(size: Fraction, text: str) -> int:
    if size > MAX_NM:
        raise LengthNotUnderstood(
            f'"{short(text)}" is more than 1 km, and no house is. Type the length again.'
        )
    nm = round(size)  # a calculator's decimals are rounded, of half a nanometer to the even one
    if size.denominator != 1 and (not nm or re.search(r"\.[0-9]{10}", text)):
        raise LengthNotUnderstood(
            f'"{short(text)}" is finer than a millionth of a millimeter. Type fewer decimals.'
        )
    return nm


def _is_length(unsigned: str, unit: str) -> bool:
    """Whether a suggestion would be understood, and to the nanometer: only those are offered."""
    try:
        size = _magnitude(unsigned, unit, unsigned)
    except LengthNotUnderstood:
        return False
    return size <= MAX_NM and size.denominator == 1


def _magnitude(unsigned: str, unit: str, text: str) -> Fraction:
    """Nanometres of a text without its sign; `text` is what was typed, for the reason."""
    if found := _QUANTITY.fullmatch(unsigned):
        unit = _unit(found["unit"], unit)
        after = f" {unit}" if found["unit"] else ""
        return _number(found["number"], unit, text, "", after) * UNITS[unit]
    if found := _FEET_INCHES.fullmatch(unsigned):
        return _feet_and_inches(found, text)
    if found := _HYPHEN_FEET.fullmatch(unsigned):
        if unit not in ("in", "ft"):
            raise LengthAmbiguous(
                f'"{short(text)}": is that feet and inches? Type the units.',
                (f"{found['feet']} ft {found['inches']} in",),
            )
        return _feet_and_inches(found, text)
    raise _refusal(unsigned, text)


def _unit(typed: str | None, unit: str) -> str:
    if not typed:
        return unit
    if re.fullmatch(_FOOT, typed):
        return "ft"
    return "in" if re.fullmatch(_INCH, typed) else typed


def _feet_and_inches(found: re.Match[str], text: str) -> Fraction:
    inches = _number(found["inches"], "in", text, f"{found['feet']} ft ", " in")
    size = int(found["feet"]) * NM_PER_FOOT + inches * NM_PER_INCH
    if inches >= 12:
        raise LengthNotUnderstood(
            f'"{short(text)}" has 12 inches or more after the feet. Type them as feet.',
            (format_length(size, feet=True),),
        )
    return size


def _number(number: str, unit: str, text: str, before: str, after: str) -> Fraction:
    """How many of `unit` a number is, exactly; `before` and `after` stand around it in `text`."""
    parts = _NUMBER_PARTS.fullmatch(number)
    assert parts is not None, number
    if parts["digits"]:
        return Fraction(int(parts["digits"]))
    if parts["after"]:
        return Fraction(int(parts["before"] + parts["after"]), 10 ** len(parts["after"]))
    try:
        value = int(parts["whole"] or 0) + _fraction(parts, text)
        if unit not in ("in", "ft"):
            raise _no_fraction(number, value, unit, text)
    except LengthNotUnderstood as err:
        raise err.within(before, after) from None
    return value


def _no_fraction(number: str, value: Fraction, unit: str, text: str) -> LengthNotUnderstood:
    """Millimeters have no fractions, and a fraction among sixteenths may be one of an inch."""
    meant = (decimal_text(value), f"{number} in")
    if unit == "16ths":
        return LengthAmbiguous(
            f'"{short(text)}": sixteenths are counted here, as in 3. Is this in inches?', meant
        )
    return LengthNotUnderstood(
        f'"{short(text)}" is a fraction of a {unit}. Type a decimal, or inches.', meant
    )


def _fraction(parts: re.Match[str], text: str) -> Fraction:
    """The fraction of a number, where a tape has it and it is less than one."""
    num, den = int(parts["num"]), int(parts["den"])
    if den == 0:
        raise LengthNotUnderstood(
            f'"{short(text)}" has a zero under the line. Type a fraction, as in 3/4.'
        )
    if parts["den"] not in _TAPE:
        raise LengthNotUnderstood(
            f'"{short(text)}": no tape has marks of 1/{den}. '
            "Type halves, quarters, 8ths, 16ths, 32nds or 64ths, or a decimal."
        )
    if num < den:
        return Fraction(num, den)
    written_out = inches_text((int(parts["whole"] or 0) * den + num) * 64 // den)
    if parts["whole"] is None and (meant := missed_spaces(parts["num"], den)):
        raise LengthAmbiguous(
            f'"{short(text)}": was a space missed? Did you mean {" or ".join(meant)}?',
            (*meant, written_out),
        )
    raise LengthNotUnderstood(
        f'"{short(text)}": {num}/{den} is one or more. Type {written_out}.', (written_out,)
    )


def _refusal(unsigned: str, text: str) -> LengthNotUnderstood:
    """Why no rule of the grammar fits."""
    if two := re.fullmatch(rf"({_D}) ({_NUMBER})({_INCH})?", unsigned):
        return LengthAmbiguous(
            f'"{short(text)}" is two numbers. Is the first one feet?',
            (f"{two[1]} ft {two[2]} in",),
        )
    meant: tuple[str, ...] = ()
    if comma := re.fullmatch(r"([0-9]+),([0-9]+)([^,]*)", unsigned):
        joints = (".", "") if len(comma[2]) == 3 else (".",)
        meant = tuple(comma[1] + joint + comma[2] + comma[3] for joint in joints)
    for pattern, reason in _REASONS:
        if re.search(pattern, unsigned):
            return LengthNotUnderstood(f'"{short(text)}" {reason}.', meant)
    return LengthNotUnderstood(
        f'"{short(text)}" is not a length. Type one, as in 7 3/4, 6 ft 8 in or 196 mm.'
    )
