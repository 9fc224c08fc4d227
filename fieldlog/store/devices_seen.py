"""What the server knows of handing over: devices, their numbers, and heads it once answered with.

None of it is part of the journal's chain. What a device says of itself is a claim.
"""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from datetime import datetime

from fieldlog.store.journal import stamp

_LETTERS = "BCDFGHJKLMNRSTVWX"
"""Letters of a device's own item numbers: none is taken for a digit, and no pair is a word."""


@dataclass(frozen=True, slots=True)
class DeviceSeen:
    """A device that handed over: when last (UTC), and what it said of itself then.

    `last` is the highest number it has given to an entry, `waiting` how many entries it had not
    sent, `clock_off_s` how many seconds its clock is ahead of this machine's.
    """

    device: str
    prefix: str
    seen: str
    last: int
    waiting: int
    clock_off_s: int


def seen(conn: sqlite3.Connection, device: str) -> DeviceSeen | None:
    """What is known of a device, or None."""
    row = conn.execute(
        "SELECT device, prefix, seen, last, waiting, clock_off_s FROM device_seen WHERE device = ?",
        (device,),
    ).fetchone()
    return DeviceSeen(*row) if row else None


def all_seen(conn: sqlite3.Connection) -> list[DeviceSeen]:
    """Every device, the last seen first."""
    rows = conn.execute(
        "SELECT device, prefix, seen, last, waiting, clock_off_s FROM device_seen"
        " ORDER BY seen DESC, device"
    )
    return [DeviceSeen(*row) for row in rows]


def meet(conn: sqlite3.Connection, device: str, now: datetime) -> DeviceSeen:
    """Know a device from now on: it gets letters for its items. Runs in a transaction."""
    known = seen(conn, device)
    if known:
        return known
    made = DeviceSeen(device, _free_prefix(conn, device), stamp(now), 0, 0, 0)
    conn.execute(
        "INSERT INTO device_seen VALUES (?, ?, ?, 0, 0, 0)", (device, made.prefix, made.seen)
    )
    return made


def note(
    conn: sqlite3.Connection,
    device: str,
    now: datetime,
    *,
    last: int,
    waiting: int,
    clock_off_s: int,
) -> None:
    """Note what a known device says of itself. Runs in a transaction."""
    conn.execute(
        "UPDATE device_seen SET seen = ?, last = max(last, ?), waiting = ?, clock_off_s = ?"
        " WHERE device = ?",
        (stamp(now), last, waiting, clock_off_s, device),
    )


def numbers(conn: sqlite3.Connection, device: str) -> list[tuple[int, int]]:
    """The numbers of a device that the journal has, refused entries' too, as closed ranges."""
    # One row: a window over them in SQL takes five times as long, and a row at a time is a turn of
    # the interpreter at a time.
    (found,) = conn.execute(
        "SELECT coalesce(group_concat(n), '') FROM ("
        " SELECT device_seq AS n FROM journal WHERE device = ?1"
        " UNION ALL SELECT device_seq FROM numbered_anew WHERE device = ?1 ORDER BY 1)",
        (device,),
    ).fetchone()
    ranges: list[tuple[int, int]] = []
    for number in sorted(map(int, found.split(","))) if found else ():
        if ranges and number <= ranges[-1][1] + 1:
            ranges[-1] = (ranges[-1][0], number)
        else:
            ranges.append((number, number))
    return ranges


def use_up(conn: sqlite3.Connection, device: str, number: int) -> None:
    """Count a number as used that the journal has under another one. Runs in a transaction."""
    conn.execute(
        "INSERT OR IGNORE INTO numbered_anew SELECT ?1, ?2 WHERE NOT EXISTS"
        " (SELECT 1 FROM journal WHERE device = ?1 AND device_seq = ?2)",
        (device, number),
    )


def has_head(conn: sqlite3.Connection, seq: int, chain: str) -> bool:
    """Whether the journal holds this chain value at this number: the witness."""
    row = conn.execute("SELECT chain FROM journal WHERE seq = ?", (seq,)).fetchone()
    return row is not None and row[0] == chain


def _free_prefix(conn: sqlite3.Connection, device: str) -> str:
    """Two letters: drawn from the device's id, so that it gets the same after a restore.

    Numbers that another device has used are not given out again.
    """
    taken = {prefix for (prefix,) in conn.execute("SELECT prefix FROM device_seen")}
    taken |= {prefix for (prefix,) in conn.execute("SELECT DISTINCT prefix FROM fold_item")}
    start = int.from_bytes(hashlib.sha256(device.encode()).digest()[:4])
    for step in range(len(_LETTERS) ** 3):
        prefix = _letters(start + step, 2 if step < len(_LETTERS) ** 2 else 3)
        if prefix not in taken:
            return prefix
    raise RuntimeError("every pair and triple of letters is taken")


def _letters(number: int, count: int) -> str:
    found = ""
    for _ in range(count):
        number, place = divmod(number, len(_LETTERS))
        found += _LETTERS[place]
    return found
