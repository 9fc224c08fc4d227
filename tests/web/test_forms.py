"""Whatever a form carries, the answer is a page that says what is wrong: never a fault."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web_cast import Person, SmallHouse
from werkzeug.datastructures import MultiDict

from fieldlog.calc.readings import SlotError
from fieldlog.web import sheet_form, slot_buttons
from fieldlog.web.preview import without

SHEETS = ("stair", "guard", "handrail", "trim", "floor", "visual")
ANSWERED = {200, 400, 409, 413, 422}

texts = st.one_of(
    st.sampled_from(
        ["", "7 1/2", "71/2", "yes", "no", "x", "-1/8", "6 ft 8", "99999999999", "1e9"]
    ),
    st.text(max_size=40),
    st.from_regex(r"-?[0-9]{0,3} ?[0-9]{1,3}/[0-9]{1,3}(in|mm|ft|\")?", fullmatch=True),
)
names = st.one_of(
    st.sampled_from(
        ["q-riser-1", "q-riser-2", "q-open_riser", "q-headroom", "q-levels-1-1", "q-levels-2-2",
         "q-levels-spacing", "q-levels-unit", "slots-riser", "rows-levels", "columns-levels",
         "instrument", "tool-riser", "tool-levels", "sheet_sha256", "entry_id", "seen", "note",
         "place", "kept", "do", "q-gap-1", "q-edge_length-1", "q-shape-1", "q-spot-1", "q-good",
         "q-thing", "q-casing-1"]
    ),
    st.from_regex(r"q-[a-z_]{1,12}(-[0-9]{1,3}){0,2}", fullmatch=True),
    st.text(max_size=20),
)  # fmt: skip


@pytest.fixture
def token(superintendent: Person) -> str:
    return superintendent.opens("/").fields["csrf_token"]


@pytest.mark.parametrize("end", ["", "/preview"])
@settings(
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(sheet=st.sampled_from(SHEETS), data=st.dictionaries(names, texts, max_size=12))
def test_random_forms_are_answered_with_a_page(
    superintendent: Person, token: str, end: str, sheet: str, data: dict[str, str]
) -> None:
    page = superintendent.sends(
        f"/rooms/boat-room/checks/{sheet}{end}", {**data, "csrf_token": token}
    )
    assert page.status in ANSWERED
    assert "Traceback" not in page.html


@settings(
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(sheet=st.sampled_from(SHEETS), seed=st.randoms(use_true_random=False), wrong=texts)
def test_what_a_person_typed_comes_back_or_is_stored(
    small_house: SmallHouse, superintendent: Person, sheet: str, seed: Any, wrong: str
) -> None:
    fields = superintendent.opens(f"/rooms/closet/checks/{sheet}").fields
    slots = [n for n in fields if n.startswith("q-") and not n.endswith(("-unit", "-spacing"))]
    name = seed.choice(slots)
    fields[name] = wrong
    before = small_house.entries()
    page = superintendent.sends(f"/rooms/closet/checks/{sheet}", fields)
    assert page.status in (200, 422)
    if page.status == 422:
        assert small_house.entries() == before
        radio = 'type="radio" name="' + name in page.html
        # a browser cannot send a radio that is not on the page, nor line ends from one line
        if not radio and wrong.isprintable():
            assert page.fields[name] == wrong


def test_a_forms_class_is_made_once_for_a_digest_and_its_slots(small_house: SmallHouse) -> None:
    sheet = small_house.app.extensions["fieldlog"].library().sheets["stair"]
    extent = sheet_form.extent_of(sheet, None, None)
    with small_house.app.test_request_context():
        one = sheet_form.make_form(sheet, extent)
        two = sheet_form.make_form(sheet, extent)
    assert type(one) is type(two)
    assert type(one).__name__.endswith(sheet.sha256[:12])


@pytest.mark.parametrize("count", ["0", "-3", "61", "9999999", "x", "", "٣", "1e3"])
def test_a_count_of_slots_stays_in_bounds(small_house: SmallHouse, count: str) -> None:
    sheet = small_house.app.extensions["fieldlog"].library().sheets["stair"]
    extent = sheet_form.extent_of(sheet, {"slots-riser": count}, None)
    assert 1 <= extent.slots["riser"] <= 60
    assert extent.slots["ball_passes"] == extent.slots["riser"]


def test_a_button_that_nobody_made_changes_nothing(small_house: SmallHouse) -> None:
    sheet = small_house.app.extensions["fieldlog"].library().sheets["floor"]
    for do in ("", "use", "use:csrf_token:x", "row", "more:levels", "row:gap", "x:y:z"):
        posted = MultiDict({"q-gap-1": "1/8", "do": do}).to_dict()
        extent, data = slot_buttons.pressed(sheet, posted)
        assert data["q-gap-1"] == "1/8"
        assert "csrf_token" not in data
        assert extent.grids["levels"] == sheet_form.GRID_START


def test_what_cannot_be_used_is_left_out_and_the_rest_judged() -> None:
    readings = {
        "riser": ["7", "71/2", None],
        "headroom": "high",
        "levels": {"spacing": "2 ft", "rows": [["0", "up"], ["1", "2"]]},
    }
    errors = (
        SlotError("riser", 1, "?"),
        SlotError("headroom", None, "?"),
        SlotError("levels", 1, "?"),
    )
    assert without(readings, errors) == {
        "riser": ["7", None, None],
        "levels": {"spacing": "2 ft", "rows": [["0", None], ["1", "2"]]},
    }
