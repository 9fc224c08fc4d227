"""One check judged: readings in, the judgement out, as plain JSON values.

The judgement is what the journal stores and what every page, drawing and report reads; it is
never recomputed for showing. Numbers in it are text, "n" or "n/d" (lengths in nm), so that
no reader rounds them. `docs`: see "The judgement" in DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import isqrt
from typing import Any

from fieldlog.calc import floors
from fieldlog.calc.functions import LENGTH
from fieldlog.calc.lengths import format_length
from fieldlog.calc.library import Library, UnknownSource
from fieldlog.calc.named import plain_grid
from fieldlog.calc.readings import ReadingsRefused, SlotError, parse_readings
from fieldlog.calc.sentences import Speaker, answer_text
from fieldlog.calc.sheets import Derived, Field, Sheet
from fieldlog.calc.uncertainty import too_close, variance
from fieldlog.calc.values import Away, Grid, Many, Number, Value, elements, plus
from fieldlog.calc.verdicts import VERDICTS, Judge, Result, Scope, overall

__all__ = ["ReadingsRefused", "SlotError", "UnknownSource", "judge"]

Json = dict[str, Any]


def judge(
    library: Library,
    sheet_id: str,
    books: Sequence[str],
    readings: Mapping[str, Any],
    instrument: str,
    system: str = "us",
    house_instruments: Sequence[str] = (),
) -> Json:
    """Judge readings by a sheet and books.

    `instrument` holds where a reading names none; `house_instruments` are those that could
    settle a close call (all but the exact one, by default). Raises ReadingsRefused with an
    error per slot, UnknownSource for a sheet, book or instrument that is not there.
    """
    sheet = library.sheet(sheet_id)
    library.instrument(instrument)
    rules = library.rules(sheet_id, books)
    parsed = parse_readings(sheet, readings, library.instruments, instrument, system)
    scope = Scope(sheet, rules, parsed)
    tools = house_instruments or [i for i in library.instruments if i != "exact"]
    results = Judge(scope, library, tools).results()
    return _judgement(_Told(library, sheet, scope, results, system), books, instrument)


class _Told:
    """A judged check on its way into JSON."""

    def __init__(
        self, library: Library, sheet: Sheet, scope: Scope, results: tuple[Result, ...], system: str
    ) -> None:
        self.library, self.sheet, self.scope = library, sheet, scope
        self.results, self.system = results, system
        self.speaker = Speaker(
            sheet, library.books, library.instruments, library.words, system, self._texts()
        )

    def length(self, value: Fraction | int | None, feet: bool = False) -> Json | None:
        """`{"text", "nm"}` of a length in nm."""
        if value is None:
            return None
        return {"text": self.speaker.length(value, feet), "nm": str(value)}

    def number(self, value: Fraction, kind: object, feet: bool) -> str:
        """A length with its unit, a plain number as it is."""
        return self.speaker.length(value, feet) if kind == LENGTH else str(value)

    def _texts(self) -> dict[str, str]:
        names = [f.name for f in self.sheet.fields] + [d.name for d in self.sheet.derived]
        return {name: self._text(name) for name in names}

    def _text(self, name: str) -> str:
        value = self.scope.quantity(name)
        if isinstance(value, Number) and value.value is not None:
            return number_text(value.value, self.sheet.kinds.get(name), self.system)
        return "" if isinstance(value, Many | Grid) else answer_text(value)


def _judgement(told: _Told, books: Sequence[str], instrument: str) -> Json:
    library, sheet = told.library, told.sheet
    findings = told.speaker.findings(told.results)
    notes = _disagreements(told)
    if not told.results:
        notes.append(library.words["no_limits"])
    return {
        "v": 1,
        "verdict": overall(told.results),
        "system": told.system,
        "sheet": {
            "id": sheet.id, "title": sheet.title, "sha256": sheet.sha256, "trade": sheet.trade,
            "drawing": sheet.drawing,
        },
        "books": [
            {"id": b.id, "title": b.title, "sha256": b.sha256}
            for b in (library.book(i) for i in dict.fromkeys(books))
        ],
        "instruments": _tools(told, instrument),
        "overrides": _overrides(told),
        "words": library.words_sha256,
        "instrument": instrument,
        "quantities": _quantities(told),
        "grids": _grids(told),
        "rules": [_rule(told, r) for r in told.results],
        "counts": {v: sum(r.verdict == v for r in told.results) for v in VERDICTS},
        "findings": findings,
        "notes": notes,
        "questions": list(dict.fromkeys(q for f in findings for q in f["questions"])),
        "caution": sheet.caution,
    }  # fmt: skip


def _tools(told: _Told, instrument: str) -> list[Json]:
    used = dict.fromkeys([instrument, *told.scope.readings.tools.values()])
    named = (told.library.instrument(i) for i in used)
    return [{"id": i.id, "name": i.name, "says": i.says, "sha256": i.sha256} for i in named]


def _overrides(told: _Told) -> list[Json]:
    made = (b.override for b in told.scope.rules if b.override)
    return [
        {"rule": o.rule, "limit": o.limit, "reason": o.reason, "by": o.by, "sha256": o.sha256}
        for o in made
    ]


def _quantities(told: _Told) -> Json:
    out: Json = {}
    for f in told.sheet.fields:
        out[f.name] = _quantity(told, f, f.kind, f.many)
    for d in told.sheet.derived:
        if not d.takes:
            kind = {LENGTH: "length", "truth": "yes_no"}.get(d.kind, "number")
            many = isinstance(told.scope.quantity(d.name), Many)
            out[d.name] = _quantity(told, d, kind, many)
    return out


def _quantity(told: _Told, what: Field | Derived, kind: str, many: bool) -> Json:
    value = told.scope.quantity(what.name)
    typed = told.scope.readings.typed.get(what.name, ())
    values = [] if isinstance(value, Grid) else [
        _value(told, what, n, element, typed) for n, element in enumerate(elements(value))
    ]  # fmt: skip
    return {
        "label": what.label, "kind": kind, "many": many, "derived": isinstance(what, Derived),
        "values": values,
    }  # fmt: skip


def _value(told: _Told, what: Field | Derived, n: int, value: Value, typed: Sequence[str]) -> Json:
    out: Json = {"text": "", "nm": None}
    if isinstance(value, Away):
        out["text"] = "does not apply"
    elif isinstance(value, Number):
        if value.value is not None:
            kind = told.sheet.kinds.get(what.name)
            out["text"] = told.number(value.value, kind, what.feet)
            out["nm"] = str(value.value)
    else:
        out["text"] = answer_text(value)
        out["yes"] = getattr(value, "value", None) if out["text"] in ("yes", "no") else None
    if isinstance(what, Field):
        out["typed"] = typed[n] if n < len(typed) else ""
        out["tool"] = told.scope.readings.tools.get((what.name, n, -1), "")
    return out


def _rule(told: _Told, r: Result) -> Json:
    bound, rule = r.bound, r.bound.rule
    book = told.library.books[bound.book]
    value = r.value.value if isinstance(r.value, Number) else None
    u = None if r.u_squared is None else _root(r.u_squared)
    plain_value = {"text": answer_text(r.value), "nm": None} if value is None else None
    limit = told.length(bound.limit_nm) or {"text": "yes" if bound.wants_yes else "no", "nm": None}
    return {
        "rule": rule.id, "label": rule.label, "book": bound.book, "quantity": rule.quantity,
        "index": r.index, "name": told.speaker.name(r), "verdict": r.verdict, "plain": r.plain,
        "compare": rule.compare, "value": plain_value or told.length(value), "limit": limit,
        "margin": told.length(r.margin),
        "u": None if u is None else {"text": uncertainty_text(u, told.system), "nm": str(u)},
        "settled_by": r.settled_by, "kind": rule.kind, "trade": rule.trade or told.sheet.trade,
        "by_gauge": r.by_gauge, "overridden": bound.override is not None,
        "question": " ".join(told.speaker._questions([r])) or None,
        "source": {
            "document": book.document, "edition": book.edition, "clause": rule.clause,
            "verified": rule.verified,
        },
    }  # fmt: skip


def _disagreements(told: _Told) -> list[str]:
    """A difference that the tools do not explain is named, with both numbers."""
    notes = []
    for agree in told.sheet.agreements:
        one, other = (told.scope.quantity(n) for n in (agree.one, agree.other))
        if not isinstance(one, Number) or not isinstance(other, Number):
            continue
        apart = plus(one, other, -1)
        if apart.value and not apart.may and _unexplained(told, apart):
            notes.append(
                agree.says.format(
                    one=told.speaker.length(one.value or 0),
                    other=told.speaker.length(other.value or 0),
                    difference=told.speaker.length(abs(apart.value)),
                )
            )
    return notes


def _unexplained(told: _Told, apart: Number) -> bool:
    tool_of = told.scope.readings.tools.__getitem__
    u2 = variance(apart.sens, tool_of, told.library.errors)
    return apart.value is not None and not too_close(apart.value, u2)


def _grids(told: _Told) -> Json:
    out: Json = {}
    for f in told.sheet.fields:
        value = told.scope.quantity(f.name)
        if isinstance(value, Grid):
            out[f.name] = _grid(told, value)
    return out


def _grid(told: _Told, levels: Grid) -> Json:
    grid = plain_grid(levels)
    edges = sorted({b.given["edge"] for b in told.scope.rules if "edge" in b.given})
    worst = {kind: _worst(told, grid, edges, kind) for kind in _KINDS}
    ends = floors.high_low(grid)
    return {
        "spacing_nm": str(grid.spacing),
        "spacing_text": told.speaker.length(grid.spacing, feet=True),
        "rows": [[None if n is None else str(n) for n in row] for row in grid.rows],
        "blocked": [[isinstance(n, Away) for n in row] for row in levels.rows],
        "worst": worst,
        "high": list(ends.high) if ends else None,
        "low": list(ends.low) if ends else None,
        "range": told.length(ends.range) if ends else None,
        "plane": _plane(told, grid),
    }


_KINDS: tuple[floors.Kind, ...] = ("hollow", "hump")


def _worst(told: _Told, grid: floors.Grid, edges: list[int], kind: floors.Kind) -> Json | None:
    """The worst place under the longest edge that a limit names."""
    found = floors.worst_under(grid, edges[-1], kind) if edges else None
    if found is None:
        return None
    return found.as_json() | {
        "gap_text": told.speaker.length(found.gap),
        "edge_text": told.speaker.length(edges[-1], feet=True),
    }


def _plane(told: _Told, grid: floors.Grid) -> Json | None:
    try:
        plane = floors.plane(grid)
    except floors.PlaneNotDetermined:
        return None
    ten_feet = 3_048_000_000 if told.system == "us" else 3_000_000_000
    rise = plane.rise_over(ten_feet)
    over = told.speaker.length(ten_feet, feet=True)
    return plane.as_json() | {"slope_text": f"{told.speaker.length(rise)} over {over}"}


def number_text(value: Fraction, kind: object, system: str, feet: bool = False) -> str:
    """A quantity's value in words: a length with its unit, a plain number as it is."""
    return format_length(value, system, feet=feet) if kind == LENGTH else str(value)


def uncertainty_text(u_nm: int, system: str) -> str:
    """A standard uncertainty: "0.018 in" or "0.46 mm", rounded up in its last place."""
    step, places, unit = (25_400, 3, "in") if system == "us" else (10_000, 2, "mm")
    steps = -(-u_nm // step)
    return f"{steps // 10**places}.{steps % 10**places:0{places}d} {unit}"


def _root(squared: Fraction) -> int:
    """Square root of nm**2, to the nm above: for showing only, no verdict hangs on it."""
    floor = isqrt(squared.numerator // squared.denominator)
    return floor if Fraction(floor * floor) == squared else floor + 1
