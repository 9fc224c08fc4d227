"""A crew's list leaves by the share sheet where the browser has one; else its two links stay.

Chromium on Linux has no share sheet: one is put in its place, and keeps what it was given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.people import PHONE, page_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

SHEET = """
window.taps = 0;
navigator.canShare = (what) => what.files.every((one) => one.type === "text/html");
navigator.share = async ({ title, text, files }) => {
  window.taps += 1;
  if (window.taps === 1) throw new DOMException("too long after the tap", "NotAllowedError");
  window.shared = { title, text, name: files[0].name, page: await files[0].text() };
};
"""


def test_the_list_is_shared_as_text_and_as_one_file(browser: Browser, demo: str) -> None:
    with page_of(browser, demo, PHONE) as page:
        page.goto("/crews/trim")
        assert page.get_by_role("link", name="As a file").is_visible()
        assert not page.locator("#share").is_visible()
        page.add_init_script(SHEET)
        page.reload()
        page.get_by_role("button", name="Share", exact=True).click()
        page.get_by_role("button", name="Share it now").click()
        page.wait_for_function("window.shared")
        assert not page.get_by_role("link", name="As a file").is_visible()
        shared = page.evaluate("window.shared")
        page.get_by_role("button", name="Share", exact=True).wait_for()
    assert "Answer with the numbers" in shared["text"]
    assert shared["name"].startswith("punch-trim-")
    assert "data:image/jpeg" in shared["page"]
    assert 'src="/' not in shared["page"]
