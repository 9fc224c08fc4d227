"""Standard uncertainty of a number from the error parts of the tools that read it. Exact.

A part is `{half_width, distribution, scope}`. Its variance after JCGM 100:2008: rectangular
a**2/3 (4.3.7), triangular a**2/6 (4.3.9), normal with the half width as two standard
deviations a**2/4 (4.3.4). A part of scope `each` is one error source a reading; a part of
scope `shared` is one source for an instrument in a check, so it cancels in differences.
Where a shared part grows with the length that is read, it is one source still, of a half width
by each reading's length: it cancels in a difference of like lengths, and leaves in one of unlike
lengths what the longer has more.
u**2 = sum over sources of (sensitivity**2 * variance), JCGM 100 eq. (10), no correlation left.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from fieldlog.calc.values import ReadingKey

_DIVISOR = {"rectangular": 3, "triangular": 6, "normal": 4}
DISTRIBUTIONS = tuple(_DIVISOR)
SCOPES = ("each", "shared")


@dataclass(frozen=True, slots=True)
class ErrorPart:
    """One source of error: half width in the tool's base unit (nm for a length; `units.py`),
    its distribution, `each` or `shared`, source.

    `longer` are the half widths of longer readings, by the length (nm) above which each holds,
    the shortest first.
    """

    name: str
    half_width: Fraction
    distribution: str
    scope: str
    source: str
    longer: tuple[tuple[int, Fraction], ...] = ()

    @property
    def variance(self) -> Fraction:
        """Variance in the square of the base unit, exact; of a short reading."""
        return self.half_width**2 / _DIVISOR[self.distribution]


ToolOf = Callable[[ReadingKey], str]


@dataclass(frozen=True)
class ToolError:
    """A tool's variance, base unit squared: of one reading (`each`), of the tool (`shared`).

    `longer`: how many times the tool's own error is as wide where a reading is above a length.
    """

    each: Fraction
    shared: Fraction
    longer: tuple[tuple[int, Fraction], ...] = ()

    @cached_property
    def alone(self) -> Fraction:
        """Of one reading that nothing is compared with."""
        return self.each + self.shared

    def times(self, length: Fraction) -> Fraction:
        """How many times its width on a short reading the shared error is on this one."""
        wider = [times for over, times in self.longer if length > over]
        return wider[-1] if wider else Fraction(1)


Errors = Mapping[str, ToolError]
Lengths = Mapping[ReadingKey, Fraction]
_SHORT = Fraction(0)


def tool_error(parts: Sequence[ErrorPart]) -> ToolError:
    """The parts of one instrument, added up by scope."""
    sums = dict.fromkeys(SCOPES, Fraction(0))
    for part in parts:
        sums[part.scope] += part.variance
    longer = [(over, w / p.half_width) for p in parts for over, w in p.longer]
    return ToolError(**sums, longer=tuple(longer))


def variance(
    sens: Mapping[ReadingKey, Fraction], tool_of: ToolOf, errors: Errors, lengths: Lengths
) -> Fraction:
    """u**2 of a number with sensitivities `sens`, its readings taken by `tool_of`.

    `lengths` are what was read (nm); a reading that is not in it counts as a short one.
    """
    if len(sens) == 1:  # most places of most lists: one reading as it is
        ((key, c),) = sens.items()
        error = errors[tool_of(key)]
        if not error.longer or error.times(lengths.get(key, _SHORT)) == 1:
            return error.alone if c == 1 else c * c * error.alone
    squares: dict[str, Fraction] = {}
    sums: dict[str, Fraction] = {}
    for key, c in sens.items():
        tool = tool_of(key)
        squares[tool] = squares.get(tool, Fraction(0)) + c * c
        error = errors[tool]
        wide = c * error.times(lengths.get(key, _SHORT)) if error.longer else c
        sums[tool] = sums.get(tool, Fraction(0)) + wide
    u_squared = Fraction(0)
    for tool, square in squares.items():
        error = errors[tool]
        u_squared += square * error.each + sums[tool] ** 2 * error.shared
    return u_squared


def too_close(margin: Fraction, u_squared: Fraction) -> bool:
    """Whether the limit lies within the expanded uncertainty (k = 2) of the value.

    `margin**2 < 4 u**2`: the decision rule of JCGM 106:2012 8.3 with a guard band of 2u on
    both sides, in exact fractions and without a square root.
    """
    # In whole numbers: Fraction reduces every product, which is most of what it costs.
    n, d = margin.numerator, margin.denominator
    return n * n * u_squared.denominator < 4 * u_squared.numerator * d * d
