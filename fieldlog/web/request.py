"""What a view asks for: the house, the library, a reader, the one writer, the day, a form's id.

One `HouseAtHand` per app holds what outlives a request. Reading goes through a connection of
the request; writing through the process's only writing connection, one thread at a time.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from flask import abort, current_app, g, session

from fieldlog.calc.house import House, HouseNotUnderstood, Room
from fieldlog.calc.ids import new_id
from fieldlog.calc.library import Library
from fieldlog.config import Config
from fieldlog.store import db, reading
from fieldlog.store.db import HouseMissing, HouseTooNew
from fieldlog.store.files import LIBRARY_FOLDERS, load_library
from fieldlog.store.readers import Readers

KEY, CONFIG = "fieldlog", "fieldlog.config"
RANDOM_BYTES = 10
TOML_PLACES = ("", *LIBRARY_FOLDERS)
"""The house's folder itself has its overrides."""


class HouseAtHand:
    """The open house of one process: its writer under a lock, its library as last loaded."""

    def __init__(self, config: Config) -> None:
        self.config = config
        self.readers = Readers(config.folder)
        self._lock = threading.Lock()
        self._writer: sqlite3.Connection | None = None
        self._shelf_lock = threading.Lock()
        self._library: Library | None = None
        self._stamp: tuple[tuple[str, int, int], ...] | None = None

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """The writing connection, held by one thread. Raises HouseBusy on first use."""
        with self._lock:
            if self._writer is None:
                self._writer = db.open_writer(self.config.folder)
            yield self._writer

    def library(self) -> Library:
        """Sheets, books and instruments; loaded again when a file of the house changed."""
        stamp = _stamp(self.config.folder)
        with self._shelf_lock:
            if self._library is None or stamp != self._stamp:
                self._library, self._stamp = load_library(self.config.folder), stamp
            return self._library

    def close(self) -> None:
        """Give the lock file back."""
        self.readers.close()
        with self._lock:
            if self._writer is not None:
                self._writer.close()
                self._writer = None


def _stamp(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, time and size of each TOML file a house brings along: looked at for every page."""
    return tuple(
        (f"{place}/{file.name}", known.st_mtime_ns, known.st_size)
        for place in TOML_PLACES
        for file in _files(os.path.join(folder, place))
        if file.name.endswith(".toml") and file.is_file() and (known := file.stat())
    )


def _files(at: str) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(at) as found:
            return sorted(found, key=lambda file: file.name)
    except FileNotFoundError:
        return []


def at_hand() -> HouseAtHand:
    """The app's HouseAtHand."""
    held = current_app.extensions[KEY]
    assert isinstance(held, HouseAtHand)
    return held


def config() -> Config:
    """The app's configuration: of this front, where a house is served at several."""
    made = current_app.extensions[CONFIG]
    assert isinstance(made, Config)
    return made


def folder() -> Path:
    """The house's data folder."""
    return config().folder


def library() -> Library:
    """See HouseAtHand.library; the same within one request."""
    if "library" not in g:
        g.library = at_hand().library()
    loaded: Library = g.library
    return loaded


def conn() -> sqlite3.Connection:
    """This request's reading connection; given back when the request ends."""
    if "reader" not in g:
        g.reader = at_hand().readers.take()
    reader: sqlite3.Connection = g.reader
    return reader


@contextmanager
def writer() -> Iterator[sqlite3.Connection]:
    """The one writing connection: `with writer() as w: record(w, ...)`."""
    with at_hand().writing() as connection:
        yield connection


def house() -> House:
    """The house as its latest entry describes it."""
    if "house" not in g:
        g.house = reading.house(conn())
    known: House = g.house
    return known


def has_house() -> bool:
    """Whether the folder holds a house: error pages are shown without one, too."""
    try:
        house()
    except (HouseMissing, HouseTooNew, HouseNotUnderstood, sqlite3.Error):
        return False
    return True


def room_or_404(room_id: str) -> Room:
    """The room of the address, else a 404 page."""
    room = house().room(room_id)
    if room is None:
        abort(404, f'There is no room "{room_id}" in this house. Pick one under Rooms.')
    return room


def now() -> datetime:
    """Aware UTC time from the app's clock; the same within one request."""
    if "now" not in g:
        g.now = config().clock()
    moment: datetime = g.now
    return moment


def zone() -> ZoneInfo:
    """The house's time zone."""
    return ZoneInfo(house().zone)


def local_date() -> date:
    """The date in the house's zone at this moment."""
    if "local_date" not in g:
        g.local_date = now().astimezone(zone()).date()
    day: date = g.local_date
    return day


def today() -> str:
    """The walk's day: as the person confirmed it today, else the date in the house's zone."""
    on = local_date().isoformat()
    confirmed = session.get("walk")
    if isinstance(confirmed, list) and len(confirmed) == 2 and confirmed[0] == on:
        return str(confirmed[1])
    return on


def confirm_day(day: str) -> None:
    """Remember, until the date changes, which day this person's walk is dated."""
    session["walk"] = [local_date().isoformat(), day]


def author() -> str:
    """Who makes an entry on this machine: its superintendent."""
    return f"superintendent/{house().superintendent}"


def form_id() -> str:
    """A fresh entry id for a form, made when it is rendered: a double post cannot double."""
    return new_id(now(), secrets.token_bytes(RANDOM_BYTES))
