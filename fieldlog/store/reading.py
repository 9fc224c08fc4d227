"""What pages and reports read: every function takes a connection and returns plain views.

Struck entries are left out of lists; `struck`, and asking by id, still show them.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Any

import msgspec

from fieldlog.calc.bodies import Day, Layers, Letter, ReportIssued, Walk
from fieldlog.calc.house import House, house_from_body
from fieldlog.store.db import HouseMissing
from fieldlog.store.folds import head_of
from fieldlog.store.journal import entries_of, entry, head, refused, struck
from fieldlog.store.reading_checks import (
    check,
    check_lines,
    checks_of_room,
    checks_of_subject,
    checks_on,
    latest_checks,
    latest_lines,
    lines_of_room,
)
from fieldlog.store.reading_items import (
    acts_on,
    item,
    item_by_number,
    item_history,
    items,
    items_of_check,
    next_number,
)
from fieldlog.store.views import PhotoView, ReportView

__all__ = [
    "acts_on",
    "check",
    "check_lines",
    "checks_of_room",
    "checks_of_subject",
    "checks_on",
    "day_facts",
    "entries_of",
    "entry",
    "head",
    "head_of",
    "house",
    "item",
    "item_by_number",
    "item_history",
    "items",
    "items_of_check",
    "last_here",
    "latest_checks",
    "latest_lines",
    "layers",
    "letter",
    "lines_of_room",
    "next_number",
    "photo",
    "photos",
    "refused",
    "reports_issued",
    "room_marks",
    "source_text",
    "struck",
    "walk_days",
    "walk_of",
]

_PHOTO = """
    SELECT j.seq, j.author, j.body, f.day FROM fold_photo p JOIN journal j USING (seq)
    JOIN fold_entry f USING (seq) WHERE p.struck = ''
"""
_WALKED = ("walk/1", "check/1", "item/1", "photo/1", "day/1")

_decode_photo = msgspec.json.Decoder(dict[str, Any]).decode


def house(conn: sqlite3.Connection) -> House:
    """The house as the last `house/1` entry says. Raises HouseMissing in an empty journal."""
    row = conn.execute("SELECT j.body FROM fold_house h JOIN journal j USING (seq)").fetchone()
    if row is None:
        raise HouseMissing("No house was started here.")
    return house_from_body(row[0])


def photos(
    conn: sqlite3.Connection,
    room: str | None = None,
    of: str | None = None,
    day: str | None = None,
) -> list[PhotoView]:
    """Photos of a room, of a subject (`item:...`, `check:...`), of a day; the oldest first."""
    asked = {"p.room": room, "p.of": of, "p.day": day}
    given = {column: value for column, value in asked.items() if value is not None}
    where = "".join(f" AND {column} = ?" for column in given)
    if of:
        where += " AND p.of != ''"  # so that the partial index on `of` serves
    return list(_photos(conn, f"{where} ORDER BY p.seq", *given.values()))


def photo(conn: sqlite3.Connection, sha256: str) -> PhotoView | None:
    """The last entry about a photo, or None."""
    return next(_photos(conn, " AND p.sha256 = ? ORDER BY p.seq DESC LIMIT 1", sha256), None)


def day_facts(conn: sqlite3.Connection, day: str) -> Day | None:
    """The day's facts as last typed, or None."""
    row = _last(conn, f"day:{day}", "day/1")
    return msgspec.json.decode(row[1], type=Day) if row else None


def walk_of(conn: sqlite3.Connection, day: str) -> Walk | None:
    """The walk that was started on a day, or None."""
    row = _last(conn, f"walk:{day}", "walk/1")
    return msgspec.json.decode(row[1], type=Walk) if row else None


def layers(conn: sqlite3.Connection, room: str) -> Layers | None:
    """The layers of a room as last recorded, or None."""
    row = _last(conn, f"layers:{room}", "layers/1")
    return msgspec.json.decode(row[1], type=Layers) if row else None


def letter(conn: sqlite3.Connection, week: str) -> tuple[Letter | None, str]:
    """The weekly letter as it stands, and the id that its next version names as seen."""
    subject = f"letter:{week}"
    row = _last(conn, subject, "letter/1")
    return (msgspec.json.decode(row[1], type=Letter) if row else None), head_of(conn, subject)


def reports_issued(
    conn: sqlite3.Connection, kind: str | None = None, day: str | None = None
) -> list[ReportView]:
    """Reports that were issued, the oldest first."""
    found = conn.execute(
        "SELECT j.id, j.seq, j.author, j.received, j.body, f.struck"
        " FROM fold_entry f JOIN journal j USING (seq)"
        " WHERE f.type = 'report/1' AND f.struck = '' AND (? IS NULL OR f.day = ?)"
        " ORDER BY j.seq",
        (day, day),
    )
    reports = [_report(*row) for row in found]
    return [r for r in reports if kind in (None, r.kind)]


def room_marks(conn: sqlite3.Connection) -> dict[str, dict[str, int]]:
    """For each room with anything: latest checks by verdict, and unfinished items (`open`)."""
    marks: dict[str, dict[str, int]] = {}
    counted = conn.execute(
        "SELECT room, verdict, count(*) FROM fold_check WHERE latest = 1 GROUP BY room, verdict"
        " UNION ALL "
        "SELECT room, 'open', count(*) FROM fold_item"
        " WHERE struck = '' AND state IN ('open', 'corrected') GROUP BY room"
    )
    for room, mark, count in counted:
        of_room = marks.setdefault(room, dict.fromkeys(_MARKS, 0))
        if mark in of_room:  # a check that does not apply leaves no mark
            of_room[mark] += count
    return marks


_MARKS = ("fail", "too_close", "not_measured", "pass", "open")


def last_here(conn: sqlite3.Connection, room: str) -> tuple[str, str, str] | None:
    """Author, day and time received of the last check, item or photo in a room, or None."""
    row = conn.execute(
        "SELECT j.author, f.day, j.received FROM fold_entry f JOIN journal j USING (seq)"
        " WHERE f.room = ? AND f.room != '' AND f.struck = '' ORDER BY f.seq DESC LIMIT 1",
        (room,),
    ).fetchone()
    return tuple(row) if row else None


def walk_days(conn: sqlite3.Connection) -> list[str]:
    """Days on which a walk was started or anything was entered on one, the oldest first."""
    marks = ",".join("?" * len(_WALKED))
    found = conn.execute(
        f"SELECT DISTINCT day FROM fold_entry WHERE type IN ({marks}) AND struck = '' ORDER BY day",
        _WALKED,
    )
    return [day for (day,) in found]


def source_text(conn: sqlite3.Connection, sha256: str) -> str | None:
    """The sheet, book, instrument or override of that digest as it was judged by, or None."""
    row = conn.execute("SELECT text FROM source WHERE sha256 = ?", (sha256,)).fetchone()
    return str(row[0]) if row else None


def _last(conn: sqlite3.Connection, subject: str, entry_type: str) -> tuple[str, str] | None:
    row = conn.execute(
        "SELECT j.id, j.body FROM journal j JOIN fold_entry f USING (seq)"
        " WHERE j.subject = ? AND j.refused = '' AND j.type = ? AND f.struck = ''"
        " ORDER BY j.seq DESC LIMIT 1",
        (subject, entry_type),
    ).fetchone()
    return tuple(row) if row else None


def _photos(conn: sqlite3.Connection, where: str, *values: str) -> Iterator[PhotoView]:
    for seq, author, body, day in conn.execute(_PHOTO + where, values):
        told = _decode_photo(body)
        yield PhotoView(
            sha256=told["sha256"],
            seq=seq,
            media=told["media"],
            width=told["width"],
            height=told["height"],
            room=told.get("room", ""),
            of=told.get("of", ""),
            caption=told.get("caption", ""),
            day=day,
            author=author,
        )


def _report(
    report_id: str, seq: int, author: str, received: str, body: str, struck: str
) -> ReportView:
    told = msgspec.json.decode(body, type=ReportIssued)
    return ReportView(
        id=report_id,
        seq=seq,
        kind=told.kind,
        day=told.day,
        trade=told.trade,
        author=author,
        received=received,
        head_seq=told.head_seq,
        head_chain=told.head_chain,
        text_sha256=told.text_sha256,
        struck=struck,
    )
