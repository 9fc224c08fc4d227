"""The chords that break a limit: for each station and direction the worst one over it.

Plans ask for these (a floor is flat when none is left); everything else needs only the worst.
Only stations over which the limit is broken are looked at, each with every pair of contacts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fieldlog.calc.floors import Kind
from fieldlog.calc.floors_edge import gap_map
from fieldlog.calc.floors_passes import DIRECTIONS, Field, far, field_of
from fieldlog.calc.floors_survey import Ints, Stations


@dataclass(frozen=True, eq=False, slots=True)
class Chords:
    """Chords over stations, one in each place of the arrays (int64).

    `start`, `end`, `at` are stations as row * columns + column; `along` and `run` how many
    spacings from start to `at` and to `end`. With heights z, a hollow is within its limit when
    `z[start] * (run - along) + z[end] * along - z[at] * run <= limit * run`, a hump when the
    same with -z is.
    """

    start: Ints
    end: Ints
    at: Ints
    along: Ints
    run: Ints

    def __len__(self) -> int:
        return len(self.at)

    def gaps(self, z: Ints, kind: Kind) -> Ints:
        """Gap times `run` of each chord on a floor with these heights (flat), nm; exact."""
        made: Ints = z[self.start] * (self.run - self.along) + z[self.end] * self.along
        made -= z[self.at] * self.run
        return made if kind == "hollow" else -made


def chords_over(
    stations: Stations, edge: int, kind: Kind, limit: int, directions: int = 4
) -> Chords:
    """For each station and direction the worst chord that breaks `limit` (nm), if one does."""
    places = np.flatnonzero(gap_map(stations, edge, kind, directions) > limit)
    found = [np.empty((5, 0), dtype=np.int64)]
    if len(places):
        field = field_of(stations, edge)
        z = np.where(field.known, field.z * field.unit, 0)
        z = z if kind == "hollow" else -z
        row, column = np.divmod(places, field.columns)
        for direction in DIRECTIONS[:directions]:
            reach = far(stations, edge, direction)
            at = row * field.width + column
            found.append(_broken(field, z, at, field.step(direction), reach, limit))
    return Chords(*np.concatenate(found, axis=1))


def _broken(field: Field, z: Ints, at: Ints, step: int, reach: int, limit: int) -> Ints:
    """(start, end, at, along, run) of the worst chord over each station where it breaks."""
    worst = np.zeros(len(at))
    along, run = np.zeros(len(at), dtype=np.int64), np.ones(len(at), dtype=np.int64)
    for back in range(1, reach):
        start = at - back * step
        usable = (start >= 0) & field.known[np.maximum(start, 0)]
        for ahead in range(1, reach + 1 - back):
            end = at + ahead * step
            inside = np.minimum(end, len(z) - 1)
            whole = back + ahead
            over = z[start] * ahead + z[inside] * back - (z[at] + limit) * whole
            better = usable & (end < len(z)) & field.known[inside] & (over / whole > worst)
            np.copyto(worst, over / whole, where=better)
            np.copyto(along, back, where=better)
            np.copyto(run, whole, where=better)
    hit = worst > 0
    at, along, run = at[hit], along[hit], run[hit]
    ends = [at - along * step, at + (run - along) * step, at]
    return np.stack([*(_station(field, flat) for flat in ends), along, run])


def _station(field: Field, flat: Ints) -> Ints:
    row, column = np.divmod(flat, field.width)
    return row * field.columns + column
