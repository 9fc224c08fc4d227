"""Layers still to come: what they make of a rough stair, a guard and a handrail."""

from __future__ import annotations

from typing import Any

import pytest

from fieldlog.calc.bodies import CheckEntry, Layer, Layers
from fieldlog.calc.checking import judge_check
from fieldlog.calc.finished import reopened
from fieldlog.calc.house import House, Room, Story
from fieldlog.calc.judging import judge
from fieldlog.calc.layers import ToCome, finishes_of, rooms_of, to_come
from fieldlog.store.files import load_library

LIBRARY = load_library()
INCH = 25_400_000
HALL = Layers("hall", (Layer("pour", "1 1/2"), Layer("finish", "3/4"), Layer("carpet", "1/2")))
LOFT = Layers("loft", (Layer("finish", "3/4"), Layer("ceiling", "1/2"), Layer("runner", "3/8")))
ROUGH = {"open_riser": "no", "riser": ["7 1/2"] * 10, "tread_finish": "3/4", "headroom": "82"}


def come(floor: str, name: str = "Hall") -> ToCome:
    return to_come(Layers(name.lower(), (Layer("finish", floor),)), name)


def judged(readings: dict[str, Any], sheet: str = "stair", **finishes: ToCome) -> Any:
    return judge(LIBRARY, sheet, ["irc-2021"], readings, "exact", finishes=finishes)


def risers(out: Any) -> list[str]:
    return [v["text"] for v in out["finished"]["quantities"]["riser"]["values"]]


def test_carpet_and_runners_count_as_zero_and_what_is_laid_is_in_the_measurement() -> None:
    assert to_come(HALL, "Hall").floor == 9 * INCH // 4
    assert (to_come(LOFT, "Loft").floor, to_come(LOFT, "Loft").ceiling) == (
        3 * INCH // 4,
        INCH // 2,
    )
    laid = Layers("hall", (Layer("pour", "40", "mm", laid=True), Layer("finish", "19", "mm")))
    assert to_come(laid, "Hall").floor == 19_000_000


def test_rough_risers_that_are_right_come_out_wrong() -> None:
    """Only the first and the last riser change; the others carry the same finish on both treads."""
    out = judged(ROUGH, below=come("2 1/4"), above=come("3/4", "Loft"))
    assert out["counts"]["fail"] == 0, "the rough stair passes"
    assert risers(out) == ["6 in", *["7 1/2 in"] * 9]
    assert out["finished"]["verdict"] == "fail"
    head = out["finished"]["findings"][0]["head"]
    assert head == "Riser difference is 1 1/2 in. Needs 3/8 in or less."


def test_the_same_thickness_everywhere_changes_no_riser() -> None:
    out = judged(ROUGH, below=come("3/4"), above=come("3/4", "Loft"))
    assert risers(out) == ["7 1/2 in"] * 10
    assert not [f for f in out["finished"]["findings"] if f["mark"] == "fail"]


def test_it_says_what_the_ends_will_be_and_what_would_make_them_right() -> None:
    out = judged(ROUGH, below=come("2 1/4"), above=come("0", "Loft"))
    first, right, last, above = out["finished"]["notes"]
    assert first == "Riser 1 will be 6 in when Hall has its floor (2 1/4 in still to come)."
    assert right == "Riser 1 is right with a floor of 1/2 in to 1 1/8 in still to come in Hall."
    assert last == "Riser 10 will be 6 3/4 in when Loft has its floor (0 in still to come)."
    assert above == "Riser 10 is right with a floor of 3/8 in to 1 in still to come in Loft."


def test_it_says_when_no_thickness_is_right() -> None:
    low = {**ROUGH, "riser": ["6", *["7 1/2"] * 9]}
    first, right, *_ = judged(low, below=come("3/4"), above=come("3/4"))["finished"]["notes"]
    assert first.startswith("Riser 1 will be 6 in")
    assert right.startswith("No floor thickness in Hall makes riser 1 right")


def test_no_thickness_is_right_where_the_highest_allowed_is_below_the_lowest() -> None:
    """IRC 2021 R311.7.5.1: 7 3/4 in at most, and all within 3/8 in; risers of 8 1/4 in are
    7 7/8 in or more even beside one that is 3/8 in less: no floor in Hall mends that.
    """
    high = {**ROUGH, "riser": ["8 1/4"] * 4}
    notes = judged(high, below=come("1/2"), above=come("1/4"))["finished"]["notes"]
    assert [n for n in notes if "riser 1 right" in n and n.startswith("No floor thickness")]
    assert not [n for n in notes if "is right with" in n]


@pytest.mark.parametrize("thickness", ["1/2", "15/16", "7/16"])
def test_a_thickness_it_calls_right_passes(thickness: str) -> None:
    """The others are 7 1/2 in: within 3/8 in of them, and no riser above 7 3/4 in."""
    out = judged(ROUGH, below=come("2 1/4"), above=come("3/4", "Loft"))
    right = out["finished"]["notes"][1]
    assert right == "Riser 1 is right with a floor of 1/2 in to 1 1/8 in still to come in Hall."
    again = judged(ROUGH, below=come(thickness), above=come("3/4", "Loft"))
    failed = [f["head"] for f in again["finished"]["findings"] if f["mark"] == "fail"]
    assert bool(failed) == (thickness == "7/16")


def test_a_room_without_layers_leaves_its_end_not_measured() -> None:
    out = judged(ROUGH, below=come("3/4"))
    assert risers(out)[0] == "7 1/2 in"
    assert risers(out)[-1] == ""
    assert out["finished"]["verdict"] == "not_measured"


def test_nothing_is_foretold_where_no_layers_are_known() -> None:
    assert "finished" not in judged(ROUGH)
    assert "finished" not in judged(ROUGH, here=come("2"))


def test_headroom_loses_the_tread_finish_and_the_ceiling() -> None:
    below = ToCome("hall", "Hall", 0, INCH // 2)
    out = judged(ROUGH, below=below, above=come("3/4", "Loft"))
    (headroom,) = out["finished"]["quantities"]["headroom"]["values"]
    assert headroom["text"] == "6 ft 8 3/4 in"


def test_a_guard_is_lower_over_the_finished_floor() -> None:
    readings = {"drop": "9 ft", "height_level": "36 1/2", "height_stair": "35", "tread_finish": "1"}
    out = judged(readings, "guard", here=come("3/4"))
    finished = out["finished"]["quantities"]
    assert finished["height_level"]["values"][0]["text"] == "35 3/4 in"
    assert finished["height_stair"]["values"][0]["text"] == "34 in"
    assert out["finished"]["verdict"] == "fail"


def test_a_handrail_is_lower_over_the_finished_treads() -> None:
    readings = {"height": ["36", "35", "36"], "tread_finish": "1 1/4"}
    out = judged(readings, "handrail", below=come("0"), above=come("2", "Loft"))
    values = out["finished"]["quantities"]["height"]["values"]
    assert [v["text"] for v in values] == ["34 3/4 in", "33 3/4 in", "34 in"]


def house() -> House:
    rooms = (Room("hall", "Hall", "s1"), Room("loft", "Big Loft", "s1"))
    return House(
        name="H", superintendent="P", zone="UTC", stories=(Story("s1", "1st floor"),), rooms=rooms,
        trades=(), books=("irc-2021",), instruments=("tape",),
    )  # fmt: skip


def test_a_stair_names_its_rooms_by_id_or_as_they_are_called() -> None:
    check = CheckEntry(
        "hall", "stair", {"room_below": "hall", "room_above": {"value": " big loft"}}, "tape"
    )
    assert rooms_of(house(), check) == {"here": "hall", "below": "hall", "above": "loft"}
    other = CheckEntry("hall", "stair", {"room_below": "attic"}, "tape")
    assert rooms_of(house(), other) == {"here": "hall"}


def test_a_change_of_layers_reopens_the_question() -> None:
    readings = {**ROUGH, "room_below": "Hall", "room_above": "Big Loft"}
    check = CheckEntry("hall", "stair", readings, "tape")
    known, sheet = {"hall": HALL, "loft": LOFT}, LIBRARY.sheet("stair")
    out = judge_check(LIBRARY, house(), check, known.get)
    same = finishes_of(house(), check, known.get)
    assert reopened(out, sheet, same, LIBRARY.words, "us") == []
    poured = Layers("hall", (Layer("pour", "1 1/2", laid=True), *HALL.layers[1:]))
    now = finishes_of(house(), check, {**known, "hall": poured}.get)
    (said,) = reopened(out, sheet, now, LIBRARY.words, "us")
    assert said.startswith("The floor of Hall was 2 1/4 in still to come when this was measured")
    before = judge_check(LIBRARY, house(), check)
    assert len(reopened(before, sheet, same, LIBRARY.words, "us")) == 2
