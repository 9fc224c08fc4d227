"""Limits of a floor: edge by edge out of books, or by distance out of a table.

A book's rule holds one limit for one edge. A limit that grows with distance (DIN 18202) is a
table in `fieldlog/limits/`, read strictly here and interpolated; it becomes a list of edges,
one for each distance that a survey's spacing can see, and a book for each row that names one
(`floors_limit_books`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from fieldlog.calc.books import VERIFIED, BoundRule
from fieldlog.calc.floors import Kind
from fieldlog.calc.instruments import length_in
from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of

KINDS: tuple[Kind, ...] = ("hollow", "hump")


@dataclass(frozen=True, slots=True)
class EdgeLimit:
    """Under an edge of `edge` nm a hollow, or a hump, may be `limit` nm; where it is from."""

    edge: int
    limit: int
    kind: Kind
    document: str
    clause: str
    rule: str = ""


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One row of a table: an id, what it is for, a limit (nm) for each of the distances, and
    the id of the book that a house chooses it by ("" where no floor is judged by it)."""

    id: str
    use: str
    limits: tuple[int, ...]
    book: str = ""


@dataclass(frozen=True, slots=True)
class LimitTable:
    """Limits that grow with the distance between two contacts; `distances` and `step` in nm.

    `edges_judged` are the edges (nm) that a book made of a row has a limit for.
    """

    id: str
    title: str
    document: str
    edition: str
    source: str
    verified: str
    between: str
    step: int
    distances: tuple[int, ...]
    rows: tuple[LimitRow, ...]
    sha256: str
    text: str = field(repr=False)
    edges_judged: tuple[int, ...] = ()

    def row(self, row_id: str) -> LimitRow:
        """The row of that id. Raises KeyError."""
        return {row.id: row for row in self.rows}[row_id]

    def limit_at(self, row_id: str, distance: int) -> int | None:
        """The limit at a distance, nm: on a straight line between two that are given, rounded
        half up to the step; beyond the last as at the last; None below the first."""
        row = self.row(row_id)
        if distance < self.distances[0]:
            return None
        for (a, low), (b, high) in pairwise(zip(self.distances, row.limits, strict=True)):
            if distance <= b:
                top = low * (b - distance) + high * (distance - a)
                part = (b - a) * self.step
                return (2 * top + part) // (2 * part) * self.step
        return row.limits[-1]

    def edges(self, row_id: str, spacing: int, longest: int) -> tuple[EdgeLimit, ...]:
        """An edge for each distance that stations `spacing` nm apart can see, up to `longest`."""
        clause = f"row {row_id}"
        return tuple(
            EdgeLimit(edge, limit, kind, self.document, clause)
            for edge in range(2 * spacing, longest + 1, spacing)
            if (limit := self.limit_at(row_id, edge)) is not None
            for kind in KINDS
        )


class _Row(Strict, frozen=True):
    id: str
    use: str
    limits: tuple[str, ...]
    book: str = ""


class _File(Strict, frozen=True):
    id: str
    title: str
    document: str
    edition: str
    source: str
    verified: str
    between: str
    step: str
    distances: tuple[str, ...]
    row: tuple[_Row, ...]
    edges: tuple[str, ...] = ()


def load_limit_table(text: str, file: str) -> LimitTable:
    """A table of limits by distance. Raises DataFileError, naming file and line."""
    raw = load_strict(text, file, _File)
    for key in ("title", "document", "source", "between"):
        if not getattr(raw, key).strip():
            raise DataFileError(file, line_of(text, key=key), f"{key} is empty")
    if raw.verified not in VERIFIED:
        why = f'verified is one of {", ".join(VERIFIED)}, not "{raw.verified}"'
        raise DataFileError(file, line_of(text, key="verified"), why)
    distances = tuple(length_in(d, text, file, "", 0, "distances") for d in raw.distances)
    if len(distances) < 2 or any(a >= b for a, b in pairwise(distances)) or distances[0] <= 0:
        why = "distances are two or more above zero, each longer than the last"
        raise DataFileError(file, line_of(text, key="distances"), why)
    step = length_in(raw.step, text, file, "", 0, "step")
    if step <= 0:
        raise DataFileError(file, line_of(text, key="step"), "step is more than zero")
    edges = tuple(length_in(e, text, file, "", 0, "edges") for e in raw.edges)
    if any(edge < distances[0] for edge in edges):
        why = "no edge is shorter than the first distance: it has no limit"
        raise DataFileError(file, line_of(text, key="edges"), why)
    rows = tuple(_row(one, n, len(distances), text, file) for n, one in enumerate(raw.row))
    if len({row.id for row in rows}) < len(rows) or not rows:
        raise DataFileError(file, line_of(text, "row", 0, "id"), "each row has an id of its own")
    return LimitTable(
        raw.id, raw.title, raw.document, raw.edition, raw.source, raw.verified, raw.between,
        step, distances, rows, sha256_of(text), text, edges,
    )  # fmt: skip


def _row(raw: _Row, nth: int, count: int, text: str, file: str) -> LimitRow:
    limits = tuple(length_in(one, text, file, "row", nth, "limits") for one in raw.limits)
    if len(limits) != count or any(limit <= 0 for limit in limits):
        why = f"limits are {count}, one for each distance, all above zero"
        raise DataFileError(file, line_of(text, "row", nth, "limits"), why)
    return LimitRow(raw.id, raw.use, limits, raw.book)


def limits_of(rules: Iterable[BoundRule]) -> tuple[EdgeLimit, ...]:
    """The straightedge limits among rules in force, in book order: what a plan must meet."""
    return tuple(
        EdgeLimit(
            bound.given["edge"], bound.limit_nm, kind, bound.book, bound.rule.clause, bound.rule.id
        )
        for bound in rules
        for kind in KINDS
        if bound.rule.quantity == kind and "edge" in bound.given and bound.limit_nm is not None
    )
