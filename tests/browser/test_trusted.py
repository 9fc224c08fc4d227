"""The whole way of a tablet over HTTPS, by the house's own root in the browser's store."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog import intake
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from fieldlog.store import journal
from fieldlog.store.db import open_reader
from tests.browser.conftest import HOUSE
from tests.browser.lan_site import LanSite, pairs, tablet, trusting
from tests.browser.navigators import Superintendent

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture
def site(tmp_path: Path) -> Iterator[LanSite]:
    """The mill at its three doors."""
    folder, now = tmp_path / "mill", datetime.now(UTC)
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
    made = LanSite(folder, tmp_path / "profile")
    made.starts()
    yield made
    made.stops()


def of_tablets(folder: Path) -> list[tuple[str, str]]:
    """Type and kind of device of what came by an outbox."""
    with closing(open_reader(folder)) as conn:
        assert journal.verify(conn) == []
        found = [(e.type, e.device.partition("-")[0]) for e in journal.entries(conn)]
    return [one for one in found if one[1] != "office" and one[0] != "access/1"]


def test_paired_by_code_it_walks_alone_and_hands_over(
    site: LanSite, browser: Browser, tmp_path: Path
) -> None:
    home = trusting(site, tmp_path / "home")
    with tablet(site, browser, home) as context:
        page = context.new_page()
        pairs(page, site)
        assert page.evaluate("navigator.serviceWorker.controller.state") == "activated"
        site.stops()
        page.goto("/rooms/study/items/new")
        page.locator("html[data-outbox]").wait_for()
        ada = Superintendent(page, script=True)
        ada.chooses("Paint crew")
        ada.chooses("Scratch")
        ada.presses("Put on the list")
        number = ada.number_said()
        page.locator(".line").filter(has_text="1 on this tablet only").wait_for()
    assert of_tablets(site.folder) == []
    site.starts()
    with tablet(site, browser, home) as context:
        page = context.new_page()
        page.goto("/")
        page.locator(".line").filter(has_text="All sent").wait_for()
        page.goto("/punch")
        assert f"{number} Scratch" in Superintendent(page, script=True).reads()
    assert of_tablets(site.folder) == [("item/1", "tablet")]


def test_a_browser_without_the_root_does_not_open_it(
    site: LanSite, browser: Browser, tmp_path: Path
) -> None:
    with tablet(site, browser, tmp_path) as context, pytest.raises(Exception, match="ERR_CERT"):
        context.new_page().goto("/pair")
