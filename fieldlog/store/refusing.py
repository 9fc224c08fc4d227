"""Entries that cannot be accepted are kept all the same, with the reason.

So nothing that was sent disappears, the device's number is used up, and nothing waits behind it.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import msgspec

from fieldlog.calc.chain import content, digest
from fieldlog.calc.entries import Entry, EntryMalformed, parse_entry
from fieldlog.calc.ids import is_id
from fieldlog.calc.shape import MAX_COUNT
from fieldlog.store import folds, journal


def keep_refused(
    conn: sqlite3.Connection, sent: object, reason: str, now: datetime
) -> tuple[int, str, str]:
    """Keep what was sent; returns its number, its id in the journal and the reason.

    Sent again it is not doubled. Under an id that another entry has, or without an id, it gets
    one made of its digest: `refused-...`.
    """
    kept = _row_of(sent)
    before = journal.stored(conn, kept.id)
    if before and content(kept) != before.content:
        kept = msgspec.structs.replace(kept, id=_made_id(_raw(sent)))
        before = journal.stored(conn, kept.id)
    if before:
        return before.seq, kept.id, before.refused
    seq = journal.append(conn, kept, now=now, refused=reason)
    folds.apply(conn, seq)
    return seq, kept.id, reason


def _row_of(sent: object) -> Entry:
    """What was sent as a row: as it is where its envelope is sound, else whole in the body."""
    fields = _fields(sent)
    try:
        return parse_entry(fields)
    except EntryMalformed:
        raw = _raw(sent)
    entry_id = fields.get("id")
    return Entry(
        id=entry_id if isinstance(entry_id, str) and is_id(entry_id) else _made_id(raw),
        job=_text(fields, "job"),
        device=_text(fields, "device"),
        device_seq=_number(fields, "device_seq"),
        claimed_ms=_number(fields, "claimed_ms"),
        offset_min=_number(fields, "offset_min"),
        author=_text(fields, "author"),
        type=_text(fields, "type"),
        subject=_text(fields, "subject"),
        seen=_text(fields, "seen"),
        body=raw,
    )


def _fields(sent: object) -> Mapping[str, Any]:
    if isinstance(sent, Entry):
        return msgspec.structs.asdict(sent)
    return sent if isinstance(sent, Mapping) else {}


def _raw(sent: object) -> str:
    # ASCII, because half a surrogate pair is no UTF-8 and would not go into the database.
    whole = msgspec.structs.asdict(sent) if isinstance(sent, Entry) else sent
    try:
        return json.dumps(whole, sort_keys=True, default=repr)
    except RecursionError:
        return json.dumps("nested too deep to be kept")


def _made_id(raw: str) -> str:
    return f"refused-{digest(raw)[:32]}"


def _text(fields: Mapping[str, Any], name: str) -> str:
    value = fields.get(name)
    return value[:200] if isinstance(value, str) and value.isascii() and value.isprintable() else ""


def _number(fields: Mapping[str, Any], name: str) -> int:
    value = fields.get(name)
    return value if isinstance(value, int) and -MAX_COUNT < value < MAX_COUNT else 0
