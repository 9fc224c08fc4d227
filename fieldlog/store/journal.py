"""The append-only journal: put an entry at its end, read entries back, walk its chain.

Everything here is the record. Nothing is changed or removed; triggers hold that against SQL
typed by hand, and the chain shows what was done to the file itself.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from fieldlog.calc.chain import START, content, digest, link, refusal
from fieldlog.calc.entries import Entry
from fieldlog.store.views import EntryView, Head

if TYPE_CHECKING:
    from fieldlog.calc.library import Library

OFFICE = "office"
"""The device of what is entered by a page or command of this machine, without an outbox."""

ENVELOPE = "id, job, device, device_seq, claimed_ms, offset_min, author, type, subject, seen, body"

_VIEW = """
    SELECT j.seq, j.received, j.chain, j.id, j.device, j.device_seq, j.author, j.type, j.subject,
           j.body, j.judgement, j.refused, coalesce(f.struck, ''), coalesce(f.day, '')
    FROM journal j LEFT JOIN fold_entry f USING (seq)
"""


@dataclass(frozen=True, slots=True)
class Stored:
    """What a journal row says about an entry that comes again."""

    seq: int
    entry: Entry
    judgement: str
    refused: str

    @property
    def content(self) -> str:
        """Digest that tells a resent entry from another one under the same id."""
        return content(self.entry)


@dataclass(frozen=True, slots=True)
class Row(Stored):
    """A journal row whole, as `verify` and the export need it."""

    received: str
    chain: str


class NotAppended(RuntimeError):
    """The database ignored the row: its id or number is there. Look before appending."""


def stamp(now: datetime) -> str:
    """UTC ISO 8601 with seconds, `2026-03-03T14:05:06Z`. Raises ValueError for a naive time."""
    if now.tzinfo is None:
        raise ValueError("the time of receipt is an aware time")
    return now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def head(conn: sqlite3.Connection) -> Head:
    """The last entry's number and chain; number 0 for an empty journal."""
    row = conn.execute("SELECT seq, chain FROM journal ORDER BY seq DESC LIMIT 1").fetchone()
    return Head(*row) if row else Head(0, START)


def job(conn: sqlite3.Connection) -> str:
    """The job's id: that of the entry that started the house, or ""."""
    row = conn.execute("SELECT job FROM journal WHERE seq = 1").fetchone()
    return str(row[0]) if row else ""


def append(
    conn: sqlite3.Connection, entry: Entry, *, now: datetime, judgement: str = "", refused: str = ""
) -> int:
    """Append `entry` and return its number. Must run inside a transaction.

    A refused entry carries its raw body and the reason; the reason becomes its judgement and
    is chained. Raises NotAppended when the id is there already.
    """
    last = head(conn)
    seq, received = last.seq + 1, stamp(now)
    kept = refusal(refused) if refused else judgement
    chain = link(last.chain, seq, received, entry, kept)
    row = conn.execute(
        f"INSERT INTO journal (seq, received, chain, {ENVELOPE}, judgement, refused)"
        " VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?) RETURNING seq",
        (seq, received, chain, *_values(entry), kept, refused),
    ).fetchone()
    if row is None:
        raise NotAppended(f"entry {entry.id} was not appended")
    return seq


def stored(conn: sqlite3.Connection, entry_id: str) -> Stored | None:
    """The row of that id, or None."""
    return next(_rows(conn, "WHERE id = ?", (entry_id,)), None)


def is_stored(conn: sqlite3.Connection, entry_id: str) -> bool:
    """Whether there is a row of that id, refused ones among them."""
    return bool(conn.execute("SELECT 1 FROM journal WHERE id = ?", (entry_id,)).fetchone())


def rows(conn: sqlite3.Connection, after: int = 0) -> Iterator[Row]:
    """Every row whole, in journal order."""
    return _rows(conn, "WHERE seq > ? ORDER BY seq", (after,))


def entry(conn: sqlite3.Connection, entry_id: str) -> EntryView | None:
    """The entry of that id, or None."""
    return next(_views(conn, "WHERE j.id = ?", (entry_id,)), None)


def entries_of(conn: sqlite3.Connection, subject: str) -> list[EntryView]:
    """The entries about `subject` in journal order; strikes are among them, refused ones not."""
    return list(_views(conn, "WHERE j.subject = ? AND j.refused = '' ORDER BY j.seq", (subject,)))


def entries(
    conn: sqlite3.Connection,
    after: int = 0,
    *,
    day: str | None = None,
    type: str | None = None,
    limit: int = -1,
) -> list[EntryView]:
    """Entries after number `after`, of one day or type where given; refused ones as well."""
    where, values = ["j.seq > ?"], list[object]((after, limit))
    for column, value in (("f.day", day), ("j.type", type)):
        if value is not None:
            where.append(f"{column} = ?")
            values.insert(-1, value)
    return list(_views(conn, f"WHERE {' AND '.join(where)} ORDER BY j.seq LIMIT ?", tuple(values)))


def refused(conn: sqlite3.Connection) -> list[EntryView]:
    """Entries that were kept but not accepted, newest first."""
    return list(_views(conn, "WHERE j.refused != '' ORDER BY j.seq DESC", ()))


def struck(conn: sqlite3.Connection) -> list[EntryView]:
    """Entries struck through by a later one, newest first."""
    return list(_views(conn, "WHERE f.struck != '' ORDER BY j.seq DESC", ()))


def next_device_seq(conn: sqlite3.Connection, device: str) -> int:
    """The number after the last one that the device used, refused entries included."""
    row = conn.execute("SELECT max(device_seq) FROM journal WHERE device = ?", (device,)).fetchone()
    return (row[0] or 0) + 1


def _values(entry: Entry) -> tuple[str | int, ...]:
    return (
        entry.id, entry.job, entry.device, entry.device_seq, entry.claimed_ms, entry.offset_min,
        entry.author, entry.type, entry.subject, entry.seen, entry.body,
    )  # fmt: skip


def _views(conn: sqlite3.Connection, where: str, values: tuple[object, ...]) -> Iterator[EntryView]:
    for row in conn.execute(_VIEW + where, values):
        yield EntryView(*row)


def _rows(conn: sqlite3.Connection, where: str, values: tuple[object, ...]) -> Iterator[Row]:
    found = conn.execute(
        f"SELECT seq, received, chain, judgement, refused, {ENVELOPE} FROM journal {where}", values
    )
    for seq, received, chain, judgement, reason, *envelope in found:
        yield Row(seq, Entry(*envelope), judgement, reason, received, chain)


def verify(conn: sqlite3.Connection) -> list[str]:
    """Walk the chain; a sentence for each fault, none for a sound journal.

    Found: a changed field, body or judgement, a row missing or put in, a source that is gone
    or changed. Not found: last rows that were dropped. Compare `head` with a printed report.
    """
    faults: list[str] = []
    before = Head(0, START)
    for row in rows(conn):
        faults += [f"Entry {row.seq}: {fault}" for fault in _faults(row, before)]
        before = Head(row.seq, row.chain)
    return faults + _source_faults(conn)


def verify_deep(conn: sqlite3.Connection, library: Library | None = None) -> list[str]:
    """Judge every check again from its kept sources, and fold everything anew and compare.

    `library` only saves time where the kept sources are the same. Run `verify` first.
    """
    # Here, because a page must not cost the import of the judge.
    from fieldlog.store.deep import compare_folds, rejudge

    return rejudge(conn, library) + compare_folds(conn)


def _faults(row: Row, before: Head) -> list[str]:
    faults = []
    if row.seq != before.seq + 1:
        faults.append(f"{row.seq - before.seq - 1} before it are missing.")
    if row.chain != link(before.chain, row.seq, row.received, row.entry, row.judgement):
        faults.append("it does not follow from the entry before it, or was changed.")
    expected = refusal(row.refused) if row.refused else ""
    if (row.refused or row.judgement.startswith('{"refused":')) and row.judgement != expected:
        faults.append("the reason it was refused for was changed.")
    return faults


def _source_faults(conn: sqlite3.Connection) -> list[str]:
    kept = dict(conn.execute("SELECT sha256, text FROM source"))
    faults = [
        f"Source {name}: the text was changed." for name in kept if digest(kept[name]) != name
    ]
    for seq, members in conn.execute("SELECT seq, members FROM shelf ORDER BY seq"):
        gone = [name for name in members.split("\n") if name not in kept]
        faults += [f"Source {name}, used from entry {seq} on: it is gone." for name in gone]
    return faults
