"""What holds for every drawing: attributes only, well formed, escaped, the same every time."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from drawn import many, stair, texts

from fieldlog.drawings import draw

ALL = [pytest.param(stair(["7 1/2", "7 7/8", None], [10, None]), id="stair")]


@pytest.mark.parametrize("judged", ALL)
def test_presentation_attributes_only(judged: dict[str, object]) -> None:
    root = ElementTree.fromstring(draw(judged))
    for element in root.iter():
        assert element.tag.split("}")[1] in {
            "svg", "title", "desc", "text", "path", "circle"
        }  # fmt: skip
        assert not {"style", "class", "id", "href"} & set(element.attrib)
        assert not any(name.startswith("on") for name in element.attrib)
    assert root.get("viewBox", "").startswith("0 0 500 ")
    assert root.get("width") is None
    assert root.get("role") == "img"


@pytest.mark.parametrize("judged", ALL)
def test_the_twin_says_what_is_drawn(judged: dict[str, object]) -> None:
    title, desc = list(ElementTree.fromstring(draw(judged)))[:2]
    assert title.text
    assert desc.text
    assert desc.text.endswith(".")


@pytest.mark.parametrize("judged", ALL)
def test_text_is_large_enough(judged: dict[str, object]) -> None:
    assert all(float(t.get("font-size", "0")) >= 13 for t in texts(draw(judged)))


@pytest.mark.parametrize("judged", ALL)
def test_the_same_judgement_is_the_same_drawing(judged: dict[str, object]) -> None:
    assert draw(judged) == draw(judged)


def test_text_is_escaped() -> None:
    judged = stair(["7 1/2"], [10])
    judged["quantities"]["total_rise"] = many('<script>"&', ["7 1/2"]) | {"many": False}
    svg = draw(judged)
    assert "<script>" not in svg
    ElementTree.fromstring(svg)
