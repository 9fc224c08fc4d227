"""What the named functions of expressions do, list by list and gap by gap.

Each line says how it treats lists: over a whole list, or place by place (`paired`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import reduce

from fieldlog.calc.lengths import step_above as next_step
from fieldlog.calc.values import (
    AWAY,
    FALL,
    GAP,
    RISE,
    UNKNOWN,
    Away,
    Element,
    Many,
    Number,
    Text,
    Truth,
    Value,
    both,
    either,
    elements,
    exact,
    paired,
    plus,
    scaled,
)


def number_of(element: Element) -> Number:
    """An element as a number; anything else is a gap."""
    return element if isinstance(element, Number) else GAP


def truth_of(element: Element) -> Truth:
    """An element as a truth; anything else is not known."""
    return element if isinstance(element, Truth) else UNKNOWN


def _here(value: Value) -> list[Number]:
    return [number_of(e) for e in elements(value) if not isinstance(e, Away)]


def extreme(numbers: Sequence[Number], sign: int) -> Number | Away:
    """Largest (sign 1) or smallest; ties take the first; a gap leaves `may rise` / `may fall`."""
    if not numbers:
        return AWAY
    best: Number | None = None
    may = 0
    for n in numbers:
        may |= (RISE if sign > 0 else FALL) if n.value is None else n.may
        if n.value is None:
            continue
        if best is None or best.value is None or _beyond(n.value, best.value, sign):
            best = n
    if best is None:
        return GAP
    return best if best.may == may else replace(best, may=may)


def _beyond(one: Fraction, other: Fraction, sign: int) -> bool:
    return one > other if sign > 0 else one < other


def largest(*values: Value) -> Value:
    """max(list) over a list; max(a, b, ...) place by place."""
    return _over_or_paired(values, 1)


def smallest(*values: Value) -> Value:
    """min(list) over a list; min(a, b, ...) place by place."""
    return _over_or_paired(values, -1)


def _over_or_paired(values: tuple[Value, ...], sign: int) -> Value:
    if len(values) == 1:
        return extreme(_here(values[0]), sign)
    return paired(lambda *row: extreme([number_of(e) for e in row], sign), *values)


def spread(value: Value) -> Value:
    """Largest less smallest."""
    here = _here(value)
    high, low = extreme(here, 1), extreme(here, -1)
    if isinstance(high, Away) or isinstance(low, Away):
        return AWAY
    return plus(high, low, -1)


def total(value: Value) -> Value:
    """Sum; over a gap it is not measured."""
    here = _here(value)
    return reduce(plus, here, exact(0)) if here else AWAY


def mean(value: Value) -> Value:
    """Mean; over a gap it is not measured."""
    here = _here(value)
    total = reduce(plus, here, exact(0))
    return scaled(total, Fraction(1, len(here))) if here else AWAY


def running(value: Value) -> Value:
    """Sums so far, place by place; from a gap on they are not measured."""
    sums: list[Element] = []
    so_far = exact(0)
    for element in elements(value):
        so_far = plus(so_far, number_of(element))
        sums.append(so_far)
    return Many(tuple(sums))


def joined(a: Value, b: Value) -> Value:
    """One list of the places of both, the first one's first."""
    return Many(elements(a) + elements(b))


def count(value: Value) -> Value:
    """How many places of a list are measured."""
    return exact(sum(1 for n in _here(value) if n.value is not None))


def where(condition: Value, value: Value) -> Value:
    """The places where the condition holds; the others are left out, not gaps."""
    return paired(_kept, condition, value)


def _kept(condition: Element, element: Element) -> Element:
    holds = truth_of(condition).value
    return AWAY if holds is False else element if holds else GAP


def choose(condition: Value, a: Value, b: Value) -> Value:
    """`a` where the condition holds, else `b`; not measured where it is not known."""
    return paired(_chosen, condition, a, b)


def _chosen(condition: Element, a: Element, b: Element) -> Element:
    holds = truth_of(condition).value
    return GAP if holds is None else a if holds else b


def prefer(a: Value, b: Value) -> Value:
    """`a` where it is measured, else `b`."""
    return paired(lambda x, y: x if number_of(x).value is not None else y, a, b)


def most(a: Value, b: Value) -> Value:
    """The larger of two looks at the same thing, of which one is enough."""
    return paired(_most_of, a, b)


def _most_of(a: Element, b: Element) -> Element:
    known = [n for n in (number_of(a), number_of(b)) if n.value is not None]
    return extreme(known, 1) if known else GAP


def least(a: Value, b: Value) -> Value:
    """The smaller of two looks at the same thing, of which one is enough."""
    return paired(_least_of, a, b)


def _least_of(a: Element, b: Element) -> Element:
    known = [n for n in (number_of(a), number_of(b)) if n.value is not None]
    return extreme(known, -1) if known else GAP


def first_place(value: Value) -> Value:
    """Yes at the first place of a list, no at the others."""
    places = tuple(Truth(n == 0) for n in range(len(elements(value))))
    return Many(places) if isinstance(value, Many) else places[0]


def last_place(value: Value) -> Value:
    """Yes at the last place of a list, no at the others."""
    count = len(elements(value))
    places = tuple(Truth(n == count - 1) for n in range(count))
    return Many(places) if isinstance(value, Many) else places[0]


def known(value: Value) -> Value:
    """Yes where it is measured, else no."""
    return paired(lambda e: Truth(number_of(e).value is not None or _answered(e)), value)


def _answered(element: Element) -> bool:
    return isinstance(element, Truth | Text) and element.value is not None


def any_of(value: Value) -> Value:
    """Yes when one place is."""
    return reduce(either, (truth_of(e) for e in elements(value)), Truth(False))


def all_of(value: Value) -> Value:
    """Yes when every place is."""
    return reduce(both, (truth_of(e) for e in elements(value)), Truth(True))


def same(a: Value, b: Value) -> Value:
    """Whether a choice is the named one."""
    return paired(_same_text, a, b)


def _same_text(a: Element, b: Element) -> Element:
    if not isinstance(a, Text) or not isinstance(b, Text) or None in (a.value, b.value):
        return UNKNOWN
    return Truth(a.value == b.value)


def edge_gap(gaps: Value, lengths: Value, edge: Value) -> Value:
    """The worst of gaps read under edges of given lengths, for an edge of length `edge`.

    What a shorter edge shows the longer one shows too, or worse: with only shorter ones read
    the value may rise, with only longer ones it may fall. A gap left out by `where` was not
    read at all; with none read there is no value.
    """
    rows = [(g, n) for g, n in zip(elements(gaps), elements(lengths), strict=False) if g != AWAY]
    wanted = number_of(elements(edge)[0]).value
    known = [(number_of(g), number_of(n).value) for g, n in rows]
    within = [g for g, n in known if n is not None and wanted is not None and n <= wanted]
    beyond = [g for g, n in known if n is not None and wanted is not None and n > wanted]
    if any(n == wanted for _, n in known):
        return extreme(within, 1)
    worst = extreme(beyond or within, 1)
    if isinstance(worst, Away) or worst.value is None:
        return GAP
    return Number(worst.value, worst.sens, worst.may | (FALL if beyond else RISE))


def step_above(value: Value, step: Value) -> Value:
    """The next multiple of `step` strictly above the value (a tape's next mark)."""
    return paired(_stepped, value, step)


def _stepped(element: Element, step: Element) -> Element:
    value, size = number_of(element).value, number_of(step).value
    if isinstance(element, Away):
        return AWAY
    if value is None or size is None or number_of(element).may:
        return GAP  # a place not measured could ask for more: no mark is above it for sure
    return exact(next_step(value, int(size)))
