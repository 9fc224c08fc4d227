"""A space beside an opening that is less than the casing: one width for all the matching legs."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.calculations.crown import unequal_miters
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Rows,
    Series,
    Words,
)
from fieldlog.calc.calculations.numbers import decimal_or_fraction
from fieldlog.calc.calculations.practice import Practice
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text, number_text
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM

_SQUARE = Fraction(90)


@dataclass(frozen=True, slots=True)
class Rip:
    """Casing ripped to one width; nm. `profile` is the part that keeps its shape."""

    casing: int
    profile: int
    width: int

    @property
    def off(self) -> int:
        """What the rip takes off the flat."""
        return self.casing - self.width

    @property
    def flat(self) -> int:
        """What is left of the flat."""
        return self.width - self.profile


def common_width(spaces: tuple[int, ...], casing: int, gap: int, step: int) -> int:
    """The width (nm) that fits the least space on every leg, down to a mark of the tape.

    At most the casing's own width; 0 or less where nothing fits.
    """
    fits = min(spaces) - gap
    return casing if fits >= casing else fits // step * step


def _compute(given: Given) -> Answer:
    for place, space in enumerate(given["spaces"]):
        if space <= 0:
            raise refused("spaces", "A space is more than zero.", index=place)
    rip = _rip(given)
    results = [
        Result("width", "Rip every matching leg to", Length(rip.width)),
        Result("rip_off", "Take off", Length(rip.off)),
        Result("flat", "Flat left", Length(rip.flat)),
        Result("casing", "Casing", Length(rip.casing)),
        Result("profile", "Kept outer profile", Length(rip.profile)),
        Result("where", "Where", Words(_where(rip, given.system))),
        Result("spaces", "Spaces", Series(tuple(map(Length, given["spaces"])))),
        *_miters(rip),
        *_beside(rip, given),
    ]
    return Answer(tuple(results), _steps(rip, given), _notes(rip, given), "casing-rip")


def _rip(given: Given) -> Rip:
    casing, profile = given["casing"], given["profile"]
    if profile >= casing:
        raise refused("profile", "The profile is as wide as the casing: no flat is left to rip.")
    step = NM_PER_MM if given.system == "metric" else NM_PER_INCH // 16
    width = common_width(given["spaces"], casing, given["gap"], step)
    rip = Rip(casing, profile, width)
    if rip.flat <= 0:
        least, kept = (length_text(nm, given.system) for nm in (min(given["spaces"]), profile))
        index = given["spaces"].index(min(given["spaces"]))
        why = (
            f"{least} has no room for the profile, which is {kept}: no rip solves this. Another "
            "profile, or a wider space."
        )
        raise refused("spaces", why, index=index)
    return rip


def _where(rip: Rip, system: str) -> str:
    if not rip.off:
        return "The casing fits as it is: nothing to rip."
    flat, off = length_text(rip.flat, system), length_text(rip.off, system)
    if not rip.profile:
        return f"Rip {off} off the wall's edge of the casing."
    return (
        f"Rip {off} out of the flat, where it meets the outer profile: {flat} of flat stays, and "
        "profile and inner edge run on unbroken."
    )


def _miters(rip: Rip) -> list[Result]:
    """Saw settings where ripped legs meet a head of full width."""
    if not rip.off:
        return []
    found = unequal_miters(_SQUARE, rip.width, rip.casing)
    if found is None:  # never at 90 degrees: there the line always crosses both pieces
        return []
    return [
        Result("miter_leg", "Miter of a leg, full head", Number(found[0], "deg", 1)),
        Result("miter_head", "Miter of that head", Number(found[1], "deg", 1)),
    ]


def noticed(width: int, neighbor: int, practice: Practice) -> bool:
    """Whether a width differs from its neighbor's by the share that is seen; exact."""
    return abs(width - neighbor) >= practice["noticeable-share"].value * neighbor


def _beside(rip: Rip, given: Given) -> list[Result]:
    """The neighboring openings' casings, and whether the difference will be seen."""
    neighbors = given["neighbors"] or (rip.casing,)
    practice = given.reference.practice
    rows, seen = [], []
    for place, one in enumerate(neighbors):
        if one <= 0:
            raise refused("neighbors", "A casing is more than zero.", index=place)
        percent = Fraction(100 * (rip.width - one), one)
        is_seen = noticed(rip.width, one, practice)
        seen.append(is_seen)
        rows.append(
            (
                Result("neighbor", "Casing beside it", Length(one)),
                Result("difference", "this one differs by", Length(rip.width - one)),
                Result("percent", "that is", Number(percent, "%", 1)),
                Result("seen", "the eye", Words("sees it" if is_seen else "does not see it")),
            )
        )
    says = "It will not be noticed beside its neighbors."
    if any(seen):
        says = "It will be noticed: rip the legs that are seen with it too, or ask the designer."
    return [
        Result("noticed", "Beside the neighbors", Words(says)),
        Result("neighbors", "Neighbors", Rows(tuple(rows))),
    ]


def _steps(rip: Rip, given: Given) -> tuple[str, ...]:
    def say(nm: int) -> str:
        return length_text(nm, given.system)

    told = [f"Least space {say(min(given['spaces']))}"]
    if given["gap"]:
        told[0] += f" less {say(given['gap'])} to scribe"
    told[0] += f", down to a mark of the tape: {say(rip.width)}."
    if rip.off:
        told.append(f"{say(rip.casing)} - {say(rip.width)} = {say(rip.off)} to take off.")
    if rip.profile:
        told.append(f"{say(rip.width)} - {say(rip.profile)} of profile = {say(rip.flat)} of flat.")
    return tuple(told)


def _notes(rip: Rip, given: Given) -> tuple[str, ...]:
    share = given.reference.practice["noticeable-share"]
    percent = number_text(100 * share.value, 1).removesuffix(".0")
    told = [
        f"Seen from a share of {decimal_or_fraction(share.value)} ({percent} %) on: "
        f"{share.verified}; {share.seen}.",
    ]
    if rip.off:
        told.append(
            "Legs ripped and the head left full meet in unequal miters; rip the head as well for "
            "45 degrees."
        )
    return tuple(told)


CALCULATIONS = (
    Calculation(
        name="rip-casing",
        title="Rip the casing",
        says="One width for all the matching legs where the space is less than the casing.",
        inputs=(
            Input("spaces", "Spaces beside the opening", "lengths",
                  "Every leg, at its narrowest: left, right, and openings that match.",
                  required=True),
            Input("casing", "Casing width", "length", required=True, positive=True),
            Input("profile", "Outer profile that stays", "length", "A back band: never ripped.",
                  default="0", low=0),
            Input("gap", "Left to scribe", "length", default="0", low=0),
            Input("neighbors", "Casings beside it", "lengths", "Left out: the casing's own."),
        ),
        formula=(
            "width = least space - scribe, down to a 1/16 in (1 mm) mark; flat = width - profile."
        ),
        source="Arithmetic; the share that is noticed is common practice, without a source",
        caution="Show the designer before ripping: a leg can't be made wider again.",
        compute=_compute,
    ),
)  # fmt: skip
