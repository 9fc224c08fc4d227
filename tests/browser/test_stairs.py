"""A stair from the tape to the wall: entered, failed, mended; the finish trap caught in time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.navigators import Superintendent
from tests.browser.people import TABLET, page_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

LOW = ["7 9/16", "7 1/2", "7 1/2", "7 9/16", "7 1/2", "7 1/2"]
RISERS = [*LOW, "7 1/2", "7 9/16", "7 1/2", "7 1/2", "7 1/2", "7 7/16"]
TREADS = ["10 1/2"] * 11
REST = {"headroom": "84", "width_above_rail": "38", "width_at_rail": "34", "landing_depth": "40"}
AWAY = """
Object.defineProperty(navigator.serviceWorker, "controller", { value: { postMessage() {} } });
const asked = window.fetch;
window.fetch = (what, ...rest) =>
  String(what).startsWith("/sync") ? Promise.reject(new TypeError("away")) : asked(what, ...rest);
"""
MOST_TAPS = 60
"""Two seconds a tap, the moves between fields with them: two minutes."""


def test_an_open_stair_fails_and_its_fix_passes(browser: Browser, mill: str) -> None:
    with page_of(browser, mill, TABLET) as page:
        ada = Superintendent(page, script=True)
        ada.starts_the_walk()
        ada.picks_room("Mezzanine hall")
        ada.follows("Measure: stair, first flight")
        ada.taps = 0
        ada.measures_stair(RISERS, TREADS, "3", REST)
        page.wait_for_url("**/checks/0*")
        assert ada.taps + len(REST) + 3 <= MOST_TAPS
        told = ada.reads()
        assert "Open gaps 4 7/16 to 4 9/16 in. Needs less than 4 in." in told
        assert "Treads 3 5/8 in thick or more, built up from below" in told
        assert "IRC 2021 R311.7.5.1" in told
        assert "30 in above the floor" in told
        check = page.url.partition("#")[0]

        ada.follows("The math")
        assert "Add 5/8 in below: every opening passes, and no riser changes." in ada.reads()
        ada.presses("Keep with this check")
        page.wait_for_url("**/sums/*")
        ada.opens(check + "/drawing")
        assert "Close the open risers: Add 5/8 in below" in ada.reads()

        ada.opens("/rooms/study/layers")
        page.fill("#thickness-3", "1 1/2")
        ada.presses("Save the layers")
        page.wait_for_url("**/layers?done=yes")
        ada.picks_room("Study")
        measures_the_back_flight(page, ada)
        page.wait_for_url("**/checks/0*")
        told = ada.reads()
        assert "When the finishes are on: Riser difference is 1 in. Needs 3/8 in or less." in told
        assert "Riser 1 will be 6 1/2 in when Study has its floor (1 1/2 in still to come)." in told
        assert "Riser 1 is right with a floor of" in told
        says_the_same_out_of_reach(page, ada)
        ada.follows("The math before the finish")
        assert "6 1/2, 7 1/2, 7 1/2" in ada.reads()
        assert "none too close to call" in ada.reads()


def measures_the_back_flight(page: Page, ada: Superintendent) -> None:
    ada.opens("/rooms/study/checks/stair")
    page.locator("body.keyed").wait_for()
    page.fill("#place", "Back flight")
    page.fill("#q-riser-1", "7 1/2")
    page.fill("#q-riser-2", "7 1/2")
    page.fill("#q-riser-3", "7 1/2")
    page.locator(".seldom > summary").click()
    page.fill("#q-room_below", "Study")
    page.fill("#q-tread_finish", "1/2")
    ada.saves_the_check()


def says_the_same_out_of_reach(page: Page, ada: Superintendent) -> None:
    """The same flight, kept on the tablet alone: its page says what is over, by which clause, and
    what will be when the finishes are on, as the office's page in view does."""
    result = page.url
    parts = (
        ".ahead > span:not(.vh)",
        ".then h2",
        ".then .finding-head",
        ".findings:not(.then *) .quiet",
        ".caution",
    )
    said = [page.locator(f".result {part}").all_inner_texts() for part in parts]
    assert all(said)
    page.add_init_script(AWAY)
    measures_the_back_flight(page, ada)
    page.locator("#kept .then").wait_for()
    assert [page.locator(f"#kept {part}").all_inner_texts() for part in parts] == said
    page.goto(result)
