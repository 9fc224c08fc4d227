"""The house over time: each of its entries, and the rooms and crews that other entries name."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

import msgspec

from fieldlog.calc.bodies import Act, Day
from fieldlog.calc.house import House, house_from_body
from fieldlog.calc.house_change import Named, differences

_NAMED = """
    SELECT trade FROM fold_item
    UNION SELECT substr(author, 6) FROM journal WHERE author LIKE 'crew/%'
    UNION SELECT substr(subject, 25) FROM journal WHERE subject LIKE 'report:punch:%:%'
"""
_HOUSES = """
    SELECT j.id, j.author, j.received, j.body, f.struck, f.clash
    FROM journal j JOIN fold_entry f USING (seq)
    WHERE j.subject = 'house' AND j.type = 'house/1' AND j.refused = '' ORDER BY j.seq
"""


@dataclass(frozen=True, slots=True)
class HouseVersion:
    """The house after one of its entries; `says` is what that entry changed."""

    id: str
    author: str
    received: str
    house: House
    says: tuple[str, ...]
    struck: str
    clash: bool


def named_by_entries(conn: sqlite3.Connection) -> Named:
    """Rooms and crews that the journal names, struck entries included: they stay legible."""
    rooms = {room for (room,) in conn.execute("SELECT DISTINCT room FROM fold_entry")}
    trades = {trade for (trade,) in conn.execute(_NAMED)}
    found = conn.execute(
        "SELECT type, body FROM journal WHERE type IN ('act/1', 'day/1') AND refused = ''"
    )
    for entry_type, body in found:
        if entry_type == "act/1":
            trades.add(msgspec.json.decode(body, type=Act).trade)
        else:
            trades.update(c.trade for c in msgspec.json.decode(body, type=Day).crews)
    return Named(frozenset(rooms - {""}), frozenset(trades - {""}))


def house_versions(conn: sqlite3.Connection) -> list[HouseVersion]:
    """Every entry of the house, the oldest first, with what each changed."""
    told: list[HouseVersion] = []
    before: House | None = None
    for entry_id, author, received, body, struck, clash in conn.execute(_HOUSES):
        house = house_from_body(body)
        says = tuple(differences(before, house)) if before else ()
        told.append(HouseVersion(entry_id, author, received, house, says, struck, bool(clash)))
        if not struck:
            before = house
    return told
