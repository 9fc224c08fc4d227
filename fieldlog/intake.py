"""The one way in: parse, judge, append, fold. Forms, demo and command line all come through here.

`record` is for a page or command that shows errors: it raises, and then nothing is stored.
`take` and `take_all` are for entries that were made elsewhere and cannot be asked again: a
malformed one is kept as refused, with its raw body and the reason.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Literal
from zoneinfo import ZoneInfo

from msgspec.structs import asdict, replace

from fieldlog.calc.bodies import CheckEntry, ItemEntry, PhotoEntry
from fieldlog.calc.chain import content
from fieldlog.calc.checking import verdict_of
from fieldlog.calc.entries import (
    Entry,
    EntryMalformed,
    check_body,
    check_entry,
    encode_body,
    parse_body,
    parse_entry,
)
from fieldlog.calc.house import House
from fieldlog.calc.ids import is_id
from fieldlog.calc.library import Library, UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.shape import Strict
from fieldlog.judged_ahead import Ahead, AheadOf, judge_now
from fieldlog.store import folds, journal, photos, reading, sources
from fieldlog.store.db import HouseFolder, open_writer, transaction
from fieldlog.store.durable import make_folder
from fieldlog.store.refusing import keep_refused

Folder = os.PathLike[str] | str
Status = Literal["stored", "already_stored", "conflict", "refused"]
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
DEVICE = journal.OFFICE
PREFIX = "P"
CONFLICT = "Another entry is stored under this id."
NOTHING_AHEAD: AheadOf = {}


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one entry. `seq` is its number in the journal; `verdict` a check's."""

    status: Status
    seq: int
    id: str
    reason: str = ""
    verdict: str = ""


class HouseExists(Exception):
    """A house was started in this folder already."""


class NotTheHouse(ValueError):
    """The journal is empty, and this is not the entry that starts a house."""


def start_house(folder: Folder, house: House, now: datetime, id: str) -> Answer:
    """Make the data folder and journal, with the house as its first entry.

    Raises HouseExists, EntryMalformed, HouseBusy, or OSError for a folder that can't be made.
    """
    at = HouseFolder(folder)
    body = encode_body(house)
    parse_body("house/1", body)
    author = f"superintendent/{house.superintendent}"
    claimed, offset = _claimed(now, house)
    entry = Entry(id, id, DEVICE, 1, claimed, offset, author, "house/1", "house", "", body)
    check_entry(entry)
    for name in ("sheets", "books", "instruments"):
        make_folder(at.path / name)
    with closing(open_writer(at, create=True)) as conn, transaction(conn):
        if journal.head(conn).seq:
            raise HouseExists(f"A house was started in {at.path} already.")
        return _append(conn, None, entry, "", now)


def record(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    *,
    id: str,
    type: str,
    subject: str,
    author: str,
    body: Strict,
    now: datetime,
    seen: str = "",
    ahead: Ahead | None = None,
) -> Answer:
    """Make an entry here and store it, in one transaction.

    The same id with the same content is `already_stored` (an item keeps the number it was
    allotted), with other content a `conflict`. `ahead` is a check as judged beforehand. Raises
    EntryMalformed, ReadingsRefused or UnknownSource, and then nothing is stored.
    """
    if not is_id(id):
        raise EntryMalformed("An entry's id is a version 7 UUID. Open the page again.")
    with transaction(conn):
        before = journal.stored(conn, id)
        numbered = _numbered_as(body, before)
        entry = make_entry(
            conn, reading.house(conn), id=id, type=type, subject=subject, author=author,
            body_struct=numbered, now=now, seen=seen,
        )  # fmt: skip
        if before:
            return _again(entry, before)
        checked = check_entry(entry)
        _check_at_hand(folder, library, checked)
        judgement = _judged(conn, library, checked, ahead)
        return _append(conn, library, entry, judgement, now)


def make_entry(
    conn: sqlite3.Connection,
    house: House,
    *,
    id: str,
    type: str,
    subject: str,
    author: str,
    body_struct: Strict,
    now: datetime,
    seen: str = "",
    device: str = DEVICE,
) -> Entry:
    """An entry of this device: its number, and an item's where it has none, are the next ones."""
    if isinstance(body_struct, ItemEntry) and not body_struct.number:
        number = reading.next_number(conn, PREFIX)
        body_struct = replace(body_struct, number=number)
    claimed, offset = _claimed(now, house)
    return Entry(
        id=id,
        job=journal.job(conn),
        device=device,
        device_seq=journal.next_device_seq(conn, device),
        claimed_ms=claimed,
        offset_min=offset,
        author=author,
        type=type,
        subject=subject,
        seen=seen,
        body=encode_body(body_struct),
    )


def take(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    entry: Entry | Mapping[str, Any],
    now: datetime,
    ahead: AheadOf = NOTHING_AHEAD,
) -> Answer:
    """Store one entry made elsewhere, whole or not at all; a malformed one is kept as refused.

    `ahead` has checks as they were judged before the writer was taken.

    Raises NotTheHouse in an empty journal.
    """
    with transaction(conn):
        if not journal.head(conn).seq:
            raise NotTheHouse("The house has to be started before anything is entered.")
        try:
            sound = parse_entry(asdict(entry) if isinstance(entry, Entry) else entry)
            before = journal.stored(conn, sound.id)
            if before and content(sound) == before.content:
                return _again(sound, before)
            if before:
                return _refuse(conn, folder, sound, CONFLICT, now, "conflict")
            if sound.job != journal.job(conn):
                raise EntryMalformed("The entry belongs to another house.")
            body = check_body(sound)
            if isinstance(body, CheckEntry):
                library = sources.edition(conn, library, body)
            judgement = _judged(conn, library, body, ahead.get(sound.body))
        except (EntryMalformed, ReadingsRefused, UnknownSource) as err:
            return _refuse(conn, folder, entry, str(err), now)
        return _append(conn, library, sound, judgement, now)


def take_all(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    entries: Iterable[Entry | Mapping[str, Any]],
    now: datetime,
) -> list[Answer]:
    """Store many entries in one transaction, with a savepoint and an answer for each."""
    with transaction(conn):
        return [take(conn, folder, library, entry, now) for entry in entries]


def _append(
    conn: sqlite3.Connection, library: Library | None, entry: Entry, judgement: str, now: datetime
) -> Answer:
    seq = journal.append(conn, entry, now=now, judgement=judgement)
    if judgement and library:
        sources.keep_sources(conn, seq, library)
    folds.apply(conn, seq)
    return Answer("stored", seq, entry.id, verdict=verdict_of(judgement))


def _again(entry: Entry, before: journal.Stored) -> Answer:
    """The answer to an entry whose id is stored: the same, another one, or refused before."""
    if content(entry) != before.content:
        return Answer("conflict", before.seq, entry.id, CONFLICT)
    if before.refused:
        return Answer("refused", before.seq, entry.id, before.refused)
    return Answer("already_stored", before.seq, entry.id, verdict=verdict_of(before.judgement))


def refuse(
    conn: sqlite3.Connection, folder: Folder, sent: object, reason: str, now: datetime
) -> Answer:
    """Keep what was sent as refused, with the reason: its device number is used up."""
    with transaction(conn):
        return _refuse(conn, folder, sent, reason, now)


def _refuse(
    conn: sqlite3.Connection,
    folder: Folder,
    sent: object,
    reason: str,
    now: datetime,
    status: Status = "refused",
) -> Answer:
    return Answer(status, *keep_refused(conn, folder, sent, reason, now))


def _check_at_hand(folder: Folder, library: Library, body: Strict) -> None:
    """What only one who can still be asked again is held to. Raises EntryMalformed.

    A photo's file is here before its entry, and a check is made with the sheet as it is now.
    """
    if isinstance(body, PhotoEntry) and photos.original(folder, body.sha256) is None:
        raise EntryMalformed("The photo's file is not here: send the file first.")
    if isinstance(body, CheckEntry) and not sources.is_edition(library, body):
        raise EntryMalformed(sources.changed(library, body))


def _judged(conn: sqlite3.Connection, library: Library, body: Strict, ahead: Ahead | None) -> str:
    """The judgement of a check as it is stored; "" for every other entry.

    Raises ReadingsRefused, UnknownSource.
    """
    if not isinstance(body, CheckEntry):
        return ""
    if ahead and ahead.holds(conn, library):
        return ahead.judgement
    return judge_now(conn, library, body)


def _numbered_as(body: Strict, before: journal.Stored | None) -> Strict:
    """A resent item without a number gets the one that was allotted the first time."""
    if not (before and isinstance(body, ItemEntry) and not body.number):
        return body
    if before.refused or before.entry.type != "item/1":
        return body
    first = parse_body("item/1", before.entry.body)
    assert isinstance(first, ItemEntry)
    return replace(body, number=first.number)


def _claimed(now: datetime, house: House) -> tuple[int, int]:
    """Epoch milliseconds, and minutes east of UTC at the house."""
    offset = now.astimezone(ZoneInfo(house.zone)).utcoffset()
    assert offset is not None
    milliseconds = (now - EPOCH) // timedelta(milliseconds=1)
    return milliseconds, int(offset.total_seconds() // 60)
