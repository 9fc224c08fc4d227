"""The whole record in one zip: the journal as JSON Lines, its sources, the photos' originals.

The same record gives the same bytes: members in a fixed order, with a fixed time.

- `journal.jsonl`: one entry a line, in journal order, with everything its chain is made of
- `sources.jsonl`: one sheet, book or other data file a line; `shelves.jsonl`: which of them the
  house had from which entry on
- `photos/<aa>/<sha256>.<ext>`: originals, byte for byte
"""

from __future__ import annotations

import json
import os
import sqlite3
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from msgspec.structs import asdict

from fieldlog.store import journal, photos
from fieldlog.store.db import HouseFolder

TIME = (1980, 1, 1, 0, 0, 0)
"""The earliest time a zip can hold: when it was written says nothing about the record."""


@dataclass(frozen=True, slots=True)
class Exported:
    """How much went into the zip; `missing` are photos whose file is gone."""

    entries: int
    photos: int
    missing: tuple[str, ...]


def export(conn: sqlite3.Connection, folder: os.PathLike[str] | str, out: Path) -> Exported:
    """Write the record to the zip `out`, which appears whole or not at all. Raises OSError."""
    beside = out.with_name(f"{out.name}.tmp")
    done = False
    try:
        with zipfile.ZipFile(beside, "w") as whole:
            exported = _write(conn, folder, whole)
        os.replace(beside, out)
        done = True
    finally:
        if not done:
            beside.unlink(missing_ok=True)
    return exported


def entry_lines(conn: sqlite3.Connection) -> Iterator[str]:
    """The journal as JSON Lines; the chain can be worked out from each line and the one before."""
    for row in journal.rows(conn):
        yield _line(
            {
                "seq": row.seq,
                "received": row.received,
                **asdict(row.entry),
                "judgement": row.judgement,
                "refused": row.refused,
                "chain": row.chain,
            }
        )


def _write(
    conn: sqlite3.Connection, folder: os.PathLike[str] | str, whole: zipfile.ZipFile
) -> Exported:
    # One read transaction: an entry that arrives meanwhile is in all members or in none.
    conn.execute("BEGIN")
    try:
        entries = _write_lines(whole, "journal.jsonl", entry_lines(conn))
        sources = conn.execute("SELECT sha256, kind, file, text FROM source ORDER BY sha256")
        _write_lines(whole, "sources.jsonl", _lines(("sha256", "kind", "file", "text"), sources))
        shelves = conn.execute("SELECT seq, members FROM shelf ORDER BY seq")
        _write_lines(whole, "shelves.jsonl", _lines(("seq", "members"), shelves))
        kept, missing = _write_photos(conn, folder, whole)
    finally:
        conn.execute("ROLLBACK")
    return Exported(entries, kept, missing)


def _write_lines(whole: zipfile.ZipFile, name: str, lines: Iterator[str]) -> int:
    count = 0
    with whole.open(_member(name, zipfile.ZIP_DEFLATED), "w", force_zip64=True) as member:
        for line in lines:
            member.write(line.encode())
            count += 1
    return count


def _write_photos(
    conn: sqlite3.Connection, folder: os.PathLike[str] | str, whole: zipfile.ZipFile
) -> tuple[int, tuple[str, ...]]:
    missing, count = [], 0
    base = HouseFolder(folder).path
    for (sha256,) in conn.execute("SELECT DISTINCT sha256 FROM fold_photo ORDER BY sha256"):
        path = photos.original(folder, sha256)
        if path is None:
            missing.append(sha256)
            continue
        # Photos are compressed already.
        member = _member(path.relative_to(base).as_posix(), zipfile.ZIP_STORED)
        whole.writestr(member, path.read_bytes())
        count += 1
    return count, tuple(missing)


def _member(name: str, compression: int) -> zipfile.ZipInfo:
    member = zipfile.ZipInfo(name, TIME)
    member.compress_type = compression
    member.external_attr = 0o600 << 16
    return member


def _lines(names: tuple[str, ...], rows: sqlite3.Cursor) -> Iterator[str]:
    for row in rows:
        yield _line(dict(zip(names, row, strict=True)))


def _line(fields: dict[str, Any]) -> str:
    return json.dumps(fields, ensure_ascii=False, separators=(",", ":")) + "\n"
