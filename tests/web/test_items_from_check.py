"""From a check to a crew's list, and back: give, measure again, accept."""

from __future__ import annotations

from fieldlog.store import reading
from fieldlog.web import from_check

GOOD_STAIR = {
    "open_riser": "no",
    "riser": ["7 1/2"] * 9,
    "tread": ["10 1/2"] * 8,
    "nosing": ["1"] * 8,
    "tread_thickness": "1 1/2",
    "headroom": "7 ft",
    "width_above_rail": "38",
    "width_at_rail": "33",
    "landing_depth": "38",
}
OPEN_STAIR = GOOD_STAIR | {"open_riser": "yes", "tread_thickness": "3"}
"""Risers of 7 1/2 less treads of 3: gaps of 4 1/2, most of them more than 30 in up."""


def fields(person, check, **values):
    page = person.opens(f"/checks/{check}")
    token = page.fields["csrf_token"]
    return {"csrf_token": token, "entry_id": page.fields["entry_id"], "seen": "", **values}


def stair(house, readings):
    return house.checks("boat-room", "stair", readings, place="First flight")


def items(house):
    with house.conn() as c:
        return reading.items(c)


def gives(person, check, **values):
    sent = fields(person, check, trade="stair", **values)
    return person.sends(f"/checks/{check}/give", sent)


def test_one_item_with_every_failing_limit(small_house, superintendent):
    check = stair(small_house, OPEN_STAIR | {"headroom": "6 ft"})
    page = gives(superintendent, check)
    assert page.status == 200
    assert "P-1 is on the Stair crew’s list" in page.text
    (item,) = items(small_house)
    assert set(item.rules) == {"stair.open-gap", "stair.headroom"}
    assert item.words.startswith("Stair, first flight: ")
    assert item.kind == "safety"
    assert "Measure again" in page.text
    assert "IRC 2021 R311.7.5.1" in page.text


def test_the_same_tap_twice_opens_one(small_house, superintendent):
    check = stair(small_house, OPEN_STAIR)
    sent = fields(superintendent, check, trade="stair")
    for _ in range(2):
        page = superintendent.sends(f"/checks/{check}/give", sent)
        assert page.status == 200
        assert "P-1 is on" in page.text
    assert len(items(small_house)) == 1


def test_a_second_item_from_the_same_check_is_refused_with_a_link(small_house, superintendent):
    check = stair(small_house, OPEN_STAIR)
    gives(superintendent, check)
    page = gives(superintendent, check)
    assert page.status == 409
    assert "P-1 is already on the Stair crew's list" in page.text
    assert f"/items/{items(small_house)[0].id}" in page.html
    assert len(items(small_house)) == 1


def test_an_earlier_checks_open_item_is_shown_before_another_is_opened(small_house, superintendent):
    gives(superintendent, stair(small_house, OPEN_STAIR))
    check = stair(small_house, OPEN_STAIR)
    page = gives(superintendent, check)
    assert page.status == 409
    assert "from an earlier check here" in page.text
    assert len(items(small_house)) == 1
    assert superintendent.sends(f"/checks/{check}/give", page.fields).status == 200
    assert len(items(small_house)) == 2


def test_a_passing_check_opens_nothing(small_house, superintendent):
    page = gives(superintendent, stair(small_house, GOOD_STAIR))
    assert page.status == 409
    assert items(small_house) == []


def test_too_close_on_the_passing_side_opens_nothing(small_house, superintendent):
    check = stair(small_house, GOOD_STAIR | {"riser": ["7 3/4"] * 9})
    assert small_house.check(check).verdict == "too_close"
    assert gives(superintendent, check).status == 409
    assert items(small_house) == []


def test_another_crew_gets_nothing_from_it(small_house, superintendent):
    check = stair(small_house, OPEN_STAIR)
    sent = fields(superintendent, check, trade="paint")
    page = superintendent.sends(f"/checks/{check}/give", sent)
    assert page.status == 409
    assert "Paint crew" in page.text
    assert items(small_house) == []


def test_a_new_measurement_that_passes_accepts_what_it_settles(small_house, superintendent):
    gives(superintendent, stair(small_house, OPEN_STAIR))
    check = stair(small_house, GOOD_STAIR)
    sent = fields(superintendent, check)
    for _ in range(2):
        page = superintendent.sends(f"/checks/{check}/accept", sent)
        assert page.status == 200
        assert "Accepted: measured again" in page.text
    (item,) = items(small_house)
    assert item.state == "accepted"
    with small_house.conn() as c:
        history = reading.item_history(c, item.id)
    assert [a.act for a in history] == ["opened", "accepted"]
    assert (history[-1].how, history[-1].check) == ("measured", check)


def test_a_check_that_is_still_over_accepts_nothing(small_house, superintendent):
    first = stair(small_house, OPEN_STAIR)
    gives(superintendent, first)
    check = stair(small_house, OPEN_STAIR | {"tread_thickness": "3 1/4"})
    sent = fields(superintendent, check)
    page = superintendent.sends(f"/checks/{check}/accept", sent)
    assert page.status == 409
    assert "settles no open item" in page.text
    assert items(small_house)[0].state == "open"


def test_unknown_check(superintendent):
    token = superintendent.opens("/punch").fields
    assert superintendent.sends("/checks/none/give", token).status in (403, 404)


def test_words_name_the_thing_and_what_is_off(small_house):
    check = small_house.check(stair(small_house, OPEN_STAIR))
    words = from_check.words_for(check, "stair")
    assert words.startswith("Stair, first flight: Open gaps")
    assert "Needs" not in words
    assert from_check.failing_trades(check) == ("stair",)
