"""Today's walk: its date is confirmed by a person; what is left, failed and unfinished."""

from __future__ import annotations

import pytest
from web_cast import GOOD_STAIR, OPEN_STAIR, Clock, Person, SmallHouse

from fieldlog.store import reading


def test_starting_the_walk_records_its_date_once(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = superintendent.opens("/").fields
    assert fields["day"] == "2026-03-03"
    page = superintendent.sends("/walk", fields)
    assert "walk started" in page.text
    assert "Next room: Gallery" in page.text
    superintendent.sends("/walk", fields)
    superintendent.fills("/rooms/closet/checks/visual", q__good="yes")
    with small_house.conn() as c:
        assert [e.type for e in reading.entries_of(c, "walk:2026-03-03")] == ["walk/1"]


def test_a_walk_written_up_later_dates_what_is_entered(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    superintendent.fills("/", to="/walk", day="2026-03-02")
    page = superintendent.fills("/rooms/closet/checks/visual", q__good="no")
    with small_house.conn() as c:
        assert [k.day for k in reading.checks_on(c, "2026-03-02")] == ["2026-03-02"]
    assert page.status == 200
    clock.passes(days=1)
    assert superintendent.opens("/").fields["day"] == "2026-03-04"


@pytest.mark.parametrize(
    "day", ["", "tomorrow", "2026-02-30", "03/03/2026", "2026-3-3", "٢٠٢٦-٠٣-٠٣"]
)
def test_no_date_is_asked_for_again_where_it_stands(
    small_house: SmallHouse, superintendent: Person, day: str
) -> None:
    page = superintendent.fills("/", to="/walk", day=day)
    assert page.status == 422
    assert "is not a date. Write it like 2026-03-03." in page.text
    assert page.fields["day"] == day
    assert small_house.entries() == 1


def test_the_next_room_is_the_next_one_with_something_left(
    small_house: SmallHouse, superintendent: Person
) -> None:
    superintendent.fills("/", to="/walk")
    small_house.checks("gallery", "guard", {"drop": "9 ft"}, day="2026-03-03")
    page = superintendent.opens("/")
    assert "last in Gallery" in page.text
    assert "Next room: Gallery" in page.text
    assert "2 to measure" in page.text  # the guard wholly, the trim at all


def test_what_failed_on_this_walk_stands_beside_the_rooms(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    page = superintendent.opens("/")
    assert "Stair, first flight, Boat room" in page.text
    assert f"/checks/{check}" in page.html
    clock.passes(days=1)
    assert "Nothing is measured yet on this walk." in superintendent.opens("/").text


def test_a_failed_look_that_a_later_one_replaced_is_not_listed(
    small_house: SmallHouse, superintendent: Person
) -> None:
    for _ in range(2):
        last = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    page = superintendent.opens("/")
    assert page.text.count("Stair, first flight, Boat room") == 1
    assert f"/checks/{last}" in page.html
    small_house.checks("boat-room", "stair", GOOD_STAIR, place="First flight")
    assert "Nothing failed so far." in superintendent.opens("/").text


def test_a_room_measured_on_an_earlier_day_says_which(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    small_house.checks("closet", "visual", {"thing": "Shelf", "good": "yes"})
    assert "Closet last here measured today" in superintendent.opens("/").text
    clock.passes(days=1)
    page = superintendent.opens("/").text
    assert "Closet measured Tue Mar 3" in page
    assert "all measured" not in page


def test_a_passing_walk_has_nothing_failed(small_house: SmallHouse, superintendent: Person) -> None:
    small_house.checks("boat-room", "stair", GOOD_STAIR, place="First flight")
    assert "Nothing failed so far." in superintendent.opens("/").text


def test_unfinished_things_are_links(small_house: SmallHouse, superintendent: Person) -> None:
    from fieldlog.calc.entries import Act

    item = small_house.opens_item("gallery", "paint", "Scratch")
    small_house.enters("act/1", Act("corrected"), subject=f"item:{item}", by="crew/paint")
    page = superintendent.opens("/")
    assert "1 corrected, to be looked at" in page.text
    assert "The day is not written up" in page.text
