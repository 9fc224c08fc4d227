"""Even spaces under a limit: the least count, exactly. Balusters, slats, battens, mullions.

n pieces of width w in a length L leave n + 1 gaps of (L - n w) / (n + 1). Under a limit s
that must not be reached, n is the least with L < n w + (n + 1) s; a gap of exactly s fails.

On the rake the pieces stand plumb: between them a ball sees the level distance, which is the
distance along the rake times cos(pitch). So L is L_rake cos(pitch), in most cases irrational.
No comparison is made with a rounded cosine: for a pitch given as rise over run,
L_rake cos(pitch) < b is L_rake^2 run^2 < b^2 (rise^2 + run^2), in whole numbers; for one given
in degrees the cosine is taken as the upper of two bounds 2e-40 apart, so that a gap which
lies within 1e-40 of the limit counts as reaching it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from fieldlog.calc.calculations import decimals
from fieldlog.calc.calculations.numbers import Pitch

MOST_PIECES = 1_000


@dataclass(frozen=True, slots=True)
class Run:
    """A length to be filled, nm: along the rake where it has a pitch, else level."""

    length: int
    pitch: Pitch | None = None

    def under(self, bound: Fraction | int, may_touch: bool = False) -> bool:
        """Whether the level length is less than `bound` (or equal, if it may touch)."""
        if self.pitch is None:
            left, right = Fraction(self.length), Fraction(bound)
        elif self.pitch.degrees is None:
            rise, run = self.pitch.rise, self.pitch.run
            left = Fraction(self.length**2 * run**2)
            right = Fraction(bound) ** 2 * (rise**2 + run**2)
        else:
            left, right = self.length * decimals.cos_bounds(self.pitch.degrees)[1], Fraction(bound)
        return left <= right if may_touch else left < right

    @property
    def level(self) -> Fraction | Decimal:
        """The level length, nm: for showing, where it has a pitch."""
        cosine = self.cosine
        if isinstance(cosine, Decimal):
            return decimals.decimal_of(self.length) * cosine
        return self.length * cosine

    @property
    def cosine(self) -> Fraction | Decimal:
        """Cosine of the pitch; 1 where there is none."""
        if self.pitch is None:
            return Fraction(1)
        if self.pitch.degrees is not None:
            return decimals.cos(decimals.radians(self.pitch.degrees))
        rise, run = self.pitch.rise, self.pitch.run
        return decimals.decimal_of(run) / decimals.root(rise**2 + run**2)


class NoCount(ValueError):
    """No count of pieces keeps every gap under the limit; the message says why."""


def least_count(run: Run, width: int, limit: int, may_touch: bool = False) -> int:
    """The least count of pieces whose even gaps stay under the limit (nm). Raises NoCount."""
    count = max(0, (int(run.level) - limit) // (width + limit) - 1)
    if count > MOST_PIECES:
        raise NoCount(f"More than {MOST_PIECES} pieces would be needed. Check the numbers.")
    while not run.under(count * width + (count + 1) * limit, may_touch):
        count += 1
    if count and run.under(count * width, may_touch=True):
        raise NoCount(f"{count - 1} leave too wide a gap, and {count} do not fit.")
    return count


def gap_of(run: Run, width: int, count: int) -> Fraction | Decimal:
    """The even gap, nm, level; for showing where the run has a pitch."""
    level = run.level
    return (level - count * width) / (count + 1)


def marked(
    gap: Fraction | Decimal, width: Fraction | Decimal | int, count: int, step: int
) -> tuple[int, ...]:
    """Where each piece begins, nm from the start, on the nearest `step` of a tape.

    Marked from one end, so that the rounding does not add up.
    """
    pitch = Fraction(gap) + Fraction(width)
    return tuple(round((n * pitch + Fraction(gap)) / step) * step for n in range(count))


def widest(marks: tuple[int, ...], width: int, length: Fraction) -> Fraction:
    """The widest gap, nm, between pieces that begin at the marks."""
    edges = [Fraction(-width), *(Fraction(m) for m in marks), length]
    return max(b - a - width for a, b in pairwise(edges))
