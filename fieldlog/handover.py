"""Handing over: what a tablet's outbox sends, entry by entry, and what it is told in turn.

The protocol is written down in DEVELOPERS.md under "Handing over"; `tests/sync/twin.py` is a
tablet that keeps to it. `hand_over` stores a batch in one transaction, a savepoint an entry.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import msgspec

from fieldlog import intake
from fieldlog.calc.bodies import CheckEntry, Differs
from fieldlog.calc.entries import Entry, EntryMalformed, check_body, parse_entry
from fieldlog.calc.ids import derived_id
from fieldlog.calc.judged import rules_digest
from fieldlog.calc.library import Library
from fieldlog.calc.shape import MAX_COUNT, Strict
from fieldlog.intake import NOTHING_AHEAD, Answer
from fieldlog.judged_ahead import AheadOf, judge_ahead
from fieldlog.store import arriving, backed_up, devices_seen, journal, reading
from fieldlog.store.db import transaction

Folder = os.PathLike[str] | str

MOST_ENTRIES, MOST_PHOTOS = 50, 500
MOST_BYTES = 32 * 1024 * 1024
"""Of one batch. A tablet sends far less at a time; this is what is still answered in words."""
SERVER_ONLY = frozenset(("house/1", "report/1", "access/1", "differs/1"))
OTHER_DEVICE = (
    "This entry is numbered for another device, and was not kept here. Number it for this one "
    "and send it again."
)
OTHER_HOUSE = "This entry belongs to another house, and was not kept here. It stays on the tablet."
NOT_BY_TABLET = "A {} entry is made by the office's own pages; a tablet does not hand one over."


class SyncRefused(ValueError):
    """A batch is no batch; nothing of it was stored. The message is a sentence for the tablet."""


class Head(Strict, frozen=True):
    """A number of the journal and the chain there."""

    seq: int
    chain: str


class Claim(Strict, frozen=True):
    """How the tablet judged a check: its verdict, and `rules_digest` of its judgement."""

    verdict: str
    rules_sha256: str = ""


class Sent(Strict, frozen=True):
    """A batch. `witness` is the last head the tablet was answered with; `dropped` the head of
    the backup for whose sake it dropped entries; `last` its highest number; `waiting` how many
    entries it has not sent; `now_ms` its clock; `photos` digests it asks about; `walk` the day
    that its person confirmed today, or "".
    """

    entries: tuple[Any, ...] = ()
    witness: Head | None = None
    dropped: Head | None = None
    last: int = 0
    waiting: int = 0
    now_ms: int | None = None
    photos: tuple[str, ...] = ()
    walk: str = ""


def read_batch(data: bytes) -> Sent:
    """The batch in a request's body. Raises SyncRefused."""
    try:
        # Not msgspec's decoder: one entry with half a surrogate pair must not spoil the batch.
        sent = msgspec.convert(json.loads(data), Sent)
    except RecursionError as err:
        raise SyncRefused("What was sent is nested too deep. Nothing was stored.") from err
    except ValueError as err:
        raise SyncRefused(
            f"What was sent is no batch of entries ({err}). Nothing was kept."
        ) from err
    if len(sent.entries) > MOST_ENTRIES:
        raise SyncRefused(f"{len(sent.entries)} entries at once; {MOST_ENTRIES} is the most.")
    if len(sent.photos) > MOST_PHOTOS:
        raise SyncRefused(f"{len(sent.photos)} photos asked about; {MOST_PHOTOS} is the most.")
    numbers = (sent.last, sent.waiting, sent.now_ms or 0)
    if any(abs(number) >= MAX_COUNT for number in numbers):
        raise SyncRefused("A number is out of range. Nothing was kept.")
    return sent


def judged_ahead(conn: sqlite3.Connection, library: Library, sent: Sent) -> AheadOf:
    """The checks of a batch that are not stored yet, judged as a reader sees the house."""
    found = {}
    for envelope in sent.entries:
        mapping = _parts(envelope)[0]
        if not isinstance(mapping, Mapping) or mapping.get("type") != "check/1":
            continue
        try:
            entry = parse_entry(mapping)
            body = check_body(entry)
        except EntryMalformed:
            continue  # it is refused, with the reason, when its turn comes
        if isinstance(body, CheckEntry) and not journal.is_stored(conn, entry.id):
            found[entry.body] = judge_ahead(conn, library, body)
    return {text: ahead for text, ahead in found.items() if ahead}


def hand_over(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    sent: Sent,
    device: str,
    now: datetime,
    ahead: AheadOf = NOTHING_AHEAD,
) -> dict[str, Any]:
    """Store a batch of the paired `device`, and say what is here now. Raises NotStored.

    `ahead` is what `judged_ahead` gave before the writer was taken.
    """
    with transaction(conn):
        witness = _knows(conn, sent.witness)
        dropped = _knows(conn, sent.dropped)
        devices_seen.meet(conn, device, now)
        answers = [_one(conn, folder, library, entry, device, now, ahead) for entry in sent.entries]
        clock_off = _clock_off(sent.now_ms, now)
        devices_seen.note(
            conn, device, now, last=sent.last, waiting=sent.waiting, clock_off_s=clock_off
        )
    head = journal.head(conn)
    backup = backed_up.last(conn, folder)
    return {
        "answers": answers,
        "witness": witness,
        "dropped": dropped,
        "head": {"seq": head.seq, "chain": head.chain},
        "has": devices_seen.numbers(conn, device),
        "backed_up_to": backup.seq,
        "backed_up_head": {"seq": backup.seq, "chain": backup.chain},
        "photos": arriving.where_is(folder, sent.photos, frozenset(backup.photos)),
        "clock_off_s": clock_off,
    }


def take_one(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    sent: object,
    now: datetime,
    ahead: AheadOf = NOTHING_AHEAD,
) -> dict[str, Any]:
    """Store one entry with what its tablet judged, whole or not at all; its answer.

    An entry of another house is not kept: it would be lost to its own.
    """
    entry, claim = _parts(sent)
    if isinstance(entry, Mapping):
        if entry.get("job") not in (None, journal.job(conn)):
            return _not_kept(entry, "house", OTHER_HOUSE)
        kind = entry.get("type")
        if isinstance(kind, str) and kind in SERVER_ONLY:
            refused = intake.refuse(conn, folder, entry, NOT_BY_TABLET.format(kind), now)
            return _told(entry, refused)
        answer = intake.take(conn, folder, library, entry, now, ahead)
    else:
        answer = intake.refuse(conn, folder, entry, "An entry is a JSON object.", now)
    told = _told(entry, answer)
    if answer.verdict and claim:
        told["differs"] = _difference(conn, folder, library, answer, claim, now, ahead)
    return told


def _one(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    sent: object,
    device: str,
    now: datetime,
    ahead: AheadOf,
) -> dict[str, Any]:
    # An entry under another device's number would fill a gap of that device that is none.
    if isinstance(sent, Mapping) and sent.get("device") not in (None, device):
        return _not_kept(sent, "device", OTHER_DEVICE)
    with transaction(conn):
        told = take_one(conn, folder, library, sent, now, ahead)
        number = sent.get("device_seq") if isinstance(sent, Mapping) else None
        if told["seq"] and type(number) is int and 0 < number < MAX_COUNT:
            devices_seen.use_up(conn, device, number)
        return told


def _parts(sent: object) -> tuple[object, Claim | None]:
    """The envelope, and the tablet's judgement where it is one: a faulty one is left out."""
    if not isinstance(sent, Mapping) or "judged" not in sent:
        return sent, None
    entry = {key: value for key, value in sent.items() if key != "judged"}
    try:
        return entry, msgspec.convert(sent["judged"], Claim | None)
    except (msgspec.ValidationError, RecursionError):
        return entry, None


def _told(entry: object, answer: Answer) -> dict[str, Any]:
    """An answer as the tablet reads it: under the id it sent, where it sent one."""
    sent_id = entry.get("id") if isinstance(entry, Mapping) else None
    return {
        "id": sent_id if isinstance(sent_id, str) else None,
        "status": answer.status,
        "seq": answer.seq,
        "reason": answer.reason,
        "verdict": answer.verdict,
    }


def _not_kept(entry: Mapping[str, Any], code: str, reason: str) -> dict[str, Any]:
    """The answer to an entry that is not put into the journal: number 0, and why."""
    return _told(entry, Answer("refused", 0, "", reason)) | {"code": code}


def _difference(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    answer: Answer,
    claim: Claim,
    now: datetime,
    ahead: AheadOf,
) -> dict[str, str] | None:
    """Where the tablet judged otherwise: that is recorded, once, and said. Else None."""
    row = journal.stored(conn, answer.id)
    assert row is not None
    known = ahead.get(row.entry.body)
    if known and known.judgement == row.judgement:
        digest = known.digest
    else:
        digest = rules_digest(msgspec.json.decode(row.judgement))
    if claim.verdict == answer.verdict and claim.rules_sha256 in ("", digest):
        return None
    if answer.status == "stored":
        _record_difference(conn, folder, library, row.entry, claim, now)
    return {"tablet": claim.verdict, "server": answer.verdict, "rules_sha256": digest}


def _record_difference(
    conn: sqlite3.Connection,
    folder: Folder,
    library: Library,
    entry: Entry,
    claim: Claim,
    now: datetime,
) -> None:
    body = Differs(entry.id, claim.verdict[:40] or "none", claim.rules_sha256)
    try:
        intake.record(
            conn, folder, library, id=derived_id(entry.id, "differs"), type="differs/1",
            subject=f"differs:{entry.id}", author=entry.author, body=body, now=now,
        )  # fmt: skip
    except EntryMalformed:
        # A claim that is no text or digest: that it differs is what matters.
        _record_difference(conn, folder, library, entry, Claim("not readable"), now)


def _knows(conn: sqlite3.Connection, head: Head | None) -> str:
    if head is None:
        return "none"
    if not 0 < head.seq < MAX_COUNT:
        return "unknown"
    return "known" if devices_seen.has_head(conn, head.seq, head.chain) else "unknown"


def _clock_off(now_ms: int | None, now: datetime) -> int:
    """Whole seconds that the tablet's clock is ahead; a claim, and never a reason to refuse."""
    if now_ms is None:
        return 0
    return (now_ms - int((now - intake.EPOCH).total_seconds() * 1000)) // 1000


def house_of(conn: sqlite3.Connection) -> dict[str, str]:
    """What a tablet writes into every envelope: the house's id and the superintendent."""
    return {
        "job": journal.job(conn),
        "author": f"superintendent/{reading.house(conn).superintendent}",
    }
