"""The fold of checks: which is the latest of its subject, and its verdict."""

from __future__ import annotations

import sqlite3

import msgspec

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.house import slug


class Verdict(msgspec.Struct):
    """The one member of a judgement that the fold needs."""

    verdict: str


_decode = msgspec.json.Decoder(Verdict).decode


def fold_check(conn: sqlite3.Connection, seq: int, check: CheckEntry, day: str) -> None:
    """Add the check that is journal row `seq`."""
    subject, judgement = conn.execute(
        "SELECT subject, judgement FROM journal WHERE seq = ?", (seq,)
    ).fetchone()
    key = f"{check.sheet}/{slug(check.place)}" if check.place else check.sheet
    conn.execute(
        "INSERT INTO fold_check (seq, subject, room, key, day, verdict, latest)"
        " VALUES (?, ?, ?, ?, ?, ?, 0)",
        (seq, subject, check.room, key, day, _decode(judgement).verdict),
    )
    set_latest(conn, subject)


def set_latest(conn: sqlite3.Connection, subject: str) -> None:
    """Mark the last check of `subject` that is not struck: by the day walked, then by number.

    By day first, because a tablet without signal may send an older look after a newer one.
    """
    conn.execute("UPDATE fold_check SET latest = 0 WHERE subject = ? AND latest = 1", (subject,))
    conn.execute(
        "UPDATE fold_check SET latest = 1 WHERE seq = ("
        " SELECT c.seq FROM fold_check c JOIN fold_entry f USING (seq)"
        " WHERE c.subject = ? AND f.struck = '' ORDER BY c.day DESC, c.seq DESC LIMIT 1)",
        (subject,),
    )
