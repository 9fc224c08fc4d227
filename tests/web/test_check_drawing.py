"""A check's drawing: laid out for a phone and for a wide page, and on one sheet of paper."""

from __future__ import annotations

import pytest
from web_cast import OPEN_STAIR, Person, SmallHouse

RAIL = {"height": ["36", "36 1/4", "36 1/2"], "clearance": "2", "grip_diameter": "1 1/2"}


@pytest.fixture
def stair(small_house: SmallHouse) -> str:
    """An open stair that was looked at."""
    return small_house.checks("boat-room", "stair", OPEN_STAIR, place="first flight")


def test_the_result_carries_the_drawing_for_both_widths(stair: str, superintendent: Person) -> None:
    page = superintendent.opens(f"/checks/{stair}")
    assert page.html.count('viewBox="0 0 500 ') == 1
    assert page.html.count('viewBox="0 0 350 ') == 1
    assert f"/checks/{stair}/drawing" in page.html
    assert page.inline == []


def test_one_sheet_has_the_drawing_and_what_fails(stair: str, superintendent: Person) -> None:
    page = superintendent.opens(f"/checks/{stair}/drawing")
    assert page.status == 200
    assert page.html.count('viewBox="0 0 720 ') == 1
    assert "30 in above the floor" in page.text
    assert "Open gaps 4 1/2 in. Needs less than 4 in." in page.text
    assert "The local code and its inspector decide" in page.text
    assert page.headings == 1


def test_the_handrail_of_the_same_place_is_drawn_with_it(
    stair: str, small_house: SmallHouse, superintendent: Person
) -> None:
    small_house.checks("boat-room", "stair", OPEN_STAIR, place="back stair")
    small_house.checks("boat-room", "handrail", RAIL, place="back stair")
    assert "Handrail: looked at" not in superintendent.opens(f"/checks/{stair}/drawing").text
    small_house.checks("boat-room", "handrail", RAIL, place="first flight")
    page = superintendent.opens(f"/checks/{stair}/drawing")
    assert "Handrail: looked at" in page.text
    assert "36 1/4" in page.text


def test_the_only_handrail_is_that_of_the_only_stair(
    stair: str, small_house: SmallHouse, superintendent: Person
) -> None:
    small_house.checks("boat-room", "handrail", RAIL, place="wall side")
    assert "Handrail: looked at" in superintendent.opens(f"/checks/{stair}/drawing").text


def test_no_drawing_no_page(small_house: SmallHouse, superintendent: Person) -> None:
    look = small_house.checks("boat-room", "visual", {"thing": "paint", "good": "yes"})
    assert superintendent.opens(f"/checks/{look}/drawing").status == 404
    assert superintendent.opens("/checks/nothing/drawing").status == 404
    assert "/drawing" not in superintendent.opens(f"/checks/{look}").html
