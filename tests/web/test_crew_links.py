"""Links: a crew's to its own list, the owner's to the fixed letters."""

from __future__ import annotations

import re

import pytest
from lan_cast import LanHouse
from web_cast import OPEN_STAIR, SmallHouse

from fieldlog.calc.bodies import Letter
from fieldlog.store import journal

KILOBYTE = 1024


@pytest.fixture
def lan(small_house: SmallHouse) -> LanHouse:
    """The small house at three doors."""
    return LanHouse(small_house)


def test_the_printed_code_leads_to_the_list(lan: LanHouse) -> None:
    lan.small.opens_item("closet", "paint", "Scratch by the hinge")
    code, page = lan.link("paint")
    assert 'class="qr"' in page
    for typed in (code, f"{code[:5]} {code[5:]}", code.upper()):
        phone = lan.comes("plain")
        came = phone.fills("/in", code=typed)
        assert "Scratch by the hinge" in came.text
        assert phone.opens("/").text == came.text  # `/` leads to the own list


def test_the_link_is_shown_once_and_a_second_press_of_the_same_form_ends_nothing(
    lan: LanHouse,
) -> None:
    machine = lan.at_machine()
    fields = machine.opens("/links/crew/paint").fields
    first = machine.sends("/links/crew/paint", fields)
    found = re.search(r"code-shown\">(\w{5}) (\w{5})<", first.html)
    assert found
    again = machine.sends("/links/crew/paint", fields)
    assert again.status == 409
    assert "code-shown" not in again.html
    assert lan.comes("plain").fills("/in", code=found[1] + found[2]).status == 200
    later = machine.opens("/links/crew/paint")
    assert "It was last used" in later.text
    assert "code-shown" not in later.html


def test_a_new_link_and_an_ended_one_send_the_phones_away(lan: LanHouse) -> None:
    first = lan.crew("paint")
    other = lan.crew("trim")
    second = lan.crew("paint")  # by a new link
    assert first.opens("/crews/paint").status == 403
    machine = lan.at_machine()
    page = machine.opens("/links/crew/paint")
    machine.sends("/links/crew/paint/end", page.fields)
    assert second.opens("/crews/paint").status == 403
    assert other.opens("/crews/trim").status == 200
    lan.small.clock.passes(days=61)
    assert other.opens("/crews/trim").status == 403
    with lan.small.conn() as conn:
        acts = [e.body for e in journal.entries(conn, type="access/1")]
    assert [re.search(r'"act":"(\w+)"', a)[1] for a in acts] == [  # type: ignore[index]
        "link_made", "link_made", "link_made", "link_revoked",
    ]  # fmt: skip


def test_wrong_codes_are_slowed_by_address_and_never_the_machine(lan: LanHouse) -> None:
    code, _ = lan.link("paint")
    stranger = lan.comes("plain", "10.0.0.66")
    for _ in range(10):
        assert "not the code" in stranger.fills("/in", code="2222222222").text
    assert "Too many" in stranger.fills("/in", code=code).text
    assert lan.comes("plain", "10.0.0.5").fills("/in", code=code).status == 200
    assert lan.at_machine().opens("/crews/paint").status == 200
    lan.small.clock.passes(minutes=11)
    assert stranger.fills("/in", code=code).status == 200


def test_a_crews_page_needs_no_script_and_is_small(lan: LanHouse) -> None:
    check = lan.small.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    for n in range(30):
        lan.small.opens_item("closet", "stair", f"Scratch number {n}")
    lan.small.opens_item("boat-room", "stair", "Gaps", check=check, rules=("stair.open-gap",))
    crew = lan.crew("stair")
    page = crew.opens("/crews/stair")
    assert len(page.response.data) < 30 * KILOBYTE
    assert "<script" not in page.html
    assert page.inline == []
    for said in ("Gaps", "Measured", "Needs", "Corrected, come look"):
        assert said in page.text
    allowed = re.compile(r"^(#|/crews/stair|/static/|/photos/|/manifest)")
    links = re.findall(r'(?:href|action|src)="([^"]+)"', page.html)
    assert [link for link in links if not allowed.match(link)] == []
    assert "Rooms" not in page.text


def test_a_crew_says_corrected_asks_and_only_in_its_own_name(lan: LanHouse) -> None:
    item = lan.small.opens_item("closet", "paint", "Scratch by the hinge")
    crew = lan.crew("paint")
    for act, reason in (("note", "Which white?"), ("corrected", "")):
        fields = crew.opens("/crews/paint").fields
        own = {n: fields[n] for n in ("csrf_token", "entry_id", "seen")}
        path = f"/crews/paint/items/{item}"
        assert crew.sends(path, own | {"act": act, "reason": reason}).status == 200
    with lan.small.conn() as conn:
        authors = {e.author for e in journal.entries(conn, type="act/1")}
    assert authors == {"crew/paint"}
    assert "Which white?" in lan.at_machine().opens(f"/items/{item}").text


def test_the_owner_reads_fixed_letters_and_nothing_else(lan: LanHouse) -> None:
    for week, fixed in (("2026-03-06", True), ("2026-02-27", False)):
        words = "ceilings are done" if fixed else "not for anyone yet"
        letter = Letter(week, "Dear owner", words, "", "", "Ines", (), fixed)
        lan.small.enters("letter/1", letter)
    owner = lan.owner()
    listed = owner.opens("/")
    assert "March 6" in listed.text or "Mar 6" in listed.text
    assert "Feb 27" not in listed.text
    assert "ceilings are done" in owner.opens("/letters/2026-03-06").text
    whole = owner.opens("/letters/2026-03-06/letter.html")
    assert "letter-2026-03-06.html" in whole.response.headers["Content-Disposition"]
    assert "ceilings are done" in whole.text
    for path in ("/letters/2026-02-27", "/letters/2026-02-27/letter.html", "/letters/x"):
        assert owner.opens(path).status == 404
    for path in ("/reports/weekly/2026-03-06", "/crews/paint", "/rooms"):
        assert owner.opens(path).status == 403
    code, _ = lan.link("paint")
    assert lan.comes("tls").fills("/in", code=code).status == 422  # a crew's, at the wrong door


def test_without_lan_the_page_says_how(small_house: SmallHouse) -> None:
    from web_cast import Person

    page = Person(small_house.app.test_client()).opens("/links/crew/paint")
    assert "fieldlog serve --lan" in page.text
    assert "Make the link" not in page.text
