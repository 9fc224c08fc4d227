"""Rough openings by the kind of door, from the file of practice."""

from __future__ import annotations

from collections.abc import Callable

from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Result,
    Words,
)
from fieldlog.calc.calculations.practice import RoughOpening
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text


def rough_opening(
    kind: RoughOpening, width: int, height: int, floor: int
) -> tuple[tuple[int, int], tuple[int, int]]:
    """Width and height, each least and most, nm; height from the floor that is there now."""
    wide = (kind.leaves * width + kind.width[0], kind.leaves * width + kind.width[1])
    high = (height + floor + kind.height[0], height + floor + kind.height[1])
    return wide, high


def _compute(given: Given) -> Answer:
    kind = _kind(given)
    wide, high = rough_opening(kind, given["width"], given["height"], given["floor"])

    def say(nm: int) -> str:
        return length_text(nm, given.system)

    results = [
        Result("width_least", "Rough width, least", Length(wide[0])),
        Result("width_most", "Rough width, most", Length(wide[1])),
        Result("height_least", "Rough height, least", Length(high[0])),
        Result("height_most", "Rough height, most", Length(high[1])),
    ]
    results += _measured("rough-width", "width_says", "Width", given, wide)
    results += _measured("rough-height", "height_says", "Height", given, high)
    steps = (
        f"{kind.name}: {kind.leaves} x {say(given['width'])} + {_between(kind.width, say)} wide.",
        f"{say(given['height'])} + {_between(kind.height, say)}"
        + (f" + {say(given['floor'])} of floor to come" if given["floor"] else "")
        + " high.",
    )
    return Answer(tuple(results), steps, (f"{kind.name}: {kind.verified}; {kind.seen}.",))


def _kind(given: Given) -> RoughOpening:
    openings = given.reference.practice.openings
    asked = given["door"].lower().replace(" ", "-")
    if asked not in openings:
        known = tuple(openings)
        raise refused("door", f'No kind of door "{given["door"]}": {", ".join(known)}.', known)
    return openings[asked]


def _between(pair: tuple[int, int], say: Callable[[int], str]) -> str:
    low, high = pair
    return say(low) if low == high else f"{say(low)} to {say(high)}"


def _measured(name: str, as_: str, label: str, given: Given, pair: tuple[int, int]) -> list[Result]:
    """An opening as framed, against the least and the most."""
    framed = given[name]
    if framed is None:
        return []
    low, high = pair
    says = "Fits."
    if framed < low:
        says = f"Too small by {length_text(low - framed, given.system)}."
    elif framed > high:
        says = f"Larger than usual by {length_text(framed - high, given.system)}: shim or pack."
    return [Result(as_, label, Words(says))]


def _length(name: str, label: str, how: str = "", required: bool = False) -> Input:
    return Input(name, label, "length", how, required=required, positive=True)


CALCULATIONS = (
    Calculation(
        name="rough-opening",
        title="Rough opening",
        says="The opening to frame for a door leaf, and whether a framed one fits.",
        inputs=(
            Input("door", "Kind of door", "text", "swing, bifold, pocket, double-pocket",
                  default="swing"),
            _length("width", "Width of one leaf", required=True),
            _length("height", "Height of the leaf", required=True),
            Input("floor", "Floor still to come", "length",
                  "Its thickness, where the opening is measured from the subfloor.",
                  default="0", low=0),
            _length("rough-width", "Framed width"),
            _length("rough-height", "Framed height"),
        ),
        formula="width = leaves x leaf + allowance; height = leaf + allowance + floor to come.",
        source="Common practice; each kind of door says where its allowance was seen",
        caution="The door maker's sheet decides, above all for pocket frames and fire doors.",
        compute=_compute,
    ),
)  # fmt: skip
