"""The cast: a superintendent, a crew and an outsider, and a small house in a folder of its own.

Entries come through the real intake and pages through the real app; only the clock stands still.
"""

from __future__ import annotations

import dataclasses
import html
import re
import secrets
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import msgspec
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.datastructures import MultiDict
from werkzeug.test import TestResponse

from fieldlog import intake
from fieldlog.app import create_app
from fieldlog.calc.entries import CheckEntry, ItemEntry, subject_of
from fieldlog.calc.house import House
from fieldlog.calc.ids import new_id
from fieldlog.calc.shape import Strict
from fieldlog.store import reading
from fieldlog.store.db import open_reader
from fieldlog.web.request import KEY

HOUSE = """
name = "Boathouse on Fir Point"
zone = "America/Chicago"
superintendent = "Ines"
books = ["irc-2021", "our-standard"]
instruments = ["tape", "steel-rule", "story-pole", "straightedge", "laser-rod", "ball-4in", "eye"]
phrases = ["Scratch", "Paint holiday", "Missing cover plate"]

[[stories]]
id = "slip"
name = "Slip level"
[[stories]]
id = "upper"
name = "Upper floor"

[[rooms]]
id = "boat-room"
name = "Boat room"
story = "slip"
size = "14 x 18 ft"
finish = "slab"
door = "door on the south wall"
[[rooms.checks]]
sheet = "floor"
books = ["plank-floor"]
[[rooms.checks]]
sheet = "stair"
place = "First flight"
[[rooms.checks]]
sheet = "visual"
place = "Outlets by the bench"
[[rooms]]
id = "gallery"
name = "Gallery"
story = "upper"
[[rooms.checks]]
sheet = "guard"
[[rooms.checks]]
sheet = "trim"
place = "Lake window"
[[rooms]]
id = "closet"
name = "Closet"
story = "upper"

[[trades]]
id = "stair"
name = "Stair crew"
[[trades]]
id = "floor"
name = "Floor crew"
[[trades]]
id = "trim"
name = "Trim crew"
[[trades]]
id = "paint"
name = "Paint crew"
[[trades]]
id = "electric"
name = "Electrician"
"""

GOOD_STAIR: dict[str, Any] = {
    "open_riser": "no",
    "riser": ["7 1/2"] * 9,
    "tread": ["10 1/2"] * 8,
    "nosing": ["1"] * 8,
    "tread_thickness": "1 1/2",
    "headroom": "7 ft",
    "width_above_rail": "38",
    "width_at_rail": "33",
    "landing_depth": "38",
}
OPEN_STAIR: dict[str, Any] = GOOD_STAIR | {"open_riser": "yes", "tread_thickness": "3"}
"""Risers of 7 1/2 less treads of 3: gaps of 4 1/2, more than 30 in above the floor."""


class Clock:
    """A time that stands still until it is moved."""

    def __init__(self, start: datetime) -> None:
        self.time = start

    def __call__(self) -> datetime:
        return self.time

    def passes(self, **amount: float) -> None:
        """Let time pass: `clock.passes(hours=2)`."""
        self.time += timedelta(**amount)


class _Page(HTMLParser):
    """Form fields of a page, its ids, and anything that the page's policy would drop."""

    def __init__(self) -> None:
        super().__init__()
        self.fields: list[tuple[str, str]] = []
        self.inline: list[str] = []
        self.headings = 0
        self._radio: set[str] = set()
        self._select = ""
        self._area: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {k: v or "" for k, v in attrs}
        self.inline += [f"<{tag} {k}>" for k in given if k == "style" or k.startswith("on")]
        if tag == "style" or (tag == "script" and not given.get("src")):
            self.inline.append(f"<{tag}>")
        if tag == "h1":
            self.headings += 1
        if tag == "input":
            self._input(given)
        elif tag == "select":
            self._select = given.get("name", "")
            self.fields.append((self._select, ""))
        elif tag == "option" and self._select and "selected" in given:
            self.fields[-1] = (self._select, given.get("value", ""))
        elif tag == "textarea":
            self._area = given.get("name", "")
            self.fields.append((self._area, ""))

    def _input(self, given: dict[str, str]) -> None:
        kind, name = given.get("type", "text"), given.get("name", "")
        if not name or kind == "file":
            return
        if kind in ("radio", "checkbox") and "checked" not in given:
            return
        self.fields.append((name, given.get("value", "")))

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            name, text = self.fields[-1]
            self.fields[-1] = (name, text + data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = None
        elif tag == "select":
            self._select = ""


@dataclass
class Page:
    """An answer of the app, read as a person would."""

    response: TestResponse

    @property
    def status(self) -> int:
        """The status code."""
        return self.response.status_code

    @property
    def html(self) -> str:
        """The page's HTML."""
        return self.response.get_data(as_text=True)

    @property
    def text(self) -> str:
        """The page's words, without tags and with single spaces."""
        inside = re.sub(r"</?b>", "", self.html)
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", inside)).split())

    @property
    def fields(self) -> MultiDict[str, str]:
        """What a browser would send of all the page's forms together."""
        return MultiDict(self._read().fields)

    @property
    def inline(self) -> list[str]:
        """Inline scripts, styles and handlers: the page's policy would drop them."""
        return self._read().inline

    @property
    def headings(self) -> int:
        """How many h1 there are."""
        return self._read().headings

    def _read(self) -> _Page:
        page = _Page()
        page.feed(self.html)
        return page


@dataclass
class Person:
    """Someone at a browser: opens pages, fills in forms."""

    client: FlaskClient

    def opens(self, path: str, **options: Any) -> Page:
        """GET, redirects followed."""
        return Page(self.client.get(path, follow_redirects=True, **options))

    def sends(self, path: str, data: Any, follow: bool = True, **options: Any) -> Page:
        """POST as given."""
        return Page(self.client.post(path, data=data, follow_redirects=follow, **options))

    def fills(self, path: str, follow: bool = True, to: str = "", **values: Any) -> Page:
        """Open a page, put values over its fields (`__` for a hyphen), send it back."""
        fields = self.opens(path).fields
        for name, value in values.items():
            fields.setlist(name.replace("__", "-"), [value])
        return self.sends(to or path, fields, follow)


@dataclass
class SmallHouse:
    """A started house on disk, its app, and ways to enter things past the pages."""

    folder: Path
    clock: Clock
    app: Flask
    house: House
    made: list[str] = field(default_factory=list)

    def conn(self) -> Any:
        """A reading connection; use as `with house.conn() as c:`."""
        return closing(open_reader(self.folder))

    def new_id(self) -> str:
        """A fresh entry id at the clock's time."""
        return new_id(self.clock(), secrets.token_bytes(10))

    def enters(self, type: str, body: Strict, *, subject: str = "", by: str = "") -> str:
        """Record an entry through the intake; its id comes back."""
        held = self.app.extensions[KEY]
        entry_id = self.new_id()
        with held.writing() as w:
            answer = intake.record(
                w, self.folder, held.library(), id=entry_id, type=type,
                subject=subject or subject_of(entry_id, body),
                author=by or f"superintendent/{self.house.superintendent}",
                body=body, now=self.clock(),
            )  # fmt: skip
        assert answer.status == "stored", answer
        self.made.append(entry_id)
        return entry_id

    def checks(
        self, room: str, sheet: str, readings: dict[str, Any], *, place: str = "", **more: Any
    ) -> str:
        """A check, judged and stored; its id comes back."""
        body = CheckEntry(
            room=room, sheet=sheet, place=place, readings=readings,
            instrument=more.pop("instrument", "tape"), day=more.pop("day", ""), **more,
        )  # fmt: skip
        return self.enters("check/1", body)

    def opens_item(self, room: str, trade: str, words: str, **more: Any) -> str:
        """A punch item; its id comes back."""
        return self.enters("item/1", ItemEntry("", room, trade, words, **more))

    def check(self, check_id: str) -> Any:
        """The check as the pages read it."""
        with self.conn() as c:
            return reading.check(c, check_id)

    def entries(self) -> int:
        """How many entries the journal holds."""
        with self.conn() as c:
            return reading.head(c).seq

    def restarted(self) -> Flask:
        """A second app on the same folder, after the first one let go of it."""
        self.app.extensions[KEY].close()
        config = dataclasses.replace(self.app.extensions[KEY].config)
        self.app = create_app(config)
        return self.app


def as_json(page: Page) -> Any:
    """A JSON answer, decoded."""
    return msgspec.json.decode(page.response.get_data())
