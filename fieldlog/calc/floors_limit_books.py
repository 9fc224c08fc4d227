"""Books out of a table of limits that grow with distance: one for each row that names a book.

A book holds one limit for one edge. From the table comes a limit for each of its `edges`, on the
straight line between the distances that are given, so that a floor is judged by them on entry
like by any other limit, and the judgement names the book by its SHA-256.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from fieldlog.calc.floors_limits import KINDS, LimitRow, LimitTable
from fieldlog.calc.lengths import NM_PER_MM
from fieldlog.calc.library import SourceText

_TURNED = "the same limit turned over: a hump rocks the bar"


def books_of(table: LimitTable, file: str) -> tuple[SourceText, ...]:
    """A book for each row of the table that has a name for one; `file` is where they are from."""
    return tuple(
        SourceText("book", file, _book(table, row, file)) for row in table.rows if row.book
    )


def _book(table: LimitTable, row: LimitRow, file: str) -> str:
    named = f"{table.document}, row {row.id}"
    source = f"{named}, by the limits file {file}: {table.source}; between distances: "
    head = {
        "id": row.book, "title": f"Flatness by distance: {row.use}", "document": table.document,
        "edition": table.edition, "dated": "", "source": source + table.between,
    }  # fmt: skip
    return _lines(head) + "".join(f"\n[[rule]]\n{_lines(rule)}" for rule in _rules(table, row))


def _rules(table: LimitTable, row: LimitRow) -> Iterator[dict[str, str]]:
    for edge in table.edges_judged:
        limit = table.limit_at(row.id, edge)
        given = edge in table.distances
        for kind in KINDS:
            hump = kind == "hump"
            yield {
                "id": f"floor.{kind}-{_meters(edge, '')}m", "sheet": "floor", "quantity": kind,
                "give": f"{_meters(edge, '.')} m",
                "label": f"{kind.capitalize()} under a {_meters(edge, '.')} m edge",
                "compare": "<=", "limit": f"{(limit or 0) // NM_PER_MM} mm", "kind": "holds",
                "clause": f"row {row.id}{'' if given else ', interpolated'}",
                "verified": "common practice" if hump else table.verified,
                "seen": _TURNED if hump else table.source if given else table.between,
                **({"limit_of": f"floor.hollow-{_meters(edge, '')}m"} if hump else {}),
            }  # fmt: skip


def _lines(values: Mapping[str, str]) -> str:
    """TOML lines; a JSON string is a TOML string as well."""
    said = {key: json.dumps(value, ensure_ascii=False) for key, value in values.items()}
    if "give" in said:
        said["give"] = f"{{ edge = {said['give']} }}"
    return "".join(f"{key} = {value}\n" for key, value in said.items())


def _meters(nm: int, point: str) -> str:
    """A whole number of meters, or one with a half: "1", "1.5"; without a point "1-5"."""
    whole, rest = divmod(nm // NM_PER_MM, 1000)
    part = f"{rest:03d}".rstrip("0")
    return f"{whole}{point or '-'}{part}" if part else str(whole)
