"""Files of points: what is understood, what is refused and in which words."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.floors_import import Imported, PointsRefused, parse_points

FOOT, INCH, MM, M = 304_800_000, 25_400_000, 1_000_000, 1_000_000_000


def read(text: str, unit: str = "", name: str = "floor.csv", skip: bool = False) -> Imported:
    return parse_points(text.encode(), name, unit, skip)


def points(text: str, unit: str = "") -> list[list[int]]:
    found: list[list[int]] = read(text, unit).points.tolist()
    return found


INCHES = [[0, 0, INCH // 4], [INCH, 0, INCH // 2]]

UNDERSTOOD = [
    ("plain", "0,0,0.25\n1,0,0.5", ""),
    ("spaces", "0 0 .25\n 1  0  0.5 \n", ""),
    ("tabs", "0\t0\t0.25\n1\t0\t0.5\n", ""),
    ("semicolons", "0;0;0.25\n1;0;0.5", ""),
    ("decimal commas", "0;0;0,25\n1;0;0,5", ""),
    ("decimal commas and blanks", "0 0 0,25\n1 0 0,5", ""),
    ("header", "x,y,z\n0,0,0.25\n1,0,0.5", ""),
    ("header with its unit", "x (in), y (in), z (in)\n0,0,0.25\n1,0,0.5", ""),
    ("header with a unit behind a line", "x_in,y_in,z_in\n0,0,0.25\n1,0,0.5", "in"),
    ("units of their own", "x_in,y_in,z_16ths\n0,0,4\n1,0,8", ""),
    ("columns out of order", "z,x,y\n0.25,0,0\n0.5,1,0", ""),
    ("surveyors' columns", "point,northing,easting,elevation\n1,0,0,0.25\n2,0,1,0.5", ""),
    ("a name first", "id,x,y,z\nA,0,0,0.25\nB,1,0,0.5", ""),
    ("more columns", "0,0,0.25,255,0,0\n1,0,0.5,9,9,9", ""),
    ("a title", "Kitchen\n0,0,0.25\n1,0,0.5", ""),
    ("comments and blank lines", "# a\n\n0,0,0.25\n// b\n  \n1,0,0.5\n\n", ""),
    ("tape fractions", "0,0,1/4\n1,0,1/2", ""),
    ("tape marks", '0",0",1/4"\n1",0",1/2"', "ft"),
    ("quoted", '"x","y","z"\n"0","0","0.25"\n"1","0","0.5"', ""),
    ("signs and powers", "+0,-0,2.5e-1\n1e0,0,+.5", ""),
    ("old line ends", "0,0,0.25\r1,0,0.5\r", ""),
    ("other line ends", "0,0,0.25\r\n1,0,0.5\r\n", ""),
    ("a count first", "2\n0 0 0.25\n1 0 0.5", ""),
    ("byte order mark", "\ufeff0,0,0.25\n1,0,0.5", ""),
]


@pytest.mark.parametrize(("text", "unit"), [row[1:] for row in UNDERSTOOD],
                         ids=[row[0] for row in UNDERSTOOD])  # fmt: skip
def test_understood(text: str, unit: str) -> None:
    assert points(text, unit) == INCHES


def test_the_unit_chosen_holds_for_x_y_and_z_alike() -> None:
    assert points("1,2,0.5", "ft") == [[FOOT, 2 * FOOT, FOOT // 2]]
    assert points("1,2,0.5", "m") == [[M, 2 * M, M // 2]]
    assert read("1,2,0.5", "16ths").unit == "16ths"


def test_two_byte_text_is_read() -> None:
    assert parse_points("0,0,0.25\n1,0,0.5".encode("utf-16"), "a.txt").points.tolist() == INCHES


REFUSED = [
    ("nothing", "", "no points"),
    ("blank lines", "\n \n", "no points"),
    ("header only", "x,y,z\n", "no points"),
    ("two values", "0,0,1\n1,2\n", "line 2: has 2 values"),
    ("one value", "0,0,1\n1\n", "line 2: has 1 value;"),
    ("a word", "0,0,1\n1,2,high\n", 'line 2: "high" is no number'),
    ("a word first", "1,2,high\n0,0,1\n", 'line 1: "high" is no number'),
    ("empty", "0,0,1\n1,,2\n", "line 2: has an empty value"),
    ("not a number", "0,0,1\n1,2,nan\n", "line 2: has no number"),
    ("without end", "0,0,1\n1,2,-inf\n", "line 2: has a number without end"),
    ("too far", "0,0,1\n1,1e308,2\n", "line 2: is more than 1 km"),
    ("too far beside a word", "0,0,1\n1,1e308,2\na,b,c", 'line 2: "1e308" is more than 1 km'),
    ("a fraction no tape has", "0,0,1\n1,1/3,2\n", "line 2: .*1/3"),
    ("a line far down", "0,0,1\n# c\n\n1,2,x\n", "line 4"),
    ("a count that is not so", "5\n0 0 0\n1 1 1\n", "says 5 points and the file holds 2"),
]


@pytest.mark.parametrize(("text", "says"), [row[1:] for row in REFUSED],
                         ids=[row[0] for row in REFUSED])  # fmt: skip
def test_refused_in_a_sentence(text: str, says: str) -> None:
    with pytest.raises(PointsRefused, match=says) as refused:
        read(text)
    assert refused.value.sentence.endswith((".", "?"))


def test_the_first_ten_bad_rows_are_named_and_all_counted() -> None:
    rows = "".join("0,0,1\n" if n % 2 else "0,x,1\n" for n in range(1, 31))
    with pytest.raises(PointsRefused, match="15 rows are no points, so nothing was taken") as err:
        read(rows)
    assert [row.line for row in err.value.bad] == list(range(2, 21, 2))
    assert err.value.count == 15


def test_bad_rows_are_skipped_by_choice_and_counted() -> None:
    found = read("0,0,1\nbad,row,here\n1,0,nan\n1,0,2\n", skip=True)
    assert found.points.tolist() == [[0, 0, INCH], [INCH, 0, 2 * INCH]]
    assert (found.skipped, [row.line for row in found.named]) == (2, [2, 3])


def test_skipping_all_of_them_leaves_nothing() -> None:
    with pytest.raises(PointsRefused, match="no points"):
        read("0,0,nan\n", skip=True)


def test_a_million_bad_rows_are_the_wrong_file_and_said_soon() -> None:
    began = time.perf_counter()
    with pytest.raises(PointsRefused, match="is this the right file") as refused:
        read("1,2,oops\n" * 1_000_000, skip=True)
    assert [row.line for row in refused.value.bad] == list(range(1, 11))
    assert time.perf_counter() - began < 20  # not a hang; how fast is the bench's business


def test_a_header_with_another_unit_than_chosen_is_asked_about() -> None:
    with pytest.raises(PointsRefused, match="says mm, and ft was chosen"):
        read("x (mm),y (mm),z (mm)\n1,2,3\n", "ft")


def test_an_unknown_unit_is_said_so() -> None:
    with pytest.raises(PointsRefused, match='No unit "furlong"'):
        read("1,2,3\n", "furlong")


WRONG_FILES = [
    (b"PK\x03\x04whatever", "scan.ply", "is a zip archive"),
    (b"PK\x03\x04whatever", "scan.csv", "is a zip archive"),
    (b"\x1f\x8b\x08", "scan.xyz", "is a gzip archive"),
    (b"%PDF-1.7", "scan.csv", "is a PDF"),
    (b"\x89PNG\r\n", "scan.csv", "is a picture"),
    (b"LASF\0\0", "scan.las", "is a LAS file"),
    (b"1,2,3\n", "scan.ply", "does not begin with"),
    (b"\0\1\2\3", "scan.csv", "is not text"),
]


@pytest.mark.parametrize(("data", "name", "says"), WRONG_FILES)
def test_a_file_that_is_something_else(data: bytes, name: str, says: str) -> None:
    with pytest.raises(PointsRefused, match=says):
        parse_points(data, name)


# Lengths in nm whose inches are written out in full.
sixty_fourths = st.integers(-64 * 39_000, 64 * 39_000)


@given(st.lists(st.tuples(sixty_fourths, sixty_fourths, sixty_fourths), min_size=1, max_size=20),
       st.sampled_from([",", ";", " ", "\t"]), st.booleans())  # fmt: skip
def test_every_sixty_fourth_survives_the_way_through_a_file(
    rows: list[tuple[int, int, int]], separator: str, slow: bool
) -> None:
    def written(value: int) -> str:
        return format(value / 64, ".6f")

    text = "\n".join(separator.join(written(v) for v in row) for row in rows)
    if slow:  # one row on a tape's terms: all are read row by row
        text += f"\n1/2{separator}0{separator}0"
    found = read(text)
    expected = [[v * 396_875 for v in row] for row in rows]
    assert found.points.tolist()[: len(rows)] == expected


def sentence_or_points(data: bytes, name: str) -> str:
    """What a person sees of a file: the sentence it is refused by, or how many points."""
    try:
        return f"{len(parse_points(data, name).points)} points"
    except PointsRefused as refused:
        return refused.sentence


@given(st.text(max_size=200))
def test_any_text_is_points_or_a_sentence(text: str) -> None:
    assert len(sentence_or_points(text.encode("utf-8", "replace"), "a.csv")) > 5


@given(st.binary(max_size=200), st.sampled_from(["a.ply", "a.csv"]), st.booleans())
def test_any_bytes_are_points_or_a_sentence(data: bytes, name: str, ply: bool) -> None:
    assert len(sentence_or_points((b"ply\n" if ply else b"") + data, name)) > 5
