"""The curve of an opening by points: departures at their places, the worst, the text twin."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from drawn import few, fits, words
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.judging import judge
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.drawings import draw
from fieldlog.store.files import load_library

LIBRARY = load_library()
points = st.lists(st.tuples(st.integers(0, 288), st.integers(0, 200)), min_size=1, max_size=12)


def judged(across: list[str], up: list[str]) -> dict[str, Any]:
    said = {"shape": "arched", "across": across, "up": up}
    return judge(LIBRARY, "cased-opening", ["our-standard"], said, "exact")


@few
@given(points, st.booleans())
def test_texts_do_not_collide(rows: list[tuple[int, int]], narrow: bool) -> None:
    across, up = ([str(Fraction(v, 4)) + " in" for v in axis] for axis in zip(*rows, strict=True))
    try:
        out = judged([_typed(a) for a in across], [_typed(u) for u in up])
    except ReadingsRefused:
        return
    svg = draw(out, narrow)
    if svg:
        fits(svg)


def _typed(text: str) -> str:
    whole, rest = divmod(Fraction(text.removesuffix(" in")), 1)
    return f"{whole} {rest} in" if whole and rest else f"{rest or whole} in"


def test_the_worst_point_is_told_and_marked() -> None:
    out = judged(["0", "5", "11", "18", "25", "31", "36"],
                 ["0", "2 31/32", "5 3/16", "6 3/4", "5 3/16", "2 31/32", "0"])  # fmt: skip
    svg = draw(out)
    assert svg.count("<circle") == 7
    assert any(w.startswith("Circle that fits: radius") for w in words(svg))
    assert "Point 4: 18 across, 6 3/4 up, off the circle" in svg


def test_two_points_are_not_drawn() -> None:
    assert draw(judged(["0", "36"], ["0", "0"])) == ""
