"""Handing over: a tablet's outbox comes in, entries by POST, photos by PUT. All answers are JSON.

The protocol is in DEVELOPERS.md under "Handing over"; what it does is `fieldlog/handover.py`.
"""

from __future__ import annotations

import base64
import hashlib
import secrets
import sqlite3
from typing import Any

from flask import Blueprint, request, session
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

from fieldlog import handover
from fieldlog.calc.shape import is_day, is_digest
from fieldlog.calc.toml_text import DataFileError
from fieldlog.handover import SyncRefused
from fieldlog.store import arriving, devices_seen, journal, reading
from fieldlog.store.arriving import PhotoCut
from fieldlog.store.db import HouseBusy, HouseMissing, HouseTooNew, NotStored, transaction
from fieldlog.store.photos import MAX_BYTES, PhotoRefused
from fieldlog.web.access import role
from fieldlog.web.forms import csrf_token
from fieldlog.web.request import (
    confirm_day,
    conn,
    folder,
    library,
    now,
    today,
    writer,
)

bp = Blueprint("sync", __name__)

PROTOCOL = "outbox/1"
HEADER = "X-Fieldlog"
OLDER = (
    'This page speaks "{}" and this server "' + PROTOCOL + '". Nothing was kept here, and '
    "everything stays on the tablet: load the page again in reach; if that does not help, update "
    "fieldlog on the machine."
)

Answer = tuple[dict[str, Any], int]


@bp.before_request
def same_protocol() -> Answer | None:
    """A page of another edition is told so, and keeps what it has."""
    spoken = request.headers.get(HEADER, "")
    if spoken == PROTOCOL:
        return None
    return _refused(OLDER.format(spoken[:40]), "protocol", 409)


@bp.get("/sync/hello")
def hello() -> Answer:
    """Who this browser is to the house, and what its next numbers are."""
    device = device_id()
    known = devices_seen.seen(conn(), device) or _met(device)
    numbers = devices_seen.numbers(conn(), device)
    head = journal.head(conn())
    last = max(known.last, numbers[-1][1] if numbers else 0)
    return {
        "device": device,
        "prefix": known.prefix,
        "next_device_seq": last + 1,
        "next_number": int(reading.next_number(conn(), known.prefix).partition("-")[2]),
        "head": {"seq": head.seq, "chain": head.chain},
        "most_entries": handover.MOST_ENTRIES,
        "token": csrf_token(),
        **handover.house_of(conn()),
    }, 200


@bp.post("/sync")
def sync() -> Answer:
    """Take a batch of entries: an answer for each, and what is here now."""
    request.max_content_length = handover.MOST_BYTES
    sent = handover.read_batch(request.get_data(cache=False))
    if is_day(sent.walk) and sent.walk != today():
        confirm_day(sent.walk)
    device, ahead = device_id(), handover.judged_ahead(conn(), library(), sent)
    with writer() as w:
        return handover.hand_over(w, folder(), library(), sent, device, now(), ahead), 200


@bp.put("/photos/<sha256>")
def photo(sha256: str) -> Answer:
    """Take a photo's original: on disk, whole, before the answer repeats its digest."""
    _named(sha256)
    request.max_content_length = MAX_BYTES
    kept = arriving.keep_original(folder(), sha256, request.get_data(cache=False))
    with writer() as w, transaction(w):
        arriving.note_here(w, sha256, kept.size, now())
    return {"sha256": sha256, "size": kept.size, "media": kept.media}, 200


@bp.put("/photos/<sha256>/small")
def small(sha256: str) -> Answer:
    """Take a small copy that stands in until the original is here."""
    _named(sha256)
    request.max_content_length = arriving.MOST_SMALL
    data = request.get_data(cache=False)
    _check_digest(data)
    arriving.keep_small(folder(), sha256, data)
    return {"sha256": sha256, "small": True}, 200


def device_id() -> str:
    """The paired tablet's id; a browser at the machine itself has its own, in its session."""
    who = role()
    if who.device:
        return who.device
    if "device" not in session:
        session["device"] = f"browser-{secrets.token_hex(6)}"
    return str(session["device"])


def _met(device: str) -> devices_seen.DeviceSeen:
    with writer() as w, transaction(w):
        return devices_seen.meet(w, device, now())


def _named(sha256: str) -> None:
    if not is_digest(sha256):
        raise PhotoCut("A photo is named by its SHA-256 in lower-case hexadecimal.")


def _check_digest(data: bytes) -> None:
    """Hold the body to its `Content-Digest` (RFC 9530), where one was sent. Raises PhotoCut."""
    said = request.headers.get("Content-Digest", "")
    found = base64.b64encode(hashlib.sha256(data).digest()).decode()
    if said and said != f"sha-256=:{found}:":
        raise PhotoCut("The small copy did not arrive whole. Nothing was kept; send it again.")


def _refused(reason: str, code: str, status: int) -> Answer:
    return {"status": "refused", "reason": reason, "code": code}, status


@bp.errorhandler(SyncRefused)
def no_batch(err: SyncRefused) -> Answer:
    """Not a batch: nothing of it was kept."""
    return _refused(str(err), "batch", 422)


@bp.errorhandler(PhotoCut)
def cut(err: PhotoCut) -> Answer:
    """Other bytes came than were sent: send them again."""
    return _refused(str(err), "cut", 422)


@bp.errorhandler(PhotoRefused)
def no_photo(err: PhotoRefused) -> Answer:
    """Not a photo that can be kept: sending it again does not help; it stays on the tablet."""
    return _refused(str(err), "photo", 422)


@bp.errorhandler(NotStored)
@bp.errorhandler(HouseBusy)
@bp.errorhandler(sqlite3.OperationalError)
@bp.errorhandler(OSError)
def not_stored(err: Exception) -> Answer:
    """The disk is full, or another process writes: nothing was kept; try again later."""
    return _refused(f"Nothing was kept: {err}", "later", 503)


@bp.errorhandler(DataFileError)
@bp.errorhandler(HouseMissing)
@bp.errorhandler(HouseTooNew)
def not_now(err: Exception) -> Answer:
    """A file of the house is faulty, or there is no house that this fieldlog reads: try later."""
    return _refused(f"Nothing was kept. On the office's machine: {err}", "later", 503)


@bp.errorhandler(HTTPException)
def http_error(err: HTTPException) -> Answer:
    """Too large, cut off, or not allowed, in words."""
    if isinstance(err, RequestEntityTooLarge):
        most = (request.max_content_length or 0) // 1_000_000
        return _refused(f"Too large: {most} MB is the most. It stays on the tablet.", "large", 413)
    return _refused(err.description or err.name, "http", err.code or 500)
