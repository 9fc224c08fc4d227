"""Codes & tolerances: every limit this house is held to, where it is from, how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from flask import Blueprint, render_template

from fieldlog.calc.books import Book, BoundRule
from fieldlog.calc.house import House
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.library import Library
from fieldlog.calc.units import apart, decimal, say_measure
from fieldlog.web.names import KINDS
from fieldlog.web.request import house, library

bp = Blueprint("codes", __name__)

COMPARES = {
    "<": "less than {}",
    "<=": "{} or less",
    ">": "more than {}",
    ">=": "{} or more",
    "is": "{}",
}
VERIFIED = {
    "primary": "Seen in the document itself.",
    "secondary": "Seen quoted elsewhere, not in the document itself.",
    "memory": "From memory, not looked up. Check it before you rely on it.",
    "common practice": "Common practice. No document behind it.",
}
MORE = ", more on a long reading (as the source says)"
DISTRIBUTIONS = {
    "rectangular": "anywhere in that range alike",
    "triangular": "mostly near the middle of that range",
    "normal": "bell-shaped",
}
SCOPES = {
    "each": "anew in each reading",
    "shared": "the same in every reading of a check, so it cancels in differences",
}


MICROGRAMS = 10**6
"""In a gram."""


@dataclass(frozen=True)
class Line:
    """One limit as the page says it. `was` is the book's own limit where the house changed it."""

    id: str
    sheet: str
    label: str
    limit: str
    was: str
    why: str
    clause: str
    kind: str
    verified: str
    seen: str


@dataclass(frozen=True)
class Tool:
    """An instrument, what it is good to, and each part of its error in words."""

    id: str
    name: str
    says: str
    parts: tuple[str, ...]
    source: str


@bp.get("/codes")
def codes() -> str:
    """Every book that the house or one of its rooms is held to; `#<rule id>` leads to a limit."""
    lib, job = library(), house()
    found = lib.instruments
    books = [lib.books[b] for b in books_of(job) if b in lib.books]
    return render_template(
        "codes/codes.html",
        books=[(book, rooms_of(job, book.id), lines_of(lib, book)) for book in books],
        changed=lib.overrides,
        labels={rule.id: rule.label for book in lib.books.values() for rule in book.rules},
        tools=[tool(found[i], job.system) for i in job.instruments if i in found],
        missing=[b for b in books_of(job) if b not in lib.books],
    )


def books_of(job: House) -> tuple[str, ...]:
    """The house's books, then those that only some of its rooms are held to."""
    planned = (b for room in job.rooms for check in room.checks for b in check.books)
    return tuple(dict.fromkeys([*job.books, *planned]))


def rooms_of(job: House, book: str) -> tuple[str, ...]:
    """The rooms that a book is for, where it is not for the whole house."""
    if book in job.books:
        return ()
    return tuple(r.name for r in job.rooms if any(book in c.books for c in r.checks))


def lines_of(lib: Library, book: Book) -> list[Line]:
    """A book's limits in its own order."""
    return [_line(lib, bound) for bound in lib.bound[book.id]]


def tool(one: Instrument, system: str) -> Tool:
    """An instrument in words."""
    measure = "length" if one.kind == "yes_no" else apart(one.kind)
    parts = tuple(
        f"{p.name}: {_said(measure, p.half_width, system)} either way{MORE if p.longer else ''}, "
        f"{DISTRIBUTIONS.get(p.distribution, p.distribution)}, {SCOPES.get(p.scope, p.scope)}. "
        f"Source: {p.source}"
        for p in one.parts
    )
    return Tool(one.id, one.name, one.says, parts, one.source)


def _said(measure: str, half_width: Fraction, system: str) -> str:
    """An error in the house's unit; one too small for its marks in mm or g, never as nothing."""
    said = say_measure(measure, half_width, system)
    if not said.startswith(("about 0 ", "about 0.", "less than ")):
        return said
    if measure == "weight":
        return f"{decimal(half_width / MICROGRAMS, 3)} g"
    return say_measure(measure, half_width, "metric")


def _line(lib: Library, bound: BoundRule) -> Line:
    rule, changed = bound.rule, bound.override
    own = COMPARES[rule.compare].format(rule.limit)
    return Line(
        id=rule.id,
        sheet=lib.sheets[rule.sheet].title,
        label=rule.label,
        limit=COMPARES[rule.compare].format(changed.limit) if changed else own,
        was=own if changed else "",
        why=f"{changed.by}: {changed.reason}" if changed else "",
        clause=rule.clause,
        kind=KINDS[rule.kind],
        verified=VERIFIED[rule.verified],
        seen=rule.seen,
    )
