"""An item's history, and what is done about it."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from fieldlog.calc.entries import Act, Strike
from fieldlog.store import journal, reading


def jpeg() -> tuple[BytesIO, str]:
    out = BytesIO()
    Image.new("RGB", (40, 30), "tan").save(out, "JPEG")
    return BytesIO(out.getvalue()), "seen.jpg"


@pytest.fixture
def item(small_house):
    return small_house.opens_item("closet", "paint", "Paint holiday by the shelf", wall="B")


def state(house, item_id):
    with house.conn() as c:
        return reading.item(c, item_id)


def acts(house, item_id):
    with house.conn() as c:
        return reading.item_history(c, item_id)


def does(person, item_id, act, **values):
    page = person.opens(f"/items/{item_id}")
    hidden = {k: page.fields[k] for k in ("csrf_token", "entry_id", "seen")}
    return person.sends(f"/items/{item_id}/acts", {**hidden, "act": act, **values})


def test_the_page_says_what_where_whose_and_its_state(superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    for said in (
        "P-1",
        "Paint holiday by the shelf",
        "Closet , Upper floor",
        "Paint crew",
        "Wall B",
    ):
        assert said in page.text
    assert "stamp-open" in page.html
    assert page.inline == []
    assert page.headings == 1


def test_the_button_is_named_as_other_pages_name_the_act(superintendent, item):
    """Who can start says "accept it"; "Accept as is" is another act."""
    page = superintendent.opens(f"/items/{item}")
    assert '<button class="btn-main">Accept: seen corrected</button>' in page.html


def test_seen_corrected_by_eye(small_house, superintendent, item):
    page = does(superintendent, item, "accepted")
    assert page.status == 200
    assert "P-1 is accepted" in page.text
    assert state(small_house, item).state == "accepted"
    assert acts(small_house, item)[-1].how == "eye"
    assert "Accepted: seen by eye" in page.text


@pytest.mark.parametrize("how", ["in person", "call", "text"])
def test_the_crew_told_me(small_house, superintendent, item, how):
    does(superintendent, item, "corrected", how=how, reason="both coats on")
    assert state(small_house, item).state == "corrected"
    last = acts(small_house, item)[-1]
    assert (last.how, last.author) == (how, "superintendent/Ines")


def test_the_crew_told_me_asks_how(small_house, superintendent, item):
    page = does(superintendent, item, "corrected", reason="both coats on")
    assert page.status == 422
    assert "Say how the crew told you." in page.text
    assert "both coats on" in page.html
    assert state(small_house, item).state == "open"


def test_sent_back_asks_for_a_reason_at_its_field(small_house, superintendent, item):
    does(superintendent, item, "corrected", how="call")
    page = does(superintendent, item, "sent_back", reason="  ")
    assert page.status == 422
    assert 'id="sent_back-reason-error"' in page.html
    assert '<details id="do-sent_back" open' in page.html
    assert state(small_house, item).state == "corrected"


def test_sent_back_makes_it_open_again_with_the_reason(small_house, superintendent, item):
    does(superintendent, item, "accepted")
    page = does(superintendent, item, "sent_back", reason="Shows from the door.", photo=jpeg())
    now = state(small_house, item)
    assert (now.state, now.sent_back, now.last_reason) == ("open", True, "Shows from the door.")
    assert "stamp-sent-back" in page.html
    assert "P-1 is sent back" in page.text
    assert page.html.count("/900") == 1  # the photo of the act, big


def test_accept_as_is_asks_who_agreed(small_house, superintendent, item):
    page = does(superintendent, item, "accepted_as_is", reason="behind the shelf")
    assert page.status == 422
    assert "Say who agreed that it stays as it is." in page.text
    assert "behind the shelf" in page.html
    page = does(superintendent, item, "accepted_as_is", agreed_by="the owners", reason="hidden")
    assert "Accepted as is. Agreed by the owners" in page.text
    assert state(small_house, item).state == "accepted_as_is"


def test_withdraw_asks_why(small_house, superintendent, item):
    assert does(superintendent, item, "withdrawn").status == 422
    assert does(superintendent, item, "withdrawn", reason="It is a shadow.").status == 200
    assert state(small_house, item).state == "withdrawn"


def test_pass_it_on_to_another_crew(small_house, superintendent, item):
    assert does(superintendent, item, "passed_on").status == 422
    assert does(superintendent, item, "passed_on", trade="paint").status == 422
    page = does(superintendent, item, "passed_on", trade="trim", reason="the casing did it")
    assert state(small_house, item).trade == "trim"
    assert "Passed on to the Trim crew" in page.text


def test_a_note_or_a_photo_or_both(small_house, superintendent, item):
    assert does(superintendent, item, "note").status == 422
    assert does(superintendent, item, "note", photo=jpeg()).status == 200
    assert does(superintendent, item, "note", reason="Ask the owner.").status == 200
    assert [a.act for a in acts(small_house, item)] == ["opened", "note", "note"]
    assert state(small_house, item).state == "open"


def test_only_what_the_state_allows_is_offered(superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    assert '<details id="do-accepted" data-act' in page.html
    assert '<details id="do-sent_back" hidden' in page.html
    does(superintendent, item, "accepted")
    page = superintendent.opens(f"/items/{item}")
    assert '<details id="do-sent_back" data-act' in page.html
    assert '<details id="do-withdrawn" hidden' in page.html


def test_what_the_state_no_longer_allows_keeps_what_was_typed(small_house, superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    hidden = {k: page.fields[k] for k in ("csrf_token", "entry_id", "seen")}
    does(superintendent, item, "accepted")
    late = {**hidden, "act": "withdrawn", "reason": "It is a shadow."}
    page = superintendent.sends(f"/items/{item}/acts", late)
    assert page.status == 422
    assert "P-1 is accepted now" in page.text
    assert "It is a shadow." in page.html
    assert state(small_house, item).state == "accepted"


def test_the_same_act_twice_counts_once(small_house, superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    hidden = {k: page.fields[k] for k in ("csrf_token", "entry_id", "seen")}
    sent = {**hidden, "act": "passed_on", "trade": "trim", "reason": "theirs"}
    assert superintendent.sends(f"/items/{item}/acts", sent).status == 200
    assert superintendent.sends(f"/items/{item}/acts", sent).status == 200
    assert [a.act for a in acts(small_house, item)] == ["opened", "passed_on"]


def test_the_same_form_with_another_reason_is_explained(small_house, superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    hidden = {k: page.fields[k] for k in ("csrf_token", "entry_id", "seen")}
    url = f"/items/{item}/acts"
    superintendent.sends(url, {**hidden, "act": "note", "reason": "one"})
    page = superintendent.sends(url, {**hidden, "act": "note", "reason": "two"})
    assert page.status == 409
    assert "already saved once" in page.text
    assert "two" in page.html
    assert len(acts(small_house, item)) == 2


@pytest.mark.parametrize("act", ["", "exploded", "not_ours", "<b>"])
def test_an_act_that_is_none_is_refused_politely(small_house, superintendent, item, act):
    page = does(superintendent, item, act, reason="x")
    assert page.status == 422
    assert "<b>" not in page.text
    assert len(acts(small_house, item)) == 1


def test_two_tabs_show_the_clash(small_house, superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    hidden = {k: page.fields[k] for k in ("csrf_token", "entry_id", "seen")}
    body = Act(act="note", reason="Second coat tomorrow.")
    small_house.enters("act/1", body, subject=f"item:{item}", by="crew/paint")
    sent = {**hidden, "act": "note", "reason": "Where are you?"}
    page = superintendent.sends(f"/items/{item}/acts", sent)
    assert page.status == 200
    assert "Entered without the line before it being seen." in page.text


def test_an_act_without_effect_stands_there_with_the_reason(small_house, superintendent, item):
    does(superintendent, item, "withdrawn", reason="a shadow")
    small_house.enters("act/1", Act(act="corrected"), subject=f"item:{item}", by="crew/paint")
    page = superintendent.opens(f"/items/{item}")
    assert "No effect:" in page.text
    assert "withdrawn" in page.text


def test_a_struck_line_stays_legible(small_house, superintendent, item):
    does(superintendent, item, "note", reason="wrong door")
    last = acts(small_house, item)[-1]
    small_house.enters("strike/1", Strike(last.id, "I meant the hall"), subject=f"item:{item}")
    page = superintendent.opens(f"/items/{item}")
    assert 'class="said struck">wrong door' in page.html
    assert "I meant the hall" in page.text


def test_every_line_but_a_struck_one_can_be_struck(superintendent, item):
    page = superintendent.opens(f"/items/{item}")
    assert page.html.count("/strike") == 1


def test_an_unknown_item_is_a_page_that_says_so(superintendent):
    assert superintendent.opens("/items/none").status == 404
    assert superintendent.sends("/items/none/acts", {}).status in (403, 404)


def test_the_act_is_the_superintendents(small_house, superintendent, item):
    does(superintendent, item, "accepted")
    with small_house.conn() as c:
        assert journal.entries(c)[-1].author == "superintendent/Ines"
