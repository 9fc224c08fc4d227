"""A judged check as plain JSON values: quantities, limits, sentences and what it was judged by.

Numbers in it are text, "n" or "n/d", so that no reader rounds them: a length's in `nm`, any other
kind's in `value` with its base unit in `unit`.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import isqrt
from typing import Any

from fieldlog.calc.books import BoundRule
from fieldlog.calc.judge_grids import grids_of, notes_of, placed
from fieldlog.calc.library import Library
from fieldlog.calc.looks import hung_on
from fieldlog.calc.scope import Scope
from fieldlog.calc.sentences import Speaker, answer_text
from fieldlog.calc.sheet_parts import EarlierQuantity, LayerQuantity
from fieldlog.calc.sheets import Derived, Field, Sheet
from fieldlog.calc.tape import uncertainty_text
from fieldlog.calc.uncertainty import too_close, variance
from fieldlog.calc.units import MEASURES, apart, say_error, say_measure
from fieldlog.calc.values import Away, Grid, Many, Number, Value, elements, plus
from fieldlog.calc.verdicts import VERDICTS, Result, overall

Json = dict[str, Any]
_Asked = Field | Derived | EarlierQuantity | LayerQuantity


class Told:
    """A judged check on its way into JSON."""

    def __init__(
        self, library: Library, sheet: Sheet, scope: Scope, results: tuple[Result, ...], system: str
    ) -> None:
        self.library, self.sheet, self.scope = library, sheet, scope
        self.results, self.system = results, system
        self._layers = {one.name for one in sheet.from_layers}
        self._errors: dict[tuple[str, int, int], Json] = {}
        self.looked_back_on = {e.of for e in sheet.earlier}
        self._bounds: dict[tuple[str, int], list[BoundRule]] = {}
        for r in results:
            self._bounds.setdefault((r.bound.rule.quantity, r.index or 0), []).append(r.bound)
        self.speaker = Speaker(
            sheet, library.books, library.instruments, library.words, system, self._text, scope
        )

    def length(self, value: Fraction | int | None, feet: bool = False) -> Json | None:
        """`{"text", "nm"}` of a length in nm."""
        if value is None:
            return None
        return {"text": self.speaker.length(value, feet), "nm": str(value)}

    def number(self, measure: str, value: Fraction | None, feet: bool = False) -> Json | None:
        """`{"text", "nm"}` of a length, `{"text", "nm": null, "value", "unit"}` of another kind."""
        if value is None or measure == "length":
            return self.length(value, feet)
        text = self.speaker.number(measure, value)
        return {"text": text, "nm": None, "value": str(value), "unit": MEASURES[measure].unit}

    def finest(self, what: _Asked, n: int, value: Fraction, text: str) -> str:
        """The text of a value, finer where it would read the same as one of its limits."""
        bounds = self._bounds.get((what.name, n), ())
        texts = (self.speaker.beside(bound, value, what.feet) for bound in bounds)
        return next((finer for finer in texts if finer != text), text)

    def error(self, measure: str, u_squared: Fraction) -> Json:
        """A standard uncertainty; one for most places of a list."""
        key = (measure, u_squared.numerator, u_squared.denominator)
        if key not in self._errors:
            self._errors[key] = _error(self, measure, u_squared)
        return self._errors[key]

    def _text(self, name: str) -> str:
        if not (self.sheet.field(name) or self.sheet.derived_of(name)) and name not in self._layers:
            return ""
        value = self.scope.quantity(name)
        if isinstance(value, Number) and value.value is not None:
            return say_measure(self.sheet.measure(name), value.value, self.system)
        return "" if isinstance(value, Many | Grid) else answer_text(value)


def judgement_of(told: Told, books: Sequence[str], instrument: str) -> Json:
    library, sheet = told.library, told.sheet
    grids = grids_of(told)
    findings = placed(told.speaker.findings(told.results), told.results, grids)
    notes = [*_disagreements(told), *notes_of(grids)]
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
        "grids": grids,
        "rules": _rules(told),
        "counts": {v: sum(r.verdict == v for r in told.results) for v in VERDICTS},
        "findings": findings,
        "notes": notes,
        "questions": list(dict.fromkeys(q for f in findings for q in f["questions"])),
        "caution": sheet.caution,
    }  # fmt: skip


def _tools(told: Told, instrument: str) -> list[Json]:
    used = dict.fromkeys([instrument, *told.scope.readings.tools.values()])
    named = (told.library.instrument(i) for i in used)
    return [{"id": i.id, "name": i.name, "says": i.says, "sha256": i.sha256} for i in named]


def _overrides(told: Told) -> list[Json]:
    made = dict.fromkeys(b.override for b in told.scope.rules if b.override)
    return [
        {"rule": o.rule, "limit": o.limit, "reason": o.reason, "by": o.by, "sha256": o.sha256}
        for o in made
    ]


def _quantities(told: Told) -> Json:
    out: Json = {}
    for f in told.sheet.fields:
        out[f.name] = _quantity(told, f, f.kind, f.many)
    for e in told.sheet.earlier:
        out[e.name] = _quantity(told, e, told.sheet.measure(e.name), many=True)
    for by in told.sheet.from_layers:
        out[by.name] = _quantity(told, by, "length", many=False)
    for d in told.sheet.derived:
        if not d.takes:
            kind = "yes_no" if d.kind == "truth" else d.measure or "number"
            many = isinstance(told.scope.quantity(d.name), Many)
            out[d.name] = _quantity(told, d, kind, many)
    return out


def _quantity(told: Told, what: _Asked, kind: str, many: bool) -> Json:
    value = told.scope.quantity(what.name)
    typed = told.scope.readings.typed.get(what.name, ())
    values = [] if isinstance(value, Grid) else [
        _value(told, what, n, element, typed) for n, element in enumerate(elements(value))
    ]  # fmt: skip
    places = {"places": list(what.places)} if isinstance(what, Field) and what.places else {}
    return {
        "label": what.label, "kind": kind, "many": many, "derived": not isinstance(what, Field),
        "values": values, **places,
    }  # fmt: skip


def _value(told: Told, what: _Asked, n: int, value: Value, typed: Sequence[str]) -> Json:
    out: Json = {"text": "", "nm": None}
    if isinstance(value, Away):
        out["text"] = "does not apply"
    elif isinstance(value, Number):
        if value.value is not None and (measure := told.sheet.measure(what.name)):
            out |= told.number(measure, value.value, what.feet) or {}
            out["text"] = told.finest(what, n, value.value, out["text"])
        if isinstance(what, Derived) and what.name in told.looked_back_on:
            out["from"] = hung_on(value, told.scope.readings.tools)
    else:
        out["text"] = answer_text(value)
        out["yes"] = getattr(value, "value", None) if out["text"] in ("yes", "no") else None
    if isinstance(what, Field):
        out["typed"] = typed[n] if n < len(typed) else ""
        out["tool"] = told.scope.readings.tools.get((what.name, n, -1), "")
    return out


def _rules(told: Told) -> list[Json]:
    """Every limit at every place. What is the limit's own is made once for all its places."""
    own: dict[int, Json] = {}
    for r in told.results:
        if id(r.bound) not in own:
            own[id(r.bound)] = _limit(told, r.bound)
    return [own[id(r.bound)] | _at_place(told, r) for r in told.results]


def _limit(told: Told, bound: BoundRule) -> Json:
    rule, book = bound.rule, told.library.books[bound.book]
    limit = told.number(bound.measure, bound.limit) or {
        "text": "yes" if bound.wants_yes else "no", "nm": None,
    }  # fmt: skip
    return {
        "rule": rule.id, "label": rule.label, "book": bound.book, "quantity": rule.quantity,
        "compare": rule.compare, "limit": limit, "kind": rule.kind,
        "trade": rule.trade or told.sheet.trade, "overridden": bound.override is not None,
        "starts": [
            {"quantity": q, "compare": compare, **(told.number(told.sheet.measure(q), at) or {})}
            for q, compare, at in bound.starts
        ],
        "source": {
            "document": book.document, "edition": book.edition, "clause": rule.clause,
            "verified": rule.verified,
        },
    }  # fmt: skip


def _at_place(told: Told, r: Result) -> Json:
    measure = r.bound.measure
    value = r.value.value if isinstance(r.value, Number) else None
    plain_value = {"text": answer_text(r.value), "nm": None} if value is None else None
    return {
        "index": r.index, "name": told.speaker.name(r), "verdict": r.verdict, "plain": r.plain,
        "value": plain_value or _beside(told, r.bound, value),
        "margin": told.number(apart(measure), r.margin),
        "u": None if r.u_squared is None else told.error(measure, r.u_squared),
        "settled_by": r.settled_by, "by_gauge": r.by_gauge,
        "question": " ".join(told.speaker._questions([r])) or None,
    }  # fmt: skip


def _beside(told: Told, bound: BoundRule, value: Fraction | None) -> Json | None:
    said = told.number(bound.measure, value)
    if said is None or value is None:
        return None
    return said | {"text": told.speaker.beside(bound, value)}


def _disagreements(told: Told) -> list[str]:
    """A difference that the tools do not explain is named, with both numbers."""
    notes = []
    for agree in told.sheet.agreements:
        one, other = (told.scope.quantity(n) for n in (agree.one, agree.other))
        if not isinstance(one, Number) or not isinstance(other, Number):
            continue
        between = plus(one, other, -1)
        if between.value and not between.may and _unexplained(told, between):
            notes.append(
                agree.says.format(
                    one=_in_words(told, agree.one, one.value),
                    other=_in_words(told, agree.other, other.value),
                    difference=told.speaker.number(
                        apart(told.sheet.measure(agree.one)), abs(between.value)
                    ),
                )
            )
    return notes


def _unexplained(told: Told, between: Number) -> bool:
    tool_of = told.scope.readings.tools.__getitem__
    u2 = variance(between.sens, tool_of, told.library.errors, told.scope.readings.read)
    return between.value is not None and not too_close(between.value, u2)


def _in_words(told: Told, name: str, value: Fraction | None) -> str:
    return told.speaker.number(told.sheet.measure(name), value or 0)


def _error(told: Told, measure: str, u_squared: Fraction) -> Json:
    """A standard uncertainty. For showing only, no verdict hangs on it: rounded up."""
    if measure == "length":
        u = _root(u_squared)
        return {"text": uncertainty_text(u, told.system), "nm": str(u)}
    fine = Fraction(_root(u_squared * 10**12), 10**6)
    text = say_error(measure, fine, told.system)
    return {"text": text, "nm": None, "value": str(fine), "unit": MEASURES[apart(measure)].unit}


def _root(squared: Fraction) -> int:
    """Square root of nm**2, to the nm above: for showing only, no verdict hangs on it."""
    floor = isqrt(squared.numerator // squared.denominator)
    return floor if Fraction(floor * floor) == squared else floor + 1
