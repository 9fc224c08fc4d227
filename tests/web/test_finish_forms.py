"""The finish stage's forms: each opens, and air is kept in a house that has tapes only."""

from __future__ import annotations

import pytest
from web_cast import Person, SmallHouse

from fieldlog.store import reading

SHEETS = (
    "door", "pocket-door", "cased-opening", "tile", "threshold", "wall", "air", "wood", "slab",
    "sunken-floor", "trim",
)  # fmt: skip


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_form_opens_and_shows_its_caution(superintendent: Person, sheet: str) -> None:
    page = superintendent.opens(f"/rooms/gallery/checks/{sheet}")
    assert page.status == 200
    assert page.inline == []
    assert 'class="caution"' in page.html


def test_air_is_kept_without_its_tools_in_the_house(superintendent: Person) -> None:
    page = superintendent.fills(
        "/rooms/gallery/checks/air",
        q__air_temperature="70 F", q__humidity="50", q__surface_temperature="64 F",
        q__work="neither",
    )  # fmt: skip
    assert page.status == 200
    assert "None of this house’s books" in page.text or "None of this house's books" in page.text


def test_air_is_taken_with_its_own_tools_and_shows_no_tape(
    superintendent: Person, small_house: SmallHouse
) -> None:
    """A house with tapes only: each reading names what it is taken with, and none is picked."""
    page = superintendent.opens("/rooms/gallery/checks/air")
    assert "Steel tape" not in page.html
    for tool in ("air thermometer", "hygrometer", "surface thermometer"):
        assert f"Taken with: {tool}" in page.text
    superintendent.fills("/rooms/gallery/checks/air", q__air_temperature="70 F", q__humidity="50")
    with small_house.conn() as conn:
        (check,) = reading.checks_of_room(conn, "gallery")
    assert check.instrument == "thermometer"
    assert {i["id"] for i in check.judgement["instruments"]} == {"thermometer", "hygrometer"}
    assert "Tool:" in superintendent.opens("/rooms/gallery/checks/trim").text


def test_a_bare_temperature_has_both_meanings_to_tap(superintendent: Person) -> None:
    page = superintendent.fills("/rooms/gallery/checks/air", q__air_temperature="21")
    assert page.status == 422
    assert "21 F" in page.text
    assert "21 C" in page.text
