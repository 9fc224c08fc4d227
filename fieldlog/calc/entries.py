"""The envelope of a journal entry, and what makes an entry well formed.

The bodies are in `calc/bodies.py` and can be imported from here. Parsing happens once, at the
edge: what comes out is a structure whose texts, days, ids and subject are sound, or
EntryMalformed with a sentence that names the place. Whether an act *takes effect* is not asked
here: that is state, and the folds answer it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import msgspec

from fieldlog.calc.bodies import (
    BODIES,
    AccessAct,
    Act,
    ActName,
    CheckEntry,
    CrewToday,
    Day,
    Differs,
    FloorPlan,
    InstrumentTest,
    ItemEntry,
    KeptSum,
    Layers,
    Letter,
    PhotoEntry,
    ReportIssued,
    RoomOutline,
    Strike,
    Walk,
)
from fieldlog.calc.completeness import why_incomplete
from fieldlog.calc.house import HouseNotUnderstood, house_from_body, slug
from fieldlog.calc.ids import is_id
from fieldlog.calc.shape import MAX_COUNT, MAX_TEXT, Strict, WrongShape, check_struct, check_text

__all__ = [
    "BODIES",
    "AccessAct",
    "Act",
    "ActName",
    "CheckEntry",
    "CrewToday",
    "Day",
    "Differs",
    "Entry",
    "EntryMalformed",
    "FloorPlan",
    "InstrumentTest",
    "ItemEntry",
    "KeptSum",
    "Layers",
    "Letter",
    "PhotoEntry",
    "ReportIssued",
    "RoomOutline",
    "Strike",
    "Walk",
    "check_body",
    "check_entry",
    "encode_body",
    "parse_body",
    "parse_entry",
    "read_body",
    "role_of",
    "subject_of",
    "trade_of",
]

MAX_BODY = 2_000_000
"""Characters of a body; a stair of 200 risers is under 20 000."""

CREW_MAY = ("act/1", "photo/1")
"""Types a crew may enter; the superintendent may enter every type."""

_DECODERS: dict[str, msgspec.json.Decoder[Strict]] = {
    name: msgspec.json.Decoder(kind) for name, kind in BODIES.items()
}

_DEVICE = re.compile(r"[a-z0-9][a-z0-9-]{0,63}")
_AUTHOR = re.compile(r"superintendent/.*\S.*|crew/[a-z0-9]+(-[a-z0-9]+)*")
_TYPE = re.compile(r"([a-z]{1,20})/([1-9][0-9]{0,5})")
_SUBJECT = re.compile(r"[a-z]{1,20}(:[a-z0-9/:-]{1,250})?")
_MINUTES_OF_DAY = 24 * 60


class EntryMalformed(ValueError):
    """An entry has the wrong shape; the message says what and where."""


class Entry(Strict, frozen=True):
    """The envelope. `author` is `superintendent/<name>` or `crew/<trade id>`.

    `seen` is the id of the last entry of `subject` that the author saw, or "".
    """

    id: str
    job: str
    device: str
    device_seq: int
    claimed_ms: int
    offset_min: int
    author: str
    type: str
    subject: str
    seen: str
    body: str


def role_of(author: str) -> str:
    """`superintendent` or `crew`."""
    return author.partition("/")[0]


def trade_of(author: str) -> str:
    """The trade id of `crew/<trade id>`, or "" for the superintendent."""
    role, _, name = author.partition("/")
    return name if role == "crew" else ""


def encode_body(body: Strict) -> str:
    """The JSON of a body, as it is stored and hashed. Raises EntryMalformed for no text."""
    try:
        return msgspec.json.encode(body).decode()
    except (UnicodeError, OverflowError, RecursionError) as err:
        raise EntryMalformed(f"The entry cannot be written down: {err}.") from err


def subject_of(entry_id: str, body: Strict) -> str:
    """The subject that an entry with this body must have, or "" where the body leaves it open.

    An act is about an item of its choice, a strike about what it strikes: those two are "".
    """
    match body:
        case Walk(day=day):
            return f"walk:{day}"
        case Day(day=day):
            return f"day:{day}"
        case CheckEntry(room=room, sheet=sheet, place=place):
            return f"check:{room}/{sheet}/{slug(place)}" if place else f"check:{room}/{sheet}"
        case ItemEntry():
            return f"item:{entry_id}"
        case KeptSum():
            return f"calculation:{entry_id}"
        case Layers(room=room):
            return f"layers:{room}"
        case RoomOutline(room=room):
            return f"outline:{room}"
        case FloorPlan(of=of):
            return of
        case InstrumentTest(tool=tool):
            return f"instrument:{tool}"
        case AccessAct(of=of):
            return f"access:{of}"
        case PhotoEntry(sha256=sha256):
            return f"photo:{sha256}"
        case ReportIssued(kind=kind, day=day, trade=trade):
            return f"report:{kind}:{day}:{trade}" if trade else f"report:{kind}:{day}"
        case Letter(week=week):
            return f"letter:{week}"
        case Differs(check=check):
            return f"differs:{check}"
        case Act() | Strike():
            return ""
    return "house"


def parse_body(entry_type: str, body_json: str) -> Strict:
    """The body of an entry of `entry_type` (`check/1`). Raises EntryMalformed."""
    _check_type(entry_type)
    if len(body_json) > MAX_BODY:
        raise EntryMalformed(f"The body is longer than {MAX_BODY} characters.")
    try:
        if entry_type == "house/1":
            return house_from_body(body_json)
        body = _DECODERS[entry_type].decode(body_json)
        check_struct(body)
    except (msgspec.DecodeError, HouseNotUnderstood, WrongShape, UnicodeError) as err:
        raise EntryMalformed(f"{entry_type} entry, body: {err}") from err
    except RecursionError as err:
        raise EntryMalformed(f"{entry_type} entry, body: nested too deep") from err
    if why := why_incomplete(entry_type, body):
        raise EntryMalformed(why)
    return body


def read_body(entry_type: str, body_json: str) -> Strict:
    """The body of an entry that was checked when it was appended: decoded, not checked again."""
    if entry_type == "house/1":
        return house_from_body(body_json)
    return _DECODERS[entry_type].decode(body_json)


def parse_entry(mapping: Mapping[str, Any]) -> Entry:
    """An envelope from a decoded JSON object. Raises EntryMalformed; the body stays text."""
    try:
        entry = msgspec.convert(mapping, Entry)
    except UnicodeError as err:
        raise EntryMalformed(
            "Envelope: a key holds half a surrogate pair, which is no text."
        ) from err
    except (msgspec.ValidationError, RecursionError) as err:
        raise EntryMalformed(f"Envelope: {err}") from err
    _check_envelope(entry)
    return entry


def check_entry(entry: Entry) -> Strict:
    """Check the whole entry and return its parsed body. Raises EntryMalformed.

    An Entry made in Python is checked like one that was received: its fields may be anything.
    """
    return check_body(parse_entry(msgspec.structs.asdict(entry)))


def check_body(entry: Entry) -> Strict:
    """The parsed body of an entry whose envelope is sound. Raises EntryMalformed."""
    body = parse_body(entry.type, entry.body)
    wanted = subject_of(entry.id, body)
    if wanted and entry.subject != wanted:
        raise EntryMalformed(f'Subject "{entry.subject}" does not fit the body: it is "{wanted}".')
    if isinstance(body, Act):
        _check_act(entry, body)
    if role_of(entry.author) == "crew" and entry.type not in CREW_MAY:
        raise EntryMalformed(f"A crew does not enter a {entry.type} entry.")
    return body


def _check_type(entry_type: str) -> None:
    if entry_type in BODIES:
        return
    parts = _TYPE.fullmatch(entry_type)
    if parts and any(known.startswith(f"{parts[1]}/") for known in BODIES):
        raise EntryMalformed(f'"{entry_type}" is newer than this fieldlog.')
    raise EntryMalformed(f'There is no entry type "{entry_type[:60]}".')


def _check_envelope(entry: Entry) -> None:
    for name in ("id", "job"):
        if not is_id(getattr(entry, name)):
            raise EntryMalformed(f"Envelope, {name}: not an entry id (a version 7 UUID).")
    if entry.seen and not is_id(entry.seen):
        raise EntryMalformed("Envelope, seen: neither empty nor an entry id.")
    if not _DEVICE.fullmatch(entry.device):
        raise EntryMalformed("Envelope, device: use a-z, 0-9 and hyphens, 64 at most.")
    try:
        check_text(entry.author, "author", 160)
        check_text(entry.type, "type", MAX_TEXT)
        entry.body.encode()
    except (WrongShape, UnicodeError) as err:
        raise EntryMalformed(f"Envelope: {err}") from err
    if not _AUTHOR.fullmatch(entry.author):
        raise EntryMalformed("Envelope, author: superintendent/<name> or crew/<trade id>.")
    if not _SUBJECT.fullmatch(entry.subject):
        raise EntryMalformed("Envelope, subject: not of the form kind:name.")
    _check_numbers(entry)


def _check_numbers(entry: Entry) -> None:
    for name, low, high in (
        ("device_seq", 1, MAX_COUNT),
        ("claimed_ms", 0, MAX_COUNT),
        ("offset_min", -_MINUTES_OF_DAY, _MINUTES_OF_DAY),
    ):
        if not low <= getattr(entry, name) <= high:
            raise EntryMalformed(f"Envelope, {name}: out of range ({low} to {high}).")


def _check_act(entry: Entry, act: Act) -> None:
    """`how` says how the author knows; the record has to stand up a year later."""
    kind, _, item = entry.subject.partition(":")
    if kind != "item" or not is_id(item):
        raise EntryMalformed("An act is about an item: its subject is item:<id>.")
    told = ("in person", "call", "text")
    if act.act == "corrected" and role_of(entry.author) == "superintendent":
        if act.how not in told:
            raise EntryMalformed("Say how the crew told you: in person, call or text.")
    elif act.act == "accepted":
        if act.how not in ("eye", "measured"):
            raise EntryMalformed("Say how it was looked at: by eye or measured.")
        if act.how == "measured" and not act.check:
            raise EntryMalformed("Name the check that measured it.")
    elif act.how:
        raise EntryMalformed(f'"How" does not belong to the act {act.act.replace("_", " ")}.')
