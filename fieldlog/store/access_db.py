"""The access store, `access.sqlite` in the house's folder: devices, links, codes, the LAN's name.

It is neither chained nor exported, and holds no secret in clear: tokens, links and codes are
there as SHA-256 only. It keeps SQLite's rollback journal, not WAL, so that `fieldlog pair` may
write to it while another process serves the house.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from pathlib import Path

from fieldlog.store.db import HouseFolder, transaction

BUSY_SECONDS = 10.0
NAME = "name"

_SCHEMA = (
    "CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT",
    # One row: the last code made. A new one takes the place of the one before it.
    """CREATE TABLE pairing (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        code TEXT NOT NULL,
        expires TEXT NOT NULL,
        tries INTEGER NOT NULL,
        used_by TEXT NOT NULL
    ) STRICT""",
    # `trade` is the crew a tablet is passed to, `pin` what takes it back, `tries` what is left.
    """CREATE TABLE device (
        id TEXT PRIMARY KEY,
        name TEXT NOT NULL,
        token TEXT NOT NULL UNIQUE,
        paired TEXT NOT NULL,
        seen TEXT NOT NULL,
        revoked TEXT NOT NULL,
        trade TEXT NOT NULL,
        pin TEXT NOT NULL,
        tries INTEGER NOT NULL
    ) STRICT""",
    """CREATE TABLE link (
        id TEXT PRIMARY KEY,
        kind TEXT NOT NULL,
        trade TEXT NOT NULL,
        secret TEXT NOT NULL UNIQUE,
        code TEXT NOT NULL UNIQUE,
        made TEXT NOT NULL,
        expires TEXT NOT NULL,
        revoked TEXT NOT NULL,
        seen TEXT NOT NULL
    ) STRICT""",
    # A browser that came in by a link.
    """CREATE TABLE visit (
        token TEXT PRIMARY KEY,
        link TEXT NOT NULL REFERENCES link (id),
        since TEXT NOT NULL
    ) STRICT""",
)


def path_of(folder: os.PathLike[str] | str) -> Path:
    """Where the access store of a house lies."""
    return HouseFolder(folder).path / "access.sqlite"


def open_access(folder: os.PathLike[str] | str) -> sqlite3.Connection:
    """A connection to the access store, made private and empty where there is none. Close it."""
    path = path_of(folder)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    conn = sqlite3.connect(
        path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
    )
    ready = False
    try:
        conn.execute("PRAGMA synchronous=FULL")
        if not _version(conn):
            _make(conn)
        ready = True
    finally:
        if not ready:
            conn.close()
    return conn


def hashed(secret: str) -> str:
    """SHA-256 of a secret of 128 bits or more, or of a code that is good for minutes."""
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()


def lan_name(conn: sqlite3.Connection) -> str:
    """The house's name on the local network, `fieldlog-7k2m.local`, or ""."""
    row = conn.execute("SELECT value FROM setting WHERE key = ?", (NAME,)).fetchone()
    return str(row[0]) if row else ""


def keep_lan_name(conn: sqlite3.Connection, drawn: str) -> str:
    """The house's name on the local network; `drawn` becomes it where it has none yet.

    A tablet's storage belongs to this name, so it never changes.
    """
    conn.execute("INSERT INTO setting VALUES (?, ?) ON CONFLICT DO NOTHING", (NAME, drawn))
    return lan_name(conn)


def _version(conn: sqlite3.Connection) -> int:
    return int(conn.execute("PRAGMA user_version").fetchone()[0])


def _make(conn: sqlite3.Connection) -> None:
    with transaction(conn):
        if _version(conn):  # another process made it meanwhile
            return
        for statement in _SCHEMA:
            conn.execute(statement)
        conn.execute("PRAGMA user_version=1")
