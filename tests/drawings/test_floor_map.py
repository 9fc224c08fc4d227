"""The floor's map: signs and numbers in place, contours, the bar beside them, legible in ink."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import boxes, judgement, overlaps, rule, words
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc.floors import Grid, PlaneNotDetermined, high_low, plane, worst_under
from fieldlog.calc.lengths import format_length
from fieldlog.drawings import draw

SIXTEENTH = 1_587_500
FOOT = 304_800_000
Rows = list[list[int | None]]


def floor(
    rows: Rows, *, spacing: int = 2 * FOOT, system: str = "us", verdict: str = "fail"
) -> dict[str, object]:
    """A judgement of a grid (heights in nm) with the worst bars under 10 ft."""
    grid = Grid(tuple(tuple(row) for row in rows), spacing)
    worst: dict[str, object] = {}
    rules = []
    for kind in ("hollow", "hump"):
        found = worst_under(grid, 10 * FOOT, kind)
        worst[kind] = found and found.as_json() | {
            "gap_text": format_length(found.gap, system), "edge_text": "10 ft",
        }  # fmt: skip
        if found:
            judged = rule(f"floor.{kind}", kind, None, verdict, "<=", "3/16", name=kind.title())
            judged["value"] = {"text": format_length(found.gap, system), "nm": str(found.gap)}
            rules.append(judged)
    ends = high_low(grid)
    try:
        fitted = plane(grid).as_json() | {"slope_text": "1/8 in in 10 ft"}
    except PlaneNotDetermined:
        fitted = None
    levels = {
        "spacing_nm": str(spacing), "spacing_text": format_length(spacing, system, feet=True),
        "rows": [[None if z is None else str(z) for z in row] for row in rows],
        "blocked": [[False] * len(row) for row in rows], "worst": worst,
        "high": ends and list(ends.high), "low": ends and list(ends.low),
        "range": ends and {"text": format_length(ends.range, system), "nm": str(ends.range)},
        "plane": fitted,
    }  # fmt: skip
    return judgement("floor-grid", {}, rules, {"levels": levels}, system)


def sixteenths(*rows: str) -> Rows:
    return [[None if t == "." else int(t) * SIXTEENTH for t in row.split()] for row in rows]


stations = st.one_of(
    st.integers(-9, 9).map(lambda n: n * SIXTEENTH),
    st.integers(-40, 40).map(lambda n: n * SIXTEENTH // 4),
    st.none(),
)


@st.composite
def floors(draw: st.DrawFn) -> dict[str, Any]:
    """What `floor` takes (small, so that a failing example is legible)."""
    columns = draw(st.integers(1, 20))
    row = st.lists(stations, min_size=columns, max_size=columns)
    return {
        "rows": draw(st.lists(row, min_size=1, max_size=10)),
        "spacing": draw(st.sampled_from([FOOT, 2 * FOOT, 600_000_000])),
        "system": draw(st.sampled_from(["us", "metric"])),
        "verdict": draw(st.sampled_from(["fail", "too_close", "pass"])),
    }


@settings(max_examples=100, deadline=None)
@given(floors())
def test_no_text_collides_or_leaves_the_sheet(made: dict[str, Any]) -> None:
    svg = draw(floor(**made))
    assert overlaps(svg) == []
    _, _, width, height = (float(n) for n in ElementTree.fromstring(svg).attrib["viewBox"].split())
    for left, top, right, bottom, said in boxes(svg):
        assert left >= 0, said
        assert top >= 0, said
        assert right <= width + 0.5, said
        assert bottom <= height, said


@settings(max_examples=60, deadline=None)
@given(floors())
def test_no_bar_lies_on_a_number(made: dict[str, Any]) -> None:
    judged: dict[str, Any] = floor(**made)
    svg = draw(judged)
    root = ElementTree.fromstring(svg)
    bars = [e for e in root.iter() if e.get("stroke-width") in ("4", "2") and
            re.fullmatch(r"M[\d.]+,[\d.]+ [\d.]+,[\d.]+", e.get("d", ""))]  # fmt: skip
    found = judged["grids"]["levels"]["worst"].values()
    assert bars or not [one for one in found if one and one["gap"] != "0"]
    for bar in bars:
        x0, y0, x1, y1 = (float(n) for n in re.findall(r"[\d.]+", bar.get("d", "")))
        for left, top, right, bottom, said in boxes(svg):
            if re.fullmatch(r"[+−]?[\d.]+", said):
                on = x0 < right - 1 and left + 1 < x1 + 0.1 and y0 < bottom and top + 1 < y1 + 0.1
                assert not on, said


def test_signs_and_numbers_are_as_measured() -> None:
    said = words(draw(floor(sixteenths("0 1 -2", "5 0 -3", "0 . 0"))))
    assert {"+1", "−2", "+5", "−3", "0"} <= set(said)
    assert any(s.startswith("Sixteenths of an inch as measured") for s in said)
    assert any("not measured" in s for s in said)


def test_a_part_of_a_sixteenth_is_kept() -> None:
    said = words(draw(floor([[0, SIXTEENTH * 5 // 2, 0], [0, 0, -SIXTEENTH // 4]])))
    assert {"+2.5", "−0.25"} <= set(said)


def test_millimeters_where_the_house_is_metric() -> None:
    said = words(draw(floor([[0, 3_000_000, 0], [0, 0, -1_500_000]], system="metric")))
    assert {"+3", "−1.5"} <= set(said)
    assert any(s.startswith("Millimeters as measured") for s in said)


def test_a_tilt_that_would_hide_the_shape_is_taken_out_and_said() -> None:
    rows = [[12 * c * SIXTEENTH for c in range(6)] for _ in range(5)]
    rows[2][3] += 6 * SIXTEENTH
    said = words(draw(floor([list(r) for r in rows])))
    assert any("best plane" in s for s in said)
    assert "+36" not in said


def test_a_flat_tilted_floor_keeps_its_numbers() -> None:
    said = words(draw(floor([[12 * c * SIXTEENTH for c in range(6)] for _ in range(5)])))
    assert "+36" in said
    assert "No hollow under 10 ft." in " ".join(said)


def test_the_failing_bar_is_named_placed_and_marked() -> None:
    svg = draw(floor(sixteenths("0 0 0 0 0", "0 1 6 1 0", "0 0 0 0 0")))
    said = words(svg)
    assert "hump" in said
    assert "Hump 3/8 in, over 3/16 in" in said
    assert "row 2, 1 to 5, at 3" in " ".join(said)
    assert "#9c1c14" in svg


def test_high_ground_has_whole_contours_and_low_ground_dashed_ones() -> None:
    low, high = (
        draw(floor(sixteenths(f"0 {n} {n} 0", "0 0 0 0"), verdict="pass")) for n in (-9, 9)
    )
    assert "#d9b884" in high
    assert "#d9b884" not in low
    assert 'stroke-dasharray="5 3"' in low
    assert 'stroke-dasharray="5 3"' not in high
    assert any("/" in s and s.startswith("+") for s in words(high))
    assert any("/" in s and s.startswith("−") for s in words(low))


def test_a_contour_names_its_height_and_never_zero() -> None:
    said = words(draw(floor(sixteenths("0 4 8", "0 4 8", "0 4 8"))))
    assert {"+1/8", "+1/4", "+3/8"} <= set(said)
    assert "Contours every 1/8 in: whole lines above zero" in " ".join(said)


def test_a_diagonal_bar_is_placed_in_words_and_lies_between_the_diagonals() -> None:
    made = floor(sixteenths("0 0 0 0", "0 4 0 0", "0 0 0 0", "0 0 0 0"))
    grid: Any = made["grids"]
    grid["levels"]["worst"]["hump"] |= {"start": [0, 0], "end": [3, 3], "at": [1, 1]}
    svg = draw(made)
    assert "row 1, column 1 to row 4, column 4, at row 2, column 2" in " ".join(words(svg))
    assert "hump" in words(svg)
    assert overlaps(svg) == []


def test_the_room_has_its_own_walls_and_cut_outs() -> None:
    made = floor(sixteenths("0 1 0 2", "0 . . 2", "0 1 3 0"))
    grid: Any = made["grids"]
    grid["levels"]["blocked"][1][1] = grid["levels"]["blocked"][1][2] = True
    low, high = -FOOT, 7 * FOOT
    grid["levels"]["rings"] = [
        [[str(x), str(y)] for x, y in ((low, low), (high, low), (high, 5 * FOOT), (low, 5 * FOOT))],
        [[str(x), str(y)] for x, y in ((FOOT, FOOT), (5 * FOOT, FOOT), (5 * FOOT, 3 * FOOT),
                                       (FOOT, 3 * FOOT))],
    ]  # fmt: skip
    svg = draw(made)
    assert svg.count('stroke-width="2.5"') == 1
    assert overlaps(svg) == []


def test_straightedge_readings_alone_have_no_drawing() -> None:
    assert draw(judgement("floor-grid", {}, [])) == ""


@pytest.mark.parametrize("rows", [("0",), (".",), (". .", ". ."), ("0 1",), ("0", "3", "0")])
def test_small_and_unread_grids_are_drawn(rows: tuple[str, ...]) -> None:
    svg = draw(floor(sixteenths(*rows)))
    assert overlaps(svg) == []
    ElementTree.fromstring(svg)


def test_a_metric_edge_is_said_in_meters_also_in_feet_s_land() -> None:
    judged: Any = floor(sixteenths("0 0 0 0 0", "0 0 -4 0 0", "0 0 0 0 0"))
    hollow = judged["grids"]["levels"]["worst"]["hollow"]
    hollow["edge_text"] = "about 9 ft 10 7/64 in"
    edges = [{"edge_text": "about 9 ft 10 7/64 in", "edge_nm": "3000000000"}]
    judged["grids"]["levels"]["edges"] = edges
    assert "under 3 m, " in " ".join(words(draw(judged)))


def test_an_edge_is_that_of_the_limit_that_its_gap_breaks() -> None:
    judged: Any = floor(sixteenths("0 0 0 0 0", "0 0 -4 0 0", "0 0 0 0 0"))
    long, short = (dict(judged["rules"][0]) for _ in range(2))
    long |= {"name": "Hollow under a 10 ft edge", "verdict": "pass"}
    short |= {"name": "Hollow under a 6 ft edge", "rule": "floor.hollow-6ft"}
    judged["rules"] = [long, short]
    assert "under 6 ft, " in " ".join(words(draw(judged)))


def test_a_plane_that_falls_by_nothing_is_not_said_to_fall() -> None:
    judged: Any = floor(sixteenths("0 0 1", "0 9 0", "0 0 0"))
    assert "falls 1/8 in in 10 ft" in " ".join(words(draw(judged)))
    judged["grids"]["levels"]["plane"]["slope_text"] = "about 0 in over 10 ft"
    assert "falls" not in " ".join(words(draw(judged)))
