"""Reading connections that outlive a request: opening one costs more than most pages read.

A connection of its own keeps the schema, its statements and its pages; each statement still sees
the last commit. Nothing that a request left half read may hold an old state of the house, so
every cursor is closed when the connection is given back; and a database that was put in another's
place is noticed by its file.
"""

from __future__ import annotations

import os
import sqlite3
import threading
from typing import Any
from weakref import WeakSet

from fieldlog.store.db import HouseFolder, open_reader

MOST_IDLE = 16

_File = tuple[int, int]


class Reader(sqlite3.Connection):
    """A connection of `Readers`. `close` gives it back; `end` closes it."""

    home: Readers | None = None
    file: _File = (0, 0)
    is_out = True

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._cursors: WeakSet[sqlite3.Cursor] = WeakSet()

    def execute(self, *args: Any) -> sqlite3.Cursor:
        """As the plain connection does; the cursor is closed with the request."""
        cursor = super().execute(*args)
        self._cursors.add(cursor)
        return cursor

    def close(self) -> None:
        """Give it back, with nothing half read. Once: it may be in other hands by then."""
        if self.home is None:  # what it was opened on is no house
            self.end()
            return
        if not self.is_out:
            return
        self.is_out = False
        for cursor in tuple(self._cursors):
            cursor.close()
        self._cursors.clear()
        self.home.give(self)

    def end(self) -> None:
        """Close it."""
        super().close()


class Readers:
    """The reading connections of one house, each in one request's hands at a time."""

    def __init__(self, folder: os.PathLike[str] | str) -> None:
        self._at = HouseFolder(folder)
        self._lock = threading.Lock()
        self._idle: list[Reader] = []

    def take(self) -> Reader:
        """A connection as `open_reader` gives it. Raises HouseMissing, HouseTooNew."""
        file = self._file()
        with self._lock:
            while self._idle:
                reader = self._idle.pop()
                if reader.file == file:
                    reader.is_out = True
                    return reader
                reader.end()
        made = open_reader(self._at, Reader)
        assert isinstance(made, Reader)
        made.home, made.file = self, file or (0, 0)
        return made

    def give(self, reader: Reader) -> None:
        """Keep a connection for the next request."""
        with self._lock:
            if len(self._idle) < MOST_IDLE:
                self._idle.append(reader)
                return
        reader.end()

    def close(self) -> None:
        """Close those that nobody has."""
        with self._lock:
            idle, self._idle = self._idle, []
        for reader in idle:
            reader.end()

    def _file(self) -> _File | None:
        try:
            known = self._at.database.stat()
        except OSError:
            return None
        return known.st_dev, known.st_ino
