"""Entry ids: UUID version 7 (RFC 9562, section 5.7), made from a time and random bytes given."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime, timedelta

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


def new_id(now: datetime, random: bytes) -> str:
    """The id of an entry made at `now` (aware), from 10 random bytes; sorts by millisecond.

    unix_ts_ms (48 bits) | version 7 (4) | rand_a (12) | variant 10 (2) | rand_b (62): of the
    80 random bits the highest 6 are not used. Raises ValueError for a naive or too early time
    or another number of bytes.
    """
    if now.tzinfo is None:
        raise ValueError("an id is made from an aware time")
    if len(random) != 10:
        raise ValueError(f"an id takes 10 random bytes, not {len(random)}")
    milliseconds = (now - _EPOCH) // timedelta(milliseconds=1)
    if milliseconds < 0:
        raise ValueError("an id is made from a time after 1970")
    bits = int.from_bytes(random)
    rand_a, rand_b = bits >> 62 & 0xFFF, bits & ((1 << 62) - 1)
    value = milliseconds << 80 | 7 << 76 | rand_a << 64 | 2 << 62 | rand_b
    text = f"{value:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def derived_id(entry_id: str, about: str) -> str:
    """The id of a second entry that comes with the first: the same each time it is sent.

    Keeps the first one's own time (48 bits) and takes the rest from SHA-256, so it is a
    well-formed version 7 UUID.
    """
    d = hashlib.sha256(f"{entry_id} {about}".encode()).hexdigest()
    variant = "89ab"[int(d[3], 16) % 4]
    return f"{entry_id[:13]}-7{d[:3]}-{variant}{d[4:7]}-{d[7:19]}"


def is_id(text: str) -> bool:
    """Whether `text` is a version 7 UUID in its canonical lower-case form."""
    return _ID.fullmatch(text) is not None
