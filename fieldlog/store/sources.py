"""The sheets, books, instruments and overrides that checks were judged by, kept for ever.

Each text is kept once under its SHA-256. A *shelf* is the list of all of them that the house
had when a check was judged: with it an old judgement can be worked out again, years later.
"""

from __future__ import annotations

import sqlite3

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.entries import EntryMalformed
from fieldlog.calc.library import Library, SourceText, build_library


def keep_sources(conn: sqlite3.Connection, seq: int, library: Library) -> None:
    """Keep what entry `seq` was judged by. Runs in the transaction that appends the entry."""
    members = "\n".join(library.sources)
    last = conn.execute("SELECT members FROM shelf ORDER BY seq DESC LIMIT 1").fetchone()
    if last and last[0] == members:
        return
    conn.executemany(
        "INSERT INTO source (sha256, kind, file, text) VALUES (?, ?, ?, ?)",
        [(sha256, s.kind, s.file, s.text) for sha256, s in library.sources.items()],
    )
    conn.execute("INSERT INTO shelf (seq, members) VALUES (?, ?)", (seq, members))


def shelf_at(conn: sqlite3.Connection, seq: int) -> str:
    """Digests of the sources the house had at entry `seq`, one a line; "" for none."""
    row = conn.execute(
        "SELECT members FROM shelf WHERE seq <= ? ORDER BY seq DESC LIMIT 1", (seq,)
    ).fetchone()
    return str(row[0]) if row else ""


def library_at(conn: sqlite3.Connection, seq: int) -> Library:
    """The library that checks up to entry `seq` were judged by; an empty one before the first."""
    return _kept(conn, shelf_at(conn, seq))


def library_of(conn: sqlite3.Connection, shelf: str) -> Library:
    """The library of a shelf, built from the kept texts.

    Raises DataFileError where a text does not load, KeyError naming a digest that is not kept.
    """
    return build_library([_source(conn, sha256) for sha256 in shelf.split("\n") if sha256])


def is_edition(library: Library, check: CheckEntry) -> bool:
    """Whether the library has the sheet as it was when the check was entered."""
    sheet = library.sheets.get(check.sheet)
    return not check.sheet_sha256 or (sheet is not None and sheet.sha256 == check.sheet_sha256)


def edition(conn: sqlite3.Connection, library: Library, check: CheckEntry) -> Library:
    """The library with the sheet as the check was entered: now's, else the kept one of then.

    A tablet measures by the sheet it had, and cannot be asked again. Raises EntryMalformed where
    no check was ever judged here by that edition.
    """
    if is_edition(library, check):
        return library
    row = conn.execute(
        "SELECT members FROM shelf WHERE instr(members, ?) > 0 ORDER BY seq DESC LIMIT 1",
        (check.sheet_sha256,),
    ).fetchone()
    of_then = _kept(conn, row[0]) if row else None
    if of_then is None or not is_edition(of_then, check):
        raise EntryMalformed(changed(library, check))
    return of_then


def changed(library: Library, check: CheckEntry) -> str:
    """What is said of a check that was made with another edition of its sheet."""
    sheet = library.sheets.get(check.sheet)
    return (
        f'The sheet "{sheet.title if sheet else check.sheet}" was changed after this page was '
        "opened. Look at what it asks now and enter the check again."
    )


_built: dict[str, Library] = {}


def _kept(conn: sqlite3.Connection, shelf: str) -> Library:
    """The library of a shelf, built once: a walk's worth of checks may come by one old sheet."""
    if shelf not in _built:
        _built.clear()
        _built[shelf] = library_of(conn, shelf)
    return _built[shelf]


def _source(conn: sqlite3.Connection, sha256: str) -> SourceText:
    row = conn.execute("SELECT kind, file, text FROM source WHERE sha256 = ?", (sha256,)).fetchone()
    if row is None:
        raise KeyError(sha256)
    return SourceText(*row)
