"""The day's checks as the folds have them: how each came out, without reading what was judged."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outcome:
    """A check's id, room and verdict."""

    id: str
    room: str
    verdict: str


def outcomes_on(conn: sqlite3.Connection, day: str) -> list[Outcome]:
    """How the checks of an ISO date came out, in the order they came, struck ones left out."""
    found = conn.execute(
        "SELECT j.id, c.room, c.verdict FROM fold_check c JOIN journal j USING (seq) "
        "JOIN fold_entry f USING (seq) WHERE c.day = ? AND f.struck = '' ORDER BY c.seq",
        (day,),
    )
    return [Outcome(*row) for row in found]
