"""Several set-ups of a level in one room, joined into one survey.

Each set-up has its own plane of light, and a rod reads down from it. Set-ups are joined by the
points read from more than one of them: the planes' heights are those that make the readings of
shared points agree best (least squares, exact), whatever the order of set-ups; what is left at a
shared point is its misfit, which is shown and spread by taking the mean. Or the planes' heights
are known from backsights and foresights (`levelling.level_run`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.floors_survey import Cell, SurveyNotUsable
from fieldlog.calc.uncertainty import ErrorPart

SetUp = Mapping[Cell, int]
"""Rod readings of one set-up, nm, by station."""

_MOST = 50


@dataclass(frozen=True, slots=True)
class Misfit:
    """A shared point: by how much its heights from different set-ups differ, nm."""

    cell: Cell
    set_ups: tuple[int, ...]
    size: Fraction

    def more_than_noise(self, parts: Sequence[ErrorPart]) -> bool:
        """Whether it is more than two readings of the tool differ by: over 2 u of a difference.

        u**2 is twice that of one reading's own error: the plane of light is a new one each time.
        """
        each = sum((p.variance for p in parts if p.scope == "each"), Fraction(0))
        return self.size**2 > 4 * 2 * each


@dataclass(frozen=True, slots=True)
class Joined:
    """One survey of several set-ups: heights by station, nm, above the plane of the first set-up
    (below zero: a rod reads down); `planes` the height of each plane; `misfits` largest first.
    """

    heights: dict[Cell, int]
    planes: tuple[Fraction, ...]
    misfits: tuple[Misfit, ...]


def join(set_ups: Sequence[SetUp]) -> Joined:
    """Set-ups joined by their shared points.

    Raises SurveyNotUsable for none, too many, or one that shares no point with the rest.
    """
    if not set_ups or len(set_ups) > _MOST or not all(set_ups):
        raise SurveyNotUsable(f"Give 1 to {_MOST} set-ups, each with its readings.")
    seen = _seen_from(set_ups)
    _refuse_apart(len(set_ups), seen)
    return on_planes(set_ups, _planes(set_ups, seen))


def on_planes(set_ups: Sequence[SetUp], planes: Sequence[Fraction | int]) -> Joined:
    """Set-ups whose planes of light stand at known heights, nm (backsight and foresight)."""
    if len(planes) != len(set_ups):
        raise SurveyNotUsable("Each set-up needs the height of its plane of light.")
    heights: dict[Cell, int] = {}
    misfits: list[Misfit] = []
    for cell, seers in _seen_from(set_ups).items():
        found = [Fraction(planes[i]) - set_ups[i][cell] for i in seers]
        heights[cell] = round(sum(found, Fraction(0)) / len(found))
        if len(found) > 1:
            misfits.append(Misfit(cell, tuple(seers), max(found) - min(found)))
    misfits.sort(key=lambda misfit: (-misfit.size, misfit.cell))
    return Joined(heights, tuple(Fraction(p) for p in planes), tuple(misfits))


def _seen_from(set_ups: Sequence[SetUp]) -> dict[Cell, list[int]]:
    """The set-ups that each station was read from, stations in order."""
    seen: dict[Cell, list[int]] = {}
    for number, readings in enumerate(set_ups):
        for cell in readings:
            seen.setdefault(cell, []).append(number)
    return dict(sorted(seen.items()))


def _refuse_apart(count: int, seen: Mapping[Cell, Sequence[int]]) -> None:
    reached, again = {0}, True
    while again:
        before = len(reached)
        for seers in seen.values():
            if reached.intersection(seers):
                reached.update(seers)
        again = len(reached) > before
    if len(reached) < count:
        apart = min(set(range(count)) - reached) + 1
        raise SurveyNotUsable(
            f"Set-up {apart} shares no point with the first. Read one point from both."
        )


def _planes(set_ups: Sequence[SetUp], seen: Mapping[Cell, Sequence[int]]) -> list[Fraction]:
    """Heights of the planes, the first one 0: the normal equations of the shared points."""
    count = len(set_ups)
    matrix = [[Fraction(0)] * count for _ in range(count)]
    right = [Fraction(0)] * count
    for cell, seers in seen.items():
        mean = Fraction(sum(set_ups[i][cell] for i in seers), len(seers))
        for i in seers:
            right[i] += set_ups[i][cell] - mean
            matrix[i][i] += 1
            for j in seers:
                matrix[i][j] -= Fraction(1, len(seers))
    # only differences are determined: the first plane is 0
    rest = _solved([row[1:] for row in matrix[1:]], right[1:])
    return [Fraction(0), *rest]


def _solved(matrix: list[list[Fraction]], right: list[Fraction]) -> list[Fraction]:
    """Gaussian elimination, exact. The matrix is positive definite: set-ups are connected."""
    size = len(matrix)
    for k in range(size):
        for row in range(k + 1, size):
            factor = matrix[row][k] / matrix[k][k]
            if factor:
                matrix[row] = [a - factor * b for a, b in zip(matrix[row], matrix[k], strict=True)]
                right[row] -= factor * right[k]
    found: list[Fraction] = [Fraction(0)] * size
    for k in reversed(range(size)):
        known = sum((matrix[k][j] * found[j] for j in range(k + 1, size)), Fraction(0))
        found[k] = (right[k] - known) / matrix[k][k]
    return found
