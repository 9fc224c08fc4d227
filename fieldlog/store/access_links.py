"""Links: one for each crew, to its own list, and one for the owner, to the letters.

A link has a secret of 128 bits or more (in the address behind the #, which no server sees) and
a short code for a browser without scripts. Either is swapped for a token that the browser keeps;
revoking the link, or making a new one, ends every browser that came in by it.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from fieldlog.store.access_db import hashed
from fieldlog.store.db import transaction
from fieldlog.store.journal import stamp

Kind = Literal["crew", "letter"]
LINK_DAYS = 60
_COLUMNS = "l.id, l.kind, l.trade, l.made, l.expires, l.revoked, l.seen"


@dataclass(frozen=True, slots=True)
class Link:
    """A link; `trade` is "" for the owner's. Times are UTC ISO 8601, `seen` the last call."""

    id: str
    kind: Kind
    trade: str
    made: str
    expires: str
    revoked: str
    seen: str


def make_link(
    conn: sqlite3.Connection,
    link_id: str,
    kind: Kind,
    trade: str,
    *,
    secret: str,
    code: str,
    now: datetime,
) -> bool:
    """A new link, good for 60 days; the one before it ends. False where this id is there already:

    a form sent twice must not end what was just printed.
    """
    with transaction(conn):
        if conn.execute("SELECT 1 FROM link WHERE id = ?", (link_id,)).fetchone():
            return False
        revoke_links(conn, kind, trade, now)
        expires = stamp(now + timedelta(days=LINK_DAYS))
        conn.execute(
            "INSERT INTO link VALUES (?, ?, ?, ?, ?, ?, ?, '', '')",
            (link_id, kind, trade, hashed(secret), hashed(code), stamp(now), expires),
        )
    return True


def come_in(
    conn: sqlite3.Connection, kind: Kind, shown: str, token: str, now: datetime
) -> Link | None:
    """Swap a secret or a code for `token`; None where neither fits."""
    row = conn.execute(
        f"SELECT {_COLUMNS} FROM link l WHERE kind = ? AND (secret = ? OR code = ?)"
        " AND revoked = '' AND expires > ?",
        (kind, hashed(shown), hashed(shown), stamp(now)),
    ).fetchone()
    if row is None:
        return None
    with transaction(conn):
        conn.execute("INSERT INTO visit VALUES (?, ?, ?)", (hashed(token), row[0], stamp(now)))
        conn.execute("UPDATE link SET seen = ? WHERE id = ?", (stamp(now), row[0]))
    return Link(*row)


def link_of(conn: sqlite3.Connection, token: str, now: datetime) -> Link | None:
    """The link by which the browser with this token came in, while it holds."""
    row = conn.execute(
        f"SELECT {_COLUMNS} FROM visit v JOIN link l ON l.id = v.link"
        " WHERE v.token = ? AND l.revoked = '' AND l.expires > ?",
        (hashed(token), stamp(now)),
    ).fetchone()
    return Link(*row) if row else None


def live_link(conn: sqlite3.Connection, kind: Kind, trade: str, now: datetime) -> Link | None:
    """The link that holds for a crew, or for the owner's letters, or None."""
    row = conn.execute(
        f"SELECT {_COLUMNS} FROM link l WHERE kind = ? AND trade = ? AND revoked = ''"
        " AND expires > ?",
        (kind, trade, stamp(now)),
    ).fetchone()
    return Link(*row) if row else None


def revoke_links(conn: sqlite3.Connection, kind: Kind, trade: str, now: datetime) -> int:
    """End the link of a crew, or the owner's; how many were ended."""
    done = conn.execute(
        "UPDATE link SET revoked = ? WHERE kind = ? AND trade = ? AND revoked = ''",
        (stamp(now), kind, trade),
    )
    return done.rowcount
