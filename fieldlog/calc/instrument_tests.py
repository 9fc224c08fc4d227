"""Tests of a level on the site: readings and distances as typed, and the tilt they come to.

Two pegs: both are read from the middle between them, then from a place nearer to one. Turned: a
turning laser is read on one mark, then again with its stand turned by 90 and 180 degrees (and
270, where it was). What is worked out is in `levelling`; texts are parsed here, once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.levelling import RunNotUsable, turned, two_peg
from fieldlog.calc.tested import STEEPEST

UNITS = ("in", "ft", "mm", "16ths")
READINGS = {
    "two pegs": ("middle_1", "middle_2", "far_1", "far_2"),
    "turned": ("at_0", "at_90", "at_180", "at_270"),
}
DISTANCES = {"two pegs": ("distance_1", "distance_2"), "turned": ("distance",)}
OPTIONAL = ("at_270",)
FARTHEST = 10**12
"""nm: no site is longer than 1 km."""


class TestNotUsable(ValueError):
    """A test says nothing; the message says why, `name` the input that is at fault."""

    __test__ = False

    def __init__(self, name: str, sentence: str) -> None:
        self.name = name
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a test found: the tilt, rise over run without a sign; whether it looks up, where
    that can be said; what a level line would read (nm: far peg 1 and 2, or the mark)."""

    tilt: Fraction
    up: bool | None
    level: tuple[int, ...]


def outcome_of(how: str, inputs: Mapping[str, str]) -> Outcome:
    """A test's outcome from its inputs as typed. Raises TestNotUsable, naming the input."""
    unit = inputs.get("unit") or "in"
    if unit not in UNITS:
        raise TestNotUsable("unit", "Readings are in inches, decimal feet, mm or sixteenths.")
    known = {*READINGS[how], *DISTANCES[how], "unit", "distance_unit"}
    if set(inputs) - known:
        raise TestNotUsable("unit", f"There is no {', '.join(sorted(set(inputs) - known))} in it.")
    read = {n: _read(inputs, n, unit) for n in READINGS[how] if _asked(inputs, n)}
    far = inputs.get("distance_unit") or "ft"
    if far not in ("ft", "m"):
        raise TestNotUsable("distance_unit", "Distances are in ft or m.")
    away = {n: _away(inputs, n, far) for n in DISTANCES[how]}
    try:
        found = _two_pegs(read, away) if how == "two pegs" else _turned(read, away)
    except RunNotUsable as err:
        raise TestNotUsable(DISTANCES[how][0], err.sentence) from err
    if found.tilt > STEEPEST:
        raise TestNotUsable(
            READINGS[how][0],
            "By these readings it is off by more than an inch in ten feet. Read them again.",
        )
    return found


def _two_pegs(read: Mapping[str, int], away: Mapping[str, int]) -> Outcome:
    first, second = away["distance_1"], away["distance_2"]
    test = two_peg(
        (read["middle_1"], read["middle_2"]), (read["far_1"], read["far_2"]), (first, second)
    )
    tilt = test.tilt
    level = tilt.corrected(read["far_1"], first), tilt.corrected(read["far_2"], second)
    up = tilt.per_length > 0 if tilt.per_length else None
    return Outcome(abs(tilt.per_length), up, level)


def _turned(read: Mapping[str, int], away: Mapping[str, int]) -> Outcome:
    test = turned(read["at_0"], read["at_90"], read["at_180"], away["distance"], read.get("at_270"))
    return Outcome(test.worst.per_length, None, (round(test.level_reading),))


def _asked(inputs: Mapping[str, str], name: str) -> bool:
    return name not in OPTIONAL or bool(inputs.get(name, "").strip())


def _read(inputs: Mapping[str, str], name: str, unit: str) -> int:
    try:
        return parse_length(inputs.get(name, ""), unit)
    except LengthNotUnderstood as err:
        raise TestNotUsable(name, str(err)) from err


def _away(inputs: Mapping[str, str], name: str, unit: str) -> int:
    found = _read(inputs, name, unit)
    if not 0 <= found <= FARTHEST:
        raise TestNotUsable(name, "A distance is more than nothing, and less than half a mile.")
    return found
