"""No straightedge reaches through the walls: over an L's notch, or over a column."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc.floors import Kind
from fieldlog.calc.floors_edge import look_under
from fieldlog.calc.floors_noise import gaps_looked_at
from fieldlog.calc.floors_survey import stations_of
from fieldlog.calc.judging import judge
from fieldlog.store.files import load_library

FOOT = 304_800_000
WALLS = {
    "corners": [["0", "0"], ["12 ft", "0"], ["12 ft", "4 ft"], ["8 ft", "4 ft"], ["8 ft", "12 ft"],
                ["4 ft", "12 ft"], ["4 ft", "4 ft"], ["0", "4 ft"]],
    "first": ["1 ft", "1 ft"],
}  # fmt: skip
"""A T: a bar along its foot's sides would have to go through the walls."""
places = st.tuples(st.integers(0, 4), st.integers(0, 6))


def gaps(rows: list[list[int | None]], beyond: set[Any], edge: int, kind: Kind) -> list[Fraction]:
    """Every gap by the definition, of chords that pass over no place beyond the walls."""
    found = []
    sign = 1 if kind == "hollow" else -1
    for r in range(len(rows)):
        for c in range(len(rows[0])):
            for down, right in ((0, 1), (1, 0), (1, 1), (1, -1)):
                line = [(r, c)]
                while True:
                    r1, c1 = r + len(line) * down, c + len(line) * right
                    inside = r1 < len(rows) and 0 <= c1 < len(rows[0])
                    far = len(line) ** 2 * (down * down + right * right) * FOOT**2 > edge**2
                    if not inside or far or (r1, c1) in beyond or (r, c) in beyond:
                        break
                    line.append((r1, c1))
                z = [rows[r1][c1] for r1, c1 in line]
                for at, end in combinations(range(1, len(line)), 2):
                    if None not in (z[0], z[at], z[end]):
                        chord = Fraction(z[0] * (end - at) + z[end] * at, end)  # type: ignore[operator]
                        found.append(sign * (chord - z[at]))  # type: ignore[operator]
    return found


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(st.integers(-9, 9), min_size=7, max_size=7), min_size=5, max_size=5),
       st.sets(places, max_size=6), st.sets(places, max_size=4), st.integers(2, 6))  # fmt: skip
def test_as_by_every_chord_within_the_walls(
    z: list[list[int]], beyond: set[Any], unread: set[Any], reach: int
) -> None:
    rows: list[list[int | None]] = [
        [None if (r, c) in beyond | unread else h for c, h in enumerate(row)]
        for r, row in enumerate(z)
    ]
    if all(h is None for row in rows for h in row):
        return
    stations = stations_of(rows, FOOT, beyond)
    under = look_under(stations, reach * FOOT)
    kinds: tuple[Kind, ...] = ("hollow", "hump")
    for kind in kinds:
        by_definition = gaps(rows, beyond, reach * FOOT, kind)
        assert gaps_looked_at(stations, reach * FOOT) == len(by_definition)
        worst = under.worst(kind)
        assert (worst is None) == (not by_definition)
        if worst is not None:
            assert worst.gap == max(max(by_definition), 0)
            crossed = np.linspace(worst.start, worst.end, 61).round(6).tolist()
            assert not {tuple(p) for p in crossed} & beyond


def test_an_edge_of_a_judged_room_stays_within_its_walls() -> None:
    """A foot 4 ft wide below a head 12 ft wide, bumps on both sides of the head."""
    rows = [["0", "1", "0", "0", "1", "0"]] * 2 + [["x", "x", "-1", "0", "x", "x"]] * 4

    def edge(**more: Any) -> Any:
        levels = {"spacing": "2 ft", "unit": "in", "rows": rows, **more}
        out = judge(load_library(), "floor", ["plank-floor"], {"levels": levels}, "exact")
        return out["grids"]["levels"]["edges"][-1]

    within, anywhere = edge(outline=WALLS), edge()
    for kind in ("hollow", "hump"):
        (r0, c0), (r1, c1) = within[kind]["start"], within[kind]["end"]
        steps = max(abs(r1 - r0), abs(c1 - c0))
        passed = [
            (r0 + (r1 - r0) * n // steps, c0 + (c1 - c0) * n // steps) for n in range(steps + 1)
        ]
        assert all(rows[r][c] != "x" for r, c in passed)
        assert Fraction(within[kind]["gap"]) <= Fraction(anywhere[kind]["gap"])
