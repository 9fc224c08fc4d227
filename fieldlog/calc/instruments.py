"""Tools: what each reads and how far it may be off, from a data file with sources."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec

from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of
from fieldlog.calc.uncertainty import DISTRIBUTIONS, SCOPES, ErrorPart


@dataclass(frozen=True, slots=True)
class Instrument:
    """A tool. `kind` is "length" or "yes_no" (a gauge, or the eye); `parts` may be empty.

    `size` is a gauge's size in nm (a 4 in ball), 0 for other tools. `effort` orders tools by
    how much bother they are, for naming the least one that would settle a reading.
    """

    id: str
    name: str
    says: str
    kind: str
    effort: int
    parts: tuple[ErrorPart, ...]
    size: int
    source: str
    sha256: str
    text: str


class _Part(Strict, frozen=True):
    name: str
    half_width: str
    distribution: str
    scope: str
    source: str


class _File(Strict, frozen=True):
    id: str
    name: str
    says: str
    kind: str
    effort: int
    source: str
    size: str = ""
    error: tuple[_Part, ...] = msgspec.field(default=())


def load_instrument(text: str, file: str) -> Instrument:
    """An instrument file. Raises DataFileError, naming file and line."""
    raw = load_strict(text, file, _File)
    if raw.kind not in ("length", "yes_no"):
        why = f'kind is "length" or "yes_no", not "{raw.kind}"'
        raise DataFileError(file, line_of(text, key="kind"), why)
    parts = tuple(_part(p, n, text, file) for n, p in enumerate(raw.error))
    size = length_in(raw.size, text, file, "", 0, "size") if raw.size else 0
    return Instrument(
        id=raw.id, name=raw.name, says=raw.says, kind=raw.kind, effort=raw.effort, parts=parts,
        size=size, source=raw.source, sha256=sha256_of(text), text=text,
    )  # fmt: skip


def length_in(value: str, text: str, file: str, table: str, nth: int, key: str) -> int:
    """A length (nm) out of a data file; it must carry its unit. Raises DataFileError."""
    try:
        if not any(c.isalpha() or c in "'\"" for c in value):
            raise LengthNotUnderstood(f'"{value}" has no unit: write "{value} in"')
        return parse_length(value)
    except LengthNotUnderstood as err:
        raise DataFileError(file, line_of(text, table, nth, key), f"{key}: {err}") from err


def _part(raw: _Part, nth: int, text: str, file: str) -> ErrorPart:
    for key, value, known in (
        ("distribution", raw.distribution, DISTRIBUTIONS),
        ("scope", raw.scope, SCOPES),
    ):
        if value not in known:
            why = f'{key} is one of {", ".join(known)}, not "{value}"'
            raise DataFileError(file, line_of(text, "error", nth, key), why)
    half_width = length_in(raw.half_width, text, file, "error", nth, "half_width")
    if half_width <= 0:
        why = "half_width is more than zero"
        raise DataFileError(file, line_of(text, "error", nth, "half_width"), why)
    return ErrorPart(raw.name, half_width, raw.distribution, raw.scope, raw.source)
