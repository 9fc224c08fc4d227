"""The people of a test, and the browser they share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from tests.browser.navigators import Crew, Superintendent

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PHONE, TABLET = (390, 844), (1024, 768)
NOT_FOUND = 404
PATIENCE = 15_000
"""Milliseconds that a page may take before a test calls it broken."""
PAUSE = 50


@contextmanager
def page_of(
    browser: Browser, address: str, size: tuple[int, int], script: bool = True
) -> Iterator[Page]:
    """A page in a browser of its own; an error in its script fails the test.

    Without the worker, which would fetch the whole house ahead for every test:
    `test_no_signal.py` has it.
    """
    context = browser.new_context(
        base_url=address,
        viewport={"width": size[0], "height": size[1]},
        java_script_enabled=script,
        has_touch=True,
        is_mobile=size == PHONE,
        service_workers="block",
    )
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.on("response", lambda got: wrong.append(got.url) if got.status == NOT_FOUND else None)
    try:
        yield page
    finally:
        context.close()
    assert not wrong, "\n".join(wrong)


def until(page: Page, script: str) -> None:
    """Ask until a promise comes true; Playwright's own wait takes the promise itself for true."""
    for _ in range(PATIENCE // PAUSE):
        if page.evaluate(script):
            return
        page.wait_for_timeout(PAUSE)
    raise AssertionError(f"not true within {PATIENCE} ms: {script}")


class People:
    """Those who use the page; they share a browser, as they share the machine."""

    def __init__(self, page: Page, script: bool) -> None:
        self.page, self.script = page, script
        self.superintendent = Superintendent(page, script)

    def crew(self, trade: str) -> Crew:
        """The crew of a trade id."""
        return Crew(self.page, trade, self.script)
