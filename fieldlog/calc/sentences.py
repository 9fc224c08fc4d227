"""Verdicts in sentences: what it is, what it needs, by how much, which clause, which fix.

Templates are data (`words/en.toml`); here results of one limit are grouped, so that five open
gaps are one finding with its places and its worst, and numbers are put into words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from fieldlog.calc.books import KINDS, Book, BoundRule
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.lengths import format_beside, format_length
from fieldlog.calc.scope import Scope
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.units import apart, say_measure
from fieldlog.calc.values import Number, Text, Truth
from fieldlog.calc.verdicts import Result

Finding = dict[str, Any]

_NEEDS = {"<": "needs_less", "<=": "needs_at_most", ">": "needs_more", ">=": "needs_at_least"}
_ORDER = ("fail", "too_close", "not_measured", "pass")


@dataclass(frozen=True, slots=True)
class Speaker:
    """Puts results of one sheet into words."""

    sheet: Sheet
    books: Mapping[str, Book]
    instruments: Mapping[str, Instrument]
    words: Mapping[str, str]
    system: str
    text_of: Callable[[str], str]  # a scalar quantity in words, for fixes; "" where not known
    scope: Scope
    _said: dict[tuple[int, int, bool], str] = field(default_factory=dict)

    def length(self, nm: int | Fraction, feet: bool = False) -> str:
        """A length in the house's system."""
        key = (nm.numerator, nm.denominator, feet)  # a Fraction's own hash is slow
        if key not in self._said:  # limits and repeated readings are most of a check
            self._said[key] = format_length(nm, self.system, feet=feet)
        return self._said[key]

    def number(self, measure: str, value: int | Fraction, feet: bool = False) -> str:
        """A number in the unit of its measure, for this house."""
        if measure == "length":
            return self.length(value, feet)
        return say_measure(measure, value, self.system)

    def beside(self, bound: BoundRule, value: int | Fraction, feet: bool = False) -> str:
        """A value of a limit's quantity: finer where it would read as the limit and is not it."""
        if bound.measure != "length" or bound.limit is None:
            return self.number(bound.measure, value, feet)
        return format_beside(value, bound.limit, self.system, feet)

    def needs(self, result: Result) -> str:
        """ "7 3/4 in or less", "less than 4 in", "yes"."""
        bound = result.bound
        if bound.limit is None:
            return self.words["needs_yes" if bound.wants_yes else "needs_no"]
        feet = _feet(self.sheet, bound.rule.quantity)
        limit = self.number(bound.measure, bound.limit, feet)
        return self.words[_NEEDS[bound.rule.compare]].format(limit=limit)

    def name(self, result: Result) -> str:
        """ "Riser 7", "Open gap at riser 7", "Reveal, right top", "Headroom"."""
        quantity = result.bound.rule.quantity
        label, at = self._label(result), self._at(quantity)
        if result.index is None:
            return label
        if place := self._place(quantity, result.index):
            return self.words["one_place"].format(label=label, place=place)
        key = "one_at" if at else "one"
        return self.words[key].format(label=label, at=at.lower(), n=result.index + 1)

    def source(self, result: Result) -> str:
        """Document, edition and clause; for an override, who said so and instead of what."""
        bound = result.bound
        book = self.books[bound.book]
        source = self.words["source"].format(
            document=book.document, edition=book.edition, clause=bound.rule.clause
        )
        source = " ".join(source.split())
        if bound.override is None:
            return source
        unseen = {"memory": "_memory", "common practice": "_practice"}
        return self.words["overridden" + unseen.get(bound.rule.verified, "")].format(
            by=bound.override.by, reason=bound.override.reason, source=source,
            limit=bound.rule.limit,
        )  # fmt: skip

    def findings(self, results: Sequence[Result]) -> list[Finding]:
        """One finding per limit, verdict and side; the gravest first, then by seriousness."""
        groups: dict[tuple[object, ...], list[Result]] = {}
        for r in results:
            if r.verdict != "does_not_apply":
                key = (r.bound.rule.id, r.verdict, r.plain if r.verdict == "too_close" else "",
                       r.by_gauge, bool(r.asks), r.waits_for_gap)  # fmt: skip
                groups.setdefault(key, []).append(r)
        found = [self._finding(group) for group in groups.values()]
        return sorted(found, key=lambda f: (_ORDER.index(f["mark"]), KINDS.index(f["kind"])))

    def _finding(self, group: list[Result]) -> Finding:
        first = group[0]
        rule = first.bound.rule
        return {
            "mark": first.verdict,
            "plain": first.plain,
            "head": self._head(group),
            "body": self._body(group),
            "measured": self._measured(group),
            "needs": self.needs(first),
            "where": self._where(group),
            "source": self.source(first),
            "verified": "" if first.bound.override else rule.verified,  # said of what it replaces
            "kind": rule.kind,
            "trade": rule.trade or self.sheet.trade,
            "rule": rule.id,
            "indices": [r.index for r in group if r.index is not None],
            "fix": self._fix(first) if first.verdict == "fail" else "",
            "settle": self._settle(group) if first.verdict == "too_close" else "",
            "questions": self._questions(group),
        }

    def _head(self, group: list[Result]) -> str:
        first = group[0]
        rule = first.bound.rule
        own = {"fail": rule.fails, "pass": rule.passes}.get(first.verdict, "")
        if own and (said := self._filled(own)):
            return said
        if first.by_gauge and rule.gauge:
            gauge = self.instruments[rule.gauge.instrument].name
            key = "gauge_fails" if first.verdict == "fail" else "gauge_passes"
            return self.words[key].format(gauge=gauge, where=self._where(group))
        return self.words[self._template(group)].format(
            name=self._where(group) if first.verdict == "not_measured" else self.name(first),
            plural=self._plural(first), value=self._measured(group), needs=self.needs(first),
        )  # fmt: skip

    def _template(self, group: list[Result]) -> str:
        first, many = group[0], len(group) > 1
        if first.verdict == "fail":
            if first.bound.limit is None:
                return "fails_answer"
            return "fails_many" if many else "fails_one"
        if first.verdict == "too_close":
            side = "pass" if first.plain == "pass" else _side(first)
            return f"close_many_{side}" if many else f"close_{side}"
        if first.verdict == "not_measured":
            return "not_measured_so_far" if first.waits_for_gap else "not_measured"
        return "passes_many" if many else "passes_one"

    def _body(self, group: list[Result]) -> str:
        first = group[0]
        if first.verdict in ("too_close", "pass"):
            return self.words["close_body"].format(needs=self.needs(first))
        if first.verdict == "not_measured":
            if first.asks:
                question = " ".join(self._questions(group))
                return self.words["needs_answer"].format(question=question)
            return self.words["needs_body"].format(needs=self.needs(first))
        if first.by_gauge or first.margin is None:
            return ""
        worst = min(group, key=lambda r: r.margin if r.margin is not None else Fraction(0))
        by = self._by(worst)
        return f"{self.words['worst'].format(name=self.name(worst))} {by}" if len(group) > 1 else by

    def _by(self, result: Result) -> str:
        if not result.margin:
            return self.words["at_limit"]
        by = self.number(apart(result.bound.measure), -result.margin)
        return self.words[_side(result)].format(by=by)

    def _settle(self, group: list[Result]) -> str:
        tools = {r.settled_by for r in group}
        if None in tools:
            coarse = self._coarse(group)
            return self.words["settle_coarse" if coarse else "settle_none"].format(tools=coarse)
        named = max((self.instruments[t] for t in tools if t), key=lambda i: (i.effort, i.id))
        return self.words["settle"].format(tool=named.name)

    def _coarse(self, group: list[Result]) -> str:
        """The tools and what they are good to, where their error is more than the limit itself."""
        limit = group[0].bound.limit
        if not limit or any(r.u_squared is None or r.u_squared <= limit**2 for r in group):
            return ""
        values = [r.value for r in group if isinstance(r.value, Number)]
        used = dict.fromkeys(self.scope.readings.tools[key] for v in values for key in v.sens)
        return "; ".join(f"{self.instruments[t].name}, {self.instruments[t].says}" for t in used)

    def _fix(self, result: Result) -> str:
        return self._filled(result.bound.rule.fix)

    def _filled(self, template: str) -> str:
        """A sentence with quantities in it, or "" where one of them is not known."""
        wanted = _Wanted()
        template.format_map(wanted)
        texts = {name: self.text_of(name) for name in wanted.names}
        return template.format_map(texts) if all(texts.values()) else ""

    def _questions(self, group: Iterable[Result]) -> list[str]:
        names = dict.fromkeys(name for r in group for name in r.asks)
        fields = (self.sheet.field(name) for name in names)
        return [f.ask or f"{f.label}?" for f in fields if f]

    def _measured(self, group: list[Result]) -> str:
        values = [r.value for r in group]
        numbers = [v.value for v in values if isinstance(v, Number) and v.value is not None]
        if not numbers:
            return answer_text(values[0])
        low, high = min(numbers), max(numbers)
        bound = group[0].bound
        if low == high:
            return self.beside(bound, high, _feet(self.sheet, bound.rule.quantity))
        lowest, highest = self.beside(bound, low), self.beside(bound, high)
        if bound.measure == "length":
            lowest = lowest.rpartition(" ")[0]  # the unit once
        return self.words["range"].format(low=lowest, high=highest)

    def _where(self, group: list[Result]) -> str:
        indices = [r.index for r in group if r.index is not None]
        if not indices:
            return self._label(group[0])
        if len(indices) == 1:
            return self.name(group[0])
        plural = self._plural(group[0], at=True)
        places = [self._place(group[0].bound.rule.quantity, i) for i in indices]
        if all(places):
            return self.words["places_of"].format(plural=plural, list=self._listed(places))
        if indices == list(range(indices[0], indices[-1] + 1)):
            return self.words["all_of"].format(plural=plural, n=indices[0] + 1, m=indices[-1] + 1)
        text = self._listed([str(i + 1) for i in indices])
        return self.words["some_of"].format(plural=plural, list=text)

    def _listed(self, names: Sequence[str]) -> str:
        return ", ".join(names[:-1]) + self.words["list_and"] + names[-1]

    def _place(self, quantity: str, index: int) -> str:
        """What the sheet calls a place of a list, or "" where it only has a number."""
        derived = self.sheet.derived_of(quantity)
        field = self.sheet.field(derived.at if derived else quantity)
        return field.place(index) if field else ""

    def _label(self, result: Result) -> str:
        rule = result.bound.rule
        if not rule.give:
            return self.sheet.label(rule.quantity)
        edge = self.scope.laid(result.bound, result.value)
        if edge is None:
            return rule.label
        return self.words["laid"].format(label=rule.label, edge=self.length(edge, feet=True))

    def _at(self, quantity: str) -> str:
        derived = self.sheet.derived_of(quantity)
        return self.sheet.label(derived.at) if derived and derived.at else ""

    def _plural(self, result: Result, at: bool = False) -> str:
        quantity = result.bound.rule.quantity
        derived = self.sheet.derived_of(quantity)
        name = derived.at if at and derived and derived.at else quantity
        found = self.sheet.field(name) or self.sheet.derived_of(name)
        return found.plural if found else name


class _Wanted(dict[str, str]):
    """Collects the names a template asks for."""

    def __init__(self) -> None:
        super().__init__()
        self.names: list[str] = []

    def __missing__(self, key: str) -> str:
        self.names.append(key)
        return ""


def answer_text(value: object) -> str:
    """A yes/no or a choice in words; "" where it is not given."""
    if isinstance(value, Truth):
        return "" if value.value is None else "yes" if value.value else "no"
    return (value.value or "") if isinstance(value, Text) else ""


def _side(result: Result) -> str:
    return "over" if result.bound.rule.compare.startswith("<") else "under"


def _feet(sheet: Sheet, quantity: str) -> bool:
    found = sheet.field(quantity) or sheet.derived_of(quantity)
    return bool(found and found.feet)
