"""Arcs to lay out: ordinates, template points and segments; and the circle of an arch as built."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from fieldlog.calc.calculations import decimals
from fieldlog.calc.calculations.curves import Arc, Fitted, NoCircle, fit_circle
from fieldlog.calc.calculations.decimals import decimal_of
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
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text, number_text
from fieldlog.calc.calculations.small import small_text

_MOST_STATIONS, _USUAL_STATIONS, _MOST_SEGMENTS = 200, 8, 120


def arc_of(given: Given) -> Arc:
    """The arc of the inputs `chord` and `rise`; more than half a circle is refused."""
    chord, rise = given["chord"], given["rise"]
    if 2 * rise > chord:
        half = length_text(Fraction(chord, 2), given.system)
        why = (
            f"The rise is more than half the chord ({half}): more than half a circle. Measure the "
            "chord at the widest place, and the rise from there."
        )
        raise refused("rise", why)
    return Arc(chord, rise)


def _arc(given: Given) -> Answer:
    arc, system = arc_of(given), given.system
    degrees = decimals.degrees(arc.angle)
    results = [
        Result("radius", "Radius", Length(arc.radius)),
        Result("arc_length", "Along the curve", Length(arc.length)),
        Result("angle", "Angle at the center", Number(degrees, "deg", 2)),
        Result("chord", "Chord", Length(arc.chord)),
        Result("rise", "Rise", Length(arc.rise)),
        Result("ordinates", "Ordinates from the middle", Rows(_ordinates(arc, given))),
        *_segments(arc, given),
    ]
    c, h = length_text(arc.chord, system), length_text(arc.rise, system)
    steps = (
        f"Radius = (({c})^2 / 4 + ({h})^2) / (2 x {h}) = {length_text(arc.radius, system)}.",
        f"Angle = 4 atan(2 x {h} / {c}) = {number_text(degrees, 2)} degrees.",
        f"Along the curve: radius x angle = {length_text(arc.length, system)}.",
        "Ordinate at x from the middle: root(radius^2 - x^2) - (radius - rise).",
    )
    return Answer(tuple(results), steps, _ARC_NOTES, "arch")


_ARC_NOTES = (
    "Mark the ordinates both ways from the middle, spring a batten through them, draw. For a "
    "template strike the radius with a trammel where there is room.",
)


def _ordinates(arc: Arc, given: Given) -> tuple[tuple[Result, ...], ...]:
    """Distance from the middle and height; the same numbers are a template's points."""
    spacing = given["spacing"] or Fraction(arc.chord, _USUAL_STATIONS)
    if Fraction(arc.chord, 2) / spacing > _MOST_STATIONS:
        raise refused("spacing", f"That is more than {_MOST_STATIONS} stations. Space them wider.")
    return tuple(
        (
            Result("from_middle", "At", Length(x)),
            Result("height", "height", Length(arc.height(x))),
        )
        for x in arc.stations(spacing)
    )


def _segments(arc: Arc, given: Given) -> list[Result]:
    """Straight pieces that make the curve: miter, length, and the board for a curved band."""
    count, band = given["segments"], given["band"]
    if count is None:
        if band is not None:
            raise refused("segments", "Type how many pieces the band is made of.")
        return []
    if not 2 <= count <= _MOST_SEGMENTS:
        raise refused("segments", f"2 to {_MOST_SEGMENTS} pieces, not {count}.")
    half = arc.angle / (2 * count)
    sine = decimals.sin(half)
    told = [
        Result("segment_miter", "Miter of each end", Number(decimals.degrees(half), "deg", 2)),
        Result("segment_length", "Each piece, on the curve",
               Length(2 * decimal_of(arc.radius) * sine)),
    ]  # fmt: skip
    if band:
        outer = decimal_of(arc.radius + band)
        wide = outer - decimal_of(arc.radius) * decimals.cos(half)
        told += [
            Result("board_width", "Board for each, at least: width", Length(wide)),
            Result("board_length", "and length", Length(2 * outer * sine)),
        ]
    return told


@dataclass(frozen=True, slots=True)
class _Built:
    """An arch as measured: its points (nm) and the circle fitted to them."""

    points: tuple[tuple[int, int], ...]
    circle: Fitted


def _fitted_circle(given: Given) -> Answer:
    across, up = given["across"], given["up"]
    if len(across) != len(up):
        why = f"{len(across)} distances across and {len(up)} up: each point has both."
        raise refused("up", why)
    points = tuple(zip(across, up, strict=True))
    try:
        built = _Built(points, fit_circle(points))
    except NoCircle as err:
        raise refused("up", str(err)) from err
    return Answer(
        _built_results(built, given.system), _built_steps(built, given.system), (), "arch-built"
    )


def _built_results(built: _Built, system: str) -> tuple[Result, ...]:
    circle = built.circle
    nth = circle.worst
    worst = circle.departures[nth]
    out = "outside" if worst > 0 else "inside"
    says = f"Point {nth + 1} is {small_text(abs(worst), system)} {out} the circle."
    if not worst:
        says = "Every point is on the circle."
    rows = tuple(
        (
            Result("across", f"Point {n} across", Length(p[0])),
            Result("up", "up", Length(p[1])),
            Result("departure", "off the circle", Length(off)),
        )
        for n, (p, off) in enumerate(zip(built.points, circle.departures, strict=True), 1)
    )
    return (
        Result("radius", "Radius", Length(circle.radius)),
        Result("center_across", "Center, across", Length(circle.x)),
        Result("center_up", "Center, up", Length(circle.y)),
        Result("worst", "Worst departure", Length(abs(worst))),
        Result("worst_point", "at point", Number(nth + 1)),
        Result("says", "In words", Words(says)),
        Result("departures", "Departures, outward", Series(tuple(map(Length, circle.departures)))),
        Result("points", "Points", Rows(rows)),
    )


def _built_steps(built: _Built, system: str) -> tuple[str, ...]:
    squares = sum((Decimal(off) ** 2 for off in built.circle.departures), Decimal(0))
    spread = (squares / len(built.points)).sqrt()
    three = " Three points always lie on one circle: measure more to see how true it is."
    return (
        f"{len(built.points)} points, least squares of their distances to the circle."
        + (three if len(built.points) == 3 else ""),
        f"Root of the mean square departure: {small_text(spread, system)}.",
    )


def _length(name: str, label: str, how: str = "", required: bool = True) -> Input:
    return Input(name, label, "length", how, required=required, positive=True)


CHORD = _length("chord", "Chord", "Straight across, spring line to spring line.")
RISE = _length("rise", "Rise", "From the middle of the chord up to the curve.")

CALCULATIONS = (
    Calculation(
        name="arc",
        title="Arch or arc",
        says="Radius, length, ordinates and segments of an arc, from its chord and rise.",
        inputs=(
            CHORD,
            RISE,
            Input("segments", "Straight pieces", "count"),
            _length("spacing", "Ordinates every", "Left out: an eighth of the chord.", False),
            _length("band", "Width of a curved band", "Casing cut of straight boards.", False),
        ),
        formula="r = (c^2/4 + h^2) / (2h); length = 4 r atan(2h/c); miter = angle / (2 n).",
        source="Geometry; a published arc reproduced in the tests",
        caution="Measure chord and rise on the work: an arch is seldom the circle it was drawn as.",
        compute=_arc,
    ),
    Calculation(
        name="fitted-circle",
        title="Circle through an arch as built",
        says="The circle that fits measured points best, and how far each is off it.",
        inputs=(
            Input("across", "Distances across", "lengths", "From one plumb line.", required=True),
            Input("up", "Heights at them", "lengths", "From one level line.", required=True),
        ),
        formula="Least sum of squares of the points' distances to the circle.",
        source="Gauss and Newton's method of least squares",
        caution="A glass panel meets the points, not the circle: template it after the finish.",
        compute=_fitted_circle,
    ),
)
