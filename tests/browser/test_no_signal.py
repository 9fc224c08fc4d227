"""A walk with the house's server stopped: kept, judged, restarted over, handed over once.

The server is a process of its own that is killed and started, because a browser told to be
offline treats a worker's requests otherwise than a dead network does.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from fieldlog import intake
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from fieldlog.store import journal
from fieldlog.store.db import open_reader
from tests.browser.conftest import HOUSE
from tests.browser.navigators import Superintendent
from tests.browser.people import TABLET
from tests.conftest import CHROMIUM_ARGS, chromium
from tests.sync.served import Browser as Knocking
from tests.sync.served import free_port, serve

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

RISERS, TREADS = ["7 1/2"] * 3, ["10 1/2"] * 2


@dataclass
class Site:
    """The house's folder, its server that comes and goes, and a tablet's own browser."""

    folder: Path
    port: int
    profile: Path
    process: subprocess.Popen[bytes] | None = None
    closing: list[Callable[[], None]] = field(default_factory=list)

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

    def kept(self) -> list[tuple[str, str, str]]:
        """Type, subject and verdict of every entry of a tablet that the house has."""
        conn = open_reader(self.folder)
        try:
            rows = journal.entries(conn)
            assert journal.verify(conn) == []
            return [
                (r.type, r.subject, json.loads(r.judgement or "{}").get("verdict", ""))
                for r in rows
                if r.device != "office"
            ]
        finally:
            conn.close()


@pytest.fixture
def site(tmp_path: Path, now: datetime) -> Iterator[Site]:
    folder = tmp_path / "mill"
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
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
        ada.presses("Done")
        number = ada.number_said()
        page.goto("/rooms/hall")
        assert "On this tablet only" in ada.reads()
        assert "on this tablet only" in page.locator(".line").inner_text()
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
