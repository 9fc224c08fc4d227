"""A small house kept in a folder, and short ways to enter things into it."""

from __future__ import annotations

import atexit
import shutil
import sqlite3
import tempfile
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from fieldlog import intake
from fieldlog.calc.entries import (
    Act,
    CheckEntry,
    Entry,
    ItemEntry,
    Strike,
    encode_body,
    subject_of,
)
from fieldlog.calc.house import House, PlannedCheck, Room, Story, Trade
from fieldlog.calc.ids import new_id
from fieldlog.calc.library import Library
from fieldlog.calc.shape import Strict
from fieldlog.intake import Answer
from fieldlog.store import db, journal, reading
from fieldlog.store.files import load_library

PAT = "superintendent/Pat Doe"
STAIR_CREW = "crew/stairs"
PAINT_CREW = "crew/paint"
START = datetime(2026, 3, 3, 14, 15, tzinfo=UTC)

HOUSE = House(
    name="Mill Lane",
    zone="America/Chicago",
    superintendent="Pat Doe",
    stories=(Story("low", "Basement"), Story("main", "1st floor")),
    rooms=(
        Room("hall", "Hall", "main", checks=(PlannedCheck("stair"), PlannedCheck("visual"))),
        Room("bath", "Bath", "main", checks=(PlannedCheck("visual", "tile"),)),
        Room("shop", "Shop", "low"),
    ),
    trades=(Trade("stairs", "Stair crew"), Trade("paint", "Paint crew")),
    books=("irc-2021", "our-standard"),
    instruments=("tape", "steel-rule", "exact", "eye"),
)

GOOD_DOOR: dict[str, Any] = {"thing": "Closet door", "good": "yes"}
BAD_DOOR: dict[str, Any] = {"thing": "Closet door", "good": "no"}
BAD_STAIR: dict[str, Any] = {"riser": ["7 1/2", "8 1/4", "7 1/2"], "tread": ["10 1/2", "10 1/2"]}


@cache
def library() -> Library:
    """The files that ship, loaded once."""
    return load_library(None)


@dataclass
class Kept:
    """A house's folder, its writing connection, and a clock that stands until it is moved."""

    folder: Path
    conn: sqlite3.Connection
    now: datetime = START
    made: int = field(default=0)

    def new_id(self) -> str:
        """The next id; the same in every run."""
        self.made += 1
        return new_id(self.now, self.made.to_bytes(10, "big"))

    def later(self, **amount: float) -> None:
        """Move the clock."""
        self.now += timedelta(**amount)

    def record(
        self,
        type: str,
        body: Strict,
        *,
        subject: str = "",
        author: str = PAT,
        id: str = "",
        seen: str | None = None,
    ) -> Answer:
        """Enter something as a form does, having seen the subject's head unless told."""
        id = id or self.new_id()
        subject = subject or subject_of(id, body)
        return intake.record(
            self.conn,
            self.folder,
            library(),
            id=id,
            type=type,
            subject=subject,
            author=author,
            body=body,
            now=self.now,
            seen=reading.head_of(self.conn, subject) if seen is None else seen,
        )

    def check(
        self, readings: dict[str, Any] = GOOD_DOOR, *, room: str = "hall", sheet: str = "visual",
        instrument: str = "eye", place: str = "", **more: Any,
    ) -> str:  # fmt: skip
        """Enter a check; returns its id."""
        author = more.pop("author", PAT)
        body = CheckEntry(room, sheet, readings, instrument, place, **more)
        return self.record("check/1", body, author=author).id

    def stair(self, readings: dict[str, Any] = BAD_STAIR, **more: Any) -> str:
        """Enter a check of the hall's stair; returns its id."""
        return self.check(readings, sheet="stair", instrument="tape", **more)

    def item(self, words: str = "Scratch on the door", **more: Any) -> str:
        """Open an item; returns its id."""
        body = ItemEntry(
            more.pop("number", ""), more.pop("room", "hall"), more.pop("trade", "stairs"),
            words, **more,
        )  # fmt: skip
        return self.record("item/1", body).id

    def act(self, item: str, act: str, *, author: str = PAT, **more: Any) -> str:
        """Act on an item; returns the act's id."""
        seen = more.pop("seen", None)
        body = Act(act, **more)  # type: ignore[arg-type]
        return self.record(
            "act/1", body, subject=f"item:{item}", author=author, seen=seen
        ).id  # fmt: skip

    def strike(self, entry: str, reason: str = "a slip") -> str:
        """Strike an entry through; returns the strike's id."""
        found = journal.entry(self.conn, entry)
        subject = found.subject if found else "house"
        return self.record("strike/1", Strike(entry, reason), subject=subject).id

    def made_elsewhere(self, type: str, body: Strict | str, **over: Any) -> Entry:
        """An entry of another device, as it would be received."""
        id = over.pop("id", "") or self.new_id()
        text = body if isinstance(body, str) else encode_body(body)
        subject = "" if isinstance(body, str) else subject_of(id, body)
        fields: dict[str, Any] = {
            "id": id, "job": journal.job(self.conn), "device": "tablet-1",
            "device_seq": journal.next_device_seq(self.conn, "tablet-1"),
            "claimed_ms": int(self.now.timestamp() * 1000), "offset_min": -360, "author": PAT,
            "type": type, "subject": subject, "seen": "", "body": text,
        }  # fmt: skip
        return Entry(**(fields | over))

    def take(self, entry: Any) -> Answer:
        """Hand over an entry that was made elsewhere."""
        return intake.take(self.conn, self.folder, library(), entry, self.now)


def start(folder: Path, house: House = HOUSE) -> Kept:
    """Start a house in `folder` and open it for writing."""
    intake.start_house(folder, house, START, new_id(START, bytes(10)))
    return Kept(folder, db.open_writer(folder))


@cache
def _template() -> Path:
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder)
    intake.start_house(folder / "house", HOUSE, START, new_id(START, bytes(10)))
    return folder / "house"


def copied(folder: Path) -> Kept:
    """The same as `start`, without waiting for the disk: for tests that are not about it."""
    shutil.copytree(_template(), folder)
    kept = Kept(folder, db.open_writer(folder))
    kept.conn.execute("PRAGMA synchronous=OFF")
    return kept
