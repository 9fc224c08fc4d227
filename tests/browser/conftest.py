"""Houses in a real browser: a small one that a test walks, and the demo's, to look at."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog import intake
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from tests.browser.people import TABLET, People, page_of
from tests.browser.serving import served
from tests.seeded import NOW, house_folder

if TYPE_CHECKING:
    from playwright.sync_api import Browser

HOUSE = """
name = "Cider mill on Orchard Row"
zone = "America/Chicago"
superintendent = "Ada Quill"
books = ["irc-2021", "our-standard"]
instruments = ["tape", "steel-rule", "eye"]
phrases = ["Scratch", "Paint holiday", "Missing cover plate"]

[[stories]]
id = "second"
name = "2nd floor"

[[rooms]]
id = "hall"
name = "Mezzanine hall"
story = "second"
checks = [{ sheet = "stair", place = "First flight" }]

[[rooms]]
id = "study"
name = "Study"
story = "second"

[[trades]]
id = "stair"
name = "Stair crew"

[[trades]]
id = "paint"
name = "Paint crew"
"""


@pytest.fixture
def mill(tmp_path: Path, now: datetime) -> Iterator[str]:
    """A house just started, served: its address."""
    folder = tmp_path / "mill"
    intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
    with served(folder, now) as address:
        yield address


@pytest.fixture(params=[True, False], ids=["script", "no-script"])
def people(request: pytest.FixtureRequest, browser: Browser, mill: str) -> Iterator[People]:
    """The superintendent and the crews at work in the mill, with and without JavaScript."""
    with page_of(browser, mill, TABLET, request.param) as page:
        yield People(page, request.param)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The demo's house on the evening of its last day, served: its address."""
    folder = tmp_path_factory.mktemp("demo") / "house"
    shutil.copytree(house_folder(), folder)
    with served(folder, NOW) as address:
        yield address
