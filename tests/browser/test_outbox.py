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
LETS_GO = """(id) => new Promise((gone) => {
  const opening = indexedDB.open("fieldlog");
  opening.onsuccess = () => {
    const tx = opening.result.transaction("entries", "readwrite");
    tx.objectStore("entries").delete(id);
    tx.oncomplete = gone;
  };
})"""
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


def stays(page: Page) -> None:
    """Done, with the office out of reach and no worker: no other page can be shown."""
    page.locator(".act .btn-main").click()
    page.locator(".said-here").filter(has_text="Kept, on this tablet only").wait_for()


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
    stays(page)
    page.evaluate("dispatchEvent(new Event('online'))")
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
    stays(page)
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


def test_bytes_that_came_cut_go_again(page: Page, photo: Path, tmp_path: Path) -> None:
    cut: list[str] = []

    def says_cut(route: Route) -> None:
        if route.request.method == "PUT" and len(cut) < 2:
            cut.append(route.request.url)
            route.fulfill(
                status=422, json={"code": "cut", "reason": "Other bytes came: send again."}
            )
        else:
            route.continue_()

    opens_an_item(page, photo)
    page.route("**/photos/**", says_cut)
    done(page)
    for _ in range(2):
        page.evaluate("dispatchEvent(new Event('online'))")
        page.wait_for_timeout(200)
    all_sent(page)
    page.goto("/tablet/outbox")
    page.locator("#unsent-send").click()
    page.locator("#unsent-said").filter(has_text="Everything entered here is sent.").wait_for()
    assert len(cut) == 2
    assert len(photo_files(tmp_path / "mill")) == 1


def test_a_photo_that_is_gone_is_said(page: Page, photo: Path, tmp_path: Path) -> None:
    opens_an_item(page, photo)
    photo.unlink()
    page.locator(".act .btn-main").click()
    page.locator(".said-here").filter(has_text="cannot be read any more").wait_for()
    assert kept(tmp_path / "mill") == []


def test_what_is_typed_survives_a_reload_until_it_is_kept(page: Page, tmp_path: Path) -> None:
    opens_an_item(page)
    page.locator("#words").fill("beside the latch")
    page.reload()
    page.locator("html[data-outbox]").wait_for()
    assert page.locator("#words").input_value() == "beside the latch"
    assert page.locator("form#item input:checked").count() == 2
    done(page)
    all_sent(page)
    page.goto("/rooms/study/items/new")
    page.locator("html[data-outbox]").wait_for()
    assert page.locator("#words").input_value() == ""
    assert page.locator("form#item input[name=phrase]:checked").count() == 0
    assert kept(tmp_path / "mill") == ["item/1"]


def test_signs_that_no_page_can_show_are_refused_before_it_is_kept(page: Page) -> None:
    """Pasted along with a phone number, say: U+202A and U+202C turn the reading direction."""
    opens_an_item(page)
    page.locator("#words").fill("Call \u202a555 0100\u202c")
    page.locator(".act .btn-main").click()
    page.locator(".said-here").filter(has_text="no page can show").wait_for()
    assert page.locator("#words").input_value() == "Call \u202a555 0100\u202c"
    page.locator("#words").fill("Call 555 0100")
    done(page)
    all_sent(page)


def test_without_the_certificate_what_is_done_out_of_reach_is_kept_and_says_so(
    page: Page, tmp_path: Path
) -> None:
    """There is no worker: the browser refuses it where its person went past the warning."""
    page.add_init_script(
        "navigator.serviceWorker.register ="
        " () => Promise.reject(new DOMException('bad certificate', 'SecurityError'));"
    )
    opens_an_item(page)
    page.locator(".line").filter(has_text="Not ready for no signal yet").wait_for()
    page.route("**/*", lambda route: route.abort())
    stays(page)
    page.locator(".line").filter(has_text="1 on this tablet only").wait_for()
    page.unroute("**/*")
    page.evaluate("dispatchEvent(new Event('online'))")
    all_sent(page)
    assert kept(tmp_path / "mill") == ["item/1"]


def test_an_act_on_an_item_that_the_tablet_let_go_of_is_said(page: Page) -> None:
    opens_an_item(page)
    page.route("**/sync", lambda route: route.abort())
    stays(page)
    kept_id = page.locator("form#item [name=entry_id]").input_value()
    page.goto(f"/tablet/kept#{kept_id}")
    page.locator("#kept-item:visible").wait_for()
    page.locator("html[data-outbox]").wait_for()
    page.evaluate(LETS_GO, kept_id)
    page.locator(".act form[data-act=accepted] button").click()
    page.locator(".said-here").filter(has_text="no longer on this tablet").wait_for()


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
