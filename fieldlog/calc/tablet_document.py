"""What a tablet keeps to judge by with no signal: one plain JSON value of a library and a house.

Everything is compiled already: expressions as JSON trees, limits and error parts as exact numbers
in base units ("n" or "n/d", `units.py`), so that the tablet reads no TOML and no expression text.
`static/js/calc/` judges by it; `static/js/calc/document.js` says how it is opened. The SHA-256 of
each source goes along, and lands in the judgement, as it does here.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from fieldlog.calc.books import BoundRule
from fieldlog.calc.functions import FUNCTIONS
from fieldlog.calc.house import House
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.items import TABLE
from fieldlog.calc.layers import ToCome
from fieldlog.calc.library import Library
from fieldlog.calc.sheets import Derived, Field, Sheet

Json = dict[str, Any]

VERSION = 1
_TOLD_BOOK = ("id", "title", "sha256", "document", "edition")
_TOLD_RULE = (
    "id", "sheet", "quantity", "label", "compare", "limit", "kind", "clause", "verified", "trade",
    "fix", "fails", "passes",
)  # fmt: skip
_TOLD_SHEET = ("id", "title", "sha256", "trade", "caution", "drawing")
_TOLD_OVERRIDE = ("rule", "limit", "reason", "by", "sha256")
_TOLD_TOOL = ("id", "name", "says", "kind", "effort", "sha256")


def tablet_document(
    library: Library, house: House, layers: Mapping[str, ToCome] | None = None
) -> Json:
    """Everything a tablet judges by in this house; plain JSON values.

    `layers` is what is still to come by room, where its layers are recorded; None where the
    tablet is not told, so that what hangs on them waits for the server.
    """
    books = [library.book(b) for b in _books_of(house) if b in library.books]
    return {
        "v": VERSION,
        "system": house.system,
        "books_of_house": list(house.books),
        "tools": list(house.instruments),
        "rooms": [_room(house, room.id) for room in house.rooms],
        "layers": None if layers is None else [_layers(one) for one in layers.values()],
        "sheets": [_sheet(sheet) for sheet in library.sheets.values()],
        "books": [
            _told(b, _TOLD_BOOK) | {"rules": [_rule(r) for r in library.bound[b.id]]} for b in books
        ],
        "instruments": [_instrument(library, i) for i in library.instruments.values()],
        "words": dict(library.words),
        "words_sha256": library.words_sha256,
        "transitions": [
            {
                "act": row.act, "roles": list(row.roles), "states": list(row.states),
                "to": row.to, "needs": list(row.needs), "says": row.says,
            }
            for row in TABLE
        ],
        "server_only": [f.name for f in FUNCTIONS.values() if f.twin != "js"],
    }  # fmt: skip


def _books_of(house: House) -> list[str]:
    """The house's books, then those that only a planned check names."""
    planned = (book for room in house.rooms for check in room.checks for book in check.books)
    return list(dict.fromkeys([*house.books, *planned]))


def _room(house: House, room_id: str) -> Json:
    room = house.room(room_id)
    assert room is not None
    checks = [{"sheet": c.sheet, "place": c.place, "books": list(c.books)} for c in room.checks]
    return {"id": room.id, "name": room.name, "checks": checks}


def _layers(one: ToCome) -> Json:
    return {
        "room": one.room, "name": one.name, "floor": str(one.floor), "ceiling": str(one.ceiling),
    }  # fmt: skip


def _told(source: object, names: tuple[str, ...]) -> Json:
    return {name: getattr(source, name) for name in names}


def _text(value: Fraction | int | None) -> str | None:
    return None if value is None else str(value)


def _instrument(library: Library, tool: Instrument) -> Json:
    error = library.errors[tool.id]
    parts = [
        {"half_width": str(p.half_width), "distribution": p.distribution, "scope": p.scope}
        for p in tool.parts
    ]
    return _told(tool, _TOLD_TOOL) | {
        "parts": parts, "each": str(error.each), "shared": str(error.shared),
        "longer": [[str(over), str(times)] for over, times in error.longer],
    }  # fmt: skip


def _rule(bound: BoundRule) -> Json:
    rule, gauge = bound.rule, bound.rule.gauge
    return _told(rule, _TOLD_RULE) | {
        "when": bound.when,
        "measure": bound.measure,
        "bound": _text(bound.limit),
        "wants_yes": bound.wants_yes,
        "give": {name: str(nm) for name, nm in bound.given.items()},
        "gauge": None if gauge is None else _told(gauge, ("quantity", "instrument")),
        "gauge_nm": _text(bound.gauge_nm),
        "override": None if bound.override is None else _told(bound.override, _TOLD_OVERRIDE),
    }


def _sheet(sheet: Sheet) -> Json:
    names = [*sheet.kinds, *(d.name for d in sheet.derived)]
    measures = {name: sheet.measure(name) for name in names}
    return _told(sheet, _TOLD_SHEET) | {
        "fields": [_field(f) for f in sheet.fields],
        "derived": [_derived(d) for d in sheet.derived],
        "agreements": [_told(a, ("one", "other", "says")) for a in sheet.agreements],
        "impossible": [_told(i, ("field", "tree", "says")) for i in sheet.impossible],
        "finished": [_told(f, ("field", "tree")) for f in sheet.finished],
        "earlier": [_told(e, ("name", "label", "of", "where", "feet")) for e in sheet.earlier],
        "from_layers": [_told(one, ("name", "label", "of", "feet")) for one in sheet.from_layers],
        "measures": {name: measure for name, measure in measures.items() if measure},
    }


def _field(f: Field) -> Json:
    names = (
        "name", "label", "kind", "plural", "many", "most", "unit", "feet", "required", "follows",
        "ask", "one_serves_all",
    )  # fmt: skip
    return _told(f, names) | {
        "low": _text(f.low), "high": _text(f.high), "tools": list(f.tools),
        "choices": list(f.choices), "places": list(f.places),
    }  # fmt: skip


def _derived(d: Derived) -> Json:
    kind = "truth" if d.kind == "truth" else ""
    names = ("name", "label", "plural", "tree", "measure", "at", "feet")
    return _told(d, names) | {"kind": kind, "takes": list(d.takes)}
