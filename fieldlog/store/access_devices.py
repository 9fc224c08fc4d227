"""Paired devices: made by a six-digit code, known by a token, revoked at the machine.

Tokens and codes are arguments (`store.access` draws them), as is the time. A new pairing is a
new device id.
"""

from __future__ import annotations

import hashlib
import hmac
import sqlite3
from dataclasses import dataclass
from datetime import datetime, timedelta

from fieldlog.store.access_db import hashed
from fieldlog.store.db import transaction
from fieldlog.store.journal import stamp

CODE_MINUTES = 10
CODE_TRIES = 5
PIN_TRIES = 5
SEEN_EVERY = timedelta(minutes=1)
"""A device's last call is written down this often: each is a write to the disk."""
SCRYPT = {"n": 2**14, "r": 8, "p": 1}

_COLUMNS = "id, name, paired, seen, revoked, trade, tries"


@dataclass(frozen=True, slots=True)
class Device:
    """A paired device. Times are UTC ISO 8601; `revoked` is "" while it holds.

    `trade` is the crew it is passed to, or "".
    """

    id: str
    name: str
    paired: str
    seen: str
    revoked: str
    trade: str
    tries: int


class CodeRefused(Exception):
    """A pairing code or a number is not taken; the message says what to do."""


class PairingEnded(CodeRefused):
    """The id is a device's whose pairing was ended: pairing again is under a new one."""


def make_code(conn: sqlite3.Connection, code: str, now: datetime) -> None:
    """Let one device pair by `code` within ten minutes. An earlier code is good no longer."""
    conn.execute(
        "INSERT INTO pairing VALUES (1, ?, ?, ?, '') ON CONFLICT (one) DO UPDATE SET"
        " code = excluded.code, expires = excluded.expires, tries = excluded.tries, used_by = ''",
        (hashed(code), stamp(now + timedelta(minutes=CODE_MINUTES)), CODE_TRIES),
    )


def use_code(conn: sqlite3.Connection, code: str, by: str, now: datetime) -> None:
    """Use the code up for the device `by`; the same device may send the same form twice.

    Raises CodeRefused, and PairingEnded for the right code from a device that was ended: the code
    stays good. Five wrong codes end it, whoever sent them: the next one is made at the machine,
    where nobody is ever locked out.
    """
    ended = False
    with transaction(conn):
        row = conn.execute("SELECT code, expires, tries, used_by FROM pairing").fetchone()
        kept, expires, tries, used_by = row or ("", "", 0, "")
        if not kept or tries < 1 or expires < stamp(now):
            refused = "No code is good at the moment. Have a new one made at the machine."
        elif not hmac.compare_digest(kept, hashed(code)):
            conn.execute("UPDATE pairing SET tries = tries - 1")
            left = tries - 1
            again = f"{left} more {'try' if left == 1 else 'tries'}." if left else "It is used up."
            refused = f"That is not the code. {again}"
        elif ended := bool((before := device(conn, by)) and before.revoked):
            refused = "This form's pairing was ended at the machine. Type the code once more."
        elif used_by not in ("", by):
            refused = "This code was used already. Have a new one made at the machine."
        else:
            conn.execute("UPDATE pairing SET used_by = ?", (by,))
            refused = ""
    if refused:
        raise PairingEnded(refused) if ended else CodeRefused(refused)


def add_device(
    conn: sqlite3.Connection, device_id: str, name: str, token: str, now: datetime
) -> None:
    """A device that showed the code; the same form sent again gets a new token."""
    conn.execute(
        "INSERT INTO device VALUES (?, ?, ?, ?, ?, '', '', '', 0)"
        " ON CONFLICT (id) DO UPDATE SET token = excluded.token",
        (device_id, name, hashed(token), stamp(now), stamp(now)),
    )


def device_of(conn: sqlite3.Connection, token: str) -> Device | None:
    """The device with this token, or None where there is none or it was revoked."""
    return _one(conn, "token = ? AND revoked = ''", hashed(token))


def device(conn: sqlite3.Connection, device_id: str) -> Device | None:
    """One device, revoked or not, or None."""
    return _one(conn, "id = ?", device_id)


def devices(conn: sqlite3.Connection) -> list[Device]:
    """Every device, those that hold first, then by the time they were paired."""
    found = conn.execute(
        f"SELECT {_COLUMNS} FROM device ORDER BY revoked != '', paired DESC, id"
    ).fetchall()
    return [Device(*row) for row in found]


def note_seen(conn: sqlite3.Connection, known: Device, now: datetime) -> None:
    """Write down that a device called, once a minute at most."""
    if known.seen < stamp(now - SEEN_EVERY):
        conn.execute("UPDATE device SET seen = ? WHERE id = ?", (stamp(now), known.id))


def revoke(conn: sqlite3.Connection, device_id: str, now: datetime) -> bool:
    """End a device's access; False where it had none. Nothing on the device is touched."""
    done = conn.execute(
        "UPDATE device SET revoked = ? WHERE id = ? AND revoked = ''", (stamp(now), device_id)
    )
    return done.rowcount == 1


def pass_to(conn: sqlite3.Connection, device_id: str, trade: str, pin: str) -> None:
    """Lock a device to a crew's list until `pin` is typed, or somebody at the machine ends it."""
    conn.execute(
        "UPDATE device SET trade = ?, pin = ?, tries = ? WHERE id = ?",
        (trade, _slow_hash(pin, device_id), PIN_TRIES, device_id),
    )


def take_back(conn: sqlite3.Connection, device_id: str, pin: str) -> None:
    """Unlock a device by its number. Raises CodeRefused; after five, only the machine can."""
    with transaction(conn):
        row = conn.execute("SELECT pin, tries FROM device WHERE id = ?", (device_id,)).fetchone()
        kept, tries = row or ("", 0)
        right = tries > 0 and hmac.compare_digest(kept, _slow_hash(pin, device_id))
        if right:
            _unlock(conn, device_id)
        else:
            conn.execute("UPDATE device SET tries = max(tries - 1, 0) WHERE id = ?", (device_id,))
    if not right:
        left = max(tries - 1, 0)
        raise CodeRefused(
            f"That is not the number. {left} more {'try' if left == 1 else 'tries'}."
            if left
            else "That was one time too many. Take it back at the machine, under Tablets."
        )


def give_back(conn: sqlite3.Connection, device_id: str) -> None:
    """Unlock a device without its number: only somebody at the machine may ask for this."""
    _unlock(conn, device_id)


def _unlock(conn: sqlite3.Connection, device_id: str) -> None:
    conn.execute("UPDATE device SET trade = '', pin = '', tries = 0 WHERE id = ?", (device_id,))


def _slow_hash(pin: str, salt: str) -> str:
    # A number of four digits is guessed in no time from a plain hash.
    return hashlib.scrypt(pin.encode(), salt=salt.encode(), **SCRYPT).hex()


def _one(conn: sqlite3.Connection, where: str, value: str) -> Device | None:
    row = conn.execute(f"SELECT {_COLUMNS} FROM device WHERE {where}", (value,)).fetchone()
    return Device(*row) if row else None
