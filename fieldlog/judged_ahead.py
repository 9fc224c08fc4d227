"""Checks judged before the writer is taken, so that it is held for the appending alone.

A judgement hangs on the entry's body, the library, the house and the layers of its rooms. What
was read of the journal is kept beside it, and compared under the writer: where it is another by
then, the check is judged anew. A check that reads earlier looks is never judged ahead.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

from fieldlog.calc.bodies import CheckEntry, Layers
from fieldlog.calc.checking import encode_judgement, judge_check
from fieldlog.calc.entries import EntryMalformed, encode_body, parse_body
from fieldlog.calc.house import House
from fieldlog.calc.judged import rules_digest
from fieldlog.calc.library import Library, UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.shape import Strict
from fieldlog.store import looks, reading, sources


@dataclass(frozen=True, slots=True)
class Ahead:
    """A judgement as it is stored, its `rules_digest`, and what it hangs on."""

    judgement: str
    digest: str
    library: Library
    house: House
    layers: tuple[tuple[str, Layers | None], ...]  # by room

    def holds(self, conn: sqlite3.Connection, library: Library) -> bool:
        """Whether the journal still says, at `conn`, what the check was judged with."""
        return (
            self.library is library
            and self.house == reading.house(conn)
            and all(reading.layers(conn, room) == told for room, told in self.layers)
        )


AheadOf = Mapping[str, Ahead]
"""By the body of the entry, as sent."""


def judge_now(conn: sqlite3.Connection, library: Library, check: CheckEntry) -> str:
    """The judgement of a check by what the journal says at `conn`, as it is stored.

    Raises ReadingsRefused, UnknownSource.
    """
    layers_of, looks_of = partial(reading.layers, conn), partial(looks.of_sheet, conn)
    return encode_judgement(judge_check(library, reading.house(conn), check, layers_of, looks_of))


def of_form(conn: sqlite3.Connection, library: Library, body: Strict) -> Ahead | None:
    """`judge_ahead` for what a form is about to enter, read as it will be stored."""
    if not isinstance(body, CheckEntry):
        return None
    try:
        read = parse_body("check/1", encode_body(body))
    except EntryMalformed:
        return None
    assert isinstance(read, CheckEntry)
    return judge_ahead(conn, library, read)


def judge_ahead(conn: sqlite3.Connection, library: Library, check: CheckEntry) -> Ahead | None:
    """The judgement of a check as a reader sees the house.

    None where it has to be judged under the writer: it reads earlier looks, is of another edition
    of its sheet, or is refused, which is said there.
    """
    sheet = library.sheets.get(check.sheet)
    if sheet is None or sheet.earlier or not sources.is_edition(library, check):
        return None
    house, layers = reading.house(conn), dict[str, Layers | None]()

    def layers_of(room: str) -> Layers | None:
        if room not in layers:
            layers[room] = reading.layers(conn, room)
        return layers[room]

    try:
        judged = judge_check(library, house, check, layers_of)
    except (ReadingsRefused, UnknownSource):
        return None
    told = tuple(layers.items())
    return Ahead(encode_judgement(judged), rules_digest(judged), library, house, told)
