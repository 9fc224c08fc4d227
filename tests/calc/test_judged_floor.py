"""A floor's judgement: four directions, the noise of a survey, rods, rooms, doubted readings."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from fieldlog.calc.judging import judge
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.store.files import load_library

LIBRARY = load_library()
FOOT = 304_800_000


def judged(rows: list[list[str | None]], tool: str = "laser-rod", **more: Any) -> Any:
    levels = {"spacing": "2 ft", "unit": "16ths", "rows": rows} | more
    return judge(LIBRARY, "floor", ["plank-floor"], {"levels": levels}, tool)


def rule(out: Any, name: str) -> Any:
    return next(r for r in out["rules"] if r["rule"] == name)


def flat(rows: int = 9, columns: int = 7) -> list[list[str | None]]:
    return [["0"] * columns for _ in range(rows)]


def test_a_ridge_along_a_diagonal_is_a_hump_that_rows_alone_understate() -> None:
    rows = flat(5, 5)
    for n in range(5):
        rows[n][4 - n] = "4"
    edge = judged(rows)["grids"]["levels"]["edges"][-1]
    assert edge["edge_text"] == "10 ft"
    assert edge["hump"]["gap_text"] == "1/4 in"
    assert edge["hump"]["direction"] in ("row", "column", "diagonal")
    rows = flat(5, 5)
    rows[1][1] = rows[3][3] = "-4"
    rows[2][2] = "4"
    edge = judged(rows)["grids"]["levels"]["edges"][-1]
    assert edge["hump"]["direction"] == "diagonal"
    assert edge["hump"]["gap_text"] == "1/2 in"


def test_every_edge_of_a_limit_has_its_worst() -> None:
    edges = judged(flat())["grids"]["levels"]["edges"]
    assert [e["edge_text"] for e in edges] == ["6 ft", "10 ft"]
    assert all(e["hollow"]["gap_text"] == "0 in" for e in edges)


def test_a_gap_that_noise_alone_could_show_is_too_close_and_names_what_would_settle_it() -> None:
    rows = flat()
    rows[4][3] = "3.5"  # 1/32 over 3/16: each of hundreds of gaps may be off by up to 1/16
    found = rule(judged(rows), "floor.hump-10ft")
    assert (found["verdict"], found["plain"]) == ("too_close", "fail")
    assert found["settled_by"] == "straightedge"
    rows[4][3] = "6"
    assert rule(judged(rows), "floor.hump-10ft")["verdict"] == "fail"
    assert rule(judged(rows, "exact"), "floor.hump-10ft")["u"]["nm"] == "0"


def test_the_worst_of_many_is_judged_by_the_exact_rule_of_its_u() -> None:
    rows = flat()
    for size in ("1", "2", "3", "4", "5", "6"):
        rows[4][3] = size
        rules = judged(rows)["rules"]
        assert rules
        for found in rules:
            margin, u = (Fraction(found[k]["nm"]) for k in ("margin", "u"))
            # u is told to the nm above, so the rule holds to two nm
            if abs(abs(margin) - 2 * u) > 2:
                assert (found["verdict"] == "too_close") == (margin**2 < 4 * u**2)


def test_a_rod_reads_down() -> None:
    rod = judged([["48", "48", "48"], ["48", "47 3/4", "48"], ["48", "48", "48"]],
                 unit="in", kind="rod")  # fmt: skip
    assert rod["grids"]["levels"]["rows"][1][1] == "6350000"
    assert rule(rod, "floor.hump-6ft")["value"]["text"] == "1/4 in"
    assert rule(rod, "floor.hollow-6ft")["value"]["text"] == "0 in"


def test_a_reading_a_foot_off_is_asked_about_and_still_judged() -> None:
    rows = flat()
    rows[4][3] = "192"
    out = judged(rows)
    assert out["notes"] == ["Check row 5, 4: it is 12 in above what the stations around it say."]
    assert out["grids"]["levels"]["doubts"][0]["at"] == [4, 3]
    assert rule(out, "floor.hump-10ft")["verdict"] == "fail"


def test_walls_are_kept_from_the_first_station() -> None:
    room = {"corners": [["0", "0"], ["14", "0"], ["14", "18"], ["0", "18"]], "first": ["1", "1"]}
    rings = judged(flat(), outline=room)["grids"]["levels"]["rings"]
    assert rings[0][:2] == [[str(-FOOT), str(-FOOT)], [str(13 * FOOT), str(-FOOT)]]


@pytest.mark.parametrize(
    "more",
    [
        {"kind": "stick"},
        {"readings": 0},
        {"readings": "many"},
        {"outline": {"corners": "all"}},
        {"outline": {"corners": [["0"]]}},
        {"outline": {"corners": [["0", "a"]]}},
        {"outline": {"walls": []}},
    ],
)
def test_a_malformed_frame_is_refused(more: dict[str, Any]) -> None:
    with pytest.raises(ReadingsRefused):
        judged(flat(3, 3), **more)
