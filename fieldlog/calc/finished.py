"""The same readings when the finishes are on: each finished reading hangs on the rough ones.

A sheet says by `[[finished]]` what a reading becomes, in its own quantities and in
`floor_below`, `floor_above`, `floor_here`, `floor_there` (how much a floor still comes up),
`ceiling_below` and `ceiling_here` (how much one comes down), lengths by the rooms' layers. By
`[[from_layers]]` a sheet has one of them among its quantities, where today's look already is to
be judged by what is still to come: an undercut, a threshold.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.layers import ToCome, as_json
from fieldlog.calc.lengths import NM_PER_INCH, format_length
from fieldlog.calc.named import number_of
from fieldlog.calc.readings import Readings
from fieldlog.calc.scope import Scope
from fieldlog.calc.sheet_parts import FINISH_NAMES
from fieldlog.calc.sheets import Sheet, fields_behind
from fieldlog.calc.values import GAP, Number, Value, elements, exact
from fieldlog.calc.verdicts import Result

SIXTEENTH = NM_PER_INCH // 16
MILLIMETER = 1_000_000


@dataclass(frozen=True, slots=True)
class _WithFinishes:
    """A check's scope with what is still to come."""

    scope: Scope
    finishes: Mapping[str, ToCome]

    def quantity(self, name: str) -> Value:
        if name not in FINISH_NAMES:
            return self.scope.quantity(name)
        return _still_to_come(name, self.finishes)

    def limit(self, rule: str) -> Value:
        return self.scope.limit(rule)

    def applies(self, rule: str) -> Value:
        return self.scope.applies(rule)


def places_of(sheet: Sheet) -> tuple[str, ...]:
    """The rooms whose layers a sheet's finished readings hang on: below, above, here."""
    names = [n for one in sheet.finished for n in one.names if n in FINISH_NAMES]
    names += [one.of for one in sheet.from_layers]
    return tuple(dict.fromkeys(n.partition("_")[2] for n in names))


def add_layers(sheet: Sheet, readings: Readings, finishes: Mapping[str, ToCome]) -> None:
    """Put what the sheet reads of the rooms' layers among the readings; a gap where not known."""
    for one in sheet.from_layers:
        readings.values[one.name] = _still_to_come(one.of, finishes)


def layers_read(sheet: Sheet, finishes: Mapping[str, ToCome], system: str) -> dict[str, Any]:
    """What a judgement keeps of the layers that its own quantities were read from."""
    if not sheet.from_layers or not finishes:
        return {}
    return {"layers": as_json(finishes, places_of(sheet), system)}


def _still_to_come(name: str, finishes: Mapping[str, ToCome]) -> Number:
    what, _, place = name.partition("_")
    found = finishes.get(place)
    return GAP if found is None else exact(found.floor if what == "floor" else found.ceiling)


def finished_readings(scope: Scope, finishes: Mapping[str, ToCome]) -> Readings | None:
    """The readings as they will be; None where the layers of no room that matters are known."""
    if not scope.sheet.finished or not set(places_of(scope.sheet)) & set(finishes):
        return None
    where = _WithFinishes(scope, finishes)
    values = {one.field: evaluate(one.tree, where) for one in scope.sheet.finished}
    return replace(scope.readings, values={**scope.readings.values, **values})


def changed_by_finishes(
    sheet: Sheet, rough: Iterable[Result], finished: Iterable[Result]
) -> list[Result]:
    """The limits on what the finishes change, but for what was not measured in the first place."""
    fields = {one.field for one in sheet.finished}
    blank = {(r.bound.rule.id, r.index) for r in rough if r.verdict == "not_measured"}
    return [
        r
        for r in finished
        if fields & _behind(sheet, r.bound.rule.quantity)
        and not (r.verdict == "not_measured" and (r.bound.rule.id, r.index) in blank)
    ]


def _behind(sheet: Sheet, quantity: str) -> set[str]:
    derived = sheet.derived_of(quantity)
    return set(fields_behind(sheet, derived.tree)) if derived else {quantity}


def foretold(
    rough: Scope, finished: Scope, finishes: Mapping[str, ToCome], words: Mapping[str, str],
    system: str,
) -> list[str]:  # fmt: skip
    """What the first and the last riser will be, and which floor thickness makes each right."""
    will = [number_of(e) for e in elements(finished.quantity("riser"))]
    if len(will) < 2 or "riser" not in {one.field for one in rough.sheet.finished}:
        return []
    ends = {"below": (0, "riser_first", 1), "above": (len(will) - 1, "riser_last", -1)}
    said: list[str] = []
    for place, (index, key, sign) in ends.items():
        one, floor = will[index].value, finishes.get(place)
        if one is None or floor is None:
            continue
        said.append(
            words[key].format(
                n=index + 1, will=format_length(one, system), room=floor.name,
                thickness=format_length(floor.floor, system),
            )
        )  # fmt: skip
        said += _right_thickness(finished, will, index, sign, floor, words, system)
    return said


def _right_thickness(
    finished: Scope, will: list[Number], index: int, sign: int, floor: ToCome,
    words: Mapping[str, str], system: str,
) -> list[str]:  # fmt: skip
    """The thicknesses that keep this end within the limits on one riser and on their spread."""
    spread = _limit(finished, "stair.riser-spread")
    one = will[index].value
    others = _others(will, index, spread or Fraction(0))
    if spread is None or one is None or not others or max(others) - min(others) > spread:
        return []  # without the others right there is nothing to be right against
    high, low = min(others) + spread, max(others) - spread
    most, least = (_limit(finished, f"stair.riser-{k}") for k in ("height", "least"))
    high = high if most is None else min(high, most)
    low = low if least is None else max(low, least)
    # a thicker floor below makes the first riser lower, a thicker one above the last one higher
    bare = one + sign * floor.floor
    ends = sorted(sign * (bare - r) for r in (high, low))
    step = MILLIMETER if system == "metric" else SIXTEENTH
    from_, to = max(0, -(-ends[0] // step) * step), ends[1] // step * step
    if high < low or to < from_:
        return [words["no_thickness"].format(n=index + 1, room=floor.name)]
    return [
        words["right_thickness"].format(
            n=index + 1, room=floor.name, low=format_length(Fraction(from_), system),
            high=format_length(Fraction(to), system),
        )
    ]  # fmt: skip


def _others(will: list[Number], index: int, spread: Fraction) -> list[Fraction]:
    """The risers an end has to be like: those between, and the other end where it is right."""
    between = [n.value for n in will[1:-1] if n.value is not None]
    other = will[-1 if index == 0 else 0].value
    with_it = between if other is None else [*between, other]
    return with_it if with_it and max(with_it) - min(with_it) <= spread else between


def _limit(scope: Scope, rule: str) -> Fraction | None:
    found = scope.limit(rule)
    return found.value if isinstance(found, Number) else None


def reopened(
    judgement: Mapping[str, Any], sheet: Sheet, now: Mapping[str, ToCome],
    words: Mapping[str, str], system: str,
) -> list[str]:  # fmt: skip
    """A sentence for each room whose layers are not those the check was judged with.

    `now` is what is still to come by place, as `finishes_of` gives it for that check today. A
    pour that is laid meanwhile counts too: what was measured is not there any more.
    """
    then = {one["place"]: one for one in (judgement.get("finished") or judgement).get("layers", ())}
    said = []
    for place in places_of(sheet):
        before, room = then.get(place), now.get(place)
        if room and before is None:
            said.append(words["layers_new"].format(room=room.name))
        elif room and before and _differs(before, room):
            was, to = before["floor"]["text"], format_length(room.floor, system)
            said.append(words["layers_changed"].format(room=room.name, was=was, now=to))
    return said


def _differs(before: Mapping[str, Any], now: ToCome) -> bool:
    then = (before["floor"]["nm"], before["ceiling"]["nm"])
    return before["room"] != now.room or then != (str(now.floor), str(now.ceiling))


def summary(judgement: Mapping[str, Any], sheet: Sheet) -> dict[str, Any]:
    """What is kept of the judgement of the finished readings."""
    names = {one.field for one in sheet.finished}
    return {
        "verdict": judgement["verdict"],
        "counts": judgement["counts"],
        "quantities": {n: q for n, q in judgement["quantities"].items() if n in names},
        "findings": [f for f in judgement["findings"] if f["mark"] != "pass"],
        "notes": [],
    }
