"""What a server does once when its doors are open."""

from __future__ import annotations

import sys

import pytest
from web_cast import SmallHouse

from fieldlog.app import create_app
from fieldlog.config import Config
from fieldlog.web import request, settled


class Collector:
    """Notes what it is told; the tests' own collector stays as it is."""

    def __init__(self) -> None:
        self.told: list[object] = []

    def collect(self) -> None:
        self.told.append("collect")

    def freeze(self) -> None:
        self.told.append("freeze")

    def set_threshold(self, *counts: int) -> None:
        self.told.append(counts)


def test_every_page_is_compiled_and_what_is_loaded_stays(
    small_house: SmallHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    collector = Collector()
    monkeypatch.setattr(settled, "gc", collector)
    turns: list[float] = []
    monkeypatch.setattr(sys, "setswitchinterval", turns.append)
    app = create_app(Config(small_house.folder, testing=True))
    overrides = small_house.folder / "overrides.toml"
    overrides.write_text("faulty")
    settled.settle_soon([app]).join(60)
    assert turns == [settled.TURN_SECONDS]
    assert collector.told == ["collect", "freeze", settled.THRESHOLDS]
    compiled = {name for _, name in app.jinja_env.cache} if app.jinja_env.cache else set()
    assert {"base.html", "rooms/room.html", "punch/punch.html", "walk/today.html"} <= compiled
    overrides.unlink()
    assert app.extensions[request.KEY].library().sheets
    monkeypatch.setattr(request, "load_library", None)
    assert app.extensions[request.KEY].library().sheets
