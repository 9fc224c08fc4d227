"""Punch items as they stand, and their histories, read from the folds."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection

import msgspec

from fieldlog.calc.items import UNFINISHED
from fieldlog.store.views import ItemAct, ItemView

_ACTS_OF_DAY = """
    FROM fold_entry f JOIN fold_act a USING (seq) JOIN journal j USING (seq)
    WHERE f.day = ? AND f.type IN ('item/1', 'act/1')
"""

_decode_item = msgspec.json.Decoder(ItemView).decode
_decode_act = msgspec.json.Decoder(ItemAct).decode


def items(
    conn: sqlite3.Connection,
    *,
    room: str | None = None,
    trade: str | None = None,
    story_rooms: Collection[str] | None = None,
    states: Collection[str] | None = None,
    day: str | None = None,
) -> list[ItemView]:
    """Items that are not struck, the most serious first, then the oldest.

    Given filters must all hold. `day` keeps items that anything was entered about on that day,
    the opening included; None keeps every state, room and crew.
    """
    where, values = ["struck = ''"], list[str]()
    for column, value in (("room", room), ("trade", trade)):
        if value is not None:
            where.append(f"{column} = ?")
            values.append(value)
    for column, members in (("room", story_rooms), ("state", states)):
        if members is not None:
            where.append(f"{column} IN ({','.join('?' * len(members))})")
            values.extend(members)
    if states is not None and set(states) <= set(UNFINISHED):
        # In these words, so that the partial index on unfinished items serves.
        where.append("state IN ('open', 'corrected')")
    if day is not None:
        where.append(f"'item:' || id IN (SELECT j.subject {_ACTS_OF_DAY})")
        values.append(day)
    found = conn.execute(
        f"SELECT view FROM fold_item WHERE {' AND '.join(where)} ORDER BY rank, seq", values
    )
    return [_decode_item(view) for (view,) in found]


def item(conn: sqlite3.Connection, item_id: str) -> ItemView | None:
    """One item, struck or not, or None."""
    return _one(conn, "seq = (SELECT j.seq FROM journal j WHERE j.id = ?)", item_id)


def item_by_number(conn: sqlite3.Connection, number: str) -> ItemView | None:
    """The item of a number such as "P-31" (in any case), or None."""
    prefix, _, count = number.strip().upper().partition("-")
    if not (count.isascii() and count.isdigit() and len(count) < 10):
        return None
    return _one(conn, "prefix = ? AND count = ? ORDER BY struck != '', seq", prefix, int(count))


def item_history(conn: sqlite3.Connection, item_id: str) -> list[ItemAct]:
    """The opening and every act, in journal order, those without effect among them."""
    found = conn.execute(
        "SELECT a.view FROM journal j JOIN fold_act a USING (seq)"
        " WHERE j.subject = ? AND j.refused = '' ORDER BY j.seq",
        (f"item:{item_id}",),
    )
    return [_decode_act(view) for (view,) in found]


def acts_on(conn: sqlite3.Connection, day: str) -> list[ItemAct]:
    """Everything entered about items on one day, openings included, in journal order."""
    found = conn.execute(f"SELECT a.view {_ACTS_OF_DAY} ORDER BY a.seq", (day,))
    return [_decode_act(view) for (view,) in found]


def items_of_check(conn: sqlite3.Connection, check_id: str) -> list[ItemView]:
    """The items that were opened from a check, the oldest first."""
    found = conn.execute(
        "SELECT view FROM fold_item WHERE check_id = ? AND check_id != '' AND struck = ''"
        " ORDER BY seq",
        (check_id,),
    )
    return [_decode_item(view) for (view,) in found]


def next_number(conn: sqlite3.Connection, prefix: str = "P") -> str:
    """The item number after the last one with that prefix: "P-31"."""
    row = conn.execute("SELECT max(count) FROM fold_item WHERE prefix = ?", (prefix,)).fetchone()
    return f"{prefix}-{(row[0] or 0) + 1}"


def _one(conn: sqlite3.Connection, where: str, *values: str | int) -> ItemView | None:
    row = conn.execute(f"SELECT view FROM fold_item WHERE {where}", values).fetchone()
    return _decode_item(row[0]) if row else None
