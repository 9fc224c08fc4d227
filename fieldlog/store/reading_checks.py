"""Checks as pages and reports read them: whole, or as a line of a list.

A stair's judgement is 70 KB, nearly all of it limits that hold; a list reads what it says. That
is remembered by the entry's link of the chain, which covers the judgement: it can never change.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from typing import Any

import msgspec
from msgspec.structs import asdict

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.house import slug
from fieldlog.calc.judged import is_over
from fieldlog.store.views import CheckLine, CheckView

_ASKED = """
    SELECT j.id, j.seq, j.subject, j.author, j.received, j.body, j.{},
           f.day, f.struck, f.clash, c.verdict
    FROM journal j JOIN fold_entry f USING (seq) JOIN fold_check c USING (seq)
"""
_CHECK, _LINE = _ASKED.format("judgement"), _ASKED.format("chain")
_OF_ROOM = "WHERE c.latest = 1 AND c.room = ? ORDER BY c.key"
_LATEST = "WHERE c.latest = 1 ORDER BY c.room, c.key"


MOST_BRIEFS = 2000
"""Remembered at a time, 1 to 2 KB each."""


class _Finding(msgspec.Struct, gc=False):
    mark: str
    head: str
    plain: str | None = None


class _Rule(msgspec.Struct, gc=False):
    rule: str
    quantity: str
    verdict: str
    plain: str | None
    kind: str = ""
    trade: str = ""


class _Finished(msgspec.Struct):
    layers: list[dict[str, Any]] = []


class _Brief(msgspec.Struct):
    """What a line reads of a judgement; the decoder passes over the rest without making it."""

    verdict: str
    sheet: dict[str, str] = {}
    counts: dict[str, int] = {}
    findings: list[_Finding] = []
    rules: list[_Rule] = []
    layers: list[dict[str, Any]] = []
    finished: _Finished | None = None


_decode_check = msgspec.json.Decoder(CheckEntry).decode
_decode_brief = msgspec.json.Decoder(_Brief).decode
_decode_judgement = msgspec.json.Decoder(dict[str, Any]).decode


def checks_of_room(conn: sqlite3.Connection, room: str) -> list[CheckView]:
    """The latest check of each planned thing in a room, by key."""
    return _checks(conn, _OF_ROOM, room)


def lines_of_room(conn: sqlite3.Connection, room: str) -> list[CheckLine]:
    """The same, as lines of a list."""
    return _lines(conn, _OF_ROOM, room)


def check(conn: sqlite3.Connection, check_id: str) -> CheckView | None:
    """One check, struck or not, or None."""
    return next(iter(_checks(conn, "WHERE j.id = ?", check_id)), None)


def check_lines(conn: sqlite3.Connection, ids: Collection[str]) -> list[CheckLine]:
    """The checks with these ids, struck or not, in the order they came."""
    marks = ",".join("?" * len(ids))
    return _lines(conn, f"WHERE j.id IN ({marks}) ORDER BY j.seq", *ids)


def checks_of_subject(conn: sqlite3.Connection, subject: str) -> list[CheckView]:
    """Every look at one thing, the oldest first, struck ones among them."""
    return _checks(conn, "WHERE c.subject = ? ORDER BY c.day, c.seq", subject)


def checks_on(conn: sqlite3.Connection, day: str) -> list[CheckView]:
    """The checks of one day, in the order they came."""
    return _checks(conn, "WHERE c.day = ? AND f.struck = '' ORDER BY c.seq", day)


def latest_checks(conn: sqlite3.Connection) -> list[CheckView]:
    """The latest check of everything measured in the house, by room and key."""
    return _checks(conn, _LATEST)


def latest_lines(conn: sqlite3.Connection) -> list[CheckLine]:
    """The same, as lines of a list."""
    return _lines(conn, _LATEST)


def _checks(conn: sqlite3.Connection, where: str, *values: str) -> list[CheckView]:
    found = conn.execute(_CHECK + where, values)
    return [CheckView(**_told(row), judgement=_decode_judgement(row[6])) for row in found]


def _lines(conn: sqlite3.Connection, where: str, *values: str) -> list[CheckLine]:
    found = conn.execute(_LINE + where, values)
    return [CheckLine(**_told(row), judgement=_brief(conn, row[1], row[6])) for row in found]


_briefs: dict[str, bytes] = {}


def _brief(conn: sqlite3.Connection, seq: int, chain: str) -> dict[str, Any]:
    """What a line says of the check that is entry `seq`; never the same dict twice."""
    kept = _briefs.get(chain)
    if kept is None:
        (judgement,) = conn.execute(
            "SELECT judgement FROM journal WHERE seq = ?", (seq,)
        ).fetchone()
        if len(_briefs) >= MOST_BRIEFS:
            _briefs.clear()
        kept = _briefs[chain] = msgspec.json.encode(_read(judgement))
    told: dict[str, Any] = _decode_judgement(kept)
    return told


def _read(judgement: str) -> dict[str, Any]:
    read = _decode_brief(judgement)
    brief: dict[str, Any] = {
        "verdict": read.verdict,
        "sheet": read.sheet,
        "counts": read.counts,
        "findings": [asdict(f) for f in read.findings],
        "rules": [line for r in read.rules if is_over(line := asdict(r))],
        "layers": read.layers,
    }
    if read.finished is not None:
        brief["finished"] = {"layers": read.finished.layers}
    return brief


def _told(row: tuple[Any, ...]) -> dict[str, Any]:
    """All of a check but its judgement."""
    check_id, seq, subject, author, received, body, _, day, struck, clash, verdict = row
    told = _decode_check(body)
    return {
        "id": check_id, "seq": seq, "subject": subject, "room": told.room, "sheet": told.sheet,
        "place": told.place,
        "key": f"{told.sheet}/{slug(told.place)}" if told.place else told.sheet,
        "author": author, "instrument": told.instrument, "day": day, "received": received,
        "verdict": verdict, "readings": told.readings, "note": told.note, "photos": told.photos,
        "struck": struck, "clash": bool(clash),
    }  # fmt: skip
