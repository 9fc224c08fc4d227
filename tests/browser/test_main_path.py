"""The straight path, as a newcomer goes it: measured, failed, handed over, corrected, accepted."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from tests.browser.navigators import Superintendent
from tests.browser.people import PHONE, TABLET, People, page_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

RISERS, TREADS = ["7 1/2"] * 6, ["10 1/2"] * 5
REST = {"headroom": "84", "width_above_rail": "38", "width_at_rail": "34", "landing_depth": "40"}


def test_a_stair_from_the_tape_to_the_report(people: People) -> None:
    ada = people.superintendent
    ada.starts_the_walk()
    ada.picks_room("Mezzanine hall")
    ada.follows("Measure: stair, first flight")
    ada.measures_stair(RISERS, TREADS, "3")
    told = ada.reads()
    assert "Open gaps 4 1/2 in. Needs less than 4 in." in told
    assert "IRC 2021 R311.7.5.1" in told

    ada.presses("Give to stair crew")
    assert ada.item_says() == "open"
    crew = people.crew("stair")
    crew.looks_at_its_list()
    assert "Measured 4 1/2 in Needs less than 4 in" in crew.reads()
    crew.marks_corrected("P-1")
    assert crew.item_says() == "corrected"

    ada.picks_room("Mezzanine hall")
    ada.follows("Stair, First flight")
    ada.follows("Measure again")
    ada.measures_stair(RISERS, TREADS, "4", REST, first=False)
    ada.presses("Accept P-1")
    assert ada.item_says() == "accepted"

    ada.goes_to("Reports")
    ada.follows("Today’s report")
    assert ada.heading() == "Daily report"
    everything_of_the_stair_is_in(ada.reads())


def everything_of_the_stair_is_in(report: str) -> None:
    """The fail with its clause, the item's whole way, the pass, the journal's head."""
    for piece in (
        "1 fail",
        "1 pass",
        "Open gaps 4 1/2 in. Needs less than 4 in.",
        "IRC 2021 R311.7.5.1. Safety and code.",
        "Measured again at",
        "Opened P-1",
        "Corrected P-1",
        "By Stair crew.",
        "Accepted P-1",
        "Measured again: pass.",
        "Journal head 7,",
    ):
        assert piece in report, piece


def test_a_reading_is_judged_as_it_is_typed(browser: Browser, mill: str) -> None:
    with page_of(browser, mill, PHONE) as page:
        ada = Superintendent(page, script=True)
        ada.starts_the_walk()
        ada.picks_room("Mezzanine hall")
        ada.follows("Measure: stair, first flight")
        ada.types_a_riser(1, "7 1/2")
        ada.waits_for_the_verdict("Passes. Needs 7 3/4 in or less.")
        ada.types_a_riser(2, "8")
        ada.waits_for_the_verdict("Over 7 3/4 in by 1/4 in.")
        ada.types_a_riser(3, "7 3/4")
        ada.waits_for_the_verdict("too close to call")


def test_a_scratched_door_in_four_taps(people: People, tmp_path: Path) -> None:
    photo = tmp_path / "door.jpg"
    Image.new("RGB", (800, 600), "tan").save(photo)
    ada = people.superintendent
    ada.starts_the_walk()
    ada.picks_room("Study")
    ada.begins_an_item()
    ada.takes_photo(photo)
    ada.chooses("Paint crew")
    ada.chooses("Scratch")
    ada.presses("Put on the list")
    number = ada.number_said()
    assert f"{number} is on the Paint crew’s list" in ada.reads()
    assert ada.taps == 4
    crew = people.crew("paint")
    crew.looks_at_its_list()
    assert f"{number} Scratch" in crew.reads()
    assert "Study, 2nd floor" in crew.reads()
    crew.opens("/crews/stair")
    assert "Scratch" not in crew.reads()


def test_an_issued_report_tells_later_entries_apart(browser: Browser, mill: str) -> None:
    with page_of(browser, mill, TABLET) as page:
        ada = Superintendent(page, script=True)
        ada.starts_the_walk()
        ada.issues_todays_report()
        assert "Issued Tue Mar 3" in ada.head()
        ada.picks_room("Study")
        ada.begins_an_item()
        ada.chooses("Paint crew")
        ada.chooses("Scratch")
        ada.presses("Put on the list")
        ada.goes_to("Reports")
        ada.follows("Today’s report")
        assert re.search(r"Added after issue [A-Z]+-1 opened for Paint crew: Scratch", ada.reads())
