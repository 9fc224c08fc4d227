"""Levelling: runs of backsights and foresights, their closing, and tests of the instrument.

A level's line of sight is level; a rod reads *down* from it. So the height of the instrument is
the known elevation plus the backsight, the next elevation is that less the foresight, and the
sum of backsights less the sum of foresights is last less first (open exam text 7.5; US Navy
Engineering Aid manual 14071 fig. 7-4). Lengths are whole nm; what is spread comes out to the
nearest nm; an allowance that grows with a square root is compared by squares. No NumPy in here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from fieldlog.calc.books import VERIFIED
from fieldlog.calc.instruments import length_in
from fieldlog.calc.lengths import NM_PER_FOOT
from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict
from fieldlog.calc.uncertainty import ErrorPart

NM_PER_KM = 10**12
NM_PER_MILE = 5280 * NM_PER_FOOT
_PER = {"loop": 0, "set-up": 1, "kilometer": NM_PER_KM, "mile": NM_PER_MILE}


class RunNotUsable(ValueError):
    """A levelling run or a test of an instrument says nothing. `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class Sight:
    """One set-up: the backsight to the point known so far, the foresight to the next one, nm."""

    back: int
    fore: int


@dataclass(frozen=True, slots=True)
class Leg:
    """One set-up worked out: height of instrument and elevation of the next point, nm."""

    height_of_instrument: int
    elevation: int


@dataclass(frozen=True, slots=True)
class Run:
    """A levelling run, nm: `start` elevation, a leg for each set-up, and the sums that check it."""

    start: int
    legs: tuple[Leg, ...]
    sum_back: int
    sum_fore: int

    @property
    def end(self) -> int:
        """Elevation of the last point."""
        return self.legs[-1].elevation


@dataclass(frozen=True, slots=True)
class Allowance:
    """How far a run may miss: `value` nm for one of `per` (loop, set-up, kilometer, mile)."""

    id: str
    label: str
    per: str
    value: int
    source: str
    verified: str


@dataclass(frozen=True, slots=True)
class Closure:
    """A run that ends at a known elevation.

    `misclosure` is what was found less what is known, nm; `allowed` the most it may be, rounded
    down; `within` compares the squares exactly; `adjusted` the elevations with the misclosure
    spread equally over the set-ups, nm. A run that is not within is measured again, not spread.
    """

    misclosure: int
    allowed: int
    within: bool
    adjusted: tuple[int, ...]


def level_run(start: int, sights: Sequence[Sight]) -> Run:
    """Elevations along a run that starts at `start` nm. Raises RunNotUsable for no set-up."""
    if not sights:
        raise RunNotUsable("A levelling run needs a backsight and a foresight.")
    legs: list[Leg] = []
    elevation = start
    for sight in sights:
        instrument = elevation + sight.back
        elevation = instrument - sight.fore
        legs.append(Leg(instrument, elevation))
    return Run(start, tuple(legs), sum(s.back for s in sights), sum(s.fore for s in sights))


def close_run(run: Run, known: int, allowance: Allowance, distance: int = 0) -> Closure:
    """The run against the known elevation of its last point (a loop's is its own start).

    `distance` is the length of the run in nm, needed where the allowance is per kilometer or
    mile. Spread: each set-up takes an equal part (open-access surveying text, ch. E).
    """
    missed = run.end - known
    unit = _PER[allowance.per]
    count = {"loop": 1, "set-up": len(run.legs)}.get(allowance.per, distance)
    if count <= 0:
        raise RunNotUsable("This allowance grows with distance: how long is the run?")
    per = unit or 1
    square = allowance.value**2 * count
    spread = tuple(
        round(leg.elevation - Fraction(missed * n, len(run.legs)))
        for n, leg in enumerate(run.legs, start=1)
    )
    return Closure(missed, isqrt(square // per), missed**2 * per <= square, spread)


@dataclass(frozen=True, slots=True)
class Tilt:
    """How much a line of sight is off level: `per_length` is rise per length, above zero where
    it looks up, so that the rod is read too high up."""

    per_length: Fraction

    def error_at(self, distance: int) -> int:
        """What a reading at that distance (nm) is too large by, to the nearest nm."""
        return round(self.per_length * distance)

    def corrected(self, reading: int, distance: int) -> int:
        """A reading as it would be with a level line of sight, nm."""
        return reading - self.error_at(distance)

    def part(self, name: str, nearest: int, farthest: int) -> ErrorPart | None:
        """The error part that sights between two distances (nm) have from it; None where none.

        What all sights have in common cancels in a floor's gaps; what differs is at most half
        of the difference between the nearest and the farthest, to both sides.
        """
        half = abs(self.per_length) * (farthest - nearest) / 2
        width = Fraction(-(-half.numerator // half.denominator))
        return ErrorPart(name, width, "rectangular", "each", "own test") if width > 0 else None


@dataclass(frozen=True, slots=True)
class PegTest:
    """A two-peg test: the true difference of the rods, and the tilt of the line of sight."""

    true_difference: int
    observed_difference: int
    tilt: Tilt


def two_peg(middle: tuple[int, int], far: tuple[int, int], distances: tuple[int, int]) -> PegTest:
    """Two pegs read from the middle, then from a place with unequal `distances` to them (nm).

    From the middle both sights err alike, so the difference of the readings (second peg less
    first) is true; from the other place they err by tilt times distance (US Navy Engineering
    Aid manual 14070 fig. 6-3). Raises RunNotUsable for equal distances.
    """
    run = distances[1] - distances[0]
    if run == 0:
        raise RunNotUsable("The second set-up must be nearer to one peg than to the other.")
    true, observed = middle[1] - middle[0], far[1] - far[0]
    return PegTest(true, observed, Tilt(Fraction(observed - true, run)))


@dataclass(frozen=True, slots=True)
class TurnTest:
    """A turning laser on one mark: the true reading, and the tilt along and across, and the
    larger of them without sign."""

    level_reading: Fraction
    along: Tilt
    across: Tilt

    @property
    def worst(self) -> Tilt:
        """The larger tilt, without its sign."""
        return Tilt(max(abs(self.along.per_length), abs(self.across.per_length)))


def turned(
    at_0: int, at_90: int, at_180: int, distance: int, at_270: int | None = None
) -> TurnTest:
    """The same mark read with the laser turned on its stand by 90 and 180 degrees (and 270).

    A plane of light that leans stands as much too high at 0 as too low at 180 degrees: half of
    the difference is the error along, their mean the true reading. At 90 degrees what is off
    that mean (with 270: half of their difference) is the error across. `distance` in nm.
    """
    if distance <= 0:
        raise RunNotUsable("The mark must be some way off the laser: give the distance.")
    level = Fraction(at_0 + at_180, 2)
    along = Fraction(at_0 - at_180, 2 * distance)
    across = at_90 - level if at_270 is None else Fraction(at_90 - at_270, 2)
    return TurnTest(level, Tilt(along), Tilt(Fraction(across) / distance))


class _Allowance(Strict, frozen=True):
    id: str
    label: str
    per: str
    value: str
    source: str
    verified: str


class _File(Strict, frozen=True):
    id: str
    title: str
    allowance: tuple[_Allowance, ...]


def load_allowances(text: str, file: str) -> dict[str, Allowance]:
    """The allowances of a limits file, by id. Raises DataFileError, naming file and line."""
    found: dict[str, Allowance] = {}
    for n, one in enumerate(load_strict(text, file, _File).allowance):
        for key, word, known in (
            ("per", one.per, tuple(_PER)),
            ("verified", one.verified, VERIFIED),
        ):
            if word not in known:
                why = f'{key} is one of {", ".join(known)}, not "{word}"'
                raise DataFileError(file, line_of(text, "allowance", n, key), why)
        if one.id in found or not one.source.strip():
            why = f'"{one.id}" is there twice, or has no source'
            raise DataFileError(file, line_of(text, "allowance", n, "id"), why)
        value = length_in(one.value, text, file, "allowance", n, "value")
        if value <= 0:
            raise DataFileError(file, line_of(text, "allowance", n, "value"), "value is above zero")
        found[one.id] = Allowance(one.id, one.label, one.per, value, one.source, one.verified)
    return found
