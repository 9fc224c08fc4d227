"""Photos that come from a tablet: a small stand-in first, the original later, whole or not at all.

An entry may name a photo whose file is still on the tablet. Stand-ins lie in `standins/` and are
shown until the original is here; nothing is ever made from them.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Iterable
from datetime import datetime
from typing import Literal

from fieldlog.calc.shape import is_digest
from fieldlog.store import photos
from fieldlog.store.db import NotStored
from fieldlog.store.durable import write_durably
from fieldlog.store.journal import OFFICE, stamp
from fieldlog.store.photos import KeptPhoto, PhotoRefused

Folder = os.PathLike[str] | str
Where = Literal["missing", "small", "here", "backed_up"]

MOST_SMALL = 1_000_000
SMALL_SIDE = 900


class PhotoCut(ValueError):
    """Other bytes came than were sent; the message asks for them again."""


def keep_original(folder: Folder, sha256: str, data: bytes) -> KeptPhoto:
    """Keep the original that is named by its digest. Raises PhotoCut, PhotoRefused, NotStored."""
    found = hashlib.sha256(data).hexdigest()
    if found != sha256:
        raise PhotoCut(
            f"The photo did not arrive whole: {len(data)} bytes came, and their SHA-256 is "
            f"{found[:12]}, not {sha256[:12]}. Nothing was kept; send it again."
        )
    kept = photos.keep(folder, data)
    photos.standin(folder, sha256).unlink(missing_ok=True)
    return kept


def keep_small(folder: Folder, sha256: str, data: bytes) -> None:
    """Keep a stand-in for an original that comes later. Raises PhotoRefused, NotStored.

    It is made anew from its pixels, so that what stands beside them (place, camera) is gone.
    """
    if len(data) > MOST_SMALL:
        raise PhotoRefused("A small copy is 1 MB at most.")
    if photos.original(folder, sha256) is not None:
        return
    small = photos.smaller(data, SMALL_SIDE)
    try:
        write_durably(photos.standin(folder, sha256), small)
    except OSError as err:
        raise NotStored(f'The photo was not stored: the disk says "{err.strerror}".') from err


def note_here(conn: sqlite3.Connection, sha256: str, size: int, now: datetime) -> None:
    """Note that an original is here: if its file is missing later, it is gone. In a transaction."""
    conn.execute(
        "INSERT OR IGNORE INTO photo_here (sha256, size, received) VALUES (?, ?, ?)",
        (sha256, size, stamp(now)),
    )


def where_is(folder: Folder, asked: Iterable[str], backed_up: frozenset[str]) -> dict[str, Where]:
    """For each digest: whether the original is here, and in the last verified backup too."""
    return {sha256: _where(folder, sha256, backed_up) for sha256 in asked if is_digest(sha256)}


def waiting(conn: sqlite3.Connection, folder: Folder) -> set[str]:
    """Photos that entries name and that never were here: they are still on a tablet."""
    rows = conn.execute(
        "SELECT p.sha256 FROM fold_photo p JOIN journal j USING (seq)"
        " WHERE p.sha256 NOT IN (SELECT sha256 FROM photo_here)"
        " GROUP BY p.sha256 HAVING max(j.device = ?) = 0",
        (OFFICE,),
    )
    return {sha256 for (sha256,) in rows if photos.original(folder, sha256) is None}


def is_waiting(conn: sqlite3.Connection, folder: Folder, sha256: str) -> bool:
    """Whether a photo that an entry names never was here: it is still on a tablet."""
    if photos.original(folder, sha256) is not None:
        return False
    row = conn.execute(
        "SELECT max(j.device = ?) FROM fold_photo p JOIN journal j USING (seq)"
        " WHERE p.sha256 = ? AND p.sha256 NOT IN (SELECT sha256 FROM photo_here)",
        (OFFICE, sha256),
    ).fetchone()
    return row is not None and row[0] == 0


def _where(folder: Folder, sha256: str, backed_up: frozenset[str]) -> Where:
    if photos.original(folder, sha256) is None:
        return "small" if photos.standin(folder, sha256).is_file() else "missing"
    return "backed_up" if sha256 in backed_up else "here"
