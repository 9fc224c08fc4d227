"""A tablet is paired and tests itself: ready for walking, or what is missing in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog import intake
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from tests.browser.conftest import HOUSE
from tests.browser.lan_site import LanSite, pairs, tablet

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

ALL = ("worker", "filled", "lasting", "writes", "photo", "reload")
CUT = """async () => {
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const one of await cache.keys()) if (one.url.endsWith("app.js")) await cache.delete(one);
  }
}"""
"""A filling that lacks the script that every page needs."""


@pytest.fixture
def site(tmp_path: Path, now: datetime) -> Iterator[LanSite]:
    """The mill at its three doors."""
    folder = tmp_path / "mill"
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
    made = LanSite(folder, tmp_path / "profile")
    made.starts()
    yield made
    made.stops()


def results(page: Page) -> dict[str, str]:
    """Which test ended how."""
    page.locator("body.tested").wait_for()
    found = page.locator("[data-test]").evaluate_all("all => all.map(e => e.dataset)")
    return {one["test"]: one["result"] for one in found}


def promises_to_keep(page: Page) -> None:
    """The browser's promise, which a person gives by putting the app on the home screen."""
    told = page.context.new_cdp_session(page)
    told.send("Browser.grantPermissions", {"permissions": ["durableStorage"]})


def test_a_paired_tablet_tests_itself_and_says_what_is_missing(
    site: LanSite, browser: Browser
) -> None:
    with tablet(site, browser) as context:
        page = context.new_page()
        pairs(page, site)
        assert page.url.endswith("/tablet/ready")
        assert results(page) == dict.fromkeys(ALL, "yes") | {"lasting": "no"}
        verdict = page.locator("#verdict")
        assert "Not ready for walking yet: 1 of 6 missing" in verdict.inner_text()
        assert page.get_by_text("Step 5 of the guide: add the app to the home screen").is_visible()
        page.goto("/rooms")
        page.locator(".line").get_by_role("link", name="Is it ready for walking?").click()
        promises_to_keep(page)
        page.reload()
        assert results(page) == dict.fromkeys(ALL, "yes")
        assert verdict.inner_text() == "Ready for walking."
        page.goto("/rooms")
        page.locator(".line").filter(has_text="This tablet has all").wait_for()
        assert "ready for walking" not in page.locator(".line").inner_text()
        page.evaluate(CUT)
        page.goto("/tablet/ready")
        assert results(page)["reload"] == "no"
        site.stops()
        page.reload()
        assert results(page)["photo"] == "no"
