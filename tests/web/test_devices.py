"""Tablets: paired by a code of the machine, listed, signed out, ended, passed to a crew."""

from __future__ import annotations

import io
import logging
import re

import pytest
from lan_cast import LanHouse
from web_cast import SmallHouse

from fieldlog.calc.bodies import AccessAct
from fieldlog.calc.entries import read_body
from fieldlog.store import access_db, journal
from fieldlog.web.access import DEVICE_COOKIE


@pytest.fixture
def lan(small_house: SmallHouse) -> LanHouse:
    """The small house at three doors."""
    return LanHouse(small_house)


def acts(lan: LanHouse) -> list[AccessAct]:
    """What the journal says of who may come in."""
    with lan.small.conn() as conn:
        found = [read_body(e.type, e.body) for e in journal.entries(conn, type="access/1")]
    return [one for one in found if isinstance(one, AccessAct)]


def test_a_tablet_is_paired_and_listed_with_when_it_was_seen(lan: LanHouse) -> None:
    tablet = lan.tablet("Kitchen")
    assert tablet.opens("/rooms").status == 200
    lan.small.clock.passes(minutes=5)
    tablet.opens("/")
    listed = lan.at_machine().opens("/tablets").text
    assert re.search(r"Kitchen Last seen Tue Mar 3, 8:20 am\. Paired Tue Mar 3, 8:15 am", listed)
    (paired,) = acts(lan)
    assert (paired.act, paired.name) == ("paired", "Kitchen")
    assert paired.of.startswith("tablet-")


def test_its_cookie_is_secure_strict_and_out_of_reach(lan: LanHouse) -> None:
    one = lan.comes("tls")
    page = one.fills("/pair", follow=False, code=lan.code())
    cookie = next(c for c in page.response.headers.getlist("Set-Cookie") if DEVICE_COOKIE in c)
    for said in ("Secure", "HttpOnly", "SameSite=Strict", "Path=/"):
        assert said in cookie
    assert "Domain" not in cookie
    token = cookie.split("=", 1)[1].split(";")[0]
    assert len(token) == 32
    assert token.encode() not in access_db.path_of(lan.small.folder).read_bytes()
    assert "Secure" in one.opens("/").response.headers.get("Set-Cookie", "Secure")


def test_the_code_may_be_typed_with_a_space_and_sent_twice(lan: LanHouse) -> None:
    code, one = lan.code(), lan.comes("tls")
    fields = one.opens("/pair").fields
    fields["code"] = f"{code[:3]} {code[3:]}"
    assert one.sends("/pair", fields).status == 200
    twice = lan.comes("tls")
    twice.client.set_cookie("x", "y")
    for cookie in one.client._cookies.values():
        twice.client.set_cookie(cookie.key, cookie.value, domain=cookie.domain, secure=True)
    assert twice.sends("/pair", fields).status == 200
    assert len(acts(lan)) == 1
    other = lan.comes("tls").fills("/pair", code=code)
    assert other.status == 422
    assert "used already" in other.text


def test_wrong_codes_end_it_and_the_machine_makes_the_next(lan: LanHouse) -> None:
    code, stranger = lan.code(), lan.comes("tls", "10.0.0.66")
    wrong = "000000" if code != "000000" else "111111"
    for _ in range(5):
        assert stranger.fills("/pair", code=wrong).status == 422
    assert "No code is good" in lan.comes("tls").fills("/pair", code=code).text
    assert lan.at_machine().opens("/rooms").status == 200
    assert lan.tablet().opens("/rooms").status == 200


def test_signing_out_takes_the_token_and_nothing_else(lan: LanHouse) -> None:
    tablet = lan.tablet()
    page = tablet.sends("/sign-out", tablet.opens("/tablets").fields, follow=False)
    assert "Clear-Site-Data" not in page.response.headers
    assert tablet.opens("/rooms").status == 403
    assert [a.act for a in acts(lan)] == ["paired", "device_revoked"]
    again = lan.tablet()
    assert again.opens("/rooms").status == 200
    assert len({a.of for a in acts(lan) if a.act == "paired"}) == 2


def test_a_pairing_is_ended_at_the_machine_only(lan: LanHouse) -> None:
    first, second = lan.tablet("First"), lan.tablet("Second")
    device = acts(lan)[0].of
    assert second.posts(f"/tablets/{device}/end").status == 403
    assert first.opens("/rooms").status == 200
    page = lan.at_machine().posts(f"/tablets/{device}/end")
    assert "Ended, 1" in page.text
    assert first.opens("/rooms").status == 403
    assert second.opens("/rooms").status == 200


class TestPassed:
    """A tablet in a crew's hands."""

    def test_it_shows_the_crews_list_only_until_its_number_is_typed(self, lan: LanHouse) -> None:
        lan.small.opens_item("closet", "paint", "Scratch by the hinge")
        tablet = lan.passed("paint")
        page = tablet.opens("/")
        assert "Scratch by the hinge" in page.text
        for path in ("/rooms", "/tablets", "/crews/trim", "/links/crew/paint"):
            assert tablet.opens(path).status == 403
        own = {n: page.fields[n] for n in ("csrf_token", "entry_id")}
        wrong = tablet.sends("/take-back", own | {"pin": "1111"})
        assert "That is not the number. 4 more tries." in wrong.text
        assert tablet.opens("/rooms").status == 403
        tablet.sends("/take-back", own | {"pin": "7391"})
        assert tablet.opens("/rooms").status == 200
        assert [a.act for a in acts(lan)] == ["paired", "passed", "taken_back"]

    def test_what_is_tapped_on_it_is_the_crews(self, lan: LanHouse) -> None:
        item = lan.small.opens_item("closet", "paint", "Scratch by the hinge")
        tablet = lan.passed("paint")
        fields = tablet.opens("/crews/paint").fields
        own = {n: fields[n] for n in ("csrf_token", "entry_id", "seen")}
        tablet.sends(f"/crews/paint/items/{item}", own | {"act": "corrected"})
        with lan.small.conn() as conn:
            (last,) = journal.entries(conn, type="act/1")
        assert last.author == "crew/paint"

    def test_the_browsers_kept_pages_are_dropped_and_nothing_stored(self, lan: LanHouse) -> None:
        tablet = lan.tablet()
        fields = tablet.opens("/crews/paint").fields
        own = {n: fields[n] for n in ("csrf_token", "entry_id")}
        for pin in ("", "12", "123456789", "abcd", "12 34", "١٢٣٤"):
            assert tablet.sends("/crews/paint/pass", own | {"pin": pin}).status == 422
        page = tablet.sends("/crews/paint/pass", own | {"pin": "7391"}, follow=False)
        assert page.response.headers["Clear-Site-Data"] == '"cache"'

    def test_the_machine_takes_it_back_without_the_number(self, lan: LanHouse) -> None:
        tablet = lan.passed("paint")
        assert "Passed to the Paint crew" in lan.at_machine().opens("/tablets").text
        lan.at_machine().posts(f"/tablets/{acts(lan)[0].of}/back")
        assert tablet.opens("/rooms").status == 200


def test_a_certificate_near_its_end_is_said_on_every_page(lan: LanHouse) -> None:
    assert "certificate ends" not in lan.at_machine().opens("/").text
    lan.small.clock.passes(days=700)
    for who in (lan.at_machine(), lan.tablet()):
        assert "certificate ends Fri Mar 3: see Tablets" in who.opens("/rooms").text
    assert "fieldlog tls renew" in lan.at_machine().opens("/tablets").text
    assert "certificate ends" not in lan.comes("tls").opens("/").text


def test_no_secret_is_logged(
    lan: LanHouse, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    caplog.set_level(logging.DEBUG)
    code, printed = lan.code(), lan.link("paint")[0]
    lan.comes("tls").fills("/pair", code=code)
    lan.comes("plain").fills("/in", code=printed)
    lan.comes("plain").fills("/in", code="wrong" + printed)
    said = caplog.text + "".join(capsys.readouterr())
    with lan.small.conn() as conn:
        said += "".join(e.body for e in journal.entries(conn))
    assert code not in said
    assert printed not in said


def test_somebody_without_a_role_can_send_little(lan: LanHouse) -> None:
    stranger = lan.comes("plain")
    big = {"code": (io.BytesIO(b"x" * 200_000), "x.bin")}
    assert stranger.sends("/in", big).status in (403, 413)


def test_a_form_whose_pairing_was_ended_pairs_under_a_new_id(lan: LanHouse) -> None:
    """A browser's Back button shows the form that paired it: its id is used up."""
    one, first = lan.comes("tls"), lan.code()
    fields = one.opens("/pair").fields
    fields["code"] = first
    assert one.sends("/pair", fields).status == 200
    lan.at_machine().posts(f"/tablets/{acts(lan)[0].of}/end")
    fields["code"] = first
    assert "pairing was ended" in one.sends("/pair", fields).text, "nor by the first code again"
    fields["code"] = code = lan.code()
    page = one.sends("/pair", fields)
    assert page.status == 422
    assert "This form's pairing was ended at the machine. Type the code once more." in page.text
    fields = page.fields
    fields["code"] = code
    assert one.sends("/pair", fields).status == 200
    assert one.opens("/rooms").status == 200
    assert len({a.of for a in acts(lan) if a.act == "paired"}) == 2
