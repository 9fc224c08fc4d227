"""Several set-ups of a level in one room, joined into one survey.

Each set-up has its own plane of light, and a rod reads down from it. Set-ups are joined by the
points read from more than one of them: the planes' heights are those that make the readings of
shared points agree best (least squares, exact), whatever the order of set-ups; what is left at a
shared point is its misfit, which is shown and spread by taking the mean. A shared point is a
station, or a mark off the floor: a foresight to it before the laser moved and a backsight after
are the same two readings. Or the planes' heights are known (`levelling.level_run`). How the
set-ups' loops close is told by `floors_closing`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from fieldlog.calc.floors_survey import Cell, SurveyNotUsable
from fieldlog.calc.uncertainty import ErrorPart

Spot = Cell | str
"""A station, or a mark by its name."""

SetUp = Mapping[Spot, int]
"""Rod readings of one set-up, nm, by station or mark."""

_MOST = 50


@dataclass(frozen=True, slots=True)
class Misfit:
    """A shared point: by how much its heights from different set-ups differ, nm."""

    cell: Spot
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
    (below zero: a rod reads down); `planes` the height of each plane; `misfits` largest first;
    `spread` the most that the difference of two planes varies, in variances of one reading;
    `hangs` how each plane hangs on the readings of shared points (set-up, spot).
    """

    heights: dict[Spot, int]
    planes: tuple[Fraction, ...]
    misfits: tuple[Misfit, ...]
    spread: Fraction = Fraction(0)
    hangs: tuple[dict[tuple[int, Spot], Fraction], ...] = ()


def join(set_ups: Sequence[SetUp]) -> Joined:
    """Set-ups joined by their shared points.

    Raises SurveyNotUsable for none, too many, or one that shares no point with the rest.
    """
    if not set_ups or len(set_ups) > _MOST or not all(set_ups):
        raise SurveyNotUsable(f"Give 1 to {_MOST} set-ups, each with its readings.")
    seen = seen_from(set_ups)
    _refuse_apart(len(set_ups), seen)
    matrix, right = _normal_equations(set_ups, seen)
    # only differences are determined: the first plane is 0
    joined = on_planes(set_ups, [Fraction(0), *_solved(matrix, right)])
    inverse = _inverse(matrix)
    return replace(joined, spread=_most_spread(inverse), hangs=_hangs(inverse, seen))


def on_planes(set_ups: Sequence[SetUp], planes: Sequence[Fraction | int]) -> Joined:
    """Set-ups whose planes of light stand at known heights, nm (backsight and foresight)."""
    if len(planes) != len(set_ups):
        raise SurveyNotUsable("Each set-up needs the height of its plane of light.")
    heights: dict[Spot, int] = {}
    misfits: list[Misfit] = []
    for cell, seers in seen_from(set_ups).items():
        found = [Fraction(planes[i]) - set_ups[i][cell] for i in seers]
        heights[cell] = round(sum(found, Fraction(0)) / len(found))
        if len(found) > 1:
            misfits.append(Misfit(cell, tuple(seers), max(found) - min(found)))
    misfits.sort(key=lambda misfit: (-misfit.size, _order(misfit.cell)))
    return Joined(heights, tuple(Fraction(p) for p in planes), tuple(misfits))


def seen_from(set_ups: Sequence[SetUp]) -> dict[Spot, list[int]]:
    """The set-ups that each station and mark was read from: stations in order, then marks."""
    seen: dict[Spot, list[int]] = {}
    for number, readings in enumerate(set_ups):
        for cell in readings:
            seen.setdefault(cell, []).append(number)
    return dict(sorted(seen.items(), key=lambda item: _order(item[0])))


def _order(spot: Spot) -> tuple[bool, str, Cell]:
    return (True, spot, (0, 0)) if isinstance(spot, str) else (False, "", spot)


def _refuse_apart(count: int, seen: Mapping[Spot, Sequence[int]]) -> None:
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


def _normal_equations(
    set_ups: Sequence[SetUp], seen: Mapping[Spot, Sequence[int]]
) -> tuple[list[list[Fraction]], list[Fraction]]:
    """Those of the shared points, for every plane but the first."""
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
    return [row[1:] for row in matrix[1:]], right[1:]


def _inverse(matrix: Sequence[Sequence[Fraction]]) -> list[list[Fraction]]:
    size = len(matrix)
    return [_solved(matrix, [Fraction(int(n == k)) for n in range(size)]) for k in range(size)]


def _most_spread(inverse: Sequence[Sequence[Fraction]]) -> Fraction:
    """The largest variance of a difference of two planes: the inverse of the normal equations
    is their covariance, in variances of one reading (JCGM 102:2011, 6.2)."""
    size = len(inverse)
    to_first = [inverse[i][i] for i in range(size)]
    between = [
        inverse[i][i] + inverse[j][j] - 2 * inverse[i][j] for i in range(size) for j in range(i)
    ]
    return max(to_first + between, default=Fraction(0))


def _hangs(
    inverse: Sequence[Sequence[Fraction]], seen: Mapping[Spot, Sequence[int]]
) -> tuple[dict[tuple[int, Spot], Fraction], ...]:
    """Each plane by the readings of shared points: the normal equations' right sides, solved."""
    found: list[dict[tuple[int, Spot], Fraction]] = [{}]
    for row in inverse:
        plane: dict[tuple[int, Spot], Fraction] = {}
        for spot, seers in seen.items():
            if len(seers) > 1:
                mean = sum((row[i - 1] for i in seers if i), Fraction(0)) / len(seers)
                plane |= {(i, spot): (row[i - 1] if i else Fraction(0)) - mean for i in seers}
        found.append({reading: weight for reading, weight in plane.items() if weight})
    return tuple(found)


def _solved(
    known_matrix: Sequence[Sequence[Fraction]], known: Sequence[Fraction]
) -> list[Fraction]:
    """Gaussian elimination, exact. The matrix is positive definite: set-ups are connected."""
    matrix, right = [list(row) for row in known_matrix], list(known)
    size = len(matrix)
    for k in range(size):
        for row in range(k + 1, size):
            factor = matrix[row][k] / matrix[k][k]
            if factor:
                matrix[row] = [a - factor * b for a, b in zip(matrix[row], matrix[k], strict=True)]
                right[row] -= factor * right[k]
    found: list[Fraction] = [Fraction(0)] * size
    for k in reversed(range(size)):
        rest = sum((matrix[k][j] * found[j] for j in range(k + 1, size)), Fraction(0))
        found[k] = (right[k] - rest) / matrix[k][k]
    return found
