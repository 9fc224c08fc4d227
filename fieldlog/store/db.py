"""The house's folder, its database, and the one lock that makes one writer.

SQLite before 3.51.3 can damage a database in WAL mode when two connections write and
checkpoint at the same moment. So: one process per house under a lock file, one writing
connection that alone checkpoints, readers that cannot write, and never `mmap_size`.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Literal

from fieldlog.store.lock import HouseBusy, Lock
from fieldlog.store.schema import MIGRATIONS

__all__ = [
    "HouseBusy",
    "HouseFolder",
    "HouseMissing",
    "HouseTooNew",
    "NotStored",
    "open_reader",
    "open_writer",
    "transaction",
]

BUSY_SECONDS = 10.0


class HouseMissing(Exception):
    """There is no house in the folder; `fieldlog new` starts one."""


class NotStored(Exception):
    """The disk is full or failing: nothing was stored, and nothing before it is lost."""


class HouseTooNew(Exception):
    """The database has another version than this fieldlog; the message says what to do."""


@dataclass(frozen=True)
class HouseFolder:
    """Where things are in a house's data folder. Usable wherever a path is."""

    path: Path

    def __init__(self, path: os.PathLike[str] | str) -> None:
        object.__setattr__(self, "path", Path(path))

    def __fspath__(self) -> str:
        return str(self.path)

    @property
    def database(self) -> Path:
        """The journal and its folds."""
        return self.path / "fieldlog.sqlite"

    @property
    def lock(self) -> Path:
        """Held by the one process that writes."""
        return self.path / "lock"

    @property
    def photos(self) -> Path:
        """Originals, `<aa>/<sha256>.<ext>`."""
        return self.path / "photos"

    @property
    def renditions(self) -> Path:
        """Smaller copies, `<size>/<aa>/<sha256>.jpg`; may be thrown away."""
        return self.path / "renditions"

    @property
    def reports(self) -> Path:
        """Reports written as files."""
        return self.path / "reports"

    @property
    def exists(self) -> bool:
        """Whether a house was started here."""
        return self.database.is_file()


class Writer(sqlite3.Connection):
    """The writing connection; closing it gives the lock back."""

    held: Lock

    def close(self) -> None:
        """Close the database, then let another process write."""
        super().close()
        self.held.release()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
        /,
    ) -> Literal[False]:
        """Close at the end of a `with`: the plain connection would only commit."""
        self.close()
        return False


def open_writer(folder: os.PathLike[str] | str, *, create: bool = False) -> sqlite3.Connection:
    """The one writing connection of the house in `folder`, migrated to the newest schema.

    Raises HouseBusy when another process writes, HouseMissing when no house was started here
    (unless `create`), HouseTooNew for a database of a newer fieldlog. Close it when done.
    """
    at = HouseFolder(folder)
    if not create and not at.exists:
        raise HouseMissing(f"There is no house in {at.path}.")
    held = Lock(at.lock)
    try:
        conn = sqlite3.connect(
            at.database,
            timeout=BUSY_SECONDS,
            isolation_level=None,
            check_same_thread=False,
            factory=Writer,
        )
    except sqlite3.OperationalError:
        held.release()
        raise
    conn.held = held
    ready = False
    try:
        conn.execute("PRAGMA journal_mode=WAL").fetchone()
        conn.execute("PRAGMA synchronous=FULL")
        _migrate(conn)
        ready = True
    finally:
        if not ready:
            conn.close()
    return conn


def open_reader(
    folder: os.PathLike[str] | str, kind: type[sqlite3.Connection] = sqlite3.Connection
) -> sqlite3.Connection:
    """A connection that only reads, and never checkpoints. Raises HouseMissing, HouseTooNew."""
    at = HouseFolder(folder)
    if not at.exists:
        raise HouseMissing(f"There is no house in {at.path}.")
    # mode=ro, because the last connection to close checkpoints, and a reader must not.
    conn = sqlite3.connect(
        f"{at.database.resolve().as_uri()}?mode=ro",
        uri=True,
        timeout=BUSY_SECONDS,
        isolation_level=None,
        check_same_thread=False,
        factory=kind,
    )
    ready = False
    try:
        conn.execute("PRAGMA query_only=ON")
        conn.execute("PRAGMA wal_autocheckpoint=0")
        if _version(conn) != len(MIGRATIONS):
            raise _wrong_version(_version(conn))
        ready = True
    finally:
        if not ready:
            conn.close()
    return conn


@contextmanager
def transaction(conn: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """All or nothing: BEGIN IMMEDIATE, or a savepoint where a transaction is open already.

    Raises NotStored when the disk is full or failing.
    """
    begin, end, undo = _SAVEPOINT if conn.in_transaction else _TRANSACTION
    conn.execute(begin)
    done = False
    try:
        yield conn
        conn.execute(end)
        done = True
    except sqlite3.OperationalError as err:
        if err.sqlite_errorcode & 0xFF not in _DISK:
            raise
        raise NotStored(f"Nothing was stored: the disk is full or failing ({err}).") from err
    finally:
        # A full disk makes SQLite roll back by itself: then there is nothing to undo.
        if not done and conn.in_transaction:
            for statement in undo:
                conn.execute(statement)


_DISK = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_READONLY)
_TRANSACTION = ("BEGIN IMMEDIATE", "COMMIT", ("ROLLBACK",))
_SAVEPOINT = ("SAVEPOINT inner_one", "RELEASE inner_one",
              ("ROLLBACK TO inner_one", "RELEASE inner_one"))  # fmt: skip


def _version(conn: sqlite3.Connection) -> int:
    return int(conn.execute("PRAGMA user_version").fetchone()[0])


def _wrong_version(version: int) -> HouseTooNew:
    if version > len(MIGRATIONS):
        return HouseTooNew("This house was written by a newer fieldlog. Update fieldlog first.")
    return HouseTooNew("This house was written by an older fieldlog. `fieldlog serve` updates it.")


def _migrate(conn: sqlite3.Connection) -> None:
    """Bring the schema to the newest version, one transaction a step."""
    if _version(conn) > len(MIGRATIONS):
        raise _wrong_version(_version(conn))
    for number in range(_version(conn), len(MIGRATIONS)):
        with transaction(conn):
            for statement in MIGRATIONS[number]:
                conn.execute(statement)
            conn.execute(f"PRAGMA user_version={number + 1}")
