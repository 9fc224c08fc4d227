"""Reports on paper: the letter is one page, nothing of the screen's edges is printed."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog.reports.files import Files
from fieldlog.store import reading
from tests.browser.people import TABLET, page_of
from tests.seeded import LAST, house_folder, reader

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

DAY, FRIDAY = LAST.isoformat(), "2026-03-06"
ON_SCREEN_ONLY = (".foot", ".line", ".skip", ".letter-draft")
CUT = """() => [...document.querySelectorAll(".report-rows > li, .finding, .report-photos li")]
  .filter((e) => getComputedStyle(e).breakInside !== "avoid").length"""


def pages_of(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_letter_is_one_page(browser: Browser, tmp_path: Path, paper: str) -> None:
    with reader() as conn:
        files = Files(tmp_path, conn, reading.house(conn), house_folder())
        written = files.weekly(FRIDAY)[0]
    page = browser.new_page()
    page.goto(written.as_uri())
    assert page.locator("img").count() == 3
    assert pages_of(page.pdf(format=paper)) == 1
    page.close()


def test_a_report_prints_without_the_screens_edges(browser: Browser, demo: str) -> None:
    with page_of(browser, demo, TABLET) as page:
        for address in (f"/reports/daily/{DAY}", "/reports/punch/paint"):
            page.goto(address)
            page.emulate_media(media="print")
            nothing_of_the_screen_is_left(page)
            assert page.evaluate(CUT) == 0
            page.emulate_media(media="screen")


def nothing_of_the_screen_is_left(page: Page) -> None:
    for part in ON_SCREEN_ONLY:
        assert page.locator(f"{part}:visible").count() == 0, part
    paper = page.evaluate("getComputedStyle(document.body).backgroundImage")
    assert paper == "none"
