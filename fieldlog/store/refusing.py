"""Entries that cannot be accepted are kept all the same, with the reason.

So nothing that was sent disappears, the device's number is used up, and nothing waits behind it.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import msgspec

from fieldlog.calc.chain import content, digest
from fieldlog.calc.entries import Entry, EntryMalformed, parse_entry
from fieldlog.calc.ids import is_id
from fieldlog.calc.shape import MAX_COUNT, MAX_LONG_TEXT
from fieldlog.store import folds, journal
from fieldlog.store.durable import write_durably

MOST = 2_100_000
"""Characters of a refused entry that the journal itself keeps."""


def keep_refused(
    conn: sqlite3.Connection,
    folder: os.PathLike[str] | str,
    sent: object,
    reason: str,
    now: datetime,
) -> tuple[int, str, str]:
    """Keep what was sent; returns its number, its id in the journal and the reason.

    Sent again it is not doubled. Under an id that another entry has, or without an id, it gets
    one made of its digest: `refused-...`. One that is too long for the journal is kept whole in
    a file of the house's folder, which its row names. Raises OSError.
    """
    reason = _storable(reason)
    if _length(sent) > MOST and len(raw := _raw(sent)) > MOST:
        sent, reason = _set_aside(folder, sent, raw, reason)
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


def _storable(reason: str) -> str:
    """A reason may quote what was sent: half a surrogate pair, no UTF-8, is written `\\ud800`."""
    return reason[:MAX_LONG_TEXT].encode(errors="backslashreplace").decode()


def _length(sent: object) -> int:
    """Characters, about: enough to tell what may be too long without writing it out."""
    values = _fields(sent).values() if not isinstance(sent, str) else (sent,)
    texts = sum(len(value) for value in values if isinstance(value, str))
    others = any(isinstance(value, (list, dict)) for value in values)
    return MOST + 1 if others or isinstance(sent, list) else texts


def _set_aside(
    folder: os.PathLike[str] | str, sent: object, raw: str, reason: str
) -> tuple[object, str]:
    name = f"refused/{digest(raw)}.json"
    write_durably(Path(folder) / name, raw.encode())
    short = {
        key: value
        for key, value in _fields(sent).items()
        if isinstance(value, int) or (isinstance(value, str) and len(value) <= MAX_LONG_TEXT)
    }
    body = json.dumps({"characters": len(raw), "kept_in": name})
    return short | {"body": body}, f"{reason} All of it is kept in {name}."


def _row_of(sent: object) -> Entry:
    """What was sent as a row: as it is where its envelope is sound, else whole in the body."""
    fields = _fields(sent)
    try:
        return _short(parse_entry(fields))
    except (EntryMalformed, UnicodeError):
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


def _short(entry: Entry) -> Entry:
    """The entry itself. Raises UnicodeError for half a surrogate pair, which no file can hold."""
    entry.body.encode()
    return entry


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
