"""Who is there in every test of a page: see web_cast.py."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from web_cast import GOOD_STAIR, HOUSE, OPEN_STAIR, Clock, Page, Person, SmallHouse, as_json

from fieldlog import intake
from fieldlog.app import create_app
from fieldlog.calc.house import parse_house
from fieldlog.calc.ids import new_id
from fieldlog.config import Config
from fieldlog.web.request import CONFIG, KEY, HouseAtHand

__all__ = ["GOOD_STAIR", "HOUSE", "OPEN_STAIR", "Clock", "Page", "Person", "SmallHouse", "as_json"]

SECRET = b"s" * 32


@pytest.fixture
def clock(now: datetime) -> Clock:
    """Tuesday morning, until a test moves it."""
    return Clock(now)


@cache
def one_app() -> tuple[Flask, dict[str, Any]]:
    """Made once, with its settings: to make an app's addresses takes longer than most tests."""
    app = create_app(Config(Path("nowhere"), secret=SECRET, testing=True))
    return app, dict(app.config)


def app_of(config: Config) -> Flask:
    """The one app, with nothing of an earlier test in it."""
    app, settings = one_app()
    app.config.update(settings)
    app.extensions.clear()
    app.extensions.update({KEY: HouseAtHand(config), CONFIG: config})
    return app


@pytest.fixture
def small_house(tmp_path: Path, clock: Clock) -> Iterator[SmallHouse]:
    """The boathouse: three rooms, five trades, nothing measured yet."""
    folder = tmp_path / "house"
    house = parse_house(HOUSE)
    intake.start_house(folder, house, clock(), new_id(clock(), bytes(10)))
    config = Config(folder, clock=clock, secret=SECRET, testing=True)
    made = SmallHouse(folder, clock, app_of(config), house)
    yield made
    made.app.extensions[KEY].close()


@pytest.fixture
def superintendent(small_house: SmallHouse) -> Person:
    """Ines, at the machine itself."""
    return Person(small_house.app.test_client())


@pytest.fixture
def crew(small_house: SmallHouse) -> Person:
    """Someone of a crew, in a browser of their own."""
    return Person(small_house.app.test_client())


@pytest.fixture
def outsider(small_house: SmallHouse) -> Person:
    """Someone who comes by another name than the machine's own."""
    return Person(small_house.app.test_client())
