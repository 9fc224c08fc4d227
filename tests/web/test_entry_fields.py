"""Each kind of number has its unit at the slot and its keys; what is seldom measured is folded."""

from __future__ import annotations

import re

import pytest
from web_cast import Person

from fieldlog.store.files import load_library
from fieldlog.web.codes import tool

STAIR = "/rooms/boat-room/checks/stair?place=first-flight"
FOLD = '<details class="folded seldom"'


@pytest.mark.parametrize(
    ("sheet", "slot", "kind", "unit"),
    [
        ("air", "q-air_temperature", "temperature", "F or C"),
        ("air", "q-humidity", "percent", "%"),
        ("temporary", "q-stair_angle", "angle", "deg"),
        ("temporary", "q-risers", "count", ""),
        ("stair", "q-landing_slope", "slope", "1:48 or %"),
        ("slab", "q-closed_for", "time", "h, min or days"),
        ("guard", "q-push", "weight", "lb, oz, g or kg"),
        ("trim", "q-primer_on", "date", "year-month-day"),
    ],
)
def test_the_unit_stands_beside_the_slot(
    superintendent: Person, sheet: str, slot: str, kind: str, unit: str
) -> None:
    html = superintendent.opens(f"/rooms/boat-room/checks/{sheet}").html
    found = re.search(rf'<input id="{slot}"[^>]*data-kind="(\w+)"', html)
    assert found is not None
    assert found[1] == kind
    word = re.search(rf'id="unit-{slot}">([^<]*)<', html)
    assert (word[1] if word else "") == unit
    if kind != "count":
        assert re.search(rf'class="unit-keys" data-only="[^"]*\b{kind}\b', html)


def test_a_temperature_without_its_unit_is_asked_about(superintendent: Person) -> None:
    address = "/rooms/boat-room/checks/air"
    page = superintendent.fills(address, **{"q-air_temperature": "70"})
    assert page.status == 422
    assert 'value="use:q-air_temperature:70 F"' in page.html
    assert 'value="use:q-air_temperature:70 C"' in page.html


def test_what_is_seldom_measured_is_folded_and_the_usual_is_not(superintendent: Person) -> None:
    before, fold, after = superintendent.opens(STAIR).html.partition(FOLD)
    assert fold
    assert not after.startswith(" open")
    for usual in ("open_riser", "riser", "tread", "nosing", "tread_thickness", "total_rise",
                  "headroom", "width_above_rail", "width_at_rail", "landing_depth"):  # fmt: skip
        assert f'data-field="{usual}"' in before
    for seldom in ("winder", "tread_slope", "room_below", "open_gap_measured"):
        assert f'data-field="{seldom}"' in after


@pytest.mark.parametrize(("typed", "status"), [("2 %", 200), ("steep", 422)])
def test_a_fold_with_a_value_or_an_error_is_open_and_keeps_it(
    superintendent: Person, typed: str, status: int
) -> None:
    do = {"do": "more:riser"} if status == 200 else {}
    page = superintendent.fills(STAIR, **{"q-landing_slope": typed, **do})
    assert page.status == status
    assert page.html.partition(FOLD)[2].startswith(" open")
    assert page.fields["q-landing_slope"] == typed


def test_a_button_in_the_fold_leaves_it_open(superintendent: Person) -> None:
    sheet = "/rooms/boat-room/checks/trim"
    page = superintendent.fills(sheet, do="more:casing_other")
    assert page.html.partition(FOLD)[2].startswith(" open")


def test_a_sheet_that_needs_next_to_nothing_folds_nothing(superintendent: Person) -> None:
    assert FOLD not in superintendent.opens("/rooms/boat-room/checks/temporary").html


def test_a_list_grows_to_its_sheets_most(superintendent: Person) -> None:
    page = superintendent.fills(STAIR, **{"slots-riser": "30", "do": "more:riser"})
    assert page.fields["slots-riser"] == "30"


def test_the_houses_rooms_are_offered_where_a_room_is_asked(superintendent: Person) -> None:
    html = superintendent.opens(STAIR).html
    assert re.search(r'<input id="q-room_below"[^>]*list="house-rooms"', html)
    assert '<option value="Boat room">' in html


def test_framing_is_held_until_a_name_stands_there(superintendent: Person) -> None:
    page = superintendent.opens("/rooms/boat-room/checks/concealed-framing")
    assert "held Not released: nobody has put a name to it." in page.text
    assert page.html.count('type="file"') == 1
    assert page.html.index('id="photos"') < page.html.index('id="q-released_by"')


@pytest.mark.parametrize(
    ("name", "says"),
    [("inclinometer", "0.1 deg"), ("thermometer", "1 F"), ("hygrometer", "3 %"),
     ("slope-level", "%"), ("dish-scale", "0.05 g"), ("feeler", "0.05 mm"), ("tape", "1/32 in")],
)  # fmt: skip
def test_a_tool_is_off_in_its_own_unit(name: str, says: str) -> None:
    parts = tool(load_library(None).instruments[name], "us").parts
    assert f"{says} either way" in parts[0]
