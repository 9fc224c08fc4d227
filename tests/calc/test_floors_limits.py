"""A faulty table of limits refuses to load and names its line."""

from __future__ import annotations

import pytest

from fieldlog.calc.floors_limits import load_limit_table
from fieldlog.calc.toml_text import DataFileError

TABLE = """\
id = "t"
title = "T"
document = "D"
edition = ""
source = "S"
verified = "memory"
between = "straight line"
step = "1 mm"
distances = ["1 m", "2 m"]

[[row]]
id = "a"
use = "floors"
limits = ["3 mm", "5 mm"]
"""


def test_a_sound_table_is_a_straight_line_rounded_half_up() -> None:
    table = load_limit_table(TABLE, "t.toml")
    mm = 1_000_000
    at = {1000: 3, 1100: 3, 1249: 3, 1250: 4, 1500: 4, 1749: 4, 1750: 5, 2000: 5, 9000: 5}
    assert {d: table.limit_at("a", d * mm) for d in at} == {d: v * mm for d, v in at.items()}
    assert len(table.sha256) == 64


FAULTS = [
    ('"1 mm"', '"0 mm"', 8, "step"),
    ('"1 mm"', "1.0", 8, "float"),
    ('"1 mm"', '"1"', 8, "unit"),
    ('["1 m", "2 m"]', '["2 m", "1 m"]', 9, "longer"),
    ('["1 m", "2 m"]', '["1 m"]', 9, "two or more"),
    ('"5 mm"]', '"5 mm", "6 mm"]', 14, "one for each distance"),
    ('"5 mm"]', '"-5 mm"]', 14, "above zero"),
    ('"memory"', '"sure"', 6, "verified"),
    ('source = "S"', 'source = ""', 5, "source is empty"),
    ('use = "floors"', 'use = "floors"\ncolor = "red"', 14, "unknown key"),
    ('use = "floors"\n', "", 11, "missing"),
]


@pytest.mark.parametrize(("sound", "faulty", "line", "says"), FAULTS)
def test_a_faulty_table_names_its_line(sound: str, faulty: str, line: int, says: str) -> None:
    with pytest.raises(DataFileError, match=says) as refused:
        load_limit_table(TABLE.replace(sound, faulty), "t.toml")
    assert (refused.value.file, refused.value.line) == ("t.toml", line)


def test_two_rows_of_one_id_are_refused() -> None:
    with pytest.raises(DataFileError, match="id of its own"):
        load_limit_table(TABLE + TABLE[TABLE.index("[[row]]") :], "t.toml")
