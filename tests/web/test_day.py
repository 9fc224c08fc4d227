"""The day: weather, crews, deliveries, delays, as typed; the latest entry holds."""

from __future__ import annotations

import pytest

from fieldlog.calc.entries import CrewToday, Day, Strike
from fieldlog.store import reading

DAY = "/day/2026-03-03"


def facts(house, day="2026-03-03"):
    with house.conn() as c:
        return reading.day_facts(c, day)


def test_the_day_is_kept_as_typed(small_house, superintendent):
    page = superintendent.fills(
        DAY, weather="41 F, fog until 10", people__paint="2", did__paint="Second coat, gallery",
        people__floor="3", deliveries="Plank, 22 boxes", delays="Lift late", note="Owner: the lamp",
    )  # fmt: skip
    assert page.status == 200
    assert "Saved. It is in the daily report" in page.text
    day = facts(small_house)
    assert day.weather == "41 F, fog until 10"
    assert day.crews == (
        CrewToday("floor", 3, ""),
        CrewToday("paint", 2, "Second coat, gallery"),
    )
    assert page.fields["people-paint"] == "2"
    assert page.fields["note"] == "Owner: the lamp"
    assert page.inline == []


def test_changed_later_the_earlier_one_stays_below(small_house, superintendent):
    superintendent.fills(DAY, weather="Fog")
    small_house.clock.passes(hours=3)
    page = superintendent.fills(DAY, weather="Sun", people__paint="")
    assert facts(small_house).weather == "Sun"
    assert "How it was before" in page.text
    assert "Weather: Fog" in page.text
    assert "saved Tue Mar 3, 11:15 am by Ines" in page.text
    assert "not seen" not in page.text


def test_a_clash_is_shown(small_house, superintendent):
    fields = superintendent.opens(DAY).fields
    small_house.enters("day/1", Day("2026-03-03", weather="Rain", deliveries="Plank"))
    fields["weather"] = "Sun"
    page = superintendent.sends(DAY, fields)
    assert page.status == 200
    assert "Saved over a version that was not seen." in page.text
    assert "Deliveries: Plank" in page.text


def test_the_same_form_twice_saves_once(small_house, superintendent):
    fields = superintendent.opens(DAY).fields
    fields["weather"] = "Fog"
    for _ in range(2):
        assert superintendent.sends(DAY, fields).status == 200
    assert small_house.entries() == 2


def test_the_same_form_with_other_words_is_explained(small_house, superintendent):
    fields = superintendent.opens(DAY).fields
    superintendent.sends(DAY, fields)
    fields["weather"] = "Sun"
    page = superintendent.sends(DAY, fields)
    assert page.status == 409
    assert page.fields["weather"] == "Sun"
    assert superintendent.sends(DAY, page.fields).status == 200
    assert facts(small_house).weather == "Sun"


@pytest.mark.parametrize("people", ["two", "-1", "1000", "2.5", "9" * 5000, "0000000009999", "²"])
def test_a_head_count_is_a_whole_number(small_house, superintendent, people):
    page = superintendent.fills(DAY, weather="Fog", people__paint=people)
    assert page.status == 422
    assert "A whole number of people, 0 to 999." in page.text
    assert page.fields["people-paint"] == people
    assert page.fields["weather"] == "Fog"
    assert facts(small_house) is None


@pytest.mark.parametrize("day", ["2026-02-30", "today", "2026-3-3", "20260303"])
def test_what_is_no_day_is_a_page(superintendent, day):
    page = superintendent.opens(f"/day/{day}")
    assert page.status == 404
    assert "is not a day" in page.text


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_first_and_the_last_day_there_are(superintendent, day):
    assert superintendent.opens(f"/day/{day}").status == 200


def test_a_struck_version_does_not_count(small_house, superintendent):
    superintendent.fills(DAY, weather="Fog")
    wrong = small_house.enters("day/1", Day("2026-03-03", weather="Snow"))
    strike = Strike(wrong, "the day before")
    small_house.enters("strike/1", strike, subject="day:2026-03-03")
    page = superintendent.opens(DAY)
    assert page.fields["weather"] == "Fog"


def test_a_crew_that_left_the_house_keeps_its_line(small_house, superintendent):
    small_house.enters("day/1", Day("2026-03-03", crews=(CrewToday("mason", 2, "Hearth"),)))
    page = superintendent.opens(DAY)
    assert page.fields["did-mason"] == "Hearth"
