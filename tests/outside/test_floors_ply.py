"""PLY files as the plyfile library writes them, and damaged ones.

Reference: plyfile (a reader and writer of the format, independent of ours).
"""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plyfile import PlyData, PlyElement

from fieldlog.calc.floors_import import PointsRefused, parse_points

MM = 1_000_000
HEADER = (
    b"ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\n"
    b"property float z\nend_header\n"
)


def written(rows: Any, dtype: list[tuple[str, str]], *, text: bool, order: str = "<",
            faces: bool = False) -> bytes:  # fmt: skip
    """A PLY file of those vertices by the reference library."""
    elements = [PlyElement.describe(np.array(rows, dtype=dtype), "vertex")]
    if faces:
        face = np.array([([0, 1, 2],)], dtype=[("vertex_indices", "i4", (3,))])
        elements.append(PlyElement.describe(face, "face"))
    stream = io.BytesIO()
    PlyData(elements, text=text, byte_order=order).write(stream)
    return stream.getvalue()


PLAIN = [("x", "f8"), ("y", "f8"), ("z", "f8")]
COLORED = [("red", "u1"), ("y", "f4"), ("x", "f4"), ("n", "i2"), ("z", "f8")]


@pytest.mark.parametrize(("text", "order"), [(True, "<"), (False, "<"), (False, ">")])
@pytest.mark.parametrize("faces", [False, True])
def test_each_form_is_read(text: bool, order: str, faces: bool) -> None:
    rows = [(0.0, 1.5, 2.25), (-3.0, 4.0, 0.125), (1, 2, 3)]
    data = written(rows, PLAIN, text=text, order=order, faces=faces)
    found = parse_points(data, "scan.ply", "mm").points
    assert found.tolist() == [[int(v * MM) for v in row] for row in rows]


@pytest.mark.parametrize(("text", "order"), [(True, "<"), (False, "<"), (False, ">")])
def test_properties_in_any_order_beside_others(text: bool, order: str) -> None:
    data = written([(255, 1.5, 0.5, -7, 2.25)], COLORED, text=text, order=order)
    assert parse_points(data, "scan.ply", "mm").points.tolist() == [
        [MM // 2, 3 * MM // 2, 9 * MM // 4]
    ]


@given(
    st.lists(st.tuples(*[st.floats(-1e5, 1e5)] * 3), min_size=1, max_size=20), st.booleans(),
    st.sampled_from("<>"),
)  # fmt: skip
def test_any_points_come_back_to_the_nanometer(
    rows: list[tuple[float, float, float]], text: bool, order: str
) -> None:
    found = parse_points(written(rows, PLAIN, text=text, order=order), "a.ply", "mm").points
    assert np.abs(found - np.rint(np.array(rows) * MM)).max() <= 1


DAMAGED = [
    ("cut off in the header", HEADER[:40], "no whole header"),
    ("says more than it holds", HEADER + b"0 0 0\n", "says 2 points and the file holds 1"),
    ("says less than it holds", HEADER + b"0 0 0\n1 1 1\n2 2 2\n", "says 2 points .* holds 3"),
    ("a count that is no number", HEADER.replace(b"vertex 2", b"vertex two"), "how many"),
    ("a count below zero", HEADER.replace(b"vertex 2", b"vertex -2"), "how many"),
    ("no count", HEADER.replace(b"vertex 2", b"vertex 0"), "no points"),
    ("no format", HEADER.replace(b"format ascii 1.0\n", b""), "does not say a format"),
    ("an odd format", HEADER.replace(b"ascii", b"morse"), "does not say a format"),
    ("no z", HEADER.replace(b"float z", b"float w"), "no vertex with x, y and z"),
    ("z twice", HEADER.replace(b"float y", b"float z"), "twice"),
    ("an odd type", HEADER.replace(b"float z", b"quad z"), "not understood"),
    ("a property of nothing", HEADER.replace(b"element vertex 2\n", b""), "no element"),
    ("lists", HEADER.replace(b"float x", b"list uchar int x\nproperty float x"), "lists"),
    ("a bad row", HEADER + b"0 0 0\n1 x 1\n", 'line 9: "x" is no number'),
    ("a billion of them", HEADER.replace(b"vertex 2", b"vertex 999999999999999") + b"0 0 0\n",
     "says 999999999999999 points and the file holds 1"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "says"), [row[1:] for row in DAMAGED],
                         ids=[row[0] for row in DAMAGED])  # fmt: skip
def test_a_damaged_file_is_said_so(data: bytes, says: str) -> None:
    with pytest.raises(PointsRefused, match=says):
        parse_points(data, "scan.ply", "mm")


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_binary_file_cut_off_or_too_long_is_said_so(order: str) -> None:
    data = written([(0, 0, 0), (1, 1, 1)], PLAIN, text=False, order=order)
    with pytest.raises(PointsRefused, match="says 2 points and the file holds 1"):
        parse_points(data[:-1], "scan.ply")
    with pytest.raises(PointsRefused, match="says 2 points and the file holds 3"):
        parse_points(data + bytes(24), "scan.ply")
    huge = data.replace(b"vertex 2", b"vertex 999999999999999")
    with pytest.raises(PointsRefused, match="holds 2"):
        parse_points(huge, "scan.ply")


def test_a_binary_point_that_is_no_number_is_named() -> None:
    data = written([(0, 0, 0), (1, float("nan"), 1), (1, 1, 1e308)], PLAIN, text=False)
    with pytest.raises(PointsRefused, match="line 2: has no number in it; line 3: is more than"):
        parse_points(data, "scan.ply")
    found = parse_points(data, "scan.ply", skip_bad_rows=True)
    assert (len(found.points), found.skipped) == (1, 2)
