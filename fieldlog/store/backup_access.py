"""What a backup has besides the record, so that the tablets stay the house's: who may come in.

In a backup's folder `private/`: `access.sqlite` (the house's name on the network, tablets and
links, as digests) and `tls/` (the certificate with its key). Without them a restored house has
another name, and what a tablet has not sent belongs to the old one. Each file is readable by its
owner alone. None of it is ever in an export.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from fieldlog.store import access_db
from fieldlog.store.db import HouseFolder
from fieldlog.store.durable import copy_durably, sync_folder

PRIVATE, TLS = "private", "tls"
OWNER_ALONE = 0o600
"""Given when a file is made: a stick that knows no modes refuses to have one changed."""


def keep(at: HouseFolder, one: Path) -> bool:
    """Copy it into the backup being made in `one`; False where nobody was ever let in.

    Raises OSError, sqlite3.Error.
    """
    source, to = access_db.path_of(at), one / PRIVATE
    if not source.is_file():
        return False
    to.mkdir(0o700)
    copy = to / source.name
    os.close(os.open(copy, os.O_RDWR | os.O_CREAT, OWNER_ALONE))
    with closing(access_db.open_access(at)) as conn, closing(sqlite3.connect(copy)) as kept:
        conn.backup(kept)
        # A code is good for minutes; restored much later it must not be good again.
        kept.execute("DELETE FROM pairing")
        kept.commit()
        said = kept.execute("PRAGMA integrity_check").fetchone()[0]
        if said != "ok":
            raise sqlite3.DatabaseError(f"The copy of {source.name} does not hold: {said}")
    with copy.open("rb+") as file:
        os.fsync(file.fileno())
    sync_folder(to)
    _copy(at.path / TLS, to / TLS)
    return True


def put_back(one: Path, at: HouseFolder) -> str:
    """Put it into the house being restored; its name on the network, or "" where there is none.

    Raises OSError, sqlite3.Error.
    """
    kept, to = one / PRIVATE, access_db.path_of(at)
    if not (kept / to.name).is_file():
        return ""
    copy_durably(kept / to.name, to)
    _copy(kept / TLS, at.path / TLS)
    with closing(access_db.open_access(at)) as conn:
        return access_db.lan_name(conn)


def _copy(source: Path, to: Path) -> None:
    for path in sorted(p for p in source.glob("*") if p.suffix != ".tmp"):
        copy_durably(path, to / path.name)  # which makes files that are their owner's alone
