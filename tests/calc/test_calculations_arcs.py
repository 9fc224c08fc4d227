"""Arcs, fitted circles, tile on arches, miters and crown, by other routes than the code's."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import atan2, cos, degrees, hypot, pi, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from fieldlog.calc.calculations.crown import crown_flat, unequal_miters
from fieldlog.calc.calculations.curves import Arc, NoCircle, fit_circle
from fieldlog.calc.calculations.tile_arch import Fan
from tests.asked import INCH, answer, ask, exact, sentence


@given(st.integers(1, 10**9), st.integers(1, 10**9))
def test_the_ends_of_an_arc_are_on_its_chord_and_the_top_at_its_rise(c: int, h: int) -> None:
    assume(2 * h <= c)
    arc = Arc(c, h)
    assert arc.radius**2 == Fraction(c, 2) ** 2 + (arc.radius - h) ** 2
    assert abs(arc.height(Fraction(c, 2))) < Decimal("1e-6")
    assert abs(arc.height(0) - h) < Decimal("1e-6")


def test_a_half_circle() -> None:
    told = answer("arc", chord=60, rise=30)
    assert exact(told["radius"]) == 30
    assert abs(float(exact(told["arc_length"])) - 30 * pi) < 1e-9
    rows = told["ordinates"]["rows"]
    assert rows[0]["height"]["text"] == "30 in"
    assert rows[-1]["height"]["text"] == "0 in"


def test_ordinates_at_a_spacing() -> None:
    rows = answer("arc", chord=36, rise=6, spacing=4)["ordinates"]["rows"]
    at = [exact(row["from_middle"]) for row in rows]
    assert at == [0, 4, 8, 12, 16, 18]
    for x, row in zip(at, rows, strict=True):
        assert abs(float(exact(row["height"])) - ((30**2 - float(x) ** 2) ** 0.5 - 24)) < 1e-9


def test_segments_close_the_arc() -> None:
    told = answer("arc", chord=36, rise=6, segments=5, band="3 1/2")
    turn = radians(float(exact(told["segment_miter"])) * 2)
    assert abs(5 * turn - radians(float(exact(told["angle"])))) < 1e-9
    assert abs(float(exact(told["segment_length"])) - 2 * 30 * sin(turn / 2)) < 1e-9
    # A board that holds the band: its inner corners are at 30 cos(turn / 2).
    assert abs(float(exact(told["board_width"])) - (33.5 - 30 * cos(turn / 2))) < 1e-9
    assert abs(float(exact(told["board_length"])) - 2 * 33.5 * sin(turn / 2)) < 1e-9


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"chord": 36, "rise": 19}, "rise"),
        ({"chord": 36, "rise": 0}, "rise"),
        ({"chord": 36, "rise": 6, "segments": 1}, "segments"),
        ({"chord": 36, "rise": 6, "band": 3}, "segments"),
        ({"chord": 36, "rise": 6, "spacing": "1/64"}, "spacing"),
    ],
)
def test_arcs_that_are_none(inputs: dict[str, object], field: str) -> None:
    assert sentence("arc", **inputs)[0] == field


spots = st.lists(
    st.tuples(st.floats(-1.2, 1.2), st.integers(-3_000_000, 3_000_000)), min_size=6, max_size=12
)


@given(spots, st.integers(300_000_000, 3_000_000_000))
def test_the_fit_is_scipy_s(found: list[tuple[float, int]], radius: int) -> None:
    angles = sorted({round(a, 2) for a, _ in found})
    assume(len(angles) >= 5 and angles[-1] - angles[0] > 0.8)
    points = [
        (round((radius + n) * sin(a)), round((radius + n) * cos(a)))
        for a, (_, n) in zip(angles, found, strict=False)
    ]
    ours = fit_circle(points)
    mm = np.array(points) / 1e6

    def off(at: np.ndarray) -> np.ndarray:
        away: np.ndarray = np.hypot(mm[:, 0] - at[0], mm[:, 1] - at[1]) - at[2]
        return away

    best = least_squares(off, [0.0, 0.0, radius / 1e6], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert abs(best.x[2] - float(ours.radius) / 1e6) < 1e-3
    assert sum(off(best.x) ** 2) >= sum((n / 1e6) ** 2 for n in ours.departures) - 1e-5


def test_points_of_a_known_circle_and_one_that_is_off() -> None:
    told = answer("fitted-circle", across="0, 18, 36", up="0, 6, 0")
    assert abs(float(exact(told["radius"])) - 30) < 1e-6
    assert told["says"]["text"] == "Every point is on the circle."
    off = answer("fitted-circle", across="0,6,12,18,24,30,36",
                 up="0,3 27/64,5 25/64,6 1/4,5 25/64,3 27/64,0")  # fmt: skip
    assert off["worst_point"]["text"] == "4"
    assert "outside" in off["says"]["text"]


@pytest.mark.parametrize(
    ("across", "up", "why"),
    [
        ("0, 18, 36", "0, 6, 12", "on one line"),
        ("0, 18, 36, 36", "0, 6, 12, 12", "on one line"),
        ("0, 18, 0", "0, 6, 0", "three different"),
        ("0, 18", "0, 6", "three different"),
        ("0, 18, 36", "0, 6", "each point has both"),
        ("0 ft, 50 ft, 100 ft", "0, 1/64, 0", "too near a straight line"),
    ],
)
def test_points_that_make_no_circle(across: str, up: str, why: str) -> None:
    field, said = sentence("fitted-circle", across=across, up=up)
    assert field == "up"
    assert why in said


def test_collinear_points_never_fit() -> None:
    with pytest.raises(NoCircle):
        fit_circle([(0, 0), (10**9, 10**9), (2 * 10**9, 2 * 10**9), (3 * 10**9, 3 * 10**9)])


# --- tile on an arch


@given(st.integers(10, 60), st.integers(5, 40), st.integers(3, 60), st.integers(2, 80))
def test_joints_are_the_gaps_between_corners(r: int, w: int, d: int, count: int) -> None:
    fan = Fan(Decimal(r * 10_000_000), Decimal(1), w * 1_000_000, d * 1_000_000)

    def corner(turn: float, side: int, out: int) -> tuple[float, float]:
        along, away = side * fan.width / 2, float(fan.inner) + out
        return along * cos(turn) + away * sin(turn), away * cos(turn) - along * sin(turn)

    turn = 1 / count
    for out in (0, fan.depth):
        a, b = corner(0, 1, out), corner(turn, -1, out)
        joint = float(fan.joint(count, out))
        assert abs(hypot(a[0] - b[0], a[1] - b[1]) - abs(joint)) < 1e-3
    grown = fan.joint(count, fan.depth) - fan.joint(count)
    assert abs(grown - fan.taper(count)) < Decimal("1e-6")


def test_the_count_closes_the_curve_and_one_more_does_not() -> None:
    told = answer("tile-on-arch", chord=36, rise=6, width=2, depth=6, joint="1/16")
    count = int(told["count"]["text"])
    assert abs(exact(told["turn"]) * count - exact(told["angle"])) < 1e-9
    assert exact(told["joint_inner"]) >= Fraction(1, 16)
    fan = Fan(Decimal(30 * INCH), Arc(36 * INCH, 6 * INCH).angle, 2 * INCH, 6 * INCH)
    assert fan.joint(count + 1) < INCH // 16
    assert ("a tile" if count % 2 else "a joint") in told["crown"]["text"]


def test_the_widest_tile_keeps_the_taper() -> None:
    told = answer("tile-on-arch", chord=36, rise=6, width=2, depth=6, joint="1/16", taper="1/8")
    wide, count = exact(told["widest_tile"]), int(told["widest_count"]["text"])
    width = int(wide * INCH)
    fan = Fan(Decimal(30 * INCH), Arc(36 * INCH, 6 * INCH).angle, width, 6 * INCH)
    assert fan.taper(count) <= INCH // 8
    assert abs(fan.joint(count) - INCH // 16) < 10
    assert fan.taper(count - 1) > INCH // 8


def test_a_joint_that_is_met_exactly_is_kept() -> None:
    # 180 degrees, 4 tiles: their width is chosen so that the joint is zero.
    fan = Fan(Decimal(10**9), Arc(2 * 10**9, 10**9).angle, 0, 10**7)
    assert fan.most(round(fan.joint(4))) in (3, 4)


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"width": "36"}, "width"),
        ({"width": "48"}, "width"),
        ({"width": "30", "place": "lining", "bed": "10"}, "width"),
        ({"width": "1", "oversail": "1"}, "oversail"),
        ({"width": "1/64", "joint": "0"}, "width"),
    ],
)
def test_tiles_that_do_not_go(inputs: dict[str, str], field: str) -> None:
    base = {"chord": "36", "rise": "18", "depth": "3/8", "joint": "1/16"}
    assert sentence("tile-on-arch", **(base | inputs))[0] == field


# --- miters and crown


@given(st.integers(20, 160), st.integers(1, 400), st.integers(1, 400))
def test_unequal_miters_meet_in_one_line(corner: int, one: int, other: int) -> None:
    one, other = one * 10**6, other * 10**6
    found = unequal_miters(Fraction(corner), one, other)
    along = [float(90 - s) for s in found] if found else []
    narrow, wide = sorted((one, other))
    leaves = narrow + wide * cos(radians(corner)) < 1
    assert (found is None) == leaves
    if found:
        assert abs(sum(along) - corner) < 1e-9
        assert abs(one / sin(radians(along[0])) - other / sin(radians(along[1]))) < 1e-6 * other


def test_crown_by_vectors() -> None:
    # The board's plane and the plane that halves the corner, as vectors: the miter is the angle
    # of their cut to a square one in the board, the bevel that of the board's edge to the cut.
    for spring in (30, 38, 45, 52):
        for corner in (60, 89, 90, 91, 120, 150):
            s, half = radians(spring), radians(corner / 2)
            up = np.array([0, sin(s), cos(s)])  # up the board's face, leaving the wall (y out)
            normal = np.cross([1, 0, 0], up)
            cut = np.array([sin(half), -cos(half), 0])  # normal of the plane through the corner
            line = np.cross(normal, cut)
            miter = degrees(atan2(abs(line[0]), abs(line @ up)))
            bevel = 90 - degrees(np.arccos(abs(normal @ cut)))
            ours = crown_flat(Fraction(spring), Fraction(corner))
            assert abs(float(ours.miter) - miter) < 1e-9
            assert abs(float(ours.bevel) - bevel) < 1e-9


@pytest.mark.parametrize("name", ["crown", "miter"])
@pytest.mark.parametrize("corner", ["0", "180", "-10", "400", "270"])
def test_corners_that_are_none(name: str, corner: str) -> None:
    more = {"spring": "38"} if name == "crown" else {}
    field, why = sentence(name, corner=corner, **more)
    assert field == "corner"
    if corner == "270":
        assert "corner of 90?" in why


@pytest.mark.parametrize("spring", ["0", "90", "120"])
def test_spring_angles_that_are_none(spring: str) -> None:
    assert sentence("crown", spring=spring, corner=90)[0] == "spring"


def test_miters_of_unequal_widths() -> None:
    told = ask("miter", corner=90, width="2 3/8", other="3 1/2")
    assert told["answer"]["miter"]["text"] == "55.8 deg"
    assert any("Most saws" in note for note in told["notes"])
    assert sentence("miter", corner=90, other="3")[0] == "width"
    assert sentence("miter", corner=150, width="5", other="1")[0] == "other"
