"""What an expression sees of a check: readings, derived quantities, limits in force."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from fieldlog.calc.books import BoundRule
from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import Readings
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.values import GAP, Element, Number, Truth, Value, elements, exact


@dataclass(slots=True)
class Scope:
    """The environment expressions see: readings, derived quantities, limits in force."""

    sheet: Sheet
    rules: Sequence[BoundRule]
    readings: Readings
    _known: dict[str, Value] = field(default_factory=dict)
    _busy: list[str] = field(default_factory=list)
    _by_id: dict[str, BoundRule] = field(default_factory=dict)

    def quantity(self, name: str) -> Value:
        """A field's value, or a derived quantity's, computed once."""
        if name in self.readings.values:
            return self.readings.values[name]
        derived = self.sheet.derived_of(name)
        if derived is None or derived.takes:
            return GAP
        return self._once(name, lambda: evaluate(derived.tree, self))

    def with_given(self, bound: BoundRule) -> Value:
        """The value of a rule's quantity, with the lengths that the rule gives it."""
        derived = self.sheet.derived_of(bound.rule.quantity)
        if derived is None or not bound.given:
            return self.quantity(bound.rule.quantity)
        return evaluate(derived.tree, _Given(self, bound.given))

    def laid(self, bound: BoundRule, value: Element | None) -> Fraction | None:
        """The length beside the one reading that a number is (a gap's edge), where the limit is
        for another."""
        if not bound.given or not isinstance(value, Number) or len(value.sens) != 1:
            return None
        ((name, n, _),) = value.sens
        read = self.sheet.field(name)
        if read is None or not read.follows:
            return None
        beside = elements(self.quantity(read.follows))[n : n + 1]
        edge = beside[0].value if beside and isinstance(beside[0], Number) else None
        return None if edge in bound.given.values() else edge

    def limit(self, rule: str) -> Value:
        """The limit of a rule in force (nm), or a gap; only lengths are asked for by rule."""
        bound = self._rule(rule)
        return GAP if bound is None or bound.limit_nm is None else exact(bound.limit_nm)

    def applies(self, rule: str) -> Value:
        """Whether a rule in force applies; no where the house's books do not have it."""
        bound = self._rule(rule)
        return Truth(False) if bound is None else self.condition(bound)

    def condition(self, bound: BoundRule) -> Value:
        """A rule's `when`, or yes."""
        when = bound.when
        if when is None:
            return Truth(True)
        return self._once(f"when {bound.rule.id}", lambda: evaluate(when, self))

    def _rule(self, rule_id: str) -> BoundRule | None:
        if not self._by_id:
            self._by_id.update({b.rule.id: b for b in reversed(self.rules)})
        return self._by_id.get(rule_id)

    def _once(self, name: str, compute: Callable[[], Value]) -> Value:
        if name not in self._known:
            if name in self._busy:
                chain = " needs ".join([*self._busy, name])
                raise UnknownSource(f"These wait for each other: {chain}.")
            self._busy.append(name)
            self._known[name] = compute()
            self._busy.pop()
        return self._known[name]


@dataclass(frozen=True, slots=True)
class _Given:
    """A scope with lengths given by a rule."""

    scope: Scope
    given: dict[str, int]

    def quantity(self, name: str) -> Value:
        return exact(self.given[name]) if name in self.given else self.scope.quantity(name)

    def limit(self, rule: str) -> Value:
        return self.scope.limit(rule)

    def applies(self, rule: str) -> Value:
        return self.scope.applies(rule)
