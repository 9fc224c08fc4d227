"""Who may start: what must be true in a room before a trade starts there.

A sequence (TOML, `fieldlog/sequences/finish.toml`) lists the trades in order and, for each,
the sheets it needs and those it heeds. A step is held by

- a planned check that it needs and that was not measured, or not wholly;
- a check that it needs or heeds, planned or not, that is over (too close to call on the failing
  side is over, on the passing side it holds nobody);
- a limit of kind "safety" that is over in any check of the room, where it is an earlier trade's:
  it holds whom its item will hold, given to a crew or not;
- an earlier trade's item of kind "safety" or "holds" that nobody has accepted yet.

Everything here is pure; the source of the order is named in the file (common practice).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from fieldlog.calc.house import House, Room
from fieldlog.calc.judged import is_over
from fieldlog.calc.readiness_reasons import (
    NOT_ACCEPTED,
    SERIOUS,
    WAITING,
    AboutSheet,
    CheckLike,
    ItemLike,
    Reason,
    failing_reason,
    item_reason,
    missing_reason,
    named_in,
)
from fieldlog.calc.trade_order import Sequence, Step

__all__ = ["AboutSheet", "Gate", "Reason", "gates", "named_in", "room_gates"]

SAFETY = "safety"


@dataclass(frozen=True, slots=True)
class Gate:
    """One trade in one room: held while it has reasons."""

    room: str
    trade: str
    why: str
    reasons: tuple[Reason, ...] = ()

    @property
    def held(self) -> bool:
        """True while something has to be done first."""
        return bool(self.reasons)


def gates(
    sequence: Sequence,
    house: House,
    checks: Iterable[CheckLike],
    items: Iterable[ItemLike],
    sheets: Mapping[str, AboutSheet],
) -> dict[str, tuple[Gate, ...]]:
    """Every room's gates, by room id, trades in order.

    `checks` are the latest of each key; `sheets` maps a sheet's id to what is known of it.
    """
    made: dict[str, list[CheckLike]] = {}
    for check in checks:
        made.setdefault(check.room, []).append(check)
    waiting: dict[str, list[ItemLike]] = {}
    for item in items:
        waiting.setdefault(item.room, []).append(item)
    return {
        room.id: room_gates(
            sequence, house, room, made.get(room.id, []), waiting.get(room.id, []), sheets
        )
        for room in house.rooms
    }


def room_gates(
    sequence: Sequence,
    house: House,
    room: Room,
    checks: Iterable[CheckLike],
    items: Iterable[ItemLike],
    sheets: Mapping[str, AboutSheet],
) -> tuple[Gate, ...]:
    """One room's gates, trades in order."""
    made = {c.key: c for c in checks if c.room == room.id}
    here = [i for i in items if i.room == room.id]
    steps = [step for step in sequence.step if house.trade(step.trade) is not None]
    answer: list[Gate] = []
    later = {step.trade for step in steps}
    for step in steps:
        reasons = _check_reasons(step, room, made, here, sheets, later)
        told = {i for r in reasons for i in r.items}
        reasons += [
            item_reason(i, house)
            for i in here
            if i.kind in SERIOUS and i.state in WAITING and i.id not in told
            and i.trade not in later and _in_order(i.trade, steps)
        ]  # fmt: skip
        answer.append(Gate(room.id, step.trade, step.why, tuple(reasons)))
        later.discard(step.trade)
    return tuple(answer)


def _in_order(trade: str, steps: list[Step]) -> bool:
    return any(step.trade == trade for step in steps)


def _check_reasons(
    step: Step,
    room: Room,
    made: Mapping[str, CheckLike],
    items: list[ItemLike],
    sheets: Mapping[str, AboutSheet],
    later: Collection[str],
) -> list[Reason]:
    """What checks hold a step: planned ones in the plan's order, then those nobody planned.

    `later` are the step's own trade and those after it: a safety limit of theirs holds it not.
    """
    planned = {one.key: one for one in room.checks}
    found: list[Reason | None] = []
    for key in [*planned, *(key for key in made if key not in planned)]:
        check, plan = made.get(key), planned.get(key)
        bad = _holding(step, check, later) if check else []
        reason = failing_reason(check, bad, items, sheets) if check else None
        if reason and check and not any(_asked(step, check.sheet, rule) for rule in bad):
            reason = replace(reason, short=NOT_ACCEPTED)
        if reason is None and plan and any(_sheet_of(need) == plan.sheet for need in step.needs):
            reason = missing_reason(plan, check, sheets)
        found.append(reason)
    return [reason for reason in found if reason is not None]


def _holding(step: Step, check: CheckLike, later: Collection[str]) -> list[dict[str, Any]]:
    """The limits of a check that are over and hold this step."""
    return [
        rule
        for rule in check.judgement.get("rules", ())
        if is_over(rule)
        and (
            _asked(step, check.sheet, rule)
            or (rule.get("kind") == SAFETY and rule.get("trade") not in later)
        )
    ]


def _asked(step: Step, sheet: str, rule: Mapping[str, Any]) -> bool:
    return any(_asks(one, sheet, rule) for one in (*step.needs, *step.heeds))


def _sheet_of(need: str) -> str:
    return need.partition(".")[0]


def _asks(need: str, sheet: str, rule: Mapping[str, Any]) -> bool:
    """Whether a step asks for this limit: by its sheet, or by how the limit's id begins."""
    return _sheet_of(need) == sheet and ("." not in need or str(rule["rule"]).startswith(need))
