"""Layers of a room: recorded on its page; a stair that hangs on them says what it becomes."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web_cast import GOOD_STAIR, Person, SmallHouse

from fieldlog.store import journal, reading

LAYERS = "/rooms/boat-room/layers"
STAIR = GOOD_STAIR | {"room_below": "Boat room", "room_above": "Gallery"}


def saved(house: SmallHouse, room: str = "boat-room"):
    """The layers of a room as they are."""
    with house.conn() as c:
        return reading.layers(c, room)


def lay(person: Person, room: str = "boat-room", **values: str):
    """Fill in rows of a room's page: 1 pour, 2 underlay, 3 finish, 4 ceiling."""
    return person.fills(f"/rooms/{room}/layers", **values)


def test_layers_are_recorded_and_said_in_one_line(
    superintendent: Person, small_house: SmallHouse
) -> None:
    assert (
        "what lies and will lie here is not recorded"
        in superintendent.opens("/rooms/boat-room").text
    )
    page = lay(superintendent, thickness__1="1/2", laid__1="y", name__3="oak", thickness__3="3/4")
    line = "pour 1/2 in, laid; floor finish oak 3/4 in, to come"
    assert f"Saved: {line}." in page.text
    assert "still to come: floor 3/4 in, ceiling 0 in" in page.text
    assert line in superintendent.opens("/rooms/boat-room").text
    assert [(one.kind, one.thickness, one.laid) for one in saved(small_house).layers] == [
        ("pour", "1/2", True), ("finish", "3/4", False),
    ]  # fmt: skip
    assert page.inline == []
    assert page.headings == 1


def test_a_row_stays_where_it_was_filled_in(
    superintendent: Person, small_house: SmallHouse
) -> None:
    lay(superintendent, thickness__3="3/4")
    lay(superintendent, thickness__3="1 1/2", kind__4="carpet")
    assert [(one.kind, one.thickness) for one in saved(small_house).layers] == [
        ("finish", "1 1/2"), ("carpet", "0"),
    ]  # fmt: skip
    assert superintendent.opens(LAYERS).fields["kind-5"] == "carpet"


def test_carpet_counts_as_zero(superintendent: Person, small_house: SmallHouse) -> None:
    page = lay(superintendent, kind__1="carpet", name__1="wool")
    assert "carpet wool, to come" in page.text
    assert "floor 0 in" in page.text
    assert saved(small_house).layers[0].thickness == "0"


def test_one_more_row_keeps_what_was_typed(superintendent: Person, small_house: SmallHouse) -> None:
    fields = superintendent.opens(LAYERS).fields
    page = superintendent.sends(LAYERS, {**fields, "thickness-3": "3/4", "more": "1"})
    assert page.fields["thickness-3"] == "3/4"
    assert "kind-5" in page.fields
    assert small_house.entries() == 1
    page = superintendent.sends(LAYERS, {**page.fields, "kind-5": "underlay", "thickness-5": "1/4"})
    assert "underlay 1/4 in, to come" in page.text


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"thickness__1": "71/2"}, "7 1/2"),
        ({"thickness__1": "thick"}, "not"),
        ({"thickness__1": "-1"}, "is no thickness of a layer"),
        ({"thickness__1": "9 ft"}, "is no thickness of a layer"),
        ({"name__3": "oak"}, "How thick is it?"),
        ({"kind__1": "marble", "thickness__1": "1"}, "Pick what it is"),
    ],
)
def test_what_is_wrong_stands_at_its_row(
    values: dict[str, str], says: str, superintendent: Person, small_house: SmallHouse
) -> None:
    page = lay(superintendent, **values)
    assert page.status == 422
    assert says in page.text
    assert small_house.entries() == 1
    for name, value in values.items():
        assert page.fields[name.replace("__", "-")] in (value, "")


def test_the_same_form_twice_is_one_entry_and_two_at_once_clash(
    superintendent: Person, crew: Person, small_house: SmallHouse
) -> None:
    mine, other = superintendent.opens(LAYERS).fields, crew.opens(LAYERS).fields
    superintendent.sends(LAYERS, {**mine, "thickness-3": "3/4"})
    superintendent.sends(LAYERS, {**mine, "thickness-3": "3/4"})
    assert small_house.entries() == 2
    crew.sends(LAYERS, {**other, "thickness-3": "1"})
    assert small_house.entries() == 3
    assert "Someone else changed this in between" in superintendent.opens(LAYERS).text


def test_a_stair_says_what_it_becomes(superintendent: Person, small_house: SmallHouse) -> None:
    check = small_house.checks("boat-room", "stair", STAIR, place="First flight")
    assert "not known" in superintendent.opens(f"/checks/{check}").text
    lay(superintendent, thickness__3="1")
    lay(superintendent, "gallery", thickness__3="3/4")
    check = small_house.checks("boat-room", "stair", STAIR, place="First flight")
    page = superintendent.opens(f"/checks/{check}")
    assert "When the finishes are on" in page.text
    assert "Riser 1 will be 6 1/2 in when Boat room has its floor" in page.text
    assert "Riser difference is 1 3/4 in" in page.text
    assert page.inline == []


def test_a_change_of_layers_opens_the_question_again(
    superintendent: Person, small_house: SmallHouse
) -> None:
    check = small_house.checks("boat-room", "stair", STAIR, place="First flight")
    assert "changed after" not in superintendent.opens("/rooms/boat-room").text
    page = lay(superintendent, "gallery", thickness__3="3/4")
    assert "The floor build-up changed after this was checked" in page.text
    for path in ("/rooms/boat-room", f"/checks/{check}"):
        page = superintendent.opens(path)
        assert "The floor build-up changed after this was checked" in page.text
        assert "Judge the same numbers again" in page.text
    sent = page.fields
    page = superintendent.sends(f"/checks/{check}/judge", sent)
    assert "When the finishes are on" in page.text
    entries = small_house.entries()
    superintendent.sends(f"/checks/{check}/judge", sent)
    assert small_house.entries() == entries
    assert "changed after" not in superintendent.opens("/rooms/boat-room").text
    with small_house.conn() as c:
        assert journal.verify_deep(c) == []


def test_what_was_laid_since_has_to_be_measured_again(
    superintendent: Person, small_house: SmallHouse
) -> None:
    lay(superintendent, "gallery", thickness__1="1/2")
    check = small_house.checks("boat-room", "stair", STAIR, place="First flight")
    lay(superintendent, "gallery", laid__1="y")
    page = superintendent.opens("/rooms/boat-room")
    assert "Something was laid since" in page.text
    assert "Judge the same numbers" not in page.text
    fields = superintendent.opens(LAYERS).fields
    assert superintendent.sends(f"/checks/{check}/judge", fields).status == 409


def test_a_struck_entry_no_longer_holds(superintendent: Person, small_house: SmallHouse) -> None:
    lay(superintendent, thickness__3="3/4")
    with small_house.conn() as c:
        entry = reading.head_of(c, "layers:boat-room")
    page = superintendent.fills(f"/entries/{entry}/strike", reason="wrong room")
    assert page.status == 200
    assert saved(small_house) is None


@pytest.mark.parametrize("path", ["/rooms/nowhere/layers", "/checks/x/judge"])
def test_what_is_not_there_is_a_page(path: str, superintendent: Person) -> None:
    fields = superintendent.opens(LAYERS).fields
    assert superintendent.sends(path, fields).status == 404


TEXTS = st.one_of(
    st.text(max_size=20),
    st.sampled_from(["", "1/2", "71/2", "pour", "carpet", "y", "99999", "x" * 300, "\x00", "1"]),
)
NAMES = [f"{part}-{n}" for part in ("kind", "name", "thickness", "laid") for n in (1, 2, 5)]


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sent=st.dictionaries(st.sampled_from([*NAMES, "rows", "more", "note", "seen"]), TEXTS))
def test_any_form_gets_an_answer(
    superintendent: Person, small_house: SmallHouse, sent: dict[str, str]
) -> None:
    clean = {k: v.encode("utf-8", "replace").decode() for k, v in sent.items()}
    whole = {"entry_id": small_house.new_id(), **clean}
    whole["csrf_token"] = superintendent.opens(LAYERS).fields["csrf_token"]
    page = superintendent.sends(LAYERS, whole, follow=False)
    assert page.status in (200, 303, 409, 422), whole
    assert "Traceback" not in page.html
