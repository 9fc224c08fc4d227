"""The keypad in a real browser: two taps a riser, one for a repeat, and nothing typed is lost."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest
from web_cast import GOOD_STAIR, OPEN_STAIR, SmallHouse

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

STAIR = "/rooms/boat-room/checks/stair?place=first-flight"
PHONE, TABLET = {"width": 390, "height": 844}, {"width": 1024, "height": 768}
NARROW = {"width": 360, "height": 740}


@pytest.fixture
def address(small_house: SmallHouse) -> Iterator[str]:
    """The small house served on a free port of this machine."""
    from cheroot.wsgi import Server

    server = Server(("127.0.0.1", 0), small_house.app, numthreads=2)
    server.prepare()
    running = threading.Thread(target=server.serve)
    running.start()
    yield f"http://127.0.0.1:{server.bind_addr[1]}"
    server.stop()
    running.join()


@pytest.fixture(params=[PHONE, TABLET], ids=["phone", "tablet"])
def page(browser: Browser, address: str, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A page at both sizes; a fault in a script or a broken policy fails the test."""
    context = browser.new_context(viewport=request.param, base_url=address, service_workers="block")
    one = context.new_page()
    faults: list[str] = []
    one.on("pageerror", lambda error: faults.append(str(error)))
    one.on(
        "console",
        lambda said: faults.append(said.text) if "Content Security" in said.text else None,
    )
    yield one
    context.close()
    assert faults == []


def taps(page: Page, *keys: str) -> None:
    """Tap keys of the pad; by script, so that the browser does not scroll to them first."""
    for key in keys:
        page.evaluate(
            """key => [...document.querySelectorAll(`#pad [data-key="${key}"]`)]
                       .find(one => one.checkVisibility()).click()""",
            key,
        )


def values(page: Page, field: str) -> list[str]:
    """What stands in a list's slots."""
    found: list[str] = page.evaluate(
        "name => [...document.querySelectorAll(`[data-field=${name}] .slots input`)]"
        ".map(i => i.value)",
        field,
    )
    return found


def answers(page: Page, word: str) -> None:
    """Answer the question that the pad shows."""
    page.locator("#pad-answers button", has_text=word).click()


def test_two_taps_a_riser_and_one_for_a_repeat(page: Page) -> None:
    page.goto(STAIR)
    answers(page, "Yes")
    taps(page, "7", "1/2", "same", "same", "7", "9/16", "7", "0/16", "1", "0", "3/4")
    assert values(page, "riser")[:7] == ["7 1/2", "7 1/2", "7 1/2", "7 9/16", "7", "10 3/4", ""]


def test_the_verdict_shows_as_it_is_typed_and_says_what_is_wrong(page: Page) -> None:
    page.goto(STAIR)
    answers(page, "Yes")
    taps(page, "7", "1/2", "7", "7/8")
    page.locator("#pad-verdict", has_text="Over 7 3/4 in by 1/8 in.").wait_for()
    assert "over by 1/8 in" in page.locator("#say-q-riser-2").inner_text()
    taps(page, "back", "1/2")
    page.locator("#pad-verdict", has_text="Passes.").wait_for()
    assert values(page, "riser")[1] == "7 1/2"


def test_that_is_all_sets_the_number_of_slots_and_goes_on(page: Page) -> None:
    page.goto(STAIR)
    answers(page, "No")
    taps(page, "7", "1/2", *["same"] * 8)
    page.locator(".more button", has_text="That is all: 9 risers").click()
    assert len(values(page, "riser")) == 9
    assert len(values(page, "open_gap_measured")) == 9
    assert page.evaluate("document.activeElement.name") == "q-tread-1"
    page.locator('[data-more="tread"] button', has_text="One more").click()
    assert page.evaluate("document.activeElement.name") == "q-tread-13"


def test_a_slot_after_the_named_places_is_numbered(page: Page) -> None:
    page.goto("/rooms/gallery/checks/trim?place=lake-window")
    page.locator("body.keyed").wait_for()
    page.locator('[data-more="reveal"] button', has_text="One more").click()
    labels = page.locator('[data-field="reveal"] .slots label').all_text_contents()
    assert labels[-1].strip() == f"Reveal {len(labels)}"
    assert labels[-2].strip().startswith("Reveal, ")


def test_a_real_keyboard_works_and_enter_goes_on(page: Page) -> None:
    page.goto(STAIR)
    page.locator('[name="q-riser-1"]').click()
    page.keyboard.type("7 1/2")
    page.keyboard.press("Enter")
    page.keyboard.type("71/2")
    page.locator("#say-q-riser-2 [data-use]", has_text="7 1/2").first.click()
    assert values(page, "riser")[:2] == ["7 1/2", "7 1/2"]
    assert "/checks/stair" in page.url


def test_feet_have_their_key_and_stations_their_signs(page: Page) -> None:
    page.goto(STAIR)
    page.locator('[name="q-headroom"]').click()
    taps(page, "6", "ft", "8", "1/2")
    assert page.locator('[name="q-headroom"]').input_value() == "6 ft 8 1/2"
    page.goto("/rooms/boat-room/checks/floor")
    page.locator('[name="q-levels-1-1"]').click()
    taps(page, "0", "+3", "same", "1", "2", "sign")
    stations = page.locator('[data-kind="level"]')
    assert [stations.nth(n).input_value() for n in range(4)] == ["0", "+3", "+3", "-12"]


def test_a_reload_brings_back_what_was_typed_until_it_is_saved(
    page: Page, small_house: SmallHouse
) -> None:
    page.goto(STAIR)
    page.locator("html[data-outbox]").wait_for()
    answers(page, "Yes")
    taps(page, "7", "1/2", "same", "same")
    page.locator(".more button", has_text="That is all: 3 risers").click()
    page.locator("#note").fill("cold hands")
    page.wait_for_timeout(400)
    before = page.locator("[name=entry_id]").input_value()
    page.reload()
    page.locator("html[data-outbox]").wait_for()
    assert values(page, "riser") == ["7 1/2"] * 3
    assert page.locator("#note").input_value() == "cold hands"
    assert page.locator('[name="q-open_riser"]:checked').input_value() == "yes"
    assert page.locator("[name=entry_id]").input_value() == before
    page.evaluate("document.getElementById('entry').requestSubmit()")
    page.wait_for_url("**/checks/0*")
    assert small_house.check(before).note == "cold hands"
    page.goto(STAIR)
    assert values(page, "riser") == [""] * 3
    assert page.locator("#brought-back").is_hidden()


def test_a_refused_form_stands_at_its_first_error(page: Page, small_house: SmallHouse) -> None:
    page.goto(STAIR)
    page.locator('[name="q-riser-3"]').fill("7 3/0")
    page.evaluate("document.getElementById('entry').requestSubmit()")
    page.locator('[name="q-riser-3"][aria-invalid=true]:focus').wait_for()
    page.locator("#say-q-riser-3", has_text="a zero under the line").wait_for()
    assert page.locator('[name="q-riser-3"]').input_value() == "7 3/0"
    assert small_house.entries() == 1


SETTLES = 250
"""Milliseconds from a reading to what it and the others say, which comes in under the keys."""


def test_the_current_slot_stays_in_sight(page: Page) -> None:
    page.goto(STAIR)
    answers(page, "Yes")
    for n in range(1, 13):
        taps(page, "7", "1/2")
        page.wait_for_timeout(SETTLES)  # what the numbers say makes the pad taller
        top, floor = page.evaluate(
            """() => { const row = document.querySelector('.slot.here').getBoundingClientRect();
                 const pad = document.getElementById('pad').getBoundingClientRect();
                 const foot = document.querySelector('.foot').getBoundingClientRect();
                 return [row.top, (innerWidth < 760 ? pad.top : foot.top) - row.bottom]; }"""
        )
        assert top >= 0, n
        assert floor >= 0, n


def test_no_key_moves_while_readings_come_in(page: Page) -> None:
    page.goto(STAIR)
    answers(page, "Yes")
    where = "document.querySelector('#pad [data-key=\"5\"]').getBoundingClientRect().top"
    taps(page, "7", "1/2")
    page.locator("#pad-verdict .mark").wait_for()
    first = page.evaluate(where)
    taps(page, "8", "3/4")
    page.locator("#pad-summary .mark").first.wait_for()
    assert abs(page.evaluate(where) - first) < (40 if page.viewport_size == PHONE else 1)


@pytest.mark.parametrize("size", [NARROW, PHONE, TABLET], ids=["360", "390", "1024"])
def test_nothing_overflows_and_all_can_be_tapped(
    browser: Browser, address: str, small_house: SmallHouse, size: Any
) -> None:
    fails = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    small_house.opens_item("boat-room", "paint", "A long scratch " * 6)
    small_house.checks("gallery", "stair", GOOD_STAIR, place="A place with quite a long name")
    context = browser.new_context(viewport=size, base_url=address, service_workers="block")
    one = context.new_page()
    for path in (
        "/", "/rooms", "/rooms/boat-room", "/rooms/gallery", "/rooms/closet", STAIR,
        "/rooms/boat-room/checks/floor", "/rooms/gallery/checks/trim?place=lake-window",
        f"/checks/{fails}", "/nowhere",
    ):  # fmt: skip
        one.goto(path)
        assert one.evaluate(
            "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        ) == 0, path  # fmt: skip
        least = 44 if size == NARROW else 48  # seven keys in a row do not go wider on 360 px
        assert one.evaluate(SMALL_TARGETS, least) == [], path
    context.close()


SMALL_TARGETS = """least => [...document.querySelectorAll(
    'a, button, input:not([type=hidden]), select, textarea, summary')]
  .filter(e => e.checkVisibility() && !e.matches('.vh, .skip, .flow a, .problems a'))
  .map(e => e.matches('[type=radio], [type=checkbox]') ? e.closest('label') : e)
  .filter(e => { const r = e.getBoundingClientRect();
                 return Math.round(r.width) < least - 4 || Math.round(r.height) < 48 ||
                        (Math.round(r.width) < least && !e.matches('[data-key]')); })
  .map(e => e.outerHTML.slice(0, 90))"""
