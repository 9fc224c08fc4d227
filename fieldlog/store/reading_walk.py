"""The day's checks as the folds have them: how each came out, without reading what was judged."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outcome:
    """A check's id, room and verdict; `latest` where no later look at the same thing stands."""

    id: str
    room: str
    verdict: str
    latest: bool


def outcomes_on(conn: sqlite3.Connection, day: str) -> list[Outcome]:
    """How the checks of an ISO date came out, in the order they came, struck ones left out."""
    found = conn.execute(
        "SELECT j.id, c.room, c.verdict, c.latest FROM fold_check c JOIN journal j USING (seq) "
        "JOIN fold_entry f USING (seq) WHERE c.day = ? AND f.struck = '' ORDER BY c.seq",
        (day,),
    )
    return [Outcome(check, room, verdict, bool(latest)) for check, room, verdict, latest in found]


def last_measured(conn: sqlite3.Connection) -> dict[str, str]:
    """The day (ISO date) of the last check that stands in each room that has one."""
    found = conn.execute("SELECT room, max(day) FROM fold_check WHERE latest = 1 GROUP BY room")
    return dict(found.fetchall())
