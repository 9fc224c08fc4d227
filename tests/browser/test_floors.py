"""A floor from the first station to the report: surveyed, planned, handed over, accepted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog import intake
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from tests.browser.navigators import Crew
from tests.browser.people import PHONE, TABLET, page_of
from tests.browser.serving import served
from tests.browser.surveyor import Surveyor

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

HOUSE = """
name = "Dairy barn on Kettle Lane"
zone = "America/Chicago"
superintendent = "Ada Quill"
books = ["plank-floor"]
instruments = ["laser-rod", "straightedge", "tape", "eye"]

[[stories]]
id = "ground"
name = "Ground floor"

[[rooms]]
id = "workshop"
name = "Workshop"
story = "ground"
size = "14 x 18 ft"
checks = [{ sheet = "floor" }]

[[trades]]
id = "floor"
name = "Floor crew"
"""


@pytest.fixture
def barn(tmp_path: Path, now: datetime) -> Iterator[str]:
    """A house with one room to survey, served: its address."""
    folder = tmp_path / "barn"
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
    with served(folder, now) as address:
        yield address


@pytest.fixture(params=[True, False], ids=["script", "no-script"])
def ada(request: pytest.FixtureRequest, browser: Browser, barn: str) -> Iterator[Surveyor]:
    """The superintendent with a tablet, with and without JavaScript."""
    with page_of(browser, barn, TABLET, request.param) as page:
        yield Surveyor(page, request.param)


def ridge(row: int, _column: int) -> int:
    """A ridge across the room, straight down from its fifth row: no hollow anywhere."""
    return 8 - 2 * abs(row - 4)


def after(row: int, column: int) -> int:
    """The same floor ground down to a sixteenth."""
    return min(ridge(row, column), 1)


def begins(who: Surveyor) -> None:
    who.starts_the_walk()
    who.picks_room("Workshop")
    who.follows("Measure: floor flatness")
    who.follows("Walk the room’s stations on a map")
    who.lays_the_stations()


def test_a_floor_from_the_keypad_to_both_maps_in_the_report(ada: Surveyor) -> None:
    begins(ada)
    assert len(ada.stations()) == 63
    ada.walks(ridge)
    if ada.script:
        # The last answer: while stations come in, the map says smaller humps.
        assert "Needs 3/16 in or less" in ada.hears("Hump about 19/64 in under 10 ft, column 1,")
    ada.saves_the_check()
    told = ada.reads()
    assert "Hump under a 10 ft edge is about 19/64 in. Needs 3/16 in or less." in told
    assert "Over by about 7/64 in. Column 1," in told
    assert "at 5." in told  # the fifth row
    assert "No hollow under 10 ft." in told  # a ridge is called a ridge

    ada.follows("What makes it pass")
    ada.says_what_is_there("A slab", bag="38", grind="1")
    ada.takes_the_plan("mix")
    plan = ada.plan_says()
    assert "Grind" in plan
    assert "sq ft" in plan
    assert "bag" in plan
    assert "silica" in plan

    ada.presses("Give to floor crew")
    assert ada.item_says() == "open"
    crew = Crew(ada.page, "floor")
    crew.looks_at_its_list()
    assert ada.maps() == 1
    assert "Grind" in crew.reads()
    crew.marks_corrected("P-1")

    ada.picks_room("Workshop")
    ada.follows("Floor flatness")
    ada.follows("Measure again")
    ada.walks(after)
    ada.saves_the_check()
    ada.presses("Accept P-1")
    assert ada.item_says() == "accepted"

    ada.goes_to("Reports")
    ada.follows("Today’s report")
    report = ada.reads()
    assert ada.maps() == 2
    assert "Hump under a 10 ft edge is about 19/64 in" in report
    assert "Grind" in report
    assert "Accepted P-1" in report


@pytest.mark.parametrize("size", [PHONE, TABLET], ids=["phone", "tablet"])
def test_the_map_fills_in_station_by_station(
    browser: Browser, barn: str, size: tuple[int, int]
) -> None:
    with page_of(browser, barn, size) as page:
        ada = Surveyor(page, script=True)
        begins(ada)
        ada.is_at("Row 1, 1")
        ada.walks(ridge, stop_after=8)
        ada.is_at("Row 2, 7")  # back along the second row
        few = ada.tinted()
        page.reload()
        assert "brought back" in ada.reads()
        ada.walks(ridge, stop_after=20)
        assert ada.tinted(few) > few
