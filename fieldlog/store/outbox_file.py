"""A tablet's outbox saved as a file, `fieldlog-outbox/1`: the last resort when nothing else goes.

Lines of JSON, each ended by a line feed, in this order or any other but for the first and last:

    {"outbox": "fieldlog-outbox/1", "device": "...", "job": "...", "entries": 12, "photos": 3}
    {"entry": {... the envelope ...}, "judged": {"verdict": "pass", "rules_sha256": "..."} or null}
    {"photo": "<sha256>", "length": 3145728}     then exactly that many raw bytes and a line feed
    {"end": "fieldlog-outbox/1"}

A page can write it as one Blob of parts, without holding the photos in memory as text. A file
that was cut short gives what is whole in it, and says that it ended early.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO

FORMAT = "fieldlog-outbox/1"
MOST_LINE = 40_000_000
MOST_PHOTO = 64_000_000
"""Bytes of a photo that are read at all; what is kept is asked of its content."""


class NoOutbox(ValueError):
    """The file is no outbox, or one of another edition; the message says which."""


@dataclass(frozen=True, slots=True)
class SavedEntry:
    """An entry as the tablet had it, with what it judged: the same as in a batch of `/sync`."""

    sent: dict[str, Any]


@dataclass(frozen=True, slots=True)
class SavedPhoto:
    """A photo's bytes under the digest the tablet gave them."""

    sha256: str
    data: bytes


@dataclass(frozen=True, slots=True)
class EndedEarly:
    """The file has no end: it was cut short, or a line in it can't be read."""

    reason: str


Part = SavedEntry | SavedPhoto | EndedEarly


def read_outbox(file: BinaryIO) -> Iterator[Part]:
    """The parts of an outbox file, one at a time. Raises NoOutbox at the first."""
    _check_first(_line(file))
    while True:
        line = _line(file)
        if line is None:
            yield EndedEarly("The file has no end: what came after this was not saved in it.")
            return
        if line.get("end") == FORMAT:
            return
        part = _part(line, file)
        yield part
        if isinstance(part, EndedEarly):
            return


def _check_first(line: dict[str, Any] | None) -> None:
    said = (line or {}).get("outbox")
    if said == FORMAT:
        return
    if isinstance(said, str) and said.startswith("fieldlog-outbox/"):
        raise NoOutbox(
            f'The file is of the edition "{said[:40]}", and this fieldlog reads "{FORMAT}". '
            "Nothing was taken in. Use the fieldlog that the tablet's page came from."
        )
    raise NoOutbox("The file is not an outbox saved by a tablet. Nothing was taken in.")


def _part(line: dict[str, Any], file: BinaryIO) -> Part:
    if isinstance(line.get("entry"), dict):
        return SavedEntry({**line["entry"], "judged": line.get("judged")})
    sha256, length = line.get("photo"), line.get("length")
    if isinstance(sha256, str) and type(length) is int and 0 <= length <= MOST_PHOTO:
        data = file.read(length)
        if len(data) == length and file.read(1) == b"\n":
            return SavedPhoto(sha256, data)
        return EndedEarly(f"Photo {sha256[:12]} is cut short. What came after it is not known.")
    return EndedEarly("A line is neither an entry nor a photo. What came after it is not known.")


def _line(file: BinaryIO) -> dict[str, Any] | None:
    """The next line's object, or None at the end and for a line that is none."""
    raw = file.readline(MOST_LINE)
    try:
        found = json.loads(raw) if raw.endswith(b"\n") else None
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None
