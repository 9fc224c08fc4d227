"""Show the math: a sum is worked out in a room, and kept with a check, an item or the room."""

from __future__ import annotations

import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web_cast import GOOD_STAIR, OPEN_STAIR, Person, SmallHouse

from fieldlog.calc.calculations import REGISTRY
from fieldlog.store.reading_sums import sum_of, sums
from fieldlog.web.math_words import math_words

MATH = "/rooms/boat-room/math"
BALUSTERS = {"i__length": "8 ft", "i__width": "1 1/2"}
UNEVEN = GOOD_STAIR | {"riser": ["7 1/2", "7 1/2", "7 7/8", "7 1/2", "7 3/8", *["7 1/2"] * 4]}


def kept(house: SmallHouse, room: str = "boat-room"):
    """The sums of a room."""
    with house.conn() as c:
        return sums(c, room)


def test_every_calculation_is_listed_with_a_line(superintendent: Person) -> None:
    page = superintendent.opens(MATH)
    for one in REGISTRY.values():
        assert f'href="{MATH}/{one.name}"' in page.html
        assert one.title in page.text
    assert page.headings == 1
    assert page.inline == []


@pytest.mark.parametrize("name", REGISTRY)
def test_every_calculation_has_a_subject_and_a_form(name: str, superintendent: Person) -> None:
    assert name in {n for s in math_words().subject for n in s.names}
    page = superintendent.opens(f"{MATH}/{name}")
    assert page.status == 200
    for spec in REGISTRY[name].inputs:
        assert f'name="i-{spec.name}"' in page.html
        assert spec.label in page.text
    assert page.inline == []
    assert 'class="error"' not in page.html


def test_what_leads_to_a_calculation_names_what_there_is(small_house: SmallHouse) -> None:
    sheets = small_house.app.extensions["fieldlog"].library().sheets
    assert math_words().prefill
    assert math_words().fix
    for row in math_words().prefill:
        assert row.sheet in sheets
        asked = {i.name for name in row.calculations for i in REGISTRY[name].inputs}
        assert set(row.inputs) <= asked
    for fix in math_words().fix:
        assert fix.calculation in REGISTRY
        known = {*sheets[fix.sheet].kinds, *(d.name for d in sheets[fix.sheet].derived)}
        assert set(fix.quantities) <= known


def test_an_answer_shows_inputs_formula_source_and_the_exact_number(
    superintendent: Person, small_house: SmallHouse
) -> None:
    page = superintendent.fills(f"{MATH}/balusters", **BALUSTERS)
    assert page.status == 200
    assert "about 3 15/16 in 3.917 in" in page.text
    assert "Least n with" in page.text
    assert REGISTRY["balusters"].caution in page.text
    assert page.fields["i-length"] == "8 ft"
    assert small_house.entries() == 1  # working it out keeps nothing


def test_a_round_number_is_not_said_twice(superintendent: Person) -> None:
    sent = {"i__area": "200", "i__depth": "1/4", "i__yield": "0.5"}
    page = superintendent.fills(f"{MATH}/self-level", **sent)
    assert "24.0 sq ft" in page.text
    assert "exactly 24 sq ft" not in page.text
    assert "25/6" not in page.text


def test_what_no_one_can_set_out_is_not_called_exact(superintendent: Person) -> None:
    """94 in over 13 risers is 94/13 in, and angles and slants are irrational."""
    page = superintendent.fills(f"{MATH}/stair-layout", i__rise="94", i__going="10")
    assert "about 7 1/4 in 7.231 in" in page.text
    assert not re.search(r"exactly \d+/|\d\.\d{7}", page.text)
    assert re.search(r"Pitch\s*35\.\d\d deg", page.text)
    counts = [int(n) for n in re.findall(r"<td><b>(\d+)</b></td><td>", page.html)]
    assert max(counts) == 23  # the next would be under 4 in


def test_what_is_wrong_stands_at_its_input_and_nothing_typed_is_lost(
    superintendent: Person, small_house: SmallHouse
) -> None:
    page = superintendent.fills(f"{MATH}/balusters", i__length="71/2", i__width="x")
    assert page.status == 422
    assert (page.fields["i-length"], page.fields["i-width"]) == ("71/2", "x")
    assert 'id="i-length-error"' in page.html
    assert 'id="i-width-error"' in page.html
    assert "Did you mean" in page.text
    again = superintendent.sends(f"{MATH}/balusters", {**page.fields, "use": "length:7 1/2"})
    assert again.fields["i-length"] == "7 1/2"
    assert small_house.entries() == 1


def test_a_place_in_a_list_is_named(superintendent: Person) -> None:
    page = superintendent.fills(f"{MATH}/even-risers", i__risers="7 1/2, 71/2, 7 1/2")
    assert page.status == 422
    assert "Number 2:" in page.text


def test_it_is_kept_with_the_room_and_the_same_form_twice_is_kept_once(
    superintendent: Person, small_house: SmallHouse
) -> None:
    fields = superintendent.opens(f"{MATH}/balusters").fields
    sent = {**fields, "i-length": "8 ft", "i-width": "1 1/2", "keep": "room"}
    page = superintendent.sends(f"{MATH}/balusters", sent)
    assert "Kept. It is in the daily report" in page.text
    superintendent.sends(f"{MATH}/balusters", sent)
    (one,) = kept(small_house)
    assert (one.name, one.of, one.inputs) == ("balusters", "", {"length": "8 ft", "width": "1 1/2"})
    assert one.answer["answer"]["count"]["text"] == "17"
    assert "Balusters" in superintendent.opens("/rooms/boat-room").text
    assert "Count: 17" in superintendent.opens(MATH).text


def test_another_sum_by_a_used_form_is_a_conflict_that_loses_nothing(
    superintendent: Person, small_house: SmallHouse
) -> None:
    fields = superintendent.opens(f"{MATH}/balusters").fields
    sent = {**fields, "i-length": "8 ft", "i-width": "1 1/2", "keep": "room"}
    superintendent.sends(f"{MATH}/balusters", sent)
    page = superintendent.sends(f"{MATH}/balusters", {**sent, "i-length": "9 ft"})
    assert page.status == 409
    assert page.fields["i-length"] == "9 ft"
    page = superintendent.sends(f"{MATH}/balusters", {**page.fields, "keep": "room"})
    assert len(kept(small_house)) == 2


def test_a_failing_stair_leads_to_its_math_and_back(
    superintendent: Person, small_house: SmallHouse
) -> None:
    check = small_house.checks("boat-room", "stair", UNEVEN, place="First flight")
    result = superintendent.opens(f"/checks/{check}")
    assert "The math that mends it" in result.text
    address = f"{MATH}/even-risers?check={check}"
    assert f'href="{address}#answer"' in result.html
    page = superintendent.opens(address)
    assert page.fields["i-risers"] == ", ".join(UNEVEN["riser"])
    assert page.fields["i-tread-thickness"] == "1 1/2"
    assert page.fields["i-open"] == "no"
    assert "Plan" in page.text  # worked out at once: everything it needs was measured
    page = superintendent.sends(address, {**page.fields, "keep": "check"})
    assert "With Stair, first flight ." in page.text
    (one,) = kept(small_house)
    assert one.of == small_house.check(check).subject
    assert "Even out the risers" in superintendent.opens(f"/checks/{check}").text


def test_a_passing_stair_has_nothing_to_fix(
    superintendent: Person, small_house: SmallHouse
) -> None:
    check = small_house.checks("boat-room", "stair", GOOD_STAIR, place="First flight")
    assert "The math" not in superintendent.opens(f"/checks/{check}").text


def test_open_gaps_lead_to_the_thickness_that_closes_them(
    superintendent: Person, small_house: SmallHouse
) -> None:
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    assert f"{MATH}/open-risers?check={check}" in superintendent.opens(f"/checks/{check}").html
    page = superintendent.opens(f"{MATH}/open-risers?check={check}")
    assert page.fields["i-tread-thickness"] == "3"
    assert page.status == 200


def test_it_is_kept_with_an_item(superintendent: Person, small_house: SmallHouse) -> None:
    item = small_house.opens_item("boat-room", "stair", "Balusters too far apart")
    history = superintendent.opens(f"/items/{item}")
    assert f'href="{MATH}?item={item}"' in history.html
    address = f"{MATH}/balusters?item={item}"
    page = superintendent.fills(address, keep="item", **BALUSTERS)
    assert "With P-1" in page.text
    assert kept(small_house)[0].of == f"item:{item}"
    assert "Balusters" in superintendent.opens(f"/items/{item}").text


def test_another_rooms_check_is_not_taken(superintendent: Person, small_house: SmallHouse) -> None:
    check = small_house.checks("boat-room", "stair", UNEVEN, place="First flight")
    page = superintendent.fills(
        f"/rooms/closet/math/balusters?check={check}", keep="check", **BALUSTERS
    )
    assert page.status == 422
    assert "What it belongs to was not understood" in page.text
    assert kept(small_house, "closet") == []


def test_it_is_in_the_days_report(superintendent: Person) -> None:
    superintendent.fills(f"{MATH}/balusters", keep="room", **BALUSTERS)
    page = superintendent.opens("/reports/daily/2026-03-03")
    assert "Sums kept" in page.text
    assert "Count 17" in page.text
    text = superintendent.opens("/reports/daily/2026-03-03?text=1").text
    assert "SUMS KEPT" in text.upper()
    assert "Clear gap: about 3 15/16 in" in text


def test_a_casing_that_does_not_fit_is_solved_in_the_room_and_is_in_the_days_report(
    superintendent: Person, small_house: SmallHouse
) -> None:
    assert f'href="{MATH}"' in superintendent.opens("/rooms/boat-room").html
    window = {"i__spaces": "2 3/8, 3 3/4", "i__casing": "3 1/2", "i__neighbors": "3 1/2, 3 1/2"}
    page = superintendent.fills(f"{MATH}/rip-casing", **window)
    assert "Rip every matching leg to 2 3/8 in" in page.text
    assert "It will be noticed" in page.text
    superintendent.sends(f"{MATH}/rip-casing", {**page.fields, "keep": "room"})
    (found,) = kept(small_house)
    report = superintendent.opens(f"/reports/daily/{found.day}").text
    assert "Rip the casing" in report
    assert "Rip every matching leg to 2 3/8 in" in report
    assert "Spaces beside the opening 2 3/8 in, 3 3/4 in; Casing width 3 1/2 in" in report


def test_a_struck_sum_stays_legible_and_leaves_the_lists(
    superintendent: Person, small_house: SmallHouse
) -> None:
    superintendent.fills(f"{MATH}/balusters", keep="room", **BALUSTERS)
    (one,) = kept(small_house)
    page = superintendent.fills(f"/entries/{one.id}/strike", reason="wrong length")
    assert "struck through" in page.text
    assert "wrong length" in superintendent.opens(f"/sums/{one.id}").text
    assert kept(small_house) == []
    with small_house.conn() as c:
        assert sum_of(c, one.id).struck == "wrong length"


def test_it_is_worked_out_again_from_what_was_kept(
    superintendent: Person, small_house: SmallHouse
) -> None:
    superintendent.fills(f"{MATH}/balusters", keep="room", **BALUSTERS)
    (one,) = kept(small_house)
    page = superintendent.opens(f"{MATH}/balusters?sum={one.id}")
    assert page.fields["i-length"] == "8 ft"
    assert "about 3 15/16 in" in page.text


@pytest.mark.parametrize(
    "path", [f"{MATH}/nothing", "/rooms/nowhere/math", "/rooms/nowhere/math/balusters", "/sums/x"]
)
def test_what_is_not_there_is_a_page_that_says_so(path: str, superintendent: Person) -> None:
    page = superintendent.opens(path)
    assert page.status == 404
    assert "There is no" in page.text


TEXTS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["7 1/2", "71/2", "1e9", "-3", "0", "9" * 40, "7 1/2,7 1/2", "yes", "oak",
                     "70 F", "1/0", "45", "x" * 9000, "\x00", "irc-2021", "a,b;c"]),
)  # fmt: skip


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_form_gets_an_answer(superintendent: Person, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(list(REGISTRY)))
    inputs = [f"i-{i.name}" for i in REGISTRY[name].inputs]
    sent = data.draw(
        st.dictionaries(st.sampled_from([*inputs, "keep", "use", "entry_id", "seen"]), TEXTS)
    )
    token = superintendent.opens(MATH + "/balusters").fields["csrf_token"]
    clean = {k: v.encode("utf-8", "replace").decode() for k, v in sent.items()}
    page = superintendent.sends(f"{MATH}/{name}", {**clean, "csrf_token": token}, follow=False)
    assert page.status in (200, 303, 409, 422), (name, clean)
    assert "Traceback" not in page.html


def test_the_form_needs_no_script(superintendent: Person) -> None:
    html = superintendent.opens(f"{MATH}/even-risers").html
    assert re.search(r'<button form="sum"[^>]*>Work it out</button>', html)
    assert 'method="post"' in html
