"""The house's page: what it consists of, and additions that are entries like every other."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web_cast import Person, SmallHouse

from fieldlog.calc.house import PlannedCheck
from fieldlog.store import journal, reading
from fieldlog.store.reading_house import house_versions


def now(house: SmallHouse):
    """The house as it is."""
    with house.conn() as c:
        return reading.house(c)


def form(person: Person, **values: str) -> dict[str, str]:
    """Hidden fields of the page, with what a person fills in."""
    fields = person.opens("/house").fields
    return {"csrf_token": fields["csrf_token"], "entry_id": fields["entry_id"],
            "seen": fields["seen"], **values}  # fmt: skip


def test_it_shows_what_there_is_and_rooms_links_it(superintendent: Person) -> None:
    assert 'href="/house"' in superintendent.opens("/rooms").html
    page = superintendent.opens("/house")
    for told in ("Boat room", "14 x 18 ft", "Stair crew", "Steel tape", "Scratch",
                 "Floor flatness", "Stair, first flight", "The house was started."):  # fmt: skip
        assert told in page.text
    assert page.headings == 1
    assert page.inline == []


def test_a_room_is_added_and_can_be_walked_into(
    superintendent: Person, small_house: SmallHouse
) -> None:
    sent = form(superintendent, add="room", name="Sail loft", story="upper", size="9 x 20 ft")
    page = superintendent.sends("/house", sent)
    assert "Room Sail loft added." in page.text
    assert superintendent.opens("/rooms/sail-loft").status == 200
    superintendent.sends("/house", sent)
    assert [r.name for r in now(small_house).rooms].count("Sail loft") == 1
    assert small_house.entries() == 2


def test_a_size_that_is_none_is_refused_with_what_to_type(
    superintendent: Person, small_house: SmallHouse
) -> None:
    sent = form(superintendent, add="room", name="Sail loft", story="upper", size="abc x -3")
    page = superintendent.sends("/house", sent)
    assert page.status == 422
    assert "such as 12 x 14 ft" in page.text
    assert 'value="abc x -3"' in page.html
    assert small_house.entries() == 1


def test_two_rooms_of_one_name_get_ids_of_their_own(
    superintendent: Person, small_house: SmallHouse
) -> None:
    for story in ("upper", "slip"):
        superintendent.sends("/house", form(superintendent, add="room", name="Bath", story=story))
    assert {"bath", "bath-2"} <= {r.id for r in now(small_house).rooms}


def test_a_crew_a_check_and_a_phrase_are_added(
    superintendent: Person, small_house: SmallHouse
) -> None:
    superintendent.sends("/house", form(superintendent, add="crew", name="Tile crew"))
    superintendent.sends("/house", form(superintendent, add="phrase", words="Grout haze"))
    planned = form(superintendent, add="check", room="closet", sheet="trim", place="Door")
    page = superintendent.sends("/house", planned)
    assert superintendent.sends("/house", planned).status == 200  # sent twice, planned once
    assert "Closet: trim, Door, planned." in page.text
    house = now(small_house)
    assert house.trade("tile-crew")
    assert "Grout haze" in house.phrases
    assert house.room("closet").checks == (PlannedCheck("trim", "Door"),)
    assert "Base and casing, door" in superintendent.opens("/rooms/closet").text
    with small_house.conn() as c:
        assert journal.verify(c) == []
        assert journal.verify_deep(c) == []


def test_the_books_and_tools_that_there_are_can_be_added(
    superintendent: Person, small_house: SmallHouse
) -> None:
    html = superintendent.opens("/house").html
    for book in ("wood-floors", "tile-ansi", "gypsum-finish", "paint-conditions",
                 "home-tolerances", "fire-door-gaps", "slab-moisture"):  # fmt: skip
        assert f'<option value="{book}"' in html
    for tool in ("pin-meter", "hygrometer", "feeler", "rh-probe", "dish-scale", "ph-paper"):
        assert f'<option value="{tool}"' in html
    assert '<option value="exact"' not in html
    superintendent.sends("/house", form(superintendent, add="book", book="paint-conditions"))
    superintendent.sends("/house", form(superintendent, add="tool", tool="hygrometer"))
    planned = form(superintendent, add="check", room="closet", sheet="air", book="tile-ansi")
    assert "This book has no limits on that" in superintendent.sends("/house", planned).text
    planned = form(superintendent, add="check", room="closet", sheet="tile", book="tile-ansi")
    superintendent.sends("/house", planned)
    house = now(small_house)
    assert house.books[-1] == "paint-conditions"
    assert house.instruments[-1] == "hygrometer"
    assert house.room("closet").checks == (PlannedCheck("tile", "", ("tile-ansi",)),)
    again = superintendent.sends(
        "/house", form(superintendent, add="book", book="paint-conditions")
    )
    assert "Pick the book" in again.text


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"add": "tool", "tool": "exact"}, "Pick the tool"),
        ({"add": "room", "name": "", "story": "upper"}, "Give it a name"),
        ({"add": "room", "name": "Den", "story": "roof"}, "Pick the story"),
        ({"add": "crew", "name": "…"}, "Give it a name"),
        ({"add": "check", "room": "nowhere", "sheet": "trim"}, "Pick the room"),
        ({"add": "check", "room": "closet", "sheet": "crystal"}, "Pick what is measured"),
        ({"add": "check", "room": "gallery", "sheet": "guard"}, "planned there already"),
        ({"add": "phrase", "words": " "}, "Write the words"),
        ({"add": "phrase", "words": "Scratch"}, "Nothing is different"),
        ({"add": "roof"}, "The button was not understood"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_stored(
    values: dict[str, str], says: str, superintendent: Person, small_house: SmallHouse
) -> None:
    page = superintendent.sends("/house", form(superintendent, **values))
    assert page.status == 422
    assert says in page.text
    assert small_house.entries() == 1


def test_two_who_change_it_at_once_lose_nothing_and_see_it(
    superintendent: Person, crew: Person, small_house: SmallHouse
) -> None:
    one = form(superintendent, add="room", name="Den", story="upper")
    other = form(crew, add="crew", name="Tile crew")
    superintendent.sends("/house", one)
    page = crew.sends("/house", other)
    assert "Someone else changed the house in between" in page.text
    house = now(small_house)
    assert house.room("den")
    assert house.trade("tile-crew")
    with small_house.conn() as c:
        assert [v.clash for v in house_versions(c)] == [False, False, True]


def test_a_used_form_with_something_else_in_it_is_a_conflict(
    superintendent: Person, small_house: SmallHouse
) -> None:
    sent = form(superintendent, add="room", name="Den", story="upper")
    superintendent.sends("/house", sent)
    page = superintendent.sends("/house", {**sent, "name": "Attic"})
    assert page.status == 409
    assert 'value="Attic"' in page.html
    assert small_house.entries() == 2


TEXTS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["", "upper", "closet", "trim", "x" * 9000, "\x00", "Den", "a" * 201]),
)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    kind=st.sampled_from(["room", "crew", "check", "book", "tool", "phrase", ""]),
    sent=st.dictionaries(
        st.sampled_from(
            ["name", "story", "size", "room", "sheet", "place", "words", "entry_id", "seen", "door"]
        ),
        TEXTS,
    ),
)
def test_any_form_gets_an_answer(
    superintendent: Person, small_house: SmallHouse, kind: str, sent: dict[str, str]
) -> None:
    clean = {k: v.encode("utf-8", "replace").decode() for k, v in sent.items()}
    whole = {"entry_id": small_house.new_id(), **clean, "add": kind}
    whole["csrf_token"] = superintendent.opens("/house").fields["csrf_token"]
    page = superintendent.sends("/house", whole, follow=False)
    assert page.status in (303, 409, 422), whole
    assert "Traceback" not in page.html
