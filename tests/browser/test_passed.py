"""A tablet in a crew's hands, its office out of reach: that crew's list and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog import intake
from fieldlog.calc.bodies import ItemEntry
from fieldlog.calc.entries import subject_of
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from fieldlog.store.db import open_writer
from fieldlog.store.files import load_library
from tests.browser.conftest import HOUSE
from tests.browser.lan_site import LanSite, pairs, tablet
from tests.browser.people import until

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

PIN = "7391"
CLOSED = ("/", "/rooms", "/rooms/hall", "/punch", "/crews/stair", "/tablet/outbox")
"""Pages that the tablet has, and that are not the painters'."""
LIST_KEPT = "async () => Boolean(await caches.match('/crews/paint', {cacheName: 'passed-list'}))"


@pytest.fixture
def site(tmp_path: Path, now: datetime) -> Iterator[LanSite]:
    """The mill with an item for each crew, served at its three doors."""
    folder = tmp_path / "mill"
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
    with closing(open_writer(folder)) as conn:
        for number, (trade, words) in enumerate((("paint", "Drip"), ("stair", "Squeak")), 1):
            made, body = new_id(now, bytes([number]) * 10), ItemEntry("", "hall", trade, words)
            intake.record(
                conn, folder, load_library(folder), id=made, type="item/1", body=body, now=now,
                subject=subject_of(made, body), author="superintendent/Ada Quill",
            )  # fmt: skip
    made_site = LanSite(folder, tmp_path / "profile")
    made_site.starts()
    yield made_site
    made_site.stops()


def passes(page: Page) -> None:
    """To the painters, until the worker knows it."""
    page.goto("/crews/paint")
    page.locator("html[data-outbox]").wait_for()
    page.get_by_text("Pass this tablet to").click()
    page.locator("#pin").fill(PIN)
    with page.expect_navigation():
        page.get_by_role("button", name="Pass it").click()
    page.locator("html[data-locked]").wait_for()


@pytest.mark.slow
def test_out_of_reach_a_passed_tablet_shows_the_crews_list_alone(
    site: LanSite, browser: Browser
) -> None:
    with tablet(site, browser) as context:
        page = context.new_page()
        pairs(page, site)
        passes(page)
        until(page, LIST_KEPT)
        site.stops()
        for address in CLOSED:
            page.goto(address)
            assert page.url.endswith("/crews/paint"), address
            assert page.get_by_role("heading", name="Drip").is_visible()
        page.go_back()
        assert page.get_by_text("Squeak").count() == 0
        data = "async () => (await fetch('/tablet/data.json').catch(() => null))?.status ?? null"
        assert page.evaluate(data) is None
        page.goto("/crews/paint")
        page.get_by_role("button", name="Corrected, come look").click()
        page.locator(".said-here").filter(has_text="No signal").wait_for()
    with tablet(site, browser) as context:  # switched off and on again
        page = context.new_page()
        page.goto("/rooms/hall")
        assert page.url.endswith("/crews/paint")
        page.evaluate("() => caches.delete('passed-list')")  # as if it had not come in time
        for address in (*CLOSED, "/crews/paint"):
            page.goto(address)
            assert page.get_by_text("did not get onto it").is_visible(), address
        assert page.locator("a").count() == 1, "it leads nowhere but to itself"
        site.starts()
        page.goto("/crews/paint")
        page.get_by_text("Take the tablet back").click()
        page.locator("#pin").fill(PIN)
        with page.expect_navigation():
            page.get_by_role("button", name="Take it back").click()
        page.locator(".line").filter(has_text="This tablet has all").wait_for()
        site.stops()
        page.goto("/rooms/hall")
        page.get_by_text("First flight").first.wait_for()
