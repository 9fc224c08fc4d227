"""Folds: tables worked out from the journal, entry by entry, that can be thrown away.

`apply` puts one journal row into the folds and looks at no row after it, so that `rebuild`
gives what was there before.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

from fieldlog.calc.bodies import (
    Act,
    CheckEntry,
    FloorPlan,
    ItemEntry,
    KeptSum,
    Layers,
    PhotoEntry,
    RoomOutline,
)
from fieldlog.calc.entries import Strike, read_body
from fieldlog.calc.house import House
from fieldlog.calc.items import is_clash
from fieldlog.calc.shape import Strict
from fieldlog.store.db import transaction
from fieldlog.store.fold_checks import fold_check, set_latest
from fieldlog.store.fold_items import fold_item, refold_items_of_check
from fieldlog.store.schema import FOLD_TABLES


def apply(conn: sqlite3.Connection, seq: int) -> None:
    """Fold the journal row `seq`, which comes after every row folded so far."""
    row = conn.execute(
        "SELECT id, received, author, type, subject, seen, body, refused FROM journal"
        " WHERE seq = ?",
        (seq,),
    ).fetchone()
    entry_id, received, _, entry_type, subject, seen, body_json, refused = row
    if refused:
        _note_entry(conn, seq, "", _local_day(conn, received), "", False)
        return
    body = read_body(entry_type, body_json)
    if isinstance(body, House):
        _set_house(conn, seq, body)
    day = getattr(body, "day", "") or _local_day(conn, received)
    clash = is_clash(seen, head_of(conn, subject, before=seq))
    _note_entry(conn, seq, entry_type, day, _room_of(body), clash)
    if isinstance(body, Strike):
        _strike(conn, seq, subject, body)
    elif isinstance(body, CheckEntry):
        fold_check(conn, seq, body, day)
        refold_items_of_check(conn, entry_id, seq)
    elif isinstance(body, PhotoEntry):
        _fold_photo(conn, seq, body, day)
        _refold_item(conn, body.of, seq)
    elif isinstance(body, (ItemEntry, Act)):
        _refold_item(conn, subject, seq)


def rebuild(conn: sqlite3.Connection) -> None:
    """Throw the folds away and work them out again from the journal."""
    with transaction(conn):
        for table in FOLD_TABLES:
            conn.execute(f"DELETE FROM {table}")
        last = conn.execute("SELECT coalesce(max(seq), 0) FROM journal").fetchone()[0]
        for seq in range(1, last + 1):
            apply(conn, seq)


def dump(conn: sqlite3.Connection) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every fold, to compare what is there with what a rebuild gives."""
    return {
        table: conn.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall() for table in FOLD_TABLES
    }


def head_of(conn: sqlite3.Connection, subject: str, before: int | None = None) -> str:
    """Id of the last entry about `subject` (before number `before`), or ""."""
    row = conn.execute(
        "SELECT id FROM journal WHERE subject = ? AND refused = '' AND (? IS NULL OR seq < ?)"
        " ORDER BY seq DESC LIMIT 1",
        (subject, before, before),
    ).fetchone()
    return str(row[0]) if row else ""


def _note_entry(
    conn: sqlite3.Connection, seq: int, entry_type: str, day: str, room: str, clash: bool
) -> None:
    conn.execute(
        "INSERT INTO fold_entry (seq, type, day, room, clash, why, struck)"
        " VALUES (?, ?, ?, ?, ?, '', '')",
        (seq, entry_type, day, room, clash),
    )


def _local_day(conn: sqlite3.Connection, received: str) -> str:
    """The day it was at the house when an entry was received."""
    row = conn.execute("SELECT zone FROM fold_house").fetchone()
    at = datetime.fromisoformat(received)
    return at.astimezone(ZoneInfo(row[0] if row else "UTC")).date().isoformat()


def _set_house(conn: sqlite3.Connection, seq: int, house: House) -> None:
    conn.execute("INSERT OR REPLACE INTO fold_house VALUES (1, ?, ?)", (seq, house.zone))


_IN_A_ROOM = (CheckEntry, FloorPlan, ItemEntry, KeptSum, Layers, PhotoEntry, RoomOutline)


def _room_of(body: Strict) -> str:
    if isinstance(body, _IN_A_ROOM):
        return body.room
    return ""


def _fold_photo(conn: sqlite3.Connection, seq: int, photo: PhotoEntry, day: str) -> None:
    conn.execute(
        "INSERT INTO fold_photo (seq, sha256, room, of, day, struck) VALUES (?, ?, ?, ?, ?, '')",
        (seq, photo.sha256, photo.room, photo.of, day),
    )


def _refold_item(conn: sqlite3.Connection, subject: str, seq: int) -> None:
    kind, _, item_id = subject.partition(":")
    if kind == "item":
        fold_item(conn, item_id, seq)


def _strike(conn: sqlite3.Connection, seq: int, subject: str, strike: Strike) -> None:
    """Mark the struck entry and fold again what it had changed, or say why not."""
    row = conn.execute(
        "SELECT j.seq, j.type, j.subject, f.struck FROM journal j JOIN fold_entry f USING (seq)"
        " WHERE j.id = ? AND j.refused = '' AND j.seq < ?",
        (strike.entry, seq),
    ).fetchone()
    why = _why_not_struck(row, subject)
    if why:
        conn.execute("UPDATE fold_entry SET why = ? WHERE seq = ?", (why, seq))
        return
    struck, entry_type = row[0], row[1]
    conn.execute("UPDATE fold_entry SET struck = ? WHERE seq = ?", (strike.reason, struck))
    undo = _UNDO.get(entry_type)
    if undo:
        undo(conn, struck, seq, subject)


def _why_not_struck(row: tuple[int, str, str, str] | None, subject: str) -> str:
    if row is None:
        return "there was no such entry"
    seq, entry_type, its_subject, struck = row
    if its_subject != subject:
        return "the entry is about something else"
    if struck:
        return "it was struck through already"
    if entry_type == "strike/1":
        return "a strike is not struck through: enter the thing again"
    if seq == 1:
        return "the entry that started the house stays"
    return ""


def _undo_house(conn: sqlite3.Connection, _struck: int, upto: int, _subject: str) -> None:
    row = conn.execute(
        "SELECT j.seq, j.body FROM journal j JOIN fold_entry f USING (seq)"
        " WHERE j.subject = 'house' AND j.type = 'house/1' AND j.refused = '' AND f.struck = ''"
        " AND j.seq <= ? ORDER BY j.seq DESC LIMIT 1",
        (upto,),
    ).fetchone()
    house = read_body("house/1", row[1])
    assert isinstance(house, House)
    _set_house(conn, row[0], house)


def _undo_check(conn: sqlite3.Connection, _struck: int, _upto: int, subject: str) -> None:
    set_latest(conn, subject)


def _undo_photo(conn: sqlite3.Connection, struck: int, upto: int, _subject: str) -> None:
    conn.execute(
        "UPDATE fold_photo SET struck = (SELECT f.struck FROM fold_entry f WHERE f.seq = ?)"
        " WHERE seq = ?",
        (struck, struck),
    )
    of = conn.execute("SELECT of FROM fold_photo WHERE seq = ?", (struck,)).fetchone()[0]
    _refold_item(conn, of, upto)


def _undo_item(conn: sqlite3.Connection, _struck: int, upto: int, subject: str) -> None:
    _refold_item(conn, subject, upto)


_UNDO: dict[str, Callable[[sqlite3.Connection, int, int, str], None]] = {
    "house/1": _undo_house,
    "check/1": _undo_check,
    "photo/1": _undo_photo,
    "item/1": _undo_item,
    "act/1": _undo_item,
}
"""What a struck entry had changed besides its own row."""
