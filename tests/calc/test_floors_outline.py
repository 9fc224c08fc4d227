"""Outlines, what is refused of them, and the stations laid in a room."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fieldlog.calc.floors_outline import Outline, cell_area, cells, rectangle
from fieldlog.calc.floors_survey import SurveyNotUsable

FOOT = 304_800_000
INCH = 25_400_000


def feet(*corners: tuple[float, float]) -> tuple[tuple[int, int], ...]:
    return tuple((int(x * FOOT), int(y * FOOT)) for x, y in corners)


L_SHAPE = Outline(feet((0, 0), (14, 0), (14, 8), (8, 8), (8, 18), (0, 18)))


def test_a_room_of_14_by_18_has_63_stations_that_stand_for_all_of_it() -> None:
    layout = cells(rectangle(14 * FOOT, 18 * FOOT), 2 * FOOT, 2 * INCH)
    assert layout.shape == (9, 7)
    assert len(layout.order) == 63
    assert layout.origin == (FOOT, FOOT)
    assert sum(layout.areas) == 14 * 18 * FOOT * FOOT


def test_the_walk_goes_back_and_forth() -> None:
    layout = cells(rectangle(6 * FOOT, 4 * FOOT), 2 * FOOT, INCH)
    assert layout.order == ((0, 0), (0, 1), (0, 2), (1, 2), (1, 1), (1, 0))


def test_what_does_not_divide_is_left_at_both_walls() -> None:
    layout = cells(rectangle(15 * FOOT, 2 * FOOT), 2 * FOOT, 2 * INCH)
    assert layout.shape == (1, 8)
    assert layout.origin[0] == FOOT // 2
    # the outer cells are cut off by the walls: 6 in on one side, 1 ft on the other
    assert layout.areas[0] == Fraction(3, 2) * FOOT * 2 * FOOT


def test_the_rod_keeps_its_radius_off_the_walls() -> None:
    room = rectangle(4 * FOOT, 4 * FOOT)
    assert cells(room, 4 * FOOT, 2 * INCH).shape == (1, 1)  # 0 and 4 ft are in the walls
    assert cells(room, 2 * FOOT, FOOT).shape == (2, 2)
    assert cells(room, 2 * FOOT, FOOT + 1).shape == (1, 1)


def test_an_l_shape_has_no_station_in_its_notch() -> None:
    layout = cells(L_SHAPE, 2 * FOOT, 2 * INCH)
    assert len(layout.order) == 4 * 7 + 5 * 4
    assert all(not (x > 8 * FOOT and y > 8 * FOOT) for x, y in map(layout.xy, layout.order))
    assert sum(layout.areas) == L_SHAPE.area == (14 * 8 + 8 * 10) * FOOT * FOOT


def test_a_column_is_cut_out_of_stations_and_areas() -> None:
    column = feet((6, 8), (8, 8), (8, 10), (6, 10))
    room = Outline(rectangle(14 * FOOT, 18 * FOOT).corners, (column,))
    layout = cells(room, 2 * FOOT, 2 * INCH)
    assert len(layout.order) == 62
    assert sum(layout.areas) == room.area == (14 * 18 - 4) * FOOT * FOOT


def test_a_station_beside_a_column_has_the_part_of_its_cell_that_is_floor() -> None:
    column = feet((5.5, 7), (6.5, 7), (6.5, 8), (5.5, 8))
    room = Outline(rectangle(14 * FOOT, 18 * FOOT).corners, (column,))
    assert cell_area(room, (5 * FOOT, 7 * FOOT), 2 * FOOT) == Fraction(7, 2) * FOOT * FOOT


def test_a_slanted_wall_cuts_a_cell_along_itself() -> None:
    triangle = Outline(feet((0, 0), (4, 0), (0, 4)))
    assert cell_area(triangle, (2 * FOOT, 2 * FOOT), 2 * FOOT) == FOOT * FOOT * 2
    assert cell_area(triangle, (FOOT, 3 * FOOT), 2 * FOOT) == FOOT * FOOT * 2


REFUSED = [
    (feet((0, 0), (4, 4), (4, 0), (0, 4)), "crosses itself"),
    (feet((0, 0), (4, 0), (2, 0)), "crosses itself"),
    (feet((0, 0), (4, 0)), "three corners"),
    (feet((0, 0), (0, 0), (0, 0)), "three corners"),
    (feet((0, 0), (8, 0), (8, 8), (4, 0), (0, 8)), "crosses itself"),
    (((0, 0), (10**13, 0), (0, 1)), "1 km"),
    (tuple((k, k * k) for k in range(300)), "corners"),
]


@pytest.mark.parametrize(("corners", "says"), REFUSED)
def test_an_outline_that_is_none_is_said_so(
    corners: tuple[tuple[int, int], ...], says: str
) -> None:
    with pytest.raises(SurveyNotUsable, match=says):
        Outline(corners)


@pytest.mark.parametrize(
    ("hole", "says"),
    [
        (feet((20, 1), (21, 1), (21, 2)), "outside"),
        (feet((13, 1), (15, 1), (15, 2)), "touches"),
        (feet((0, 0), (2, 0), (2, 2)), "touches"),
    ],
)
def test_a_cut_out_that_leaves_the_room_is_said_so(
    hole: tuple[tuple[int, int], ...], says: str
) -> None:
    with pytest.raises(SurveyNotUsable, match=says):
        Outline(rectangle(14 * FOOT, 18 * FOOT).corners, (hole,))


def test_corners_on_a_straight_wall_and_twice_are_allowed() -> None:
    room = Outline(feet((0, 0), (2, 0), (4, 0), (4, 0), (4, 4), (0, 4), (0, 0)))
    assert room.area == 16 * FOOT * FOOT


def test_no_station_and_too_many_are_said_so() -> None:
    with pytest.raises(SurveyNotUsable, match="No station fits"):
        cells(rectangle(INCH, INCH), 2 * FOOT, 2 * INCH)
    with pytest.raises(SurveyNotUsable, match="wider spacing"):
        cells(rectangle(1000 * FOOT, 1000 * FOOT), INCH, INCH)
    with pytest.raises(SurveyNotUsable, match="more than zero"):
        cells(rectangle(FOOT, FOOT), 0, INCH)


@st.composite
def rooms(draw: st.DrawFn) -> Outline:
    """Rooms with a stepped far wall and perhaps a column: simple polygons, either way round."""
    steps = draw(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 9)), min_size=1, max_size=5))
    corners, x = [(0, 0)], 0
    for width, depth in steps:
        corners += [(x, depth * 100), (x + width * 100, depth * 100)]
        x += width * 100
    corners.append((x, 0))
    ring = tuple(reversed(corners)) if draw(st.booleans()) else tuple(corners)
    least = min(depth for _, depth in steps) * 100
    hole = draw(st.integers(0, 80))
    assume(hole < least - 20)
    holes = (((10, 10), (10 + hole, 10), (10, 10 + hole)),) if hole else ()
    return Outline(ring, holes)


@settings(max_examples=40)
@given(rooms(), st.integers(70, 250))
def test_cells_of_all_lines_of_the_grid_make_the_room(room: Outline, spacing: int) -> None:
    low_x, low_y, high_x, high_y = room.box
    total = sum(
        cell_area(room, (x, y), spacing)
        for x in range(low_x, high_x + spacing, spacing)
        for y in range(low_y, high_y + spacing, spacing)
    )
    many = ((high_x - low_x) // spacing + 2) * ((high_y - low_y) // spacing + 2)
    assert abs(total - room.area) <= many  # each cell is rounded to a whole nm2


@settings(max_examples=40)
@given(rooms(), st.integers(70, 250), st.integers(0, 30))
def test_every_station_is_in_the_room_and_off_its_walls(
    room: Outline, spacing: int, off: int
) -> None:
    try:
        layout = cells(room, spacing, off)
    except SurveyNotUsable:
        return
    assert len(set(layout.order)) == len(layout.order)
    for cell in layout.order:
        x, y = layout.xy(cell)
        assert room.holds((x, y))
        for ring in room.rings:
            for (ax, ay), (bx, by) in zip(ring, (*ring[1:], *ring[:1]), strict=True):
                if ax == bx and min(ay, by) <= y <= max(ay, by):
                    assert abs(x - ax) >= off
                if ay == by and min(ax, bx) <= x <= max(ax, bx):
                    assert abs(y - ay) >= off
