"""Narrow tiles around or under an arch: joints at both edges, the count that closes the curve.

A tile is a flat rectangle, its width along the curve, its depth away from the arch's center.
With n tiles over the angle A the turn from tile to tile is f = A / n, and a joint at distance
m (from the center to the middle of that edge of a tile) is 2 (m sin(f/2) - (w/2) cos(f/2)):
the straight gap between corners. It widens outward by 2 d sin(f/2).
Sines and cosines are decimals of 40 figures; a joint counts as kept to a millionth of a nm.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from fieldlog.calc.calculations import decimals
from fieldlog.calc.calculations.arcs import CHORD, RISE, arc_of
from fieldlog.calc.calculations.decimals import decimal_of, root
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Rows,
    Words,
)
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text, number_text
from fieldlog.calc.calculations.small import small_text

_LEAST, _MOST = 2, 2_000
_KEPT = Decimal("1e-6")


@dataclass(frozen=True, slots=True)
class Fan:
    """Tiles on a curve: nm from the arch's center to the middle of a tile's inner edge."""

    inner: Decimal
    angle: Decimal
    width: int
    depth: int

    def joint(self, count: int, outward: int = 0) -> Decimal:
        """The gap between tiles so far outward of their inner edge, nm; below 0 they overlap."""
        half = self.angle / (2 * count)
        return 2 * (self.inner + outward) * decimals.sin(half) - self.width * decimals.cos(half)

    def taper(self, count: int) -> Decimal:
        """How much wider a joint is at the outer edge, nm."""
        return 2 * self.depth * decimals.sin(self.angle / (2 * count))

    def most(self, joint: int) -> int:
        """The most tiles that keep the inner joint at least so wide; 0 where two do not."""
        low, high = 0, _MOST + 1
        while high - low > 1:
            middle = (low + high) // 2
            if middle < _LEAST or self.joint(middle) >= joint - _KEPT:
                low = middle
            else:
                high = middle
        return low if low >= _LEAST else 0

    def widest_for(self, taper: int, joint: int) -> tuple[int, Decimal]:
        """Fewest tiles whose joints widen by `taper` at most, and the width that leaves `joint`."""
        count = _LEAST
        while self.taper(count) > taper + _KEPT:
            count += 1
            if count > _MOST:
                return count, Decimal(0)
        half = self.angle / (2 * count)
        wide = (2 * self.inner * decimals.sin(half) - joint) / decimals.cos(half)
        return count, wide


def oversail_needed(radius: Fraction, bed: int, width: int, thickness: int) -> Decimal | None:
    """How far a casing must oversail a curve's opening to hide tile and bed, nm.

    A flat tile under a curve touches with its two back edges, so its middle stands off by the
    rise of the curve over its width: R - root((R - bed)^2 - (w/2)^2) + thickness. None where
    the tile is too wide to lie under the curve at all. Geometry.
    """
    square = (radius - bed) ** 2 - Fraction(width, 2) ** 2
    if square <= 0 or radius <= bed:
        return None
    return decimal_of(radius + thickness) - root(square)


def _compute(given: Given) -> Answer:
    arc = arc_of(given)
    if given["width"] >= arc.chord:
        width, chord = (length_text(nm, given.system) for nm in (given["width"], arc.chord))
        raise refused("width", f"A tile {width} wide is wider than the arch, {chord}.")
    needed = oversail_needed(arc.radius, given["bed"], given["width"], given["depth"])
    fan = Fan(_inner(given, arc.radius, needed), arc.angle, given["width"], given["depth"])
    count = fan.most(given["joint"])
    if count in (0, _MOST):
        wide = length_text(given["width"], given.system)
        why = "do not go two to" if not count else f"go more than {_MOST} to"
        raise refused("width", f"Tiles {wide} wide {why} this curve. Look at width and joint.")
    results = [*_closed(fan, count), *_widest(fan, given), *_pocket(given, needed)]
    return Answer(tuple(results), _steps(fan, count, given), _notes(given, needed), "tile-fan")


def _inner(given: Given, radius: Fraction, needed: Decimal | None) -> Decimal:
    """Center to the middle of the tiles' inner edge."""
    if given["place"] == "around":
        return decimal_of(radius + given["bed"])
    if needed is None or needed >= radius:
        width = length_text(given["width"], given.system)
        raise refused("width", f"A tile {width} wide does not lie under a curve as tight as this.")
    return decimal_of(radius) - needed


def _closed(fan: Fan, count: int) -> list[Result]:
    """The count that closes the curve, its joints, and one tile fewer: odd or even is a choice."""
    rows = [_row(fan, n) for n in (count, count - 1) if n >= _LEAST]
    middle = "a tile" if count % 2 else "a joint"
    return [
        Result("count", "Tiles", Number(count)),
        Result("joint_inner", "Joint at the inner edge", Length(fan.joint(count))),
        Result("joint_outer", "Joint at the outer edge", Length(fan.joint(count, fan.depth))),
        Result("taper", "Joints widen by", Length(fan.taper(count))),
        Result("turn", "Turn from tile to tile",
               Number(decimals.degrees(fan.angle / count), "deg", 2)),
        Result("radius_inner", "Center to the inner edge", Length(fan.inner)),
        Result("angle", "Angle of the arch", Number(decimals.degrees(fan.angle), "deg", 2)),
        Result("crown", "At the top", Words(f"There is {middle} at the top, half a joint at "
                                            "each end.")),
        Result("choices", "Odd or even", Rows(tuple(rows))),
    ]  # fmt: skip


def _row(fan: Fan, count: int) -> tuple[Result, ...]:
    return (
        Result("count", "Tiles", Number(count)),
        Result("joint_inner", "inner joint", Length(fan.joint(count))),
        Result("joint_outer", "outer joint", Length(fan.joint(count, fan.depth))),
    )


def _widest(fan: Fan, given: Given) -> list[Result]:
    if given["taper"] is None:
        return []
    count, wide = fan.widest_for(given["taper"], given["joint"])
    if wide <= 0:
        raise refused("taper", "No tile keeps its joints so even on this curve.")
    return [
        Result("widest_tile", "Widest tile for that taper", Length(wide)),
        Result("widest_count", "so many of them", Number(count)),
    ]


def _pocket(given: Given, needed: Decimal | None) -> list[Result]:
    """What casings hide that oversail the opening on both faces, and what is left."""
    if given["place"] == "around" or needed is None:
        if given["oversail"] is not None:
            raise refused("oversail", "Casings hide tile that lines the arch: place=lining.")
        return []
    told = [Result("oversail_needed", "Oversail that covers tile and bed", Length(needed))]
    if given["oversail"] is None:
        return told
    left = decimal_of(given["oversail"]) - needed
    says = f"The casings stand {length_text(left, given.system)} past the tile."
    if left < 0:
        says = f"The tile stands {length_text(-left, given.system)} proud of the casings."
    return [
        *told,
        Result("pocket", "Pocket between the casings, deep", Length(given["oversail"])),
        Result("left", "Left in front of the tile", Length(left)),
        Result("pocket_says", "In words", Words(says)),
    ]


def _steps(fan: Fan, count: int, given: Given) -> tuple[str, ...]:
    def say(nm: Decimal | int) -> str:
        return small_text(nm, given.system)

    turn = number_text(decimals.degrees(fan.angle / count), 3)
    return (
        f"Inner edge at {say(fan.inner)} from the center; {count} tiles turn {turn} degrees each.",
        f"Joint = 2 x {say(fan.inner)} x sin({turn}/2) - {say(fan.width)} x cos({turn}/2) "
        f"= {say(fan.joint(count))}.",
        f"Outward it widens by 2 x {say(fan.depth)} x sin({turn}/2) = {say(fan.taper(count))}.",
        f"One tile more would leave {say(fan.joint(count + 1))}.",
    )


def _notes(given: Given, needed: Decimal | None) -> tuple[str, ...]:
    told = ["Dry-lay half of it from the top down: tiles vary, and so does the curve."]
    if given["place"] == "lining" and needed is not None:
        middle = needed - given["bed"] - given["depth"]
        told.append(
            f"A flat tile's middle stands {small_text(middle, given.system)} off this curve: the "
            "narrower the tile, the less."
        )
    return tuple(told)


CALCULATIONS = (
    Calculation(
        name="tile-on-arch",
        title="Tile on an arch",
        says="How many narrow tiles close a curve, their joints at both edges, what casings hide.",
        inputs=(
            CHORD,
            RISE,
            Input("width", "Tile, along the curve", "length", required=True, positive=True),
            Input("depth", "Tile, across the curve", "length",
                  "Its length around an arch, its thickness under one.", required=True,
                  positive=True),
            Input("joint", "Narrowest joint", "length", "At the inner edge.", required=True,
                  low=0),
            Input("place", "Where", "choice", "Around the arch on the wall, or lining it.",
                  default="around", choices=("around", "lining")),
            Input("bed", "Bed", "length", "Thickness of mortar behind.", default="0", low=0),
            Input("taper", "Joints may widen by", "length", "For the widest tile.",
                  positive=True),
            Input("oversail", "Casings oversail the opening by", "length", positive=True),
        ),
        formula=(
            "f = angle / n; joint = 2 m sin(f/2) - w cos(f/2), m from the center to the edge's "
            "middle; n is the most with the inner joint kept."
        ),
        source="Geometry of flat rectangles on a circle",
        caution="Joint widths have limits of their own, by the tile's size and how much it varies.",
        compute=_compute,
    ),
)  # fmt: skip
