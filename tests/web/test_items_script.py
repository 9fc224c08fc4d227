"""The two scripts of the item form in a real browser: phrases fill the text, a photo is shown."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from cheroot.wsgi import Server
from PIL import Image

from fieldlog.store import reading

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

LOCAL = "127.0.0.1"


@contextmanager
def served(app) -> Iterator[str]:
    server = Server((LOCAL, 0), app, numthreads=2)
    server.prepare()
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        yield f"http://{LOCAL}:{server.bind_addr[1]}"
    finally:
        server.stop()
        thread.join(timeout=10)


def opens(page: Page, address: str, script: bool) -> None:
    """The page, once its forms go the way they will go."""
    page.goto(address)
    if script:
        page.locator("html[data-outbox]").wait_for()


def script(page: Page) -> bool:
    """Whether the page's scripts have run."""
    return bool(page.locator("html[data-outbox]").count())


def sends(page: Page, name: str) -> None:
    """Press a form's button, and see the page that it leads to."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).last.click()


@pytest.fixture(params=[True, False], ids=["script", "no-script"])
def form(request, browser, small_house) -> Iterator[Page]:
    with served(small_house.app) as address:
        context = browser.new_context(
            base_url=address,
            viewport={"width": 390, "height": 844},
            java_script_enabled=request.param,
            service_workers="block",
        )
        page = context.new_page()
        opens(page, "/rooms/closet/items/new", request.param)
        yield page
        context.close()


@pytest.fixture
def door(tmp_path):
    path = tmp_path / "door.png"
    Image.new("RGB", (300, 200), "olive").save(path)
    return path


def test_four_taps(form, door, small_house):
    form.set_input_files("input[name=photo]", door)
    form.get_by_text("Paint crew", exact=True).click()
    form.get_by_text("Scratch", exact=True).click()
    sends(form, "Put on the list")
    assert re.search(r"[A-Z]+-1 is on the Paint crew’s list", form.inner_text("main"))
    with small_house.conn() as c:
        (item,) = reading.items(c)
    assert (item.words, item.trade, len(item.photos)) == ("Scratch", "paint", 1)


@pytest.mark.parametrize("form", [True], indirect=True)
def test_phrases_fill_the_text_and_follow_it(form):
    words = form.locator("#words")
    form.get_by_text("Scratch", exact=True).click()
    form.get_by_text("Paint holiday", exact=True).click()
    assert words.input_value() == "Scratch, Paint holiday"
    form.get_by_text("Scratch", exact=True).click()
    assert words.input_value() == "Paint holiday"
    words.fill("by the hinge")
    assert not form.locator("[data-phrase]").nth(1).is_checked()
    form.get_by_text("Scratch", exact=True).click()
    assert words.input_value() == "by the hinge, Scratch"


@pytest.mark.parametrize("form", [True], indirect=True)
def test_the_photo_is_shown_with_its_name(form, door):
    form.set_input_files("input[name=photo]", door)
    form.wait_for_selector(".photo-btn img")
    assert "door.png" in form.inner_text(".photo-note")
    assert form.inner_text(".photo-btn") == "Another photo"


def test_an_error_has_the_focus(form):
    form.get_by_text("Paint crew", exact=True).click()
    form.get_by_role("button", name="Put on the list").click()
    form.locator("#words[aria-invalid=true]:focus").wait_for()


def test_send_back_in_the_bar_opens_the_reason(form, small_house):
    item = small_house.opens_item("closet", "paint", "Scratch")
    opens(form, f"/items/{item}", script(form))
    sends(form, "Accept: seen corrected")
    form.get_by_role("link", name="Send back").click()
    assert form.locator("#sent_back-reason").is_visible()
