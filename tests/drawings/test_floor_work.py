"""The plan's map, sections and the room's plan: in place, legible, nothing on another."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import overlaps, words
from hypothesis import given, settings
from hypothesis import strategies as st
from test_floor_map import FOOT, SIXTEENTH, floor, floors, sixteenths

from fieldlog.drawings.floor_section import DIRECTIONS, cut_of, draw_section, worst_cut
from fieldlog.drawings.floor_work import depth_number, draw_work
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.room_plan import draw_room

ROWS = sixteenths("0 0 0 0 0", "0 1 6 1 0", "0 0 0 0 0", "0 0 -4 0 0", "0 0 0 0 0")


def plan(rows: list[list[int]]) -> dict[str, Any]:
    told = [[str(n * SIXTEENTH) for n in row] for row in rows]
    return {"title": "Fill", "rows": told, "steps": ["A: Fill."],
            "patches": [{"name": "A", "at": [3, 2]}]}  # fmt: skip


PLAN = plan([[0, 0, 0, 0, 0], [0, 0, -3, 0, 0], [0] * 5, [0, 1, 3, 1, 0], [0] * 5])


def test_what_is_filled_and_what_is_ground_are_hatched_apart_with_their_depths() -> None:
    svg = draw_work(Judged(floor(ROWS)), PLAN)
    said = words(svg)
    assert {"+3", "+1", "−3", "A"} <= set(said)
    told = " ".join(said)
    assert "Hatched rising, +: fill." in told
    assert "Hatched falling, −: take off." in told
    assert overlaps(svg) == []
    ElementTree.fromstring(svg)


@pytest.mark.parametrize(
    ("nm", "metric", "said"),
    [
        (SIXTEENTH, False, "+1"), (SIXTEENTH + 1, False, "+1"), (SIXTEENTH * 5 // 4, False, "+1½"),
        (-SIXTEENTH * 3, False, "−3"), (1, False, "+½"), (1_000_000, True, "+1"),
        (1_200_000, True, "+1½"),
    ],
)  # fmt: skip
def test_a_depth_is_rounded_up_as_it_is_worked(nm: int, metric: bool, said: str) -> None:
    assert depth_number(nm, metric) == said


@settings(max_examples=60, deadline=None)
@given(floors(), st.sampled_from(DIRECTIONS), st.data())
def test_a_section_along_any_line_is_legible(
    made: dict[str, Any], line: str, data: st.DataObject
) -> None:
    rows = made["rows"]
    through = (
        data.draw(st.integers(0, len(rows) - 1)), data.draw(st.integers(0, len(rows[0]) - 1))
    )  # fmt: skip
    cut = cut_of((len(rows), len(rows[0])), line, through)
    assert through in cut.cells
    svg = draw_section(Judged(floor(**made)), cut)
    ElementTree.fromstring(svg)


def test_the_worst_bar_picks_the_section_and_lies_on_it() -> None:
    judged = Judged(floor(ROWS))
    cut = worst_cut(judged)
    assert cut is not None
    svg = draw_section(judged, cut, PLAN)
    assert "#9c1c14" in svg
    told = " ".join(words(svg))
    assert "Red: the worst straightedge" in told
    assert "Dashed: after the plan." in told


def test_a_room_is_drawn_to_scale_with_the_way_through_it() -> None:
    ring = ((0, 0), (14 * FOOT, 0), (14 * FOOT, 18 * FOOT), (0, 18 * FOOT))
    stations = [(FOOT, FOOT), (3 * FOOT, FOOT), (3 * FOOT, 3 * FOOT)]
    svg = draw_room([ring], stations, "14 ft", "18 ft")
    assert svg.count("<circle") == 3
    assert {"14 ft", "18 ft"} <= set(words(svg))


def test_on_a_phone_it_says_at_which_stations_depths_stand_and_none_leaves_the_room() -> None:
    rows: list[list[int | None]] = [[0] * 24 for _ in range(9)]
    deep = plan([[21 * (c % 2 + 1) for c in range(24)] for _ in range(9)])
    deep["patches"][0]["at"] = [0, 0]
    wide, narrow = (draw_work(Judged(floor(rows)), deep, width) for width in (500.0, 350.0))
    assert "Depths at every third station." in " ".join(words(narrow))
    assert overlaps(wide) == overlaps(narrow) == []
    near = draw_work(Judged(floor(ROWS)), PLAN)
    assert "Depths at every" not in " ".join(words(near))
