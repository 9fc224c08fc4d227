"""Drawings of calculations: nothing overlaps or leaves the sheet, and the twin says the same."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import boxes, fits, overlaps, words

from fieldlog.drawings.calc_drawn import TRIM
from fieldlog.drawings.sums import draw_sum
from tests.asked import ask

ASKED: list[tuple[str, str, dict[str, Any], str]] = [
    ("arc", "us", {"chord": 36, "rise": 6, "spacing": 4, "segments": 5}, "Radius 30 in"),
    ("arc", "us", {"chord": 60, "rise": 30}, "Radius 30 in"),
    ("arc", "us", {"chord": 60, "rise": "1/64", "spacing": "1/2"}, "Heights over the chord"),
    ("fitted-circle", "us", {"across": "0,18,36,9", "up": "0,6,0,5"}, "Point 4"),
    ("fitted-circle", "metric", {"across": "0,500,1000", "up": "0,1,0"}, "on the circle"),
    ("tile-on-arch", "us",
     {"chord": 36, "rise": 18, "width": 1, "depth": "3/8", "joint": "1/16", "place": "lining",
      "bed": "1/4", "oversail": "1 7/8"}, "past the tile"),
    ("tile-on-arch", "us", {"chord": 36, "rise": 6, "width": 2, "depth": 40, "joint": "1/16"},
     "18 tiles"),
    ("stock-list", "us", {"pieces": "36,24 1/2,60", "counts": "12,10,8", "stock": "96,144,192"},
     "left over"),
    ("stock-list", "metric", {"pieces": "20,2400", "counts": "40,2", "stock": "2400"}, "Proven"),
    ("rip-casing", "us", {"spaces": "2 3/8, 3 1/2", "casing": "3 1/2", "profile": "3/4"},
     "1 5/8 in of flat stays"),
    ("rip-casing", "us", {"spaces": "40", "casing": "3 1/2"}, "nothing to rip"),
    ("crown", "us", {"spring": 38, "corner": 91}, "set the miter"),
    ("crown", "us", {"spring": 89, "corner": 1}, "set the miter"),
]  # fmt: skip


@pytest.mark.parametrize("narrow", [False, True], ids=["wide", "narrow"])
@pytest.mark.parametrize(("name", "system", "inputs", "says"), ASKED)
def test_drawings_are_legible(
    name: str, system: str, inputs: dict[str, Any], says: str, narrow: bool
) -> None:
    told = ask(name, system, **inputs)
    svg = draw_sum(told, narrow)
    fits(svg)
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    twin = root.find("{http://www.w3.org/2000/svg}desc")
    assert twin is not None
    assert says in (twin.text or "")
    assert "style" not in svg
    assert "class=" not in svg
    assert "nan" not in svg
    assert "inf" not in svg
    assert words(svg)
    assert boxes(svg)
    assert not overlaps(svg)


def test_every_drawing_that_is_asked_for_is_there() -> None:
    asked = {ask(name, system, **inputs)["drawing"] for name, system, inputs, _ in ASKED}
    assert asked == set(TRIM)
