"""Striking through with a reason, and the entries that were refused."""

from __future__ import annotations

import pytest

from fieldlog import intake
from fieldlog.calc.entries import Act
from fieldlog.store import journal, reading
from fieldlog.web import request as at


@pytest.fixture
def scratch(small_house):
    return small_house.opens_item("closet", "paint", "Scratch on the door", needs_by="2026-03-09")


def test_the_entry_is_shown_legibly_first(superintendent, scratch):
    page = superintendent.opens(f"/entries/{scratch}/strike")
    for said in ("Scratch on the door", "Closet, Upper floor", "Paint crew", "Mon Mar 9"):
        assert said in page.text
    assert page.inline == []


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (Act("accepted", how="eye"), "Accepted: seen by eye"),
        (Act("corrected", how="text", reason="All done"), "The crew said by text: corrected"),
        (Act("accepted_as_is", agreed_by="The owner", reason="Fine"), "Agreed by The owner"),
    ],
)
def test_an_act_is_said_as_the_items_history_says_it(
    small_house, superintendent, scratch, act, says
):
    entry = small_house.enters("act/1", act, subject=f"item:{scratch}")
    text = superintendent.opens(f"/entries/{entry}/strike").text
    assert says in text
    assert " how " not in text.partition("What is wrong")[0]
    assert f"act {act.act}" not in text
    assert act.reason in text


def test_struck_with_a_reason(small_house, superintendent, scratch):
    page = superintendent.fills(f"/entries/{scratch}/strike", reason="It is the other door.")
    assert page.status == 200
    assert "Struck through: It is the other door." in page.text
    assert "Scratch on the door" in page.text
    with small_house.conn() as c:
        assert journal.entry(c, scratch).struck == "It is the other door."
        assert reading.items(c) == []


@pytest.mark.parametrize("reason", ["", "   ", "\n"])
def test_without_a_reason_nothing_is_struck(small_house, superintendent, scratch, reason):
    page = superintendent.fills(f"/entries/{scratch}/strike", reason=reason)
    assert page.status == 422
    assert "Say what is wrong with it" in page.text
    assert small_house.entries() == 2


def test_twice_is_once(small_house, superintendent, scratch):
    url = f"/entries/{scratch}/strike"
    fields = superintendent.opens(url).fields
    fields["reason"] = "Wrong door."
    for _ in range(2):
        assert superintendent.sends(url, fields).status == 200
    assert small_house.entries() == 3


def test_what_is_struck_is_not_struck_again(small_house, superintendent, scratch):
    url = f"/entries/{scratch}/strike"
    late = superintendent.opens(url).fields
    superintendent.fills(url, reason="Wrong door.")
    late["reason"] = "Wrong room."
    page = superintendent.sends(url, late)
    assert page.status == 422
    assert "struck through already" in page.text
    assert "Wrong room." in page.html
    assert small_house.entries() == 3


def test_a_day_leads_back_to_the_day(small_house, superintendent):
    from fieldlog.calc.entries import Day

    entry = small_house.enters("day/1", Day("2026-03-03", weather="Snow"))
    page = superintendent.fills(f"/entries/{entry}/strike", reason="That was Monday.")
    assert page.response.request.path == "/day/2026-03-03"


def test_the_house_and_strikes_stay(small_house, superintendent, scratch):
    superintendent.fills(f"/entries/{scratch}/strike", reason="Wrong door.")
    with small_house.conn() as c:
        house, *_, strike = journal.entries(c)
    for entry in (house, strike):
        assert superintendent.opens(f"/entries/{entry.id}/strike").status == 404
    assert superintendent.opens("/entries/none/strike").status == 404


def test_refused_entries_stand_there_raw_with_the_reason(small_house, superintendent):
    held = small_house.app.extensions[at.KEY]
    with small_house.conn() as c:
        job = journal.job(c)
    entry = {
        "id": small_house.new_id(), "job": job, "device": "tablet-2", "device_seq": 1,
        "claimed_ms": 1, "offset_min": 0, "author": "crew/paint", "type": "item/1",
        "subject": "item:x", "seen": "", "body": '{"room": "<closet>"}',
    }  # fmt: skip
    with held.writing() as w:
        answer = intake.take(w, small_house.folder, held.library(), entry, small_house.clock())
    assert answer.status == "refused"
    page = superintendent.opens("/entries/refused")
    assert '{"room": "<closet>"}' in page.text
    assert answer.reason in page.text
    assert "<closet>" not in page.html


def test_nothing_was_refused(superintendent):
    assert "No entry was refused." in superintendent.opens("/entries/refused").text


def test_an_entry_is_found_by_its_id_alone(small_house, superintendent, scratch):
    """A tablet that let go of what it kept knows no more of it."""
    act = small_house.enters("act/1", Act(act="note", reason="Look"), subject=f"item:{scratch}")
    for entry, there in ((scratch, f"/items/{scratch}"), (act, f"/items/{scratch}")):
        response = superintendent.client.get(f"/entries/{entry}")
        assert response.status_code == 302
        assert response.location.partition("#") == (there, "#", f"entry-{entry}")
    assert superintendent.opens("/entries/none").status == 404
