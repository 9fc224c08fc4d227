"""The last tests of a level, as a survey that it took carries them.

`[{"entry": id, "day": "2026-11-02", "how": "two pegs", "tilt": "1/38400", "allowed": "1/19200"}]`:
the journal entry that holds the test, its day, which test it was, by how much the line of sight
rises or falls over a length, and how much the tool is allowed. They are entered with the
readings, so that an old verdict stands whatever is tested later.

A *line of sight* that is off level (two pegs) looks too high or too low the farther it looks, all
around: a dish. Under an edge of length L a dish of slope t shows a gap of up to t L / 2. A *plane
of light* that leans (a mark read with the laser turned) leans alike for every reading: it adds
to what is read as slope and as high to low, and nothing to any gap.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from fieldlog.calc.shape import is_day
from fieldlog.calc.uncertainty import ErrorPart

HOWS = ("two pegs", "turned")
_KEYS = {"entry", "day", "how", "tilt", "allowed"}
_RATIO = re.compile(r"[0-9]{1,15}(/[1-9][0-9]{0,18})?")
STEEPEST = Fraction(1, 100)
"""Nobody levels with more: 1 1/4 in over 10 ft is a fall, not an error."""


class TestRefused(ValueError):
    """What is said of a test can't be read; the message says why."""

    __test__ = False


@dataclass(frozen=True, slots=True)
class Tested:
    """A test's outcome: its entry, day and kind, the tilt and what is allowed: rise over run,
    without a sign."""

    entry: str
    day: str
    how: str
    tilt: Fraction
    allowed: Fraction

    @property
    def within(self) -> bool:
        """Whether the tool is as good as it is allowed to be."""
        return self.tilt <= self.allowed

    def part(self, edge: int) -> ErrorPart | None:
        """What each reading under an edge (nm) may be off by from it; None where nothing.

        Half of t L / 2, so that three readings together can make t L / 2 and no more.
        """
        if self.how != "two pegs" or not self.tilt:
            return None
        return ErrorPart("line of sight", self.tilt * edge / 4, "rectangular", "each", "own test")

    def as_json(self) -> dict[str, str]:
        """As it was entered."""
        return {
            "entry": self.entry, "day": self.day, "how": self.how, "tilt": str(self.tilt),
            "allowed": str(self.allowed),
        }  # fmt: skip


def parse_tested(raw: Any) -> tuple[Tested, ...]:
    """Tests as readings carry them, one of a kind at most. Raises TestRefused."""
    if raw in (None, ""):
        return ()
    if not isinstance(raw, list) or len(raw) > len(HOWS):
        raise TestRefused("Tests of a level are a list, one of a kind at most.")
    found = tuple(_one(one) for one in raw)
    if len({one.how for one in found}) < len(found):
        raise TestRefused("Only the last test of a kind counts.")
    return found


def _one(raw: Any) -> Tested:
    if not isinstance(raw, Mapping) or set(raw) != _KEYS:
        raise TestRefused('A test is {"entry", "day", "how", "tilt": "1/38400", "allowed"}.')
    entry, day, how = raw["entry"], raw["day"], raw["how"]
    if how not in HOWS or not isinstance(day, str) or not is_day(day):
        raise TestRefused(f"A test has a day, and is one of {', '.join(HOWS)}.")
    return Tested(str(entry)[:40], day, how, ratio(raw["tilt"]), ratio(raw["allowed"]))


def ratio(raw: Any) -> Fraction:
    """A tilt from its text. Raises TestRefused."""
    if not isinstance(raw, str) or not _RATIO.fullmatch(raw) or Fraction(raw) > STEEPEST:
        raise TestRefused("The tilt that a test found is a small ratio, such as 1/38400.")
    return Fraction(raw)
