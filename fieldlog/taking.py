"""An outbox saved as a file is taken in: photos kept, entries handed over, each with an answer.

At the machine itself any tablet's file is taken: whose it is was seen by the person who brought it.
"""

from __future__ import annotations

import os
import sqlite3
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from fieldlog import handover
from fieldlog.calc.library import Library
from fieldlog.calc.shape import is_digest
from fieldlog.store import arriving
from fieldlog.store.arriving import PhotoCut
from fieldlog.store.db import transaction
from fieldlog.store.outbox_file import EndedEarly, Part, SavedPhoto
from fieldlog.store.photos import PhotoRefused


@dataclass
class Taken:
    """What became of a file: how many entries by status, photos kept, and what was not taken."""

    entries: Counter[str] = field(default_factory=Counter)
    photos: int = 0
    reasons: list[str] = field(default_factory=list)


def take_in(
    conn: sqlite3.Connection,
    folder: os.PathLike[str] | str,
    library: Library,
    parts: Iterable[Part],
    now: datetime,
) -> Taken:
    """Take in the parts of an outbox file. Taken in twice it changes nothing. Raises NotStored."""
    taken = Taken()
    for part in parts:
        if isinstance(part, EndedEarly):
            taken.reasons.append(part.reason)
        elif isinstance(part, SavedPhoto):
            _photo(conn, folder, part, now, taken)
        else:
            with transaction(conn):
                told = handover.take_one(conn, folder, library, part.sent, now)
            taken.entries[told["status"]] += 1
            if told["reason"]:
                taken.reasons.append(f"{told['status']}, {told['id']}: {told['reason']}")
    return taken


def _photo(
    conn: sqlite3.Connection,
    folder: os.PathLike[str] | str,
    part: SavedPhoto,
    now: datetime,
    taken: Taken,
) -> None:
    if not is_digest(part.sha256):
        taken.reasons.append("A photo's name is no SHA-256.")
        return
    try:
        kept = arriving.keep_original(folder, part.sha256, part.data)
    except (PhotoCut, PhotoRefused) as err:
        taken.reasons.append(f"photo {part.sha256[:12]}: {err}")
        return
    with transaction(conn):
        arriving.note_here(conn, part.sha256, kept.size, now)
    taken.photos += 1
