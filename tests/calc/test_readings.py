"""Readings parsed once: every error at its slot, nothing guessed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.judging import ReadingsRefused, judge
from fieldlog.store.files import load_library

LIBRARY = load_library()


def refused(sheet: str, readings: dict[str, Any], tool: str = "tape") -> ReadingsRefused:
    with pytest.raises(ReadingsRefused) as caught:
        judge(LIBRARY, sheet, ["irc-2021"], readings, tool)
    return caught.value


@pytest.mark.parametrize(
    ("readings", "field", "index", "says"),
    [
        ({"riser": ["7 1/2", "71/2"]}, "riser", 1, "7 1/2"),
        ({"riser": ["7 1/2", "75"]}, "riser", 1, "outside what this can be"),
        ({"riser": [{"value": "7", "instrument": "thumb"}]}, "riser", 0, "no instrument"),
        ({"riser": [{"reading": "7"}]}, "riser", 0, "value"),
        ({"riser": [7.5]}, "riser", 0, "send text"),
        ({"riser": [["7"]]}, "riser", 0, "A reading is text"),
        ({"riser": ["7"] * 40}, "riser", None, "40 risers; 30 at most"),
        ({"tread": ["10"] * 61}, "tread", None, "60 at most"),
        ({"headroom": ["80"]}, "headroom", None, "A reading is text"),
        ({"open_riser": "perhaps"}, "open_riser", None, "yes or no"),
        ({"rizer": ["7"]}, "rizer", None, 'has no "rizer"'),
        ({"riser": [{"value": "7", "instrument": "eye"}]}, "riser", 0, "gives no length"),
    ],
)
def test_an_error_stands_at_its_slot(
    readings: dict[str, Any], field: str, index: int | None, says: str
) -> None:
    (error,) = refused("stair", readings).errors
    assert (error.field, error.index) == (field, index)
    assert says in error.message


def test_a_missed_space_is_asked_about() -> None:
    (error,) = refused("stair", {"riser": ["71/2"]}).errors
    assert "7 1/2" in error.suggestions


def test_every_error_is_reported_not_just_the_first() -> None:
    errors = refused("stair", {"riser": ["x", "7", "y"], "tread": ["z"]}).errors
    assert [(e.field, e.index) for e in errors] == [("riser", 0), ("riser", 2), ("tread", 0)]


def test_a_reading_names_its_own_tool() -> None:
    riser = [{"value": "7 3/4", "instrument": "exact"}, "7 3/4"]
    out = judge(LIBRARY, "stair", ["irc-2021"], {"riser": riser}, "tape")
    rules = [r for r in out["rules"] if r["quantity"] == "riser"]
    assert [r["verdict"] for r in rules] == ["pass", "too_close"]
    assert [v["tool"] for v in out["quantities"]["riser"]["values"]] == ["exact", "tape"]


def test_whole_numbers_and_decimals_read_exactly() -> None:
    readings = {"riser": [7, Decimal("7.5"), "7.5"]}
    out = judge(LIBRARY, "stair", ["irc-2021"], readings, "exact")
    assert [v["nm"] for v in out["quantities"]["riser"]["values"]] == [
        "177800000", "190500000", "190500000",
    ]  # fmt: skip


def test_a_metric_house_reads_bare_numbers_as_millimetres() -> None:
    out = judge(LIBRARY, "stair", ["irc-2021"], {"riser": ["190.5"]}, "exact", system="metric")
    value = out["quantities"]["riser"]["values"][0]
    assert (value["nm"], value["text"], value["typed"]) == ("190500000", "190.5 mm", "190.5")


@pytest.mark.parametrize(
    ("levels", "says"),
    [
        ("flat", "rows"),
        ({"rows": [["0"]]}, "Spacing"),
        ({"spacing": "2 ft", "rows": []}, "rows"),
        ({"spacing": "2 ft", "rows": [["0", "1"], ["0"]]}, "same number"),
        ({"spacing": "0 ft", "rows": [["0"]]}, "more than zero"),
        ({"spacing": "2 ft", "unit": "furlong", "rows": [["0"]]}, "unit"),
        ({"spacing": "2 ft", "rows": [["0"] * 60] * 60}, "at most"),
    ],
)
def test_a_malformed_grid_says_what_it_needs(levels: Any, says: str) -> None:
    with pytest.raises(ReadingsRefused, match=says):
        judge(LIBRARY, "floor", ["plank-floor"], {"levels": levels}, "laser-rod")


def test_a_bad_station_is_named_by_its_place() -> None:
    levels = {"spacing": "2 ft", "unit": "16ths", "rows": [["0", "1"], ["0", "q"]]}
    with pytest.raises(ReadingsRefused) as caught:
        judge(LIBRARY, "floor", ["plank-floor"], {"levels": levels}, "laser-rod")
    (error,) = caught.value.errors
    assert (error.field, error.index) == ("levels", 3)


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)
names = st.sampled_from(
    ["riser", "tread", "open_riser", "headroom", "levels", "gap", "shape", "spot", "x"]
)


@given(st.sampled_from(["stair", "floor"]), st.dictionaries(names, anything, max_size=4))
def test_any_json_is_judged_or_refused_with_sentences(sheet: str, readings: dict[str, Any]) -> None:
    said: list[str] = []
    try:
        out = judge(LIBRARY, sheet, ["irc-2021", "plank-floor"], readings, "tape")
        said = [out["verdict"]]
    except ReadingsRefused as err:
        said = [e.message for e in err.errors]
    assert said
    assert all(said)
