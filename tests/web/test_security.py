"""The page is safe from the start: names, tokens, headers, nothing inline."""

from __future__ import annotations

import re

import pytest
from web_cast import OPEN_STAIR, Person, SmallHouse

PAGES = (
    "/", "/rooms", "/rooms/boat-room", "/rooms/closet", "/rooms/boat-room/checks/floor",
    "/rooms/boat-room/checks/stair?place=first-flight", "/rooms/gallery/checks/trim",
    "/rooms/gallery/checks/visual", "/rooms/boat-room/checks/handrail", "/nowhere",
)  # fmt: skip


@pytest.mark.parametrize("host", ["127.0.0.1:8321", "localhost", "localhost:9", "[::1]:8321"])
def test_the_machines_own_names_are_answered(superintendent: Person, host: str) -> None:
    assert superintendent.opens("/", headers={"Host": host}).status == 200


@pytest.mark.parametrize("host", ["house.example", "127.0.0.1.house.example", "10.0.0.4:8321"])
def test_another_name_gets_a_sentence_and_nothing_else(outsider: Person, host: str) -> None:
    page = outsider.opens("/rooms", headers={"Host": host})
    assert page.status == 400
    assert "http://127.0.0.1:8321/" in page.text
    assert "Boat room" not in page.text


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_carries_its_policy_and_nothing_inline(
    small_house: SmallHouse, superintendent: Person, path: str
) -> None:
    small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    page = superintendent.opens(path)
    policy = page.response.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert page.response.headers["X-Content-Type-Options"] == "nosniff"
    assert page.response.headers["Referrer-Policy"] == "no-referrer"
    assert page.inline == []
    assert page.headings == 1


def test_a_result_page_has_nothing_inline_either(
    small_house: SmallHouse, superintendent: Person
) -> None:
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    page = superintendent.opens(f"/checks/{check}")
    assert page.status == 200
    assert page.inline == []
    assert page.headings == 1


@pytest.mark.parametrize(
    "path",
    ["/walk", "/rooms/boat-room/checks/floor", "/rooms/boat-room/checks/floor/preview"],
)
@pytest.mark.parametrize("token", [None, "", "##", "x##y"])
def test_a_post_without_the_sessions_token_stores_nothing(
    small_house: SmallHouse, outsider: Person, path: str, token: str | None
) -> None:
    before = small_house.entries()
    data = {} if token is None else {"csrf_token": token}
    page = outsider.sends(path, data)
    assert page.status == 403
    assert "Go back" in page.text
    assert small_house.entries() == before


def test_another_browsers_token_is_no_good(
    small_house: SmallHouse, superintendent: Person, outsider: Person
) -> None:
    outsider.opens("/")
    token = superintendent.opens("/").fields["csrf_token"]
    assert outsider.sends("/walk", {"csrf_token": token, "day": "2026-03-03"}).status == 403
    assert small_house.entries() == 1


def test_a_post_from_another_site_is_refused_even_with_a_token(superintendent: Person) -> None:
    fields = superintendent.opens("/").fields
    page = superintendent.sends("/walk", fields, headers={"Sec-Fetch-Site": "cross-site"})
    assert page.status == 403


def test_the_cookie_is_strict_and_out_of_reach_of_scripts(superintendent: Person) -> None:
    cookie = superintendent.opens("/").response.headers["Set-Cookie"]
    assert re.search(r"SameSite=Strict", cookie)
    assert re.search(r"HttpOnly", cookie)


def test_a_form_that_was_open_over_a_restart_can_still_be_sent(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = superintendent.opens("/").fields
    again = small_house.restarted().test_client()
    cookie = superintendent.client.get_cookie("fieldlog")
    assert cookie is not None
    again.set_cookie("fieldlog", cookie.value)
    page = Person(again).sends("/walk", fields)
    assert page.status == 200
    assert small_house.entries() == 2
