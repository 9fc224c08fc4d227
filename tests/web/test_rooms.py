"""Rooms by story from the top down, and one room in walking order."""

from __future__ import annotations

from web_cast import GOOD_STAIR, OPEN_STAIR, Clock, Person, SmallHouse


def test_rooms_go_by_story_from_the_top_with_marks_words_and_numbers(
    small_house: SmallHouse, superintendent: Person
) -> None:
    small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    small_house.checks("boat-room", "visual", {"good": "yes"}, place="Outlets by the bench")
    small_house.opens_item("boat-room", "paint", "Scratch")
    text = superintendent.opens("/rooms").text
    assert text.index("Upper floor") < text.index("Gallery") < text.index("Slip level")
    room = text[text.index("Boat room") :]
    assert "1 fail" in room
    assert "1 not measured" in room
    assert "1 pass" in room
    assert "1 on punch" in room
    assert "nothing planned" in text


def test_a_room_lists_what_to_measure_in_walking_order(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    clock.passes(days=1)
    text = superintendent.opens("/rooms/boat-room").text
    assert text.index("Floor flatness") < text.index("Stair, first flight") < text.index("Look,")
    assert "Open gaps" in text
    assert " Tue " in text
    assert "last here Tue, Ines" in text
    assert "14 x 18 ft" in text


def test_the_main_action_is_the_next_thing_not_measured_then_what_fails(
    small_house: SmallHouse, superintendent: Person
) -> None:
    assert "Measure: floor flatness" in superintendent.opens("/rooms/boat-room").text
    small_house.checks("gallery", "guard", {"height_level": "30"})
    assert "Measure: base and casing, lake window" in superintendent.opens("/rooms/gallery").text
    small_house.checks("gallery", "trim", {"casing": ["2 1/2", "2 1/2"]}, place="Lake window")
    assert "Measure: guard" in superintendent.opens("/rooms/gallery").text


def test_a_check_that_nobody_planned_is_listed_as_well(
    small_house: SmallHouse, superintendent: Person
) -> None:
    check = small_house.checks("closet", "stair", GOOD_STAIR, place="Attic ladder")
    page = superintendent.opens("/rooms/closet")
    assert "Stair, attic ladder" in page.text
    assert f"/checks/{check}" in page.html


def test_a_rooms_items_stand_with_their_stamps(
    small_house: SmallHouse, superintendent: Person
) -> None:
    small_house.opens_item("closet", "paint", "Scratch by the hinge")
    page = superintendent.opens("/rooms/closet")
    assert "P-1 Scratch by the hinge" in page.text
    assert "stamp-open" in page.html
    assert "Paint crew, today" in page.text


def test_a_plain_room_says_what_can_be_done(superintendent: Person) -> None:
    text = superintendent.opens("/rooms/closet").text
    assert "Nothing is planned to be measured here." in text
    assert "Nothing open in this room." in text
    assert "No photos of this room yet." in text
    assert "nobody was here yet" in text
