"""What is done with no signal stands in every list at once, marked, and once only when it is sent.

The acts and what follows from them are those of the published table (DEVELOPERS.md, "The
journal").
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from fieldlog import intake
from fieldlog.calc.bodies import ItemEntry
from fieldlog.calc.entries import Act, subject_of
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from fieldlog.store import journal, reading
from fieldlog.store.db import open_reader, open_writer
from fieldlog.store.files import load_library
from tests.browser.conftest import HOUSE
from tests.browser.navigators import Superintendent
from tests.browser.test_no_signal import Site, ready, tablet
from tests.sync.served import free_port

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from fieldlog.calc.shape import Strict

pytestmark = pytest.mark.browser

OPENED = (("paint", "hall", "Drip"), ("stair", "hall", "Squeak"), ("paint", "study", "Holiday"))
MARK = "on this tablet only"
TWO_STORIES = (
    HOUSE.replace('"Study"\nstory = "second"', '"Study"\nstory = "attic"')
    + '[[stories]]\nid = "attic"\nname = "Attic"\n'
)


class House:
    """The mill's folder, where the office and the crews enter things as well."""

    def __init__(self, folder: Path, now: datetime) -> None:
        self.folder, self.now, self.made = folder, now, 0
        intake.start_house(folder, parse_house(TWO_STORIES), now, new_id(now, bytes(10)))

    def enters(
        self, type: str, body: Strict, subject: str = "", by: str = "superintendent/Ada Quill"
    ) -> str:
        """One entry: its id."""
        self.made += 1
        made = new_id(self.now, bytes([self.made]) * 10)
        with closing(open_writer(self.folder)) as conn:
            intake.record(
                conn, self.folder, load_library(self.folder), id=made, type=type, body=body,
                now=self.now, subject=subject or subject_of(made, body), author=by,
            )  # fmt: skip
        return made

    def acts(self, item: str) -> list[tuple[str, bool]]:
        """What was done about an item, and whether it had effect, in the journal's order."""
        with closing(open_reader(self.folder)) as conn:
            assert journal.verify(conn) == []
            return [(one.act, one.effect) for one in reading.item_history(conn, item)]

    def id_of(self, number: str) -> str:
        with closing(open_reader(self.folder)) as conn:
            return next(i.id for i in reading.items(conn) if i.number == number)


@pytest.fixture
def house(tmp_path: Path, now: datetime) -> House:
    return House(tmp_path / "mill", now)


@pytest.fixture
def items(house: House) -> list[str]:
    return [house.enters("item/1", ItemEntry("", room, crew, said)) for crew, room, said in OPENED]


@pytest.fixture
def site(house: House, tmp_path: Path) -> Iterator[Site]:
    made = Site(house.folder, free_port(), tmp_path / "profile")
    made.starts()
    yield made
    made.stops()


def opens(page: Page, address: str) -> None:
    page.goto(address)
    page.locator("html[data-outbox]").wait_for()


def does(page: Page, button: str, act: str = "", **typed: str) -> None:
    """One act: on the bar, or in its form with what it asks for."""
    form = page.locator(f"#do-{act}") if act else page.locator(".act")
    if act:
        form.locator("summary").click()
    for name, text in typed.items():
        field = form.locator(f"[name={name}]").first
        if field.get_attribute("type") == "radio":
            form.locator(f"[name={name}][value='{text}']").check(force=True)
        else:
            field.fill(text)
    with page.expect_navigation():
        form.get_by_role("button", name=button).click()
    page.locator("html[data-outbox]").wait_for()


def stamped(place: Locator, stamp: str, mark: bool = True) -> None:
    """Until the item's stamp there says so, with the mark or without."""
    place.locator(".stamp").first.filter(has_text=stamp).wait_for()
    assert (place.locator(".only-here").count() > 0) == mark, place.inner_text()


def offered(page: Page) -> set[str]:
    shown = "all => all.filter(one => !one.hidden).map(one => one.dataset.act)"
    return set(page.eval_on_selector_all("details[data-act]", shown))


def row(page: Page, words: str) -> Locator:
    return page.locator("[data-items] > :not([hidden])").filter(has_text=words)


def opens_an_item(page: Page, room: str) -> str:
    opens(page, f"/rooms/{room}/items/new")
    ada = Superintendent(page, script=True)
    ada.chooses("Paint crew")
    ada.chooses("Scratch")
    ada.presses("Put on the list")
    return ada.number_said()


@pytest.mark.slow
def test_what_is_done_out_of_reach_stands_in_every_list(
    house: House, items: list[str], site: Site, browser: Browser
) -> None:
    drip, squeak, holiday = items
    with tablet(site, browser) as context:
        page = context.new_page()
        ready(page)
        site.stops()

        opens(page, f"/items/{drip}")
        does(page, "Accept: seen corrected")
        stamped(page.locator(".item-head"), "accepted")
        assert offered(page) == {"sent_back", "note"}

        opens(page, f"/items/{squeak}")  # two acts in a row
        does(page, "Corrected, says the crew", "corrected", how="call")
        stamped(page.locator(".item-head"), "corrected")
        assert "sent_back" in offered(page)
        does(page, "Send back", "sent_back", reason="It still squeaks.")
        stamped(page.locator(".item-head"), "sent back")
        assert page.locator(".history .made-here .only-here").count() == 2

        number = opens_an_item(page, "study")
        opens(page, "/rooms/study")
        row(page, number).locator("a").click()  # an item that the office has never seen
        page.locator("#kept-item:visible").wait_for()
        page.locator("html[data-outbox]").wait_for()
        does(page, "Pass it on", "passed_on", trade="stair", reason="It is the stringer.")
        page.locator(".head-right").filter(has_text="Stair crew").wait_for()
        does(page, "Accept: seen corrected", "accepted")
        stamped(page.locator(".item-head"), "accepted")
        does(page, "Send back", "sent_back", reason="Not on the landing.")
        stamped(page.locator(".item-head"), "sent back")

        stale = context.new_page()
        opens(stale, f"/items/{holiday}")
        opens(page, f"/items/{holiday}")
        does(page, "Withdraw", "withdrawn", reason="It is the primer.")
        stamped(page.locator(".item-head"), "withdrawn")
        assert offered(page) == {"note"}
        stale.locator("form[data-act=accepted]").evaluate("form => form.requestSubmit()")
        said = stale.locator(".said-here").text_content() or ""
        assert "the item was withdrawn, and accepted does not follow that" in said
        stale.close()

        measures_a_riser(page)
        looks_around(page, number)
        picks_out(page, number)
        house.enters("act/1", Act("note", reason="Which tread?"), f"item:{squeak}", "crew/stair")
        site.starts()
        page.goto("/")
        page.locator(".line").filter(has_text="All sent").wait_for()
        looks_again(page, number)
        opens(page, f"/items/{squeak}?of=the-office")
        page.get_by_text("Entered without the line before it being seen").first.wait_for()
        assert page.locator(".history > li").count() == 4
        opens(page, f"/items/{drip}?of=the-office")
        stamped(page.locator(".item-head"), "accepted", mark=False)
        assert page.locator(".history > li").count() == 2
    assert house.acts(squeak) == [(a, True) for a in ("opened", "note", "corrected", "sent_back")]
    made = house.acts(house.id_of(number))
    assert made == [(a, True) for a in ("opened", "passed_on", "accepted", "sent_back")]
    assert house.acts(holiday) == [("opened", True), ("withdrawn", True)]


def measures_a_riser(page: Page) -> None:
    """One reading of the planned stair, which is far too high."""
    opens(page, "/rooms/hall/checks/stair?place=first-flight")
    page.locator("body.keyed").wait_for()
    page.locator("#q-riser-1").fill("9")
    with page.expect_navigation():
        page.locator("form#entry").evaluate("form => form.requestSubmit()")
    page.locator("#kept .counts").wait_for()


def looks_around(page: Page, number: str) -> None:
    """The lists with no signal."""
    opens(page, "/punch")
    stamped(row(page, "Drip"), "accepted")
    stamped(row(page, "Squeak"), "sent back")
    stamped(row(page, "Holiday"), "withdrawn")
    stamped(row(page, number), "sent back")
    assert page.locator(".struck").all_inner_texts() == ["Drip", "Holiday"]
    assert page.locator(".head-right").inner_text() == "2 of 4"
    assert " ".join(page.locator(".counts").inner_text().split()) == "2 open 1 accepted 1 withdrawn"

    opens(page, "/rooms/hall")
    stamped(row(page, "Drip"), "accepted")
    measured = page.locator("[data-checks] > :not([hidden])")
    measured.locator(".mark-fail").wait_for()
    assert measured.count() == 1
    assert MARK in measured.inner_text()

    opens(page, "/crews/stair")
    stamped(row(page, "Squeak"), "sent back")
    stamped(row(page, number), "sent back")
    assert page.locator(".head-right").inner_text() == "2 on your list"

    opens(page, "/rooms")
    hall = page.locator("[data-here=hall]")
    hall.filter(has_text="1 on punch").wait_for()
    assert f"4 {MARK}" in hall.inner_text()


def picks_out(page: Page, number: str) -> None:
    """The punch list by crew, story and state, with no signal: rows, numbers, what is picked."""
    picked = (
        ("trade=stair", {"Squeak", number}, "2 of 2", "2 open"),
        ("trade=paint", {"Drip", "Holiday"}, "0 of 2", "1 accepted 1 withdrawn"),
        ("story=second", {"Drip", "Squeak"}, "1 of 2", "1 open 1 accepted"),
        ("trade=paint&state=done", {"Drip", "Holiday"}, "2 of 2", "1 accepted 1 withdrawn"),
        ("state=corrected", set(), "0 of 4", "2 open 1 accepted 1 withdrawn"),
    )
    for asked, words, counted, states in picked:
        opens(page, f"/punch?{asked}")
        page.locator(".head-right").filter(has_text=counted).wait_for()
        rows = page.locator("[data-items] > :not([hidden], .empty)").all_inner_texts()
        assert len(rows) == len(words), asked
        assert all(any(word in row for row in rows) for word in words), asked
        assert page.locator(".empty:visible").count() == (not words), asked
        assert " ".join(page.locator(".counts").inner_text().split()) == states, asked
        for name, value in (one.split("=") for one in asked.split("&")):
            assert page.locator(f"select[name={name}]").input_value() == value
        far = "the office lists them" in (page.locator("main").text_content() or "")
        assert far == ("state=done" in asked)
    opens(page, "/next?trade=stair")
    page.locator("main .notice").filter(has_text="With no signal this page shows every").wait_for()
    for address in ("/next", "/rooms/hall"):
        opens(page, address)
        page.get_by_text("What is on this tablet only is not counted here.").wait_for()


def looks_again(page: Page, number: str) -> None:
    """The same lists as the office makes them: the same states, nothing marked or doubled."""
    opens(page, "/punch")
    stamped(row(page, "Squeak"), "sent back", mark=False)
    stamped(row(page, number), "sent back", mark=False)
    assert page.locator("[data-items] > li:not(.empty, :has(.struck))").count() == 2
    assert page.locator(".head-right").inner_text() == "2 of 4"
    for address in ("/rooms/hall", "/rooms/study", "/crews/stair", "/rooms", "/"):
        opens(page, f"{address}?of=the-office")  # an address that no kept page has
        assert page.locator(".made-here, [data-not-counted]:visible").count() == 0, address
    opens(page, "/rooms/hall?of=the-office")
    assert page.locator("[data-checks] .mark-fail").count() == 1


@pytest.mark.slow
def test_a_kept_page_that_is_older_than_what_was_sent(
    items: list[str], site: Site, browser: Browser, tmp_path: Path
) -> None:
    drip, squeak, _ = items
    photo = tmp_path / "tread.jpg"
    Image.new("RGB", (640, 480), "tan").save(photo)
    with tablet(site, browser) as context:
        page = context.new_page()
        ready(page)
        site.stops()
        opens(page, "/")
        with page.expect_navigation():
            page.get_by_role("button", name="Start today's walk").click()
        page.locator("main .notice").filter(has_text=f"is started. {MARK}").wait_for()
        assert page.get_by_role("button", name="Start today's walk").count() == 0
        opens(page, f"/items/{drip}")
        does(page, "Accept: seen corrected")
        opens(page, "/rooms/hall/photos")
        page.locator("#photo").set_input_files(photo)
        with page.expect_navigation():
            page.locator("form#add").evaluate("form => form.requestSubmit()")
        page.locator("[data-photos] img").wait_for()
        opens(page, "/rooms/hall")
        stamped(row(page, "Drip"), "accepted")

        site.starts()  # the page that is open loses its marks, and keeps the states
        page.evaluate("dispatchEvent(new Event('online'))")
        page.locator(".line").filter(has_text="All sent").wait_for()
        page.wait_for_function("() => !document.querySelector('main .only-here')")
        stamped(row(page, "Drip"), "accepted", mark=False)
        site.stops()
        opens(page, f"/items/{squeak}")
        does(page, "Withdraw", "withdrawn", reason="It is the wind.")
        opens(page, "/rooms/hall")
        stamped(row(page, "Drip"), "accepted", mark=False)
        stamped(row(page, "Squeak"), "withdrawn")
        assert page.locator("[data-items] .struck").count() == 2
        assert page.locator("[data-photos] img").count() == 1
        opens(page, f"/items/{drip}")
        stamped(page.locator(".item-head"), "accepted", mark=False)
        assert page.locator(".history > li").count() == 2
        assert offered(page) == {"sent_back", "note"}
        opens(page, "/rooms")
        page.locator("[data-here=hall] .open-count").wait_for(state="hidden")
        assert f"1 {MARK}" in page.locator("[data-here=hall]").inner_text()
