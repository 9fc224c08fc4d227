"""A room's outline and the plans of a floor, read from the journal."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import Any

import msgspec

from fieldlog.calc.bodies import FloorPlan, RoomOutline

_ENTRY = """
    SELECT j.id, j.seq, j.received, j.body FROM journal j JOIN fold_entry f USING (seq)
    WHERE j.subject = ? AND j.type = ? AND j.refused = '' AND f.struck = '' ORDER BY j.seq DESC
"""
_outline = msgspec.json.Decoder(RoomOutline).decode
_plan = msgspec.json.Decoder(FloorPlan).decode


@dataclass(frozen=True, slots=True)
class PlanView:
    """A chosen plan. `told` is the plan as it was offered, never computed anew."""

    id: str
    seq: int
    received: str
    check: str
    kind: str
    inputs: dict[str, str]
    told: dict[str, Any]


def outline_of(conn: sqlite3.Connection, room: str) -> tuple[RoomOutline | None, str]:
    """The room's outline as it stands, and the id of the entry that holds it."""
    row = conn.execute(_ENTRY, (f"outline:{room}", "outline/1")).fetchone()
    return (_outline(row[3]), str(row[0])) if row else (None, "")


def plan_of(conn: sqlite3.Connection, subject: str, check: str, upto: int = 0) -> PlanView | None:
    """The last plan that was chosen for a check, or None; of entries up to number `upto`."""
    for plan_id, seq, received, body in conn.execute(_ENTRY, (subject, "plan/1")):
        told = _plan(body)
        if told.check == check and (not upto or seq <= upto):
            answer = msgspec.json.decode(told.answer)
            return PlanView(plan_id, seq, received, check, told.kind, told.inputs, answer)
    return None
