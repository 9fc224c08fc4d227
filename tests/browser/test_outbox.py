"""Between a form and the house: a lost answer, a cut photo, a full tablet, the way back."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from fieldlog.cli import run
from fieldlog.store import journal, photos
from fieldlog.store.db import open_reader
from tests.browser.navigators import Superintendent
from tests.browser.people import PATIENCE, TABLET

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

pytestmark = pytest.mark.browser

DRAFTED = "() => Object.values(localStorage).some((kept) => kept.includes('7 1/2'))"
FULL = """
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (value, ...rest) {
  const full = this.name === "entries" && window.full;
  if (full) throw new DOMException("No room.", "QuotaExceededError");
  return put.call(this, value, ...rest);
};
"""


@pytest.fixture
def page(browser: Browser, mill: str) -> Iterator[Page]:
    """A tablet's page without the worker; requests may be made to fail."""
    width, height = TABLET
    context = browser.new_context(
        base_url=mill, viewport={"width": width, "height": height}, service_workers="block"
    )
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "door.jpg"
    Image.new("RGB", (640, 480), "tan").save(path)
    return path


def opens_an_item(page: Page, photo: Path | None = None) -> None:
    """As far as putting it on the list."""
    page.goto("/rooms/study/items/new")
    page.locator("html[data-outbox]").wait_for()
    ada = Superintendent(page, script=True)
    if photo:
        ada.takes_photo(photo)
    ada.chooses("Paint crew")
    ada.chooses("Scratch")


def done(page: Page) -> None:
    Superintendent(page, script=True).presses("Put on the list")


def all_sent(page: Page) -> None:
    page.locator(".line").filter(has_text="All sent").wait_for()


def kept(folder: Path) -> list[str]:
    """Types of the entries that came by an outbox."""
    with closing(open_reader(folder)) as conn:
        assert journal.verify(conn) == []
        return sorted(r.type for r in journal.entries(conn) if r.device != "office")


def test_an_answer_that_is_lost_after_the_commit(page: Page, tmp_path: Path) -> None:
    lost: list[int] = []
    opens_an_item(page)
    page.route("**/sync", lambda route: lose_if(route, "item/1", lost))
    done(page)
    all_sent(page)
    assert lost == [200]
    assert kept(tmp_path / "mill") == ["item/1"]


def lose_if(route: Route, holds: str, lost: list[int]) -> None:
    """The house takes it, and its first answer does not arrive."""
    if not lost and holds in (route.request.post_data or ""):
        lost.append(route.fetch().status)
        route.abort()
    else:
        route.continue_()


def test_a_photo_that_is_cut_is_sent_again(page: Page, photo: Path, tmp_path: Path) -> None:
    cut: list[str] = []

    def cut_once(route: Route) -> None:
        if route.request.method == "PUT" and len(cut) < 2:
            cut.append(route.request.url)
            route.abort()
        else:
            route.continue_()

    opens_an_item(page, photo)
    page.route("**/photos/**", cut_once)
    done(page)
    page.goto("/tablet/outbox")
    said = page.locator("#unsent-said")
    for _ in range(3):
        page.locator("#unsent-send").click()
        page.wait_for_timeout(200)
    said.filter(has_text="Everything entered here is sent.").wait_for()
    assert len(cut) == 2
    assert kept(tmp_path / "mill") == ["item/1", "photo/1"]
    [file] = photo_files(tmp_path / "mill")
    assert file.read_bytes() == photo.read_bytes()


def test_what_is_unsent_is_saved_to_a_file_that_is_taken_in(
    page: Page, photo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    opens_an_item(page, photo)
    page.route("**/sync", lambda route: route.abort())
    done(page)
    page.goto("/tablet/outbox")
    page.locator("#unsent-list li").first.wait_for()
    with page.expect_download() as saved:
        page.locator("#unsent-save").click()
    file, other = tmp_path / "unsent.outbox", tmp_path / "other"
    saved.value.save_as(file)
    shutil.copytree(tmp_path / "mill", other)  # the house on another machine
    for said in ("2 stored. Photos kept: 1", "2 already stored"):
        assert run(["take", str(file), "--data", str(other)]) == 0
        assert said in capsys.readouterr().out
    assert kept(other) == ["item/1", "photo/1"]
    [taken] = photo_files(other)
    assert taken.read_bytes() == photo.read_bytes()


def photo_files(folder: Path) -> list[Path]:
    with closing(open_reader(folder)) as conn:
        rows = [r for r in journal.entries(conn) if r.type == "photo/1"]
    found = [photos.original(folder, json.loads(r.body)["sha256"]) for r in rows]
    return [path for path in found if path]


def test_back_and_sent_again_is_the_same_item(page: Page, tmp_path: Path) -> None:
    opens_an_item(page)
    done(page)
    all_sent(page)
    page.go_back()
    page.locator("html[data-outbox]").wait_for()
    assert page.locator("form#item input[name=phrase]:checked").count() == 1
    done(page)
    all_sent(page)
    assert kept(tmp_path / "mill") == ["item/1"]


def test_a_full_tablet_says_so_and_loses_nothing_typed(page: Page, tmp_path: Path) -> None:
    page.add_init_script(FULL)
    opens_an_item(page)
    page.locator("#words").fill("Scratch beside the latch")
    page.evaluate("window.full = true")
    page.get_by_role("button", name="Put on the list").click()
    page.locator(".said-here").filter(has_text="no room left").wait_for()
    assert page.locator("#words").input_value() == "Scratch beside the latch"
    assert kept(tmp_path / "mill") == []
    page.evaluate("window.full = false")
    done(page)
    all_sent(page)
    assert kept(tmp_path / "mill") == ["item/1"]


def test_the_day_that_was_confirmed_is_the_offices_too(page: Page, tmp_path: Path) -> None:
    page.goto("/")
    page.locator("html[data-outbox]").wait_for()
    page.locator("#day").fill("2026-03-02")
    with page.expect_navigation():
        page.get_by_role("button", name="Start today's walk").click()
    all_sent(page)
    assert "Monday, Mar 2, 2026" in page.locator(".head").inner_text()
    assert kept(tmp_path / "mill") == ["walk/1"]
    page.goto("/reports")
    assert page.locator('a[href*="/reports/daily/2026-03-02"]').count() >= 1


def test_a_form_half_filled_in_is_there_when_the_app_is_opened_again(page: Page) -> None:
    page.goto("/rooms/hall/checks/stair?place=first-flight")
    page.locator("html[data-outbox]").wait_for()
    page.locator("#q-riser-1").fill("7 1/2")
    page.wait_for_function(DRAFTED)
    again = page.context.new_page()
    page.close()
    again.goto("/rooms/hall/checks/stair?place=first-flight")
    again.locator("#brought-back").filter(has_text="brought back").wait_for()
    assert again.locator("#q-riser-1").input_value() == "7 1/2"
