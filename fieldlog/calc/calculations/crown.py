"""Miters: crown cut flat on the saw, and joints of flat stock of equal or unequal width.

Angles are exact fractions of a degree going in; sines and arc tangents come from `decimals`
to 40 figures. Results are shown to a tenth of a degree and to 15 figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from fieldlog.calc.calculations import decimals
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Number,
    Result,
    Words,
)
from fieldlog.calc.calculations.numbers import decimal_or_fraction
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import number_text

STRAIGHT, FULL = 180, 360
_STEEP, _SAW_TURNS = 45, 50


@dataclass(frozen=True, slots=True)
class Cut:
    """Saw settings in degrees."""

    miter: Decimal
    bevel: Decimal


def crown_flat(spring: Fraction, corner: Fraction) -> Cut:
    """Settings for crown lying flat; spring from the wall, corner between walls, in degrees.

    miter = atan(sin S / tan(C/2)), bevel = asin(cos S cos(C/2)). Divided by the tangent: the
    form that multiplies by it, also in print, is right at 90 degrees only.
    """
    s, half = decimals.radians(spring), decimals.radians(corner / 2)
    sine, cosine = decimals.sin(half), decimals.cos(half)
    return Cut(
        decimals.degrees(decimals.atan(decimals.sin(s) * cosine / sine)),
        decimals.degrees(decimals.asin(decimals.cos(s) * cosine)),
    )


def unequal_miters(corner: Fraction, one: int, other: int) -> tuple[Decimal, Decimal] | None:
    """Saw settings, degrees from square, of two widths (nm) that meet in one line.

    The joint makes with piece 1 the angle a, tan a = w1 sin C / (w2 + w1 cos C), with piece 2
    C - a; the saw is set to 90 - a. None where the line would leave the narrower piece.
    """
    angle = decimals.radians(corner)
    sine, cosine = decimals.sin(angle), decimals.cos(angle)
    settings = []
    for wide, across in ((one, other), (other, one)):
        along = across + wide * cosine
        if along < 1:  # nm: a joint along the piece's own edge is none either
            return None
        settings.append(90 - decimals.degrees(decimals.atan(wide * sine / along)))
    return settings[0], settings[1]


def _corner(given: Given) -> Fraction:
    """A corner angle that can be mitered: above 0, below 180."""
    corner: Fraction = given["corner"]
    said = f"{decimal_or_fraction(corner)} degrees"
    if STRAIGHT < corner < FULL:
        rest = decimal_or_fraction(FULL - corner)
        why = f"A corner is less than {STRAIGHT}: is {said} the outside of a corner of {rest}?"
        raise refused("corner", why, (rest,))
    if corner == STRAIGHT:
        raise refused("corner", f"{said} is a straight wall: nothing to miter.")
    if not 0 < corner < STRAIGHT:
        raise refused("corner", f"{said} is no corner: measure between the two walls.")
    return corner


def _crown(given: Given) -> Answer:
    spring, corner = given["spring"], _corner(given)
    if not 0 < spring < 90:
        why = f"{decimal_or_fraction(spring)} degrees is no spring angle: 38 and 45 are usual."
        raise refused("spring", why)
    cut = crown_flat(spring, corner)
    nested = (STRAIGHT - corner) / 2
    results = (
        Result("miter", "Miter, flat on the saw", Number(cut.miter, "deg", 1)),
        Result("bevel", "Bevel, flat on the saw", Number(cut.bevel, "deg", 1)),
        Result("nested", "Miter, nested against the fence", Number(nested, "deg", 1)),
        Result("spring", "Spring angle, from the wall", Number(spring, "deg", 1)),
        Result("corner", "Corner, between the walls", Number(corner, "deg", 1)),
    )
    s, c = decimal_or_fraction(spring), decimal_or_fraction(corner)
    steps = (
        f"Miter = atan(sin {s} / tan({c}/2)) = {number_text(cut.miter, 3)} degrees.",
        f"Bevel = asin(cos {s} x cos({c}/2)) = {number_text(cut.bevel, 3)} degrees.",
        f"Nested: ({STRAIGHT} - {c}) / 2 = {number_text(nested, 1)} degrees, no bevel.",
    )
    return Answer(results, steps, _crown_notes(spring, corner), "crown-saw")


def _crown_notes(spring: Fraction, corner: Fraction) -> tuple[str, ...]:
    notes = [
        "Inside and outside corners take the same angles; only the hand of the cut turns. Cut "
        "two short pieces first and hold them in the corner.",
    ]
    if spring > _STEEP:
        turned, said = 90 - spring, decimal_or_fraction(spring)
        flat = crown_flat(turned, corner)
        notes.append(
            f"{said} is taken from the wall. Crown sold as 52/38 lies 52 from the ceiling and 38 "
            f"from the wall, so its spring angle is 38. If {said} was from the ceiling, spring "
            f"is {decimal_or_fraction(turned)}: miter {number_text(flat.miter, 2)}, "
            f"bevel {number_text(flat.bevel, 2)}."
        )
    elif spring == 90 - 52:
        notes.append("52/38 crown: 38 from the wall, as taken here; 52 is from the ceiling.")
    return tuple(notes)


def _miter(given: Given) -> Answer:
    corner, one, other = _corner(given), given["width"], given["other"]
    half = (STRAIGHT - corner) / 2
    c = decimal_or_fraction(corner)
    equal = Result("miter", "Miter, each piece", Number(half, "deg", 1))
    steps = [f"({STRAIGHT} - {c}) / 2 = {decimal_or_fraction(half)} degrees from square."]
    if other is not None and one is None:
        raise refused("width", "Type the width of the first piece as well.")
    if other is None or one == other:
        return Answer((equal,), tuple(steps), _TEST_CUT)
    found = unequal_miters(corner, one, other)
    if found is None:
        why = "At this corner a joint in one line would leave the narrower piece. Butt or cope it."
        raise refused("other", why)
    steps = ["tan(angle of the joint) = width x sin C / (other + width x cos C); miter = 90 - it."]
    results = (
        Result("miter", "Miter, first piece", Number(found[0], "deg", 1)),
        Result("miter_other", "Miter, other piece", Number(found[1], "deg", 1)),
        Result("says", "In words", Words("The pieces differ, so their miters do.")),
    )
    return Answer(results, tuple(steps), (*_TEST_CUT, *_beyond_the_saw(found)))


def _beyond_the_saw(found: tuple[Decimal, Decimal]) -> tuple[str, ...]:
    if max(found) <= _SAW_TURNS:
        return ()
    return (f"Most saws turn to about {_SAW_TURNS} degrees (common practice): cut the steep one "
            "against a fence at a right angle.",)  # fmt: skip


_TEST_CUT = ("Measure the corner: few are what the drawing says. Cut two short pieces first.",)


def _angle(name: str, label: str, how: str) -> Input:
    return Input(name, label, "angle", how, required=True)


_BETWEEN = "Between the walls, measured: not taken to be 90."

CALCULATIONS = (
    Calculation(
        name="crown",
        title="Crown on the saw",
        says="Miter and bevel for crown, from its spring angle and the corner as measured.",
        inputs=(
            _angle("spring", "Spring angle", "From the wall. 52/38 crown has 38."),
            _angle("corner", "Corner", _BETWEEN),
        ),
        formula="miter = atan(sin S / tan(C/2)); bevel = asin(cos S x cos(C/2)).",
        source="Geometry; published tables for 38 and 52 degrees reproduced in the tests",
        caution="Check the saw's own scale against a square before the long pieces are cut.",
        compute=_crown,
    ),
    Calculation(
        name="miter",
        title="Miter",
        says="The saw's setting for base, casing or cap, of equal or unequal widths.",
        inputs=(
            _angle("corner", "Corner", _BETWEEN),
            Input("width", "Width of the piece", "length", positive=True),
            Input("other", "Width of the other piece", "length", "Where it differs.",
                  positive=True),
        ),
        formula="(180 - C) / 2 each; unequal widths: tan a = w1 sin C / (w2 + w1 cos C), 90 - a.",
        source="Geometry",
        caution="Check the saw's own scale against a square before the long pieces are cut.",
        compute=_miter,
    ),
)  # fmt: skip
