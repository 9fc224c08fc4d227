"""Every page at a phone's and a tablet's size: nothing scrolls sideways, every target can be hit.

A target is 48 px high and wide, and no two lie over each other. A link inside a sentence is
none: there the line gives its height, and the words around it its room.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from fieldlog.app import create_app
from fieldlog.calc.calculations import REGISTRY
from fieldlog.config import Config
from fieldlog.store import reading
from fieldlog.store.reading_sums import sums
from fieldlog.store.views import CheckView
from tests.browser.people import PHONE, TABLET, page_of
from tests.seeded import LAST, house_folder, reader

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

PICTURES = {
    "photos.rendition", "photos.original", "static", "guide.certificate", "guide.here",
    "guide.manifest", "crew_reply.as_page", "crew_reply.as_message", "letters.as_file",
    "tablet.plain_style", "tablet.worker", "tablet.pages", "tablet.data", "sync.hello",
    "plans.progress",
}  # fmt: skip
"""Endpoints that answer with a picture or a file, and have no layout."""
ELSEWHERE = {
    "guide.guide", "guide.self_test", "devices.pair", "crew_links.come_in", "letters.letter",
    "releasing.release",
}  # fmt: skip
"""Pages of the doors beyond this machine (`test_crew_link.py` looks at them), and the release of
framing, which the demo's house has none of."""

DAY = LAST.isoformat()
MEASURE = (Path(__file__).parent / "layout.js").read_text(encoding="utf-8")


def pages() -> dict[str, list[str]]:
    """Addresses to look at, by endpoint."""
    with reader() as conn:
        house = reading.house(conn)
        checks = reading.latest_checks(conn)
        items = reading.items(conn)
        struck = reading.struck(conn)
        kept = [one for room in house.rooms for one in sums(conn, room.id)]
        looks = reading.checks_of_subject(conn, "check:boat-room/floor")
    floor = next(c for c in looks if c.verdict == "fail" and c.judgement["grids"])
    stair = next(c for c in checks if c.sheet == "stair")
    rooms = [r.id for r in house.rooms]
    item = next(i for i in items if i.photos and i.state == "open")
    done = next(i for i in items if i.state == "accepted" and i.check)
    return {
        "walk.today": ["/"],
        "rooms.all_rooms": ["/rooms"],
        "rooms.room": [f"/rooms/{rooms[1]}", f"/rooms/{stair.room}"],
        "checks.enter": [f"/rooms/{rooms[1]}/checks/{s}" for s in sheets()],
        "checks.result": [f"/checks/{c.id}" for c in one_of_each(checks)]
        + [f"/checks/{e.id}" for e in struck if e.type == "check/1"],
        "check_drawing.sheet": [f"/checks/{stair.id}/drawing"],
        "floors.survey": [f"/rooms/{floor.room}/floor/survey"],
        "floor_room.outline": [f"/rooms/{floor.room}/outline"],
        "plans.plans": [f"/checks/{floor.id}/plans"],
        "plans.look": [f"/checks/{floor.id}/map"],
        "house.house": ["/house"],
        "layers.layers": [f"/rooms/{stair.room}/layers"],
        "math.choose": [f"/rooms/{stair.room}/math"],
        "math.work": [f"/rooms/{stair.room}/math/{name}" for name in REGISTRY]
        + [f"/rooms/{stair.room}/math/even-risers?check={stair.id}"],
        "math.kept": [f"/sums/{one.id}" for one in kept],
        "items.new": [f"/rooms/{rooms[1]}/items/new"],
        "items.history": [f"/items/{item.id}", f"/items/{done.id}"],
        "punch.punch": ["/punch"],
        "devices.tablets": ["/tablets"],
        "crew_links.links": [f"/links/crew/{item.trade}", "/links/letter"],
        "crew_reply.told": [f"/crews/{item.trade}/told"],
        "letters.index": ["/letters"],
        "crews.crew": [f"/crews/{item.trade}"],
        "photos.add": [f"/rooms/{rooms[1]}/photos"],
        "day.day": [f"/day/{DAY}"],
        "next.next_up": ["/next"],
        "codes.codes": ["/codes"],
        "reports.index": ["/reports"],
        "reports.daily": [f"/reports/daily/{DAY}"],
        "reports.punch": [f"/reports/punch/{item.trade}"],
        "reports.weekly": ["/reports/weekly/2026-03-06"],
        "strikes.refused": ["/entries/refused"],
        "strikes.stands": [f"/entries/{item.id}"],
        "strikes.strike": [f"/entries/{item.id}/strike"],
        "instrument_tests.tests": ["/instruments/laser-rod"],
        "tablet.kept": ["/tablet/kept"],
        "tablet.outbox": ["/tablet/outbox"],
        "tablet.no_signal": ["/tablet/no-signal"],
        "tablet.no_list": ["/tablet/no-list"],
        "tablet.ready": ["/tablet/ready"],
        "tablet.measure": ["/tablet/measure/guard"],
    }


def sheets() -> tuple[str, ...]:
    """Every sheet has a form."""
    return ("stair", "guard", "handrail", "trim", "floor", "visual")


def one_of_each(checks: list[CheckView]) -> list[CheckView]:
    """The worst check of each sheet."""
    order = ("fail", "too_close", "not_measured", "pass")
    worst = sorted(checks, key=lambda c: order.index(c.verdict))
    return list({c.sheet: c for c in reversed(worst)}.values())


BAD = """
<p><button style="height:20px;width:20px">small</button> and <a href="#">among words</a></p>
<button style="position:absolute;top:200px;height:60px;width:90px">one</button>
<button style="position:absolute;top:240px;height:60px;width:90px">two</button>
<div style="width:3000px">wide</div>
"""


def test_a_bad_layout_would_be_caught(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(BAD)
    found = page.evaluate(MEASURE)
    page.close()
    assert found["small"] == ['button "small" 20 x 20']
    assert found["over"] == ['button "one" over button "two"']
    assert len(found["sideways"]) == 1


def test_every_page_of_the_map_is_looked_at() -> None:
    app = create_app(Config(folder=house_folder(), testing=True))
    shown = {r.endpoint for r in app.url_map.iter_rules() if "GET" in (r.methods or ())}
    assert shown - PICTURES - ELSEWHERE == set(pages())


@pytest.mark.slow
@pytest.mark.parametrize("size", [PHONE, TABLET], ids=["phone", "tablet"])
def test_no_page_scrolls_sideways_and_every_target_can_be_hit(
    browser: Browser, demo: str, size: tuple[int, int]
) -> None:
    wrong: dict[str, Any] = {}
    with page_of(browser, demo, size) as page:
        for address in (one for found in pages().values() for one in found):
            page.goto(address)
            found = page.evaluate(MEASURE)
            if any(found.values()):
                wrong[address] = found
    assert wrong == {}
