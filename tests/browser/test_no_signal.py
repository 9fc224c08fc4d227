"""A walk with the house's server stopped: kept, judged, restarted over, handed over once.

The server is a process of its own that is killed and started, because a browser told to be
offline treats a worker's requests otherwise than a dead network does.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from fieldlog import intake
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from fieldlog.store import journal, photos
from fieldlog.store.db import open_reader
from tests.browser.conftest import HOUSE
from tests.browser.navigators import Superintendent
from tests.browser.people import TABLET, until
from tests.conftest import CHROMIUM_ARGS, chromium
from tests.seeded import house_folder, seed
from tests.sync.served import Browser as Knocking
from tests.sync.served import free_port, serve

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

    from fieldlog.store.views import EntryView

pytestmark = pytest.mark.browser

RISERS, TREADS = ["7 1/2"] * 3, ["10 1/2"] * 2


@dataclass
class Site:
    """The house's folder, its server that comes and goes, and a tablet's own browser."""

    folder: Path
    port: int
    profile: Path
    process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def starts(self) -> None:
        self.process = serve(self.folder, self.port)
        Knocking(self.port).greets()

    def stops(self) -> None:
        """As when the plug is pulled."""
        if self.process:
            self.process.kill()
            self.process.wait()

    def verdicts(self) -> dict[str, str]:
        """How the house judged each check of a tablet, by entry id."""
        with closing(open_reader(self.folder)) as conn:
            rows = [r for r in journal.entries(conn) if r.type == "check/1" and of_tablet(r)]
        return {r.id: str(json.loads(r.judgement)["verdict"]) for r in rows}

    def item_numbers(self) -> list[str]:
        with closing(open_reader(self.folder)) as conn:
            rows = [r for r in journal.entries(conn) if r.type == "item/1" and of_tablet(r)]
        return sorted(str(json.loads(r.body)["number"]) for r in rows)

    def missing_photos(self) -> list[str]:
        """Digests of a tablet's photos whose original is not in the house's folder."""
        with closing(open_reader(self.folder)) as conn:
            rows = [r for r in journal.entries(conn) if r.type == "photo/1" and of_tablet(r)]
        named = [str(json.loads(r.body)["sha256"]) for r in rows]
        return [sha for sha in named if photos.original(self.folder, sha) is None]

    def kept(self) -> list[tuple[str, str, str]]:
        """Type, subject and verdict of every entry of a tablet that the house has."""
        with closing(open_reader(self.folder)) as conn:
            assert journal.verify(conn) == []
            rows = [r for r in journal.entries(conn) if of_tablet(r)]
        return [
            (r.type, r.subject, json.loads(r.judgement or "{}").get("verdict", "")) for r in rows
        ]


def of_tablet(row: EntryView) -> bool:
    return row.device.startswith("browser-")


@pytest.fixture
def site(tmp_path: Path, now: datetime) -> Iterator[Site]:
    folder = tmp_path / "mill"
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
    made = Site(folder, free_port(), tmp_path / "profile")
    made.starts()
    yield made
    made.stops()


@pytest.fixture
def demo_site(tmp_path: Path) -> Iterator[Site]:
    folder = tmp_path / "house"
    shutil.copytree(house_folder(), folder)
    made = Site(folder, free_port(), tmp_path / "profile")
    made.starts()
    yield made
    made.stops()


@contextmanager
def tablet(site: Site, browser: Browser) -> Iterator[BrowserContext]:
    """The tablet's browser with what it kept, closed at the end: as a restart of the tablet."""
    width, height = TABLET
    context = browser.browser_type.launch_persistent_context(
        str(site.profile),
        executable_path=chromium(),
        args=CHROMIUM_ARGS,
        base_url=site.address,
        viewport={"width": width, "height": height},
        has_touch=True,
    )
    context.set_default_timeout(30_000)
    try:
        yield context
    finally:
        context.close()


def ready(page: Page) -> None:
    """In reach until the tablet has the whole house."""
    page.goto("/")
    page.locator(".line").filter(has_text="This tablet has all").wait_for()


def person(page: Page) -> Superintendent:
    return Superintendent(page, script=True)


@pytest.mark.slow
def test_a_walk_with_the_server_stopped_is_there_once(
    site: Site, browser: Browser, tmp_path: Path
) -> None:
    photo = tmp_path / "door.jpg"
    Image.new("RGB", (1200, 900), "tan").save(photo)
    with tablet(site, browser) as context:
        page = context.new_page()
        ready(page)
        site.stops()
        ada = person(page)
        ada.picks_room("Mezzanine hall")
        ada.follows("Measure: stair, first flight")
        ada.measures_stair(RISERS, TREADS, "3")
        page.wait_for_url("**/tablet/kept#*")
        page.locator("#kept .counts").wait_for()
        assert "On this tablet only" in ada.reads()
        verdict = page.locator(".counts").inner_text().strip()
    with tablet(site, browser) as context:
        page = context.new_page()
        page.goto("/rooms/study/items/new")
        page.locator("html[data-outbox]").wait_for()
        ada = person(page)
        ada.takes_photo(photo)
        ada.chooses("Paint crew")
        ada.chooses("Scratch")
        ada.presses("Put on the list")
        number = ada.number_said()
        page.goto("/rooms/hall")
        page.locator("[data-checks] li.made-here").wait_for()
        assert "on this tablet only" in ada.reads()
        page.locator(".line").filter(has_text="on this tablet only").wait_for()
    site.starts()
    with tablet(site, browser) as context:
        page = context.new_page()
        page.goto("/")
        page.locator(".line").filter(has_text="All sent").wait_for()
        page.goto("/crews/paint")
        assert f"{number} Scratch" in person(page).reads()
        page.locator(f"#i-{number} img").first.wait_for()
    kept = site.kept()
    assert sorted(t for t, _, _ in kept) == ["check/1", "item/1", "photo/1"]
    [(_, _, judged)] = [k for k in kept if k[0] == "check/1"]
    assert judged.replace("_", " ") in verdict


ROOMS = 8
LOOKS = ((True, "Scratch-free glass"), (False, "Deep gouge in the leaf"))
HEIGHTS = ("36", "33", "34 1/64", "38")
ALL_PHOTOS = """() => new Promise((resolve) => {
  const opening = indexedDB.open("fieldlog");
  opening.onsuccess = () => {
    const asked = opening.result.transaction("photos").objectStore("photos").getAll();
    asked.onsuccess = () => {
      opening.result.close();
      resolve(asked.result.length > 0 && asked.result.every((one) => one.original));
    };
  };
})"""
"""Whether the house has every photo of the tablet as it was taken."""


def looks_around(page: Page, room: str, tmp_path: Path) -> dict[str, str]:
    """Two looks with a photo each: the entries' ids, and how the tablet judged them."""
    said = {}
    for good, thing in LOOKS:
        page.goto(f"/rooms/{room}/checks/visual?place=no-signal-{good}")
        page.locator("body.keyed").wait_for()
        page.locator("#q-thing").fill(thing)
        page.locator(f'input[name="q-good"][value="{"yes" if good else "no"}"]').check(force=True)
        said |= saves(page, picture(tmp_path))
    return said


def measures_rail(page: Page, room: str, height: str, photo: Path) -> dict[str, str]:
    page.goto(f"/rooms/{room}/checks/handrail?place=no-signal")
    page.locator("body.keyed").wait_for()
    page.locator("#q-height-1").fill(height)
    return saves(page, photo)


def saves(page: Page, photo: Path) -> dict[str, str]:
    """Saved with a photo on the tablet alone: its id, and the verdict that the page shows."""
    page.locator("html[data-outbox]").wait_for()
    page.locator("#photos").set_input_files(photo)
    with page.expect_navigation():
        page.locator("form#entry").evaluate("form => form.requestSubmit()")
    page.locator("#kept .notice").filter(has_text="On this tablet only").wait_for()
    shown = page.locator("#kept .counts .mark").get_attribute("class") or ""
    verdict = shown.removeprefix("mark mark-").replace("-", "_")
    return {page.url.partition("#")[2]: verdict}


def opens_item(page: Page, room: str, photo: Path) -> str:
    """Photo, crew, words, on the list: the number that the tablet gave it."""
    page.goto(f"/rooms/{room}/items/new")
    page.locator("html[data-outbox]").wait_for()
    ada = person(page)
    ada.takes_photo(photo)
    ada.chooses("Paint crew")
    ada.chooses("Scratch")
    ada.presses("Put on the list")
    return ada.number_said()


def picture(folder: Path) -> Path:
    """A photo unlike every other."""
    number = len(list(folder.glob("*.jpg")))
    path = folder / f"{number}.jpg"
    Image.new("RGB", (640, 480), (number * 6 % 256, 90, 160)).save(path)
    return path


@pytest.mark.slow
def test_a_day_without_the_office(demo_site: Site, browser: Browser, tmp_path: Path) -> None:
    """Twenty checks with photos in eight rooms and ten items; the tablet restarted twice."""
    site, said = demo_site, {}
    rooms = [room.id for room in seed().house.rooms[:ROOMS]]
    with tablet(site, browser) as context:
        page = context.new_page()
        ready(page)
        site.stops()
        for room in rooms[:4]:
            said |= looks_around(page, room, tmp_path)
    with tablet(site, browser) as context:
        page = context.new_page()
        for room in rooms[4:]:
            said |= looks_around(page, room, tmp_path)
        for room, height in zip(rooms, HEIGHTS, strict=False):
            said |= measures_rail(page, room, height, picture(tmp_path))
    with tablet(site, browser) as context:
        page = context.new_page()
        numbers = [opens_item(page, room, picture(tmp_path)) for room in (rooms + rooms)[:10]]
    assert len(said) == 20
    site.starts()
    with tablet(site, browser) as context:
        page = context.new_page()
        page.goto("/")
        page.locator(".line").filter(has_text="All sent").wait_for()
        until(page, ALL_PHOTOS)
    kept = site.kept()
    assert Counter(t for t, _, _ in kept) == {"check/1": 20, "item/1": 10, "photo/1": 30}
    assert site.verdicts() == said
    assert site.item_numbers() == sorted(numbers)
    assert site.missing_photos() == []
