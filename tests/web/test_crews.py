"""A crew's own list: theirs alone, on a phone, without a script."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from fieldlog.calc.entries import Act
from fieldlog.store import journal, reading

KILOBYTE = 1024
OPEN_STAIR = {
    "open_riser": "yes", "riser": ["7 1/2"] * 9, "tread": ["10 1/2"] * 8,
    "tread_thickness": "3", "headroom": "7 ft", "width_above_rail": "38",
    "width_at_rail": "33", "landing_depth": "38",
}  # fmt: skip


def jpeg():
    out = BytesIO()
    Image.new("RGB", (40, 30), "tan").save(out, "JPEG")
    return BytesIO(out.getvalue()), "done.jpg"


@pytest.fixture
def scratch(small_house):
    return small_house.opens_item("closet", "paint", "Scratch on the door", wall="B")


def does(person, own, item, act, **values):
    fields = person.opens(f"/crews/{own}").fields
    token = fields.get("csrf_token") or person.opens("/day/2026-03-03").fields["csrf_token"]
    sent = {"csrf_token": token, "entry_id": values.pop("entry_id", fields.get("entry_id", ""))}
    return person.sends(f"/crews/{own}/items/{item}", {**sent, "act": act, **values})


def item_of(house, item_id):
    with house.conn() as c:
        return reading.item(c, item_id)


@pytest.mark.usefixtures("scratch")
def test_the_list_says_what_where_and_how_old(crew):
    page = crew.opens("/crews/paint")
    for said in ("P-1 Scratch on the door", "Closet, Upper floor, wall B", "1 on your list"):
        assert said in page.text
    assert "Corrected, come look" in page.text
    assert page.inline == []


def test_measured_and_needs_stand_there(small_house, crew):
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    small_house.opens_item("boat-room", "stair", "Gaps", check=check, rules=("stair.open-gap",))
    page = crew.opens("/crews/stair")
    assert "Measured 4 1/2 in" in page.text
    assert "Needs less than 4 in" in page.text


def test_corrected_come_look(small_house, crew, scratch):
    page = does(crew, "paint", scratch, "corrected", reason="Filled and sanded.", photo=jpeg())
    assert page.status == 200
    assert "P-1 is marked corrected." in page.text
    assert "Waiting for a look." in page.text
    assert item_of(small_house, scratch).state == "corrected"
    with small_house.conn() as c:
        last = reading.item_history(c, scratch)[-1]
        photo = journal.entries(c)[-2]
    assert (last.author, last.how, last.reason) == ("crew/paint", "", "Filled and sanded.")
    assert len(last.photos) == 1
    assert photo.author == "crew/paint"


def test_twice_is_once(small_house, crew, scratch):
    fields = crew.opens("/crews/paint").fields
    sent = {k: fields[k] for k in ("csrf_token", "entry_id", "seen")} | {"act": "corrected"}
    for _ in range(2):
        assert crew.sends(f"/crews/paint/items/{scratch}", sent).status == 200
    with small_house.conn() as c:
        assert [a.act for a in reading.item_history(c, scratch)] == ["opened", "corrected"]


def test_not_ours_asks_whose(small_house, crew, scratch):
    page = does(crew, "paint", scratch, "not_ours", reason="")
    assert page.status == 422
    assert "Say who did it, or why it is not yours." in page.text
    page = does(crew, "paint", scratch, "not_ours", reason="The shelf was put in after us.")
    assert page.status == 200
    assert "You said, not ours: The shelf was put in after us." in page.text
    assert item_of(small_house, scratch).not_ours == "The shelf was put in after us."


def test_a_question_and_its_answer(small_house, crew, scratch):
    assert does(crew, "paint", scratch, "note", reason="Which green?").status == 200
    answer = Act(act="note", reason="The dark one.")
    small_house.enters("act/1", answer, subject=f"item:{scratch}")
    page = crew.opens("/crews/paint")
    assert "You: Which green?" in page.text
    assert "Ines: The dark one." in page.text


def test_sent_back_says_why(small_house, crew, scratch):
    subject = f"item:{scratch}"
    small_house.enters("act/1", Act(act="corrected"), subject=subject, by="crew/paint")
    small_house.enters("act/1", Act(act="sent_back", reason="Still there."), subject=subject)
    page = crew.opens("/crews/paint")
    assert "Sent back: Still there." in page.text
    assert "stamp-sent-back" in page.html


def test_an_error_keeps_what_was_typed(small_house, crew, scratch):
    bad = (BytesIO(b"no photo"), "x.jpg")
    page = does(crew, "paint", scratch, "corrected", reason="Sanded twice", photo=bad)
    assert page.status == 422
    assert "not a JPEG, PNG or WebP photo" in page.text
    assert ">Sanded twice</textarea>" in page.html
    assert item_of(small_house, scratch).state == "open"


@pytest.mark.parametrize("act", ["accepted", "accepted_as_is", "withdrawn", "passed_on", "", "x"])
def test_only_the_superintendent_accepts(small_house, crew, scratch, act):
    page = does(crew, "paint", scratch, act, reason="fine", agreed_by="us", trade="trim")
    assert page.status == 422
    assert item_of(small_house, scratch).state == "open"
    assert small_house.entries() == 2


@pytest.mark.usefixtures("scratch")
def test_nothing_of_another_crew_is_shown_or_can_be_touched(small_house, crew):
    other = small_house.opens_item("closet", "trim", "Miter open at the head")
    page = crew.opens("/crews/paint")
    assert "Miter open" not in page.text
    assert "Trim crew" not in page.text
    token = page.fields["csrf_token"]
    sent = {"csrf_token": token, "entry_id": small_house.new_id(), "act": "corrected"}
    assert crew.sends(f"/crews/paint/items/{other}", sent).status == 404
    assert item_of(small_house, other).state == "open"


def test_another_crews_serious_item_holds_without_being_told(small_house, crew):
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    small_house.opens_item("boat-room", "stair", "Gaps", check=check, rules=("stair.open-gap",))
    page = crew.opens("/crews/paint")
    assert "An earlier crew's work is not accepted yet." in page.text
    assert "Gaps" not in page.text
    assert "P-1" not in page.text


def test_a_long_list_comes_in_pages_of_under_30_kb(small_house, crew):
    for n in range(30):
        small_house.opens_item("closet", "paint", f"Scratch number {n}, left of the hinge side")
    first = crew.opens("/crews/paint")
    assert "1 to 12 of 30" in first.text
    assert len(first.response.data) < 30 * KILOBYTE
    last = crew.opens("/crews/paint?from=24")
    assert "Scratch number 29" in last.text
    assert "25 to 30 of 30" in last.text


@pytest.mark.parametrize("start", ["x", "-1", "999999999999", "1e3", "²"])
@pytest.mark.usefixtures("scratch")
def test_a_page_that_is_none(crew, start):
    assert crew.opens(f"/crews/paint?from={start}").status == 200


def test_an_empty_list_and_no_such_crew(crew):
    assert "Nothing is on your list." in crew.opens("/crews/paint").text
    assert crew.opens("/crews/nobody").status == 404


def test_where_they_can_work_next(crew):
    page = crew.opens("/crews/trim")
    assert "Where you can work next" in page.text
    assert "Floor flatness: not measured yet." in page.text
    assert "Closet" in page.text
