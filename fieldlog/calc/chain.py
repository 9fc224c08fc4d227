"""The hash chain of the journal.

`chain` of an entry is SHA-256 (FIPS 180-4) over a length-prefixed list of: the chain before it,
seq, received, every envelope field, SHA-256(body), SHA-256(judgement). Each member is written
as its number of bytes in decimal, a colon, and its UTF-8 bytes, so that no two lists give the
same bytes. Integers are written in decimal. A refused entry's judgement holds the reason it was
refused for, so that the reason is chained as well.

A chain does not notice that its *last* entries were dropped: its head is printed on reports.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable

from fieldlog.calc.entries import Entry

START = "0" * 64
"""What stands for the chain before the first entry."""

ENVELOPE = (
    "id", "job", "device", "device_seq", "claimed_ms", "offset_min", "author", "type",
    "subject", "seen",
)  # fmt: skip
"""Envelope fields in the order they are hashed; the body follows as its own digest."""


def digest(text: str) -> str:
    """SHA-256 of the UTF-8 bytes of `text`, lower-case hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def link(previous: str, seq: int, received: str, entry: Entry, judgement: str) -> str:
    """The chain value of `entry`, lower-case hexadecimal."""
    members = [previous, str(seq), received]
    members += [str(getattr(entry, name)) for name in ENVELOPE]
    members += [digest(entry.body), digest(judgement)]
    return hash_list(members)


def content(entry: Entry) -> str:
    """What makes a resent entry the same entry: who said what about which subject.

    The device's number, its clock and what it had seen may differ when a form is sent again.
    """
    return hash_list([entry.job, entry.author, entry.type, entry.subject, entry.body])


def refusal(reason: str) -> str:
    """The judgement stored with a refused entry."""
    return json.dumps({"refused": reason}, ensure_ascii=False, separators=(",", ":"))


def hash_list(members: Iterable[str]) -> str:
    """SHA-256 over a length-prefixed list, lower-case hexadecimal."""
    hashed = hashlib.sha256()
    for member in members:
        data = member.encode()
        hashed.update(b"%d:" % len(data))
        hashed.update(data)
    return hashed.hexdigest()
