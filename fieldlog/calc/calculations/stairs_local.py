"""What a house's limits ask of one riser or one opening by itself, out of the books.

A search over plans would be slow if it asked the judge about every plan. Most limits on a
flight hang on one riser, one opening and its height, or the spread of the risers; those are
sorted out here by the shape of their formulas, and answered with the judge's own expressions,
margins and uncertainty. No limit stands here: they come out of the library, overrides
included. A limit of another shape is left to the judge, which has the last word on each plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from fieldlog.calc.books import BoundRule
from fieldlog.calc.calculations.stairs_flight import Court, Flight, mean, off
from fieldlog.calc.calculations.stairs_trees import (
    HEADROOM,
    RISER,
    SO_FAR,
    THICKNESS,
    changed_by_plans,
    hangs_on,
    of_each,
    only_headroom,
    tree_of,
    written_out,
)
from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.expressions import Tree
from fieldlog.calc.readings import parse_readings
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.uncertainty import too_close, variance
from fieldlog.calc.values import GAP, Element, Many, Number, ReadingKey, Truth, Value, exact

# a formula that gives largest less smallest for these is the spread of the risers
_PROBES = ((10, 13, 11), (700, 700, 705), (9, 5, 6), (8, 8, 8))


def clear(
    bound: BoundRule, value: Number, court: Court, read: Mapping[ReadingKey, Fraction]
) -> bool:
    """Whether a value is inside a limit by more than the tool's band: a pass, not too close.

    `read` are the lengths that it hangs on, as they were read.
    """
    limit = bound.limit
    if value.value is None or value.may or limit is None:
        return True  # not measured: nothing that a plan could be held to
    upper = bound.rule.compare.startswith("<")
    margin = limit - value.value if upper else value.value - limit
    if margin < 0 or (margin == 0 and not bound.rule.compare.endswith("=")):
        return False
    u2 = variance(value.sens, lambda _key: court.tool, court.library.errors, read)
    return not too_close(Fraction(margin), u2)


@dataclass(slots=True)
class Local:
    """The limits on a flight that one riser or one opening can be asked about."""

    court: Court
    flight: Flight
    rules: tuple[BoundRule, ...] = ()
    risers: list[BoundRule] = field(default_factory=list)
    spreads: list[BoundRule] = field(default_factory=list)
    gaps: list[BoundRule] = field(default_factory=list)
    heads: list[BoundRule] = field(default_factory=list)
    changing: list[str] = field(default_factory=list)
    stuck: list[str] = field(default_factory=list)
    """Limits of the headroom alone that are over as it is: no plan gives any, so none may take."""
    _fields: Mapping[str, Value] = field(default_factory=dict)
    _read: Mapping[ReadingKey, Fraction] = field(default_factory=dict)
    _trees: dict[str, Tree] = field(default_factory=dict)
    _known: dict[Any, bool] = field(default_factory=dict)
    _kin: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        court, sheet = self.court, self.court.sheet
        self.rules = court.library.rules(sheet.id, court.books)
        parsed = parse_readings(
            sheet, self.flight.readings(), court.library.instruments, court.tool, court.system
        )
        self._fields, self._read = parsed.values, parsed.read
        self._kin = self._alike()
        for bound in self.rules:
            if changed_by_plans(sheet, bound):
                self.changing.append(bound.rule.id)
                self._sort(sheet, bound)
        if above := [rule.rule.id for rule in self.rules if only_headroom(sheet, rule)]:
            lines = off(court.judged(self.flight), above) if self.flight.headroom else ()
            self.stuck += dict.fromkeys(line["rule"] for line in lines)

    @property
    def held(self) -> list[str]:
        """Limits that a plan is held to: those that it can change, and change for the better."""
        return [rule for rule in self.changing if rule not in self.stuck]

    def _alike(self) -> list[int]:
        """For each riser the first one with the same other readings: it is judged like that."""
        others = [value for name, value in self._fields.items() if name not in _OURS]
        seen: dict[tuple[object, ...], int] = {}
        last = len(self.flight.risers) - 1  # under the upper floor, so like none of them
        return [
            seen.setdefault(tuple(getattr(_at(v, n), "value", None) for v in others), n)
            for n in range(last)
        ] + [last]

    def _sort(self, sheet: Sheet, bound: BoundRule) -> None:
        tree = self._trees[bound.rule.id] = tree_of(sheet, bound.rule.quantity)
        when = ["t", ""] if bound.when is None else written_out(sheet, bound.when)
        self._trees[f"when {bound.rule.id}"] = when
        if bound.given or bound.limit is None:
            return
        if tree == ["q", HEADROOM] and bound.when is None:
            self.heads.append(bound)
        elif of_each(tree) and of_each(when):
            if hangs_on(tree, THICKNESS) and bound.rule.compare.startswith("<"):
                self.gaps.append(bound)
            elif hangs_on(tree, RISER) and not hangs_on(["", tree, when], SO_FAR):
                self.risers.append(bound)
        elif bound.when is None and self._is_spread(tree):
            self.spreads.append(bound)

    def _is_spread(self, tree: Tree) -> bool:
        """Whether a formula is the difference of the largest and the smallest riser."""
        return all(
            isinstance(value := evaluate(tree, _Risers(self, probe)), Number)
            and value.value == max(probe) - min(probe)
            for probe in _PROBES
        )

    def limit(self, rule: str) -> Value:
        """A limit of these books, in the base unit of its measure, or a gap."""
        found = next((b for b in self.rules if b.rule.id == rule), None)
        return GAP if found is None or found.limit is None else exact(found.limit)

    def spread_ok(self, spread: int) -> bool:
        """Whether risers that differ so much (nm) are alike enough."""
        risers = _Risers(self, (0, spread))
        values = [evaluate(self._trees[bound.rule.id], risers) for bound in self.spreads]
        return all(
            not isinstance(value, Number) or clear(bound, value, self.court, self._read)
            for bound, value in zip(self.spreads, values, strict=True)
        )

    def lift_ok(self, lift: int) -> bool:
        """Whether the headroom allows a tread to be lifted by so much (nm)."""
        headroom = self.flight.headroom
        if headroom is None or lift <= 0:
            return True
        if self.stuck:
            return False
        value = Number(Fraction(headroom - lift), {(HEADROOM, 0, -1): Fraction(1)})
        return all(clear(bound, value, self.court, self._read) for bound in self.heads)

    def riser_ok(self, place: int, riser: int) -> bool:
        """Whether a riser of that height (nm) meets every limit on it, at its place (from 0)."""
        key = ("riser", riser, self._kin[place])
        if key not in self._known:
            place_ = _Place(self, place, riser, None, 0)
            self._known[key] = all(place_.meets(bound) for bound in self.risers)
        return self._known[key]

    def gap_ok(self, bound: BoundRule, place: int, gap: int) -> bool:
        """Whether an open gap of that height (nm) is clear of a limit, should it apply."""
        key = (bound.rule.id, "gap", gap, self.flight.thickness[place], self._kin[place])
        if key not in self._known:
            self._known[key] = _Place.of_gap(self, place, gap, 0).inside(bound)
        return self._known[key]

    def gap_counts(self, bound: BoundRule, place: int, top: int) -> bool:
        """Whether a limit applies to an opening whose top is so high (nm) above the floor."""
        key = (bound.rule.id, "counts", top, self._kin[place])
        if key not in self._known:
            self._known[key] = _Place.of_gap(self, place, 0, top).applies_here(bound)
        return self._known[key]


_OURS = (RISER, THICKNESS)


def _at(value: Value, place: int) -> Element:
    if isinstance(value, Many):
        return value.items[place] if place < len(value.items) else GAP
    return value if isinstance(value, Element) else GAP


@dataclass(frozen=True, slots=True)
class _Risers:
    """The environment of expressions for risers of these heights, and nothing else measured."""

    local: Local
    risers: tuple[int, ...]

    def quantity(self, name: str) -> Value:
        """The risers."""
        if name != RISER:
            return GAP
        return Many(tuple(
            Number(Fraction(riser), {(RISER, n, -1): Fraction(1)})
            for n, riser in enumerate(self.risers)
        ))  # fmt: skip

    def limit(self, rule: str) -> Value:
        """A limit of these books, or a gap."""
        return self.local.limit(rule)

    def applies(self, rule: str) -> Value:  # noqa: ARG002
        """Not known."""
        return Truth(None)


@dataclass(frozen=True, slots=True)
class _Place:
    """The environment of expressions at one riser."""

    local: Local
    place: int
    riser: int
    thickness: int | None
    so_far: int

    @classmethod
    def of_gap(cls, local: Local, place: int, gap: int, top: int) -> _Place:
        """At an opening of that gap, whose top is so high above the floor below."""
        thickness = local.flight.thickness[place] or 0
        riser = gap + thickness
        return cls(local, place, riser, thickness, top - gap + riser)

    def quantity(self, name: str) -> Value:
        """A field's value at this riser."""
        if name == RISER:
            return Number(Fraction(self.riser), {(RISER, self.place, -1): Fraction(1)})
        if name == THICKNESS:
            if self.thickness is None:
                return GAP
            return Number(Fraction(self.thickness), {(THICKNESS, self.place, -1): Fraction(1)})
        flight = self.local.flight
        if name == "_is_last":
            return Truth(self.place == len(flight.risers) - 1)
        if name in (SO_FAR, "_sum", "_mean"):
            whole = {SO_FAR: Fraction(self.so_far), "_sum": Fraction(flight.rise)}
            return exact(whole.get(name, mean(flight)))
        return _at(self.local._fields.get(name, GAP), self.place)

    def limit(self, rule: str) -> Value:
        """A limit of these books, or a gap."""
        return self.local.limit(rule)

    def applies(self, rule: str) -> Value:  # noqa: ARG002
        """Not known to one riser."""
        return Truth(None)

    def applies_here(self, bound: BoundRule) -> bool:
        """Whether a limit's condition holds; one that is not known holds nobody."""
        if bound.when is None:
            return True
        holds = evaluate(self.local._trees[f"when {bound.rule.id}"], self)
        return isinstance(holds, Truth) and holds.value is True

    def inside(self, bound: BoundRule) -> bool:
        """Whether the quantity is clear of its limit here, should that apply."""
        value = evaluate(self.local._trees[bound.rule.id], self)
        local = self.local
        return not isinstance(value, Number) or clear(bound, value, local.court, local._read)

    def meets(self, bound: BoundRule) -> bool:
        """Whether a limit is met here, or does not apply."""
        return not self.applies_here(bound) or self.inside(bound)
