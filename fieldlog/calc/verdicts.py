"""Verdicts: each limit against each place of its quantity, exactly, knowing the tool.

pass; fail; too_close (the limit lies within the tool's doubled standard uncertainty of the
value; `plain` says which side the value itself is on); not_measured; does_not_apply.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import TYPE_CHECKING

from fieldlog.calc.books import BoundRule
from fieldlog.calc.library import Library, UnknownSource
from fieldlog.calc.scope import Scope
from fieldlog.calc.sheets import fields_behind
from fieldlog.calc.uncertainty import too_close, variance
from fieldlog.calc.values import (
    FALL,
    GAP,
    RISE,
    UNKNOWN,
    Away,
    Element,
    Many,
    Number,
    ReadingKey,
    Text,
    Truth,
    Value,
    elements,
)

if TYPE_CHECKING:
    from fieldlog.calc.floors_noise import Tool
    from fieldlog.calc.floors_worst import WorstOf

VERDICTS = ("fail", "too_close", "not_measured", "pass", "does_not_apply")
"""Gravest first: a check's verdict is the first of these that one of its limits has."""


@dataclass(frozen=True, slots=True)
class Result:
    """One limit at one place. `margin` is positive inside the limit; it and `u_squared` are in
    the base unit of the rule's measure (nm for a length) and its square.

    `asks` are the fields whose answer the condition waits for; `waits_for_gap` is true where a
    blank place could still change the verdict.
    """

    bound: BoundRule
    index: int | None
    verdict: str
    plain: str | None = None
    value: Element | None = None
    margin: Fraction | None = None
    u_squared: Fraction | None = None
    settled_by: str | None = None
    by_gauge: bool = False
    asks: tuple[str, ...] = ()
    waits_for_gap: bool = False


@dataclass(frozen=True, slots=True)
class Judge:
    """Judges the rules of one check; `tools` are the ids that could settle a close call."""

    scope: Scope
    library: Library
    tools: Sequence[str]

    def results(self) -> tuple[Result, ...]:
        """Every limit at every place, in book order."""
        return tuple(r for bound in self.scope.rules for r in self._of_rule(bound))

    def _of_rule(self, bound: BoundRule) -> Iterable[Result]:
        quantity, condition = self.scope.with_given(bound), self.scope.condition(bound)
        gauge = self._gauge_answers(bound)
        values = (quantity, condition, gauge)
        count = max((len(v.items) for v in values if isinstance(v, Many)), default=0)
        columns = [_column(v, count) for v in values]
        for n, (value, holds, answer) in enumerate(zip(*columns, strict=True)):
            yield self._at(bound, n if count else None, value, holds, answer)

    def _gauge_answers(self, bound: BoundRule) -> Value:
        gauge = bound.rule.gauge
        if gauge is None or bound.gauge_nm != bound.limit:
            return UNKNOWN  # another limit than the gauge's size: it can say nothing
        return self.scope.quantity(gauge.quantity)

    def _at(
        self, bound: BoundRule, index: int | None, value: Element, holds: Element, answer: Element
    ) -> Result:
        applies = holds.value if isinstance(holds, Truth) else None
        if applies is False or isinstance(value, Away):
            return Result(bound, index, "does_not_apply")
        if applies is None:
            asks = self._unanswered(bound, index)
            return Result(bound, index, "not_measured", value=value, asks=asks)
        if isinstance(answer, Truth) and answer.value is not None:
            side = "fail" if answer.value else "pass"
            return Result(bound, index, side, side, value, by_gauge=True)
        if isinstance(value, Truth):
            return _yes_no(bound, index, value)
        if not isinstance(value, Number) or value.value is None:
            return Result(bound, index, "not_measured")
        return self._against_limit(bound, index, value)

    def _against_limit(self, bound: BoundRule, index: int | None, value: Number) -> Result:
        side, margin = _margin(bound, value)
        worse = RISE if bound.rule.compare.startswith("<") else FALL
        better = FALL if worse == RISE else RISE
        if value.may & (worse if side == "pass" else better):
            return Result(bound, index, "not_measured", None, value, waits_for_gap=True)
        if value.worst is not None and bound.limit_nm is not None and worse == RISE:
            return self._worst_of_many(bound, index, value, value.worst)
        tool_of = self.scope.readings.tools.__getitem__
        u2 = variance(value.sens, tool_of, self.library.errors, self.scope.readings.read)
        if not too_close(margin, u2):
            return Result(bound, index, side, side, value, margin, u2)
        settle = self._settled_by(bound, value, margin)
        return Result(bound, index, "too_close", side, value, margin, u2, settle)

    def _worst_of_many(
        self, bound: BoundRule, index: int | None, value: Number, worst: WorstOf
    ) -> Result:
        """The worst of many noisy gaps: what the survey's noise alone would show is allowed."""
        from fieldlog.calc.floors_worst import half_width_squared

        side, margin = _margin(bound, value)
        tool = self.library.instruments[self.scope.readings.tools[next(iter(value.sens))]]
        found = worst.judged(int(bound.limit_nm or 0), tool.parts, self._that_settle(bound))
        u2 = half_width_squared(found)
        if not too_close(margin, u2):
            return Result(bound, index, side, side, value, margin, u2)
        return Result(bound, index, "too_close", side, value, margin, u2, found.settled_by)

    def _that_settle(self, bound: BoundRule) -> list[Tool]:
        """Tools of the house that level the stations, or that read the gap itself."""
        from fieldlog.calc.floors_noise import tool_of

        sheet = self.scope.sheet
        derived = sheet.derived_of(bound.rule.quantity)
        names = fields_behind(sheet, derived.tree) if derived else ()
        fields = [f for n in names if (f := sheet.field(n))]
        direct = {t for f in fields if f.kind == "length" and f.follows for t in f.tools}
        levels = {t for f in fields if f.kind == "grid" for t in f.tools}
        known = {t: i for t, i in self.library.instruments.items() if t in direct | levels}
        return [tool_of(known[t], t in direct) for t in self.tools if t in known]

    def _settled_by(self, bound: BoundRule, value: Number, margin: Fraction) -> str | None:
        """The least bothersome tool of the house that would give a clear verdict."""
        fields = {self.scope.sheet.field(key[0]) for key in value.sens}
        gauge = bound.rule.gauge if bound.gauge_nm == bound.limit else None
        tools = (self.library.instruments[t] for t in self.tools if t in self.library.instruments)
        for tool in sorted(tools, key=lambda t: (t.effort, t.id)):
            if gauge and tool.id == gauge.instrument:
                return tool.id
            if any(f is None or tool.id not in f.tools for f in fields):
                continue
            by_tool, read = partial(_always, tool.id), self.scope.readings.read
            u2 = variance(value.sens, by_tool, self.library.errors, read)
            if tool.kind != "yes_no" and not too_close(margin, u2):
                return tool.id
        return None

    def _unanswered(self, bound: BoundRule, index: int | None) -> tuple[str, ...]:
        """The blank fields a condition waits for: those with a question first, then the rest."""
        names = fields_behind(self.scope.sheet, bound.when) if bound.when else ()
        blank = [f for n in names if (f := self.scope.sheet.field(n)) and self._blank(n, index)]
        # an exemption nobody claims is not asked about while something that must be known is open
        asked = [f for f in blank if f.ask and f.required] or [f for f in blank if f.ask]
        asked = asked or [f for f in blank if f.required] or blank
        return tuple(f.name for f in asked)

    def _blank(self, name: str, index: int | None) -> bool:
        value = self.scope.quantity(name)
        if isinstance(value, Many) and index is not None:
            return index >= len(value.items) or not _is_known(value.items[index])
        if isinstance(value, Many):
            return not all(_is_known(e) for e in value.items)
        return not isinstance(value, Number | Truth | Text) or not _is_known(value)


def overall(results: Iterable[Result]) -> str:
    """A check's verdict: fail, then too close, then not measured, then pass."""
    seen = {r.verdict for r in results}
    if not seen:
        return "not_measured"
    return next(v for v in VERDICTS if v in seen)


def _column(value: Value, count: int) -> tuple[Element, ...]:
    items = elements(value)
    if not count:
        return items
    if not isinstance(value, Many):
        return items * count
    tail = UNKNOWN if isinstance(items[0], Truth) else GAP
    return items + (tail,) * (count - len(items))


def _always(tool: str, _key: ReadingKey) -> str:
    return tool


def _is_known(element: Element) -> bool:
    return isinstance(element, Away) or element.value is not None


def _yes_no(bound: BoundRule, index: int | None, value: Truth) -> Result:
    if value.value is None:
        return Result(bound, index, "not_measured", value=value)
    side = "pass" if value.value == bound.wants_yes else "fail"
    return Result(bound, index, side, side, value)


def _margin(bound: BoundRule, value: Number) -> tuple[str, Fraction]:
    """The plain side and how far inside (positive) or outside the limit."""
    limit = bound.limit
    if value.value is None or limit is None:
        raise UnknownSource(f'"{bound.rule.id}" has no limit to compare with')
    compare = bound.rule.compare
    margin = limit - value.value if compare.startswith("<") else value.value - limit
    inside = margin > 0 or (margin == 0 and compare.endswith("="))
    return ("pass" if inside else "fail"), margin
