"""Sums that were kept, read from the journal."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

import msgspec

from fieldlog.calc.bodies import KeptSum
from fieldlog.store.views import SumView

_SUM = """
    SELECT j.id, j.seq, j.author, j.received, j.body, f.day, f.struck
    FROM fold_entry f JOIN journal j USING (seq) WHERE f.type = 'calculation/1'
"""

_decode = msgspec.json.Decoder(KeptSum).decode


def sums(conn: sqlite3.Connection, room: str, of: str | None = None) -> list[SumView]:
    """What was kept in a room and not struck, the newest first; only that of a subject."""
    found = _sums(conn, " AND f.room = ? AND f.struck = '' ORDER BY f.seq DESC", room)
    return [one for one in found if of in (None, one.of)]


def sum_of(conn: sqlite3.Connection, sum_id: str) -> SumView | None:
    """One kept sum, struck or not, or None."""
    return next(_sums(conn, " AND j.id = ?", sum_id), None)


def _sums(conn: sqlite3.Connection, where: str, value: str) -> Iterator[SumView]:
    for sum_id, seq, author, received, body, day, struck in conn.execute(_SUM + where, (value,)):
        told = _decode(body)
        yield SumView(
            id=sum_id,
            seq=seq,
            name=told.name,
            room=told.room,
            of=told.of,
            inputs=told.inputs,
            answer=msgspec.json.decode(told.answer),
            author=author,
            day=day,
            received=received,
            struck=struck,
        )
