"""Which entries and photos the last verified backup holds: `backup.json` in the house's folder.

`fieldlog backup` writes it last of all. It counts only where the journal still has the head that
was backed up: copied with another journal, it says nothing.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import msgspec

from fieldlog.calc.shape import Strict
from fieldlog.store.db import HouseFolder
from fieldlog.store.devices_seen import has_head
from fieldlog.store.durable import write_durably


class BackedUp(Strict, frozen=True):
    """A verified backup: its head, when (UTC), where, and the digests of the photos in it."""

    seq: int
    chain: str
    at: str
    where: str
    photos: tuple[str, ...] = ()


NONE = BackedUp(0, "", "", "")
_decode = msgspec.json.Decoder(BackedUp).decode


def path_of(folder: os.PathLike[str] | str) -> Path:
    """Where the record lies."""
    return HouseFolder(folder).path / "backup.json"


def write(folder: os.PathLike[str] | str, done: BackedUp) -> None:
    """Record a verified backup. Raises OSError."""
    write_durably(path_of(folder), msgspec.json.encode(done))


def last(conn: sqlite3.Connection, folder: os.PathLike[str] | str) -> BackedUp:
    """The last verified backup of this very journal, or one of number 0."""
    path = path_of(folder)
    try:
        known = path.stat()
        record = _read(path, (known.st_mtime_ns, known.st_size))
    except (FileNotFoundError, msgspec.DecodeError):
        return NONE
    return record if has_head(conn, record.seq, record.chain) else NONE


def _read(path: Path, stamp: tuple[int, int]) -> BackedUp:
    # Read again only when it was written again: it names every photo of the house.
    if _kept.get(str(path), (None, NONE))[0] != stamp:
        _kept[str(path)] = (stamp, _decode(path.read_bytes()))
    return _kept[str(path)][1]


_kept: dict[str, tuple[tuple[int, int] | None, BackedUp]] = {}
