"""A small invented house, entered through the one intake by a superintendent and two crews."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image

from fieldlog import intake
from fieldlog.calc.bodies import (
    Act,
    CheckEntry,
    CrewToday,
    Day,
    ItemEntry,
    PhotoEntry,
    ReportIssued,
    Strike,
    Walk,
)
from fieldlog.calc.entries import subject_of
from fieldlog.calc.house import House, parse_house
from fieldlog.calc.ids import new_id
from fieldlog.calc.library import Library
from fieldlog.calc.shape import Strict
from fieldlog.reports import daily
from fieldlog.store import photos, reading
from fieldlog.store.db import open_writer
from fieldlog.store.files import load_library

HOUSE = """
name = "Cider mill on Orchard Row"
zone = "America/Denver"
superintendent = "Ada Quill"
owner = "the owners of the cider mill"
books = ["irc-2021", "our-standard"]
instruments = ["exact", "tape", "steel-rule", "story-pole", "eye"]

[[stories]]
id = "first"
name = "1st floor"

[[stories]]
id = "second"
name = "2nd floor"

[[rooms]]
id = "hall"
name = "Mezzanine hall"
story = "second"
checks = [{ sheet = "stair", place = "First flight" }, { sheet = "visual", place = "Ceiling" }]

[[rooms]]
id = "kitchen"
name = "Kitchen"
story = "first"
checks = [{ sheet = "visual", place = "Counter" }]

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

AUTHOR = "superintendent/Ada Quill"
TUESDAY, WEDNESDAY = "2026-03-03", "2026-03-04"
MORNING = datetime(2026, 3, 3, 15, 10, tzinfo=UTC)
"""8:10 in the morning at the house."""

# Four risers; the gaps of the upper two are too high up to be as wide as they are.
WIDE = {
    "riser": ["7 1/2"] * 6,
    "tread": ["10 1/2"] * 5,
    "tread_thickness": "3",
    "open_riser": "yes",
    "total_rise": "45",
}
CLOSED = {**WIDE, "tread_thickness": "4"}
FULL = {"headroom": "84", "width_above_rail": "38", "width_at_rail": "34", "landing_depth": "40"}


class Site:
    """The house and the people on it. Each entry comes a minute after the one before."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.at = MORNING
        self.library: Library = load_library()
        self.house: House = parse_house(HOUSE)
        self._count = 0
        intake.start_house(folder, self.house, self.at - timedelta(days=1), self._id())
        self.conn: sqlite3.Connection = open_writer(folder)

    def close(self) -> None:
        """Give the writer's lock back."""
        self.conn.close()

    def enters(self, body: Strict, kind: str, subject: str = "", author: str = AUTHOR) -> str:
        """Record an entry; its id."""
        self.at += timedelta(minutes=1)
        entry_id = self._id()
        about = subject_of(entry_id, body) or subject
        answer = intake.record(
            self.conn, self.folder, self.library, id=entry_id, type=kind, subject=about,
            author=author, body=body, now=self.at, seen=reading.head_of(self.conn, about),
        )  # fmt: skip
        assert answer.status == "stored"
        return entry_id

    def walks(self, day: str = TUESDAY) -> str:
        return self.enters(Walk(day), "walk/1")

    def measures(
        self, room: str, sheet: str, place: str, readings: dict[str, Any], **more: Any
    ) -> str:
        tool = more.pop("tool", "tape")
        return self.enters(CheckEntry(room, sheet, readings, tool, place, **more), "check/1")

    def measures_stair(self, readings: dict[str, Any] = WIDE, **more: Any) -> str:
        return self.measures("hall", "stair", "First flight", readings, **more)

    def looks_at(self, room: str, place: str, good: bool, **more: Any) -> str:
        readings = {"thing": place, "good": "yes" if good else "no"}
        return self.measures(room, "visual", place, readings, tool="eye", **more)

    def opens(self, room: str, trade: str, words: str, **more: Any) -> str:
        return self.enters(ItemEntry("", room, trade, words, **more), "item/1")

    def does(self, item: str, act: str, author: str = AUTHOR, **more: Any) -> str:
        return self.enters(Act(act, **more), "act/1", f"item:{item}", author)  # type: ignore[arg-type]

    def strikes(self, entry: str, subject: str, reason: str) -> str:
        return self.enters(Strike(entry, reason), "strike/1", subject)

    def types_the_day(
        self, day: str = TUESDAY, crews: Sequence[CrewToday] = (), **more: str
    ) -> str:
        return self.enters(Day(day, crews=tuple(crews), **more), "day/1")

    def photographs(self, room: str, caption: str = "", of: str = "", day: str = "") -> str:
        """Take a picture; its SHA-256."""
        shade = (37 * self._count % 255, 120, 90)
        data = BytesIO()
        Image.new("RGB", (640, 480), shade).save(data, "PNG")
        kept = photos.keep(self.folder, data.getvalue())
        body = PhotoEntry(
            kept.sha256, kept.size, "image/png", kept.width, kept.height, room, of, caption, day
        )
        self.enters(body, "photo/1")
        return kept.sha256

    def issues(self, day: str = TUESDAY) -> ReportIssued:
        """Issue the day's report; the body of its entry."""
        self.at += timedelta(minutes=1)
        body = daily.issue_daily(self.conn, self.house, day, now=self.at, author=AUTHOR)
        answer = intake.record(
            self.conn, self.folder, self.library, id=self._id(), type="report/1",
            subject=f"report:daily:{day}", author=AUTHOR, body=body, now=self.at,
        )  # fmt: skip
        assert answer.status == "stored"
        return body

    def number(self, item: str) -> str:
        """The number of an item, such as "P-1"."""
        found = reading.item(self.conn, item)
        assert found is not None
        return found.number

    def failing(self, check: str) -> tuple[str, ...]:
        """Ids of the limits a check fails."""
        found = reading.check(self.conn, check)
        assert found is not None
        bad = [r["rule"] for r in found.judgement["rules"] if r["verdict"] == "fail"]
        return tuple(dict.fromkeys(bad))

    def _id(self) -> str:
        self._count += 1
        return new_id(self.at, hashlib.sha256(str(self._count).encode()).digest()[:10])
