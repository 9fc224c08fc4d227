"""What a piece of wood weighs, and that people alone are no way to move a heavy one."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Number,
    Result,
    Words,
)
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import number_text
from fieldlog.calc.calculations.species import Species
from fieldlog.calc.tape import NM_PER_FOOT

MOISTURE = 12
"""Percent: the moisture content that the tabulated specific gravities are for."""
KG_PER_LB = Fraction("0.45359237")  # by definition (yard and pound agreement, 1959)


def _compute(given: Given) -> Answer:
    species = given.reference.wood.find(given["species"])
    if species.gravity is None:
        raise refused("species", f"{species.name}: its specific gravity is not in the file.")
    volume = Fraction(given["length"] * given["width"] * given["thickness"], NM_PER_FOOT**3)
    water = given.reference.wood.water.value
    density = species.gravity.value * water * (1 + Fraction(MOISTURE, 100))
    pounds = volume * density
    people = ceil(pounds / given.reference.lifting.most_lb.value)
    return Answer(
        (
            _mass("weight", "Weight", pounds, given.system),
            Result("volume", "Volume", _volume(volume, given.system)),
            Result("density", "Density", _density(density, given.system)),
            Result("people", "People, at least", Number(people)),
            Result("says", "Lifting", Words(_says(people))),
        ),
        (
            f"Density = {number_text(species.gravity.value, 2)} x {number_text(water, 2)} lb/cu ft "
            f"x (1 + {MOISTURE}/100) = {number_text(density, 2)} lb/cu ft.",
            f"Weight = {number_text(volume, 3)} cu ft x {number_text(density, 2)} lb/cu ft "
            f"= {number_text(pounds, 1)} lb.",
            f"{number_text(pounds, 1)} lb / {given.reference.lifting.most_lb.value} lb a person: "
            f"{people} at least.",
        ),
        _notes(species),
    )


def _says(people: int) -> str:
    if people == 1:
        return "Within the NIOSH load constant for one person, in the best of conditions."
    return f"At least {people} people by the NIOSH load constant; use a lift."


def _notes(species: Species) -> tuple[str, ...]:
    gravity = species.gravity
    seen = "" if gravity is None else f"Specific gravity {gravity.verified}: {gravity.seen}."
    return (
        "Never a crew for a stair: the load constant is for a level lift, close to the body, with "
        "a good hold. On a stair use a lift, a hoist or a crane.",
        "An average of the species: a heavy board is a tenth heavier. Hardware and finish are not "
        "in it; glued-up stock weighs the same.",
        seen,
    )


def _mass(name: str, label: str, pounds: Fraction, system: str) -> Result:
    if system == "metric":
        return Result(name, label, Number(pounds * KG_PER_LB, "kg"))
    return Result(name, label, Number(pounds, "lb"))


def _volume(cubic_feet: Fraction, system: str) -> Number:
    if system == "metric":
        return Number(cubic_feet * Fraction(NM_PER_FOOT, 10**9) ** 3, "m3", 3)
    return Number(cubic_feet, "cu ft", 2)


def _density(lb_per_ft3: Fraction, system: str) -> Number:
    if system == "metric":
        return Number(lb_per_ft3 * KG_PER_LB / Fraction(NM_PER_FOOT, 10**9) ** 3, "kg/m3")
    return Number(lb_per_ft3, "lb/cu ft", 1)


def _size(name: str, label: str) -> Input:
    return Input(name, label, "length", required=True, positive=True)


CALCULATIONS = (
    Calculation(
        name="piece-weight",
        title="Weight of a piece",
        says="What a tread, a platform or a beam weighs, from its size and species.",
        inputs=(
            _size("length", "Length"),
            _size("width", "Width"),
            _size("thickness", "Thickness"),
            Input("species", "Species", "text", "Such as red oak.", required=True),
        ),
        formula=(
            "Volume x specific gravity x weight of water x (1 + moisture content), at 12 % "
            "moisture content. People: weight / load constant, rounded up."
        ),
        source=(
            "Wood Handbook (USDA FPL-GTR-190) chapters 4 and 5; NIOSH publication 94-110, "
            "load constant 51 lb"
        ),
        caution=(
            "A count of people is not a plan for a lift. Who lifts, and with what, is decided by "
            "the crew that does it and the rules of its trade."
        ),
        compute=_compute,
    ),
)
