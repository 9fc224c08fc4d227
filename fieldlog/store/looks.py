"""The checks of one sheet as their judgements were stored, for a check that reads earlier looks."""

from __future__ import annotations

import sqlite3

import msgspec

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.looks import Look

_SHEET = """
    SELECT j.subject, j.seq, j.body, j.judgement
    FROM fold_check c JOIN fold_entry f USING (seq) JOIN journal j USING (seq)
    WHERE f.struck = '' AND (c.key = ?1 OR substr(c.key, 1, length(?1) + 1) = ?1 || '/')
    ORDER BY seq
"""
_decode = msgspec.json.Decoder(CheckEntry).decode


def of_sheet(conn: sqlite3.Connection, sheet: str) -> list[Look]:
    """Every check of a sheet that is not struck through, in the order they came."""
    rows = conn.execute(_SHEET, (sheet,))
    return [Look(subject, _decode(body).day, seq, judged) for subject, seq, body, judged in rows]
