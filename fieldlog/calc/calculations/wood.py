"""How much wood moves between two moisture contents, what gap to leave, and when it cups."""

from __future__ import annotations

from fractions import Fraction

from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Words,
)
from fieldlog.calc.calculations.numbers import decimal_or_fraction
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text, room_text, small_length_text
from fieldlog.calc.calculations.species import Looked

VALID = (6, 14)
"""Moisture contents, percent, that the coefficients are for (Wood Handbook, table 13-5)."""
SATURATED = 30
"""Percent, about: above it the cells' walls are full and wood no longer moves."""


def movement(width: int, coefficient: Fraction, points: Fraction) -> Fraction:
    """Change of a width (nm) over so many points of moisture content; exact, may be negative.

    dD = D C (Mf - Mi). Source: Wood Handbook, USDA FPL-GTR-190, ch. 13.
    """
    return width * coefficient * points


def cup(width: int, thickness: int, coefficient: Fraction, points: Fraction) -> Fraction:
    """Depth (nm) to which a free board cups while one face is so many points ahead; exact.

    A strain that goes evenly from face to face, C x points in all, bends a board to the
    curvature C x points / thickness; over a width w the hollow is w^2/8 of that. Geometry; an
    upper bound, since a fastened or thick board resists.
    """
    return Fraction(width * width, 8 * thickness) * coefficient * abs(points)


def _compute(given: Given) -> Answer:
    coefficient, where = _coefficient(given)
    width, points = given["width"], given["to"] - given["from"]
    change = movement(width, coefficient, points)
    results = [
        Result("change", "The width changes by", Length(change, shown="small")),
        Result("width_after", "Width after", Length(width + change)),
        Result(
            "each_edge",
            "Each edge moves, held at the middle",
            Length(abs(change) / 2, shown="small"),
        ),
        Result("gap", "Gap to leave in all", Length(max(change, Fraction(0)), shown="room")),
        Result("coefficient", "Coefficient", Number(coefficient, "a point", 5)),
        Result("says", "In words", Words(_says(change, given.system))),
    ]
    steps = [
        f"{length_text(width, given.system)} x {decimal_or_fraction(coefficient)} x "
        f"({decimal_or_fraction(given['to'])} - {decimal_or_fraction(given['from'])}) = "
        f"{small_length_text(change, given.system)}.",
    ]
    if given["thickness"]:
        hollow = cup(width, given["thickness"], coefficient, points)
        results.append(Result("cup", "Cups at most, one face ahead", Length(hollow, shown="small")))
        steps.append(
            "Cup: width^2 x coefficient x points / (8 x thickness) = "
            f"{small_length_text(hollow, given.system)}."
        )
    return Answer(tuple(results), tuple(steps), (*_range(given), where, *_cupping(given["grain"])))


def _coefficient(given: Given) -> tuple[Fraction, str]:
    """The change coefficient and where it comes from."""
    typed, species = given["coefficient"], given["species"]
    if (typed is None) == (species is None):
        raise refused("species", "Type a species, or a coefficient; one of them.")
    if typed is not None:
        return typed, "The coefficient was typed: the share of the width for each point."
    found = given.reference.wood.find(species)
    grain: str = given["grain"]
    looked: Looked | None = found.radial if grain == "radial" else found.tangential
    if looked is None:
        why = f"{found.name}: its {grain} coefficient is not in the file. Type a coefficient."
        raise refused("grain", why)
    return looked.value, f"{found.name}, {grain}: {looked.verified}, {looked.seen}."


def _says(change: Fraction, system: str) -> str:
    if not change:
        return "It stays as it is."
    size = small_length_text(abs(change), system)
    if change > 0:
        room = room_text(change, system)
        return f"It grows by {size}: leave at least {room}, half of it on each side."
    return f"It shrinks by {size}: joints open by that much in all."


def _range(given: Given) -> tuple[str, ...]:
    low, high = VALID
    if all(low <= given[end] <= high for end in ("from", "to")):
        return ()
    return (f"Coefficients hold from {low} to {high} %; outside, this is a rough guide.",)


def _cupping(grain: str) -> tuple[str, ...]:
    flat = (
        "Solid stock cups when one face is wetter than the other, and flat-sawn stock also when "
        "both dry alike, since it shrinks more along the rings than across them. Quartersawn "
        "stock, and stock glued up of narrow staves, stays truer (common practice)."
    )
    held = (
        "Glued-up or not, the width still moves: hold it at the middle, and in slotted holes "
        "elsewhere. Finish both faces alike."
    )
    return (flat, held) if grain == "tangential" else (held,)


def _moisture(name: str, label: str) -> Input:
    return Input(name, label, "percent", required=True, low=0, high=SATURATED)


CALCULATIONS = (
    Calculation(
        name="wood-movement",
        title="Wood movement",
        says="How much a board, tread or platform moves between two moisture contents.",
        inputs=(
            Input("width", "Width across the grain", "length", required=True, positive=True),
            Input("species", "Species", "text", "Such as white oak."),
            Input("coefficient", "Coefficient", "number", "In place of a species: 0.00369.",
                  positive=True, high=Fraction(1, 100)),
            Input("grain", "Grain", "choice", "Tangential is flat-sawn, radial quartersawn.",
                  default="tangential", choices=("tangential", "radial")),
            _moisture("from", "Moisture now"),
            _moisture("to", "Moisture to come"),
            Input("thickness", "Thickness", "length", "To reckon cupping.", positive=True),
        ),
        formula="Change = width x coefficient x (moisture to come - moisture now), in points.",
        source="Wood Handbook (USDA FPL-GTR-190) ch. 13, table 13-5",
        caution=(
            "An average of the species: a board may move half as much again. Along the grain "
            "wood hardly moves."
        ),
        compute=_compute,
    ),
)  # fmt: skip
