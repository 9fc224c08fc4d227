"""What holds for every drawing: attributes only, well formed, escaped, the same every time."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
from drawn import many, overlaps, stair, texts

from fieldlog.calc.judging import judge
from fieldlog.drawings import draw
from fieldlog.store.files import load_library

LIBRARY = load_library(None)


def judged_by_the_books(sheet: str, readings: dict[str, Any], system: str = "us") -> Any:
    """A check judged by the packaged books, as the house would."""
    books = ["irc-2021", "our-standard", "plank-floor"]
    return judge(LIBRARY, sheet, books, readings, "tape", system)


STAIR = {
    "open_riser": "yes",
    "riser": ["7 1/2", "7 1/2", "7 1/2", "7 1/2", "7 9/16", "7 1/2", "7 7/8", None, "7 7/16"],
    "tread": ["10 1/4"] * 7 + ["10"],
    "tread_thickness": "3",
    "total_rise": "67 1/2",
    "headroom": "6 ft 9",
    "width_above_rail": "35 1/2",
}
GUARD = {
    "drop": "9 ft 2",
    "level_side": "yes",
    "height_level": "36",
    "opening_level": ["3 7/8", "4 1/4", None],
    "stair_side": "yes",
    "height_stair": "33 1/2",
    "opening_stair": ["4 1/4", "4 1/2"],
    "triangle": "6 1/8",
}
RAIL = {
    "height": ["36 1/4", "38 1/2", "33 63/64"],
    "clearance": "1 3/8",
    "grip_diameter": "2 1/8",
    "projection": "4 5/8",
    "continuous": "no",
}
TRIM = {
    "casing": ["3 1/2", "3 1/2", "3 3/8", "3 1/2"],
    "reveal": ["3/16", "1/4", None, "1/8"],
    "miter_gap": ["1/64", "1/8"],
    "base_gap": ["1/4", "0"],
}
FLOOR = {
    "levels": {
        "spacing": "2 ft",
        "unit": "16ths",
        "rows": [["0", "+1", "+1", "0"], ["0", "+6", "x", "0"], ["0", "-4", None, "-1"]],
    }
}
ALL = [
    pytest.param(judged_by_the_books("stair", STAIR), id="stair"),
    pytest.param(judged_by_the_books("stair", {"riser": ["190 mm"] * 3}, "metric"), id="metric"),
    pytest.param(stair(["7 1/2"] * 20, ["10 13/16"] * 19, open_riser=True), id="long stair"),
    pytest.param(judged_by_the_books("guard", GUARD), id="guard"),
    pytest.param(judged_by_the_books("handrail", RAIL), id="handrail"),
    pytest.param(judged_by_the_books("handrail", {"height": ["36"]}), id="one height"),
    pytest.param(judged_by_the_books("trim", TRIM), id="casing"),
    pytest.param(judged_by_the_books("floor", FLOOR), id="floor"),
]


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("judged", ALL)
def test_presentation_attributes_only(judged: dict[str, Any], narrow: bool) -> None:
    root = ElementTree.fromstring(draw(judged, narrow))
    for element in root.iter():
        assert element.tag.split("}")[1] in {
            "svg", "title", "desc", "text", "path", "circle"
        }  # fmt: skip
        assert not {"style", "class", "id", "href"} & set(element.attrib)
        assert not any(name.startswith("on") for name in element.attrib)
    assert root.get("viewBox", "").startswith(f"0 0 {350 if narrow else 500} ")
    assert root.get("width") is None
    assert root.get("role") == "img"


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("judged", ALL)
def test_the_twin_says_what_is_drawn(judged: dict[str, Any], narrow: bool) -> None:
    title, desc = list(ElementTree.fromstring(draw(judged, narrow)))[:2]
    assert title.text
    assert desc.text
    assert desc.text.endswith(".")


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("judged", ALL)
def test_text_is_large_enough(judged: dict[str, Any], narrow: bool) -> None:
    written = texts(draw(judged, narrow))
    assert written
    assert all(float(t.get("font-size", "0")) >= 14 for t in written)


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("judged", ALL)
def test_the_same_judgement_is_the_same_drawing(judged: dict[str, Any], narrow: bool) -> None:
    assert draw(judged, narrow) == draw(judged, narrow)


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("judged", ALL)
def test_texts_do_not_collide(judged: dict[str, Any], narrow: bool) -> None:
    assert overlaps(draw(judged, narrow)) == []


@pytest.mark.parametrize("sheet", ["visual", "final"])
def test_other_sheets_have_no_drawing(sheet: str) -> None:
    assert draw(judged_by_the_books(sheet, {})) == ""


@pytest.mark.parametrize("sheet", ["stair", "guard", "handrail", "trim", "floor"])
def test_a_check_without_readings_is_no_error(sheet: str) -> None:
    assert isinstance(draw(judged_by_the_books(sheet, {})), str)


def test_text_is_escaped() -> None:
    judged = stair(["7 1/2"], [10])
    judged["quantities"]["total_rise"] = many('<script>"&', ["7 1/2"]) | {"many": False}
    svg = draw(judged)
    assert "<script>" not in svg
    ElementTree.fromstring(svg)
