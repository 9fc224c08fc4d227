"""What a structure read from outside may hold: strict keys, bounded texts, real days.

Checks go by the *name* of a field, because a name means the same in every structure: `day`
is an ISO date everywhere, `photos` are SHA-256 digests everywhere.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from datetime import date
from typing import Any

import msgspec

from fieldlog.calc.ids import is_id

MAX_TEXT = 200
"""Characters in a one-line text."""
MAX_LONG_TEXT = 8_000
"""Characters in a text of several lines."""
MAX_LIST = 5_000
MAX_DEPTH = 8
MAX_COUNT = 2**53
"""The largest integer that every JSON reader keeps exact."""

LONG_TEXTS = frozenset(
    (
        "note", "deliveries", "delays", "weather", "did", "greeting", "finished",
        "need_from_you", "next_up", "closing", "reason", "words", "caption",
    )
)  # fmt: skip
"""Fields of several lines: line ends and tabs are allowed in them."""
ANSWER, MAX_ANSWER = "answer", 200_000
"""A calculation's answer as JSON text, and the most characters of it."""
DAYS = frozenset(("day", "needs_by", "week"))
DIGESTS = frozenset(
    ("sha256", "text_sha256", "head_chain", "sheet_sha256", "rules_sha256", "photos")
)
IDS = frozenset(("entry", "check"))

_LINE_ENDS = "\n\r\t"
# Marks that reorder the text around them on screen: a name could pretend to be another.
_REORDERING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_DIGEST = re.compile(r"[0-9a-f]{64}")


class WrongShape(ValueError):
    """A structure holds what it may not; the message says where and what."""


class Strict(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=False):
    """Base of every structure read from outside: an unknown key refuses to load."""


def know_all() -> int:
    """Have msgspec look at every structure of this package that is loaded; how many there are.

    It looks at a class when it is first asked to read one, and keeps what it found without a lock:
    two threads that are the first at once end the process (seen with 0.22). So a server calls this
    before it has threads.
    """
    known: set[type[Any]] = set(shapes(msgspec.Struct))
    for kind in known:
        msgspec.json.Decoder(kind)
    return len(known)


def shapes(above: type[Any]) -> Iterator[type[Any]]:
    """Every structure of this package that is loaded."""
    for shape in above.__subclasses__():
        if shape.__module__.startswith("fieldlog."):
            yield shape
        yield from shapes(shape)


def is_day(text: str) -> bool:
    """Whether `text` is an ISO date such as `2026-03-03` that is in the calendar."""
    if not _DAY.fullmatch(text):
        return False
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def is_digest(text: str) -> bool:
    """Whether `text` is a SHA-256 in lower-case hexadecimal."""
    return _DIGEST.fullmatch(text) is not None


def check_struct(struct: Strict) -> None:
    """Check every field of `struct`, and of structures in it. Raises WrongShape."""
    for name in struct.__struct_fields__:
        _check(name, getattr(struct, name), name, 0)


def check_text(text: str, where: str, limit: int, allowed: str = "") -> None:
    """Raises WrongShape for a text too long, or with a control character not `allowed`."""
    if len(text) > limit:
        raise WrongShape(f"{where}: {len(text)} characters; {limit} is the most")
    if text.isascii() and text.isprintable():
        return
    for char in text:
        if char in allowed:
            continue
        if unicodedata.category(char) in ("Cc", "Cs") or char in _REORDERING:
            raise WrongShape(f"{where}: holds the control character U+{ord(char):04X}")


def _check(name: str, value: Any, where: str, depth: int) -> None:
    if depth > MAX_DEPTH:
        raise WrongShape(f"{where}: nested more than {MAX_DEPTH} deep")
    if isinstance(value, str):
        _check_named_text(name, value, where)
    elif isinstance(value, bool):
        return
    elif isinstance(value, int):
        if not -MAX_COUNT < value < MAX_COUNT:
            raise WrongShape(f"{where}: the number is out of range")
    elif isinstance(value, Strict):
        for inner in value.__struct_fields__:
            _check(inner, getattr(value, inner), f"{where}.{inner}", depth + 1)
    elif isinstance(value, (tuple, list, dict)):
        _check_members(name, value, where, depth)


def _check_members(name: str, value: Any, where: str, depth: int) -> None:
    # Readings are for the judge, which names the slot; only what no page could show is refused.
    if len(value) > MAX_LIST:
        raise WrongShape(f"{where}: {len(value)} members; {MAX_LIST} is the most")
    if isinstance(value, dict):
        for key, member in value.items():
            check_text(str(key), f"{where}, a key", MAX_TEXT)
            _check("readings", member, f"{where}.{key}", depth + 1)
        return
    for index, member in enumerate(value, start=1):
        _check(name, member, f"{where}, number {index}", depth + 1)


def _check_named_text(name: str, text: str, where: str) -> None:
    if name == "readings":
        check_text(text, where, 2_000_000, _LINE_ENDS)
    elif name == ANSWER:
        check_text(text, where, MAX_ANSWER)
    elif name in LONG_TEXTS:
        check_text(text, where, MAX_LONG_TEXT, _LINE_ENDS)
    else:
        check_text(text, where, MAX_TEXT)
    if not text:
        return
    if name in DAYS and not is_day(text):
        raise WrongShape(f'{where}: "{text}" is not a day such as 2026-03-03')
    if name in DIGESTS and not is_digest(text):
        raise WrongShape(f"{where}: not a SHA-256 in lower-case hexadecimal")
    if name in IDS and not is_id(text):
        raise WrongShape(f'{where}: "{text}" is not an entry id')
