"""A punch item, folded from the entries about it.

`TABLE` is the transition table as data: everything that may be done to an item, by whom, from
which states. An act outside the table is kept in the journal and marked "no effect" with the
reason; nothing is refused for an item's state.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

OPEN, CORRECTED, ACCEPTED = "open", "corrected", "accepted"
AS_IS, WITHDRAWN = "accepted_as_is", "withdrawn"
STATES = (OPEN, CORRECTED, ACCEPTED, AS_IS, WITHDRAWN)
UNFINISHED = (OPEN, CORRECTED)

SUPERINTENDENT, CREW = "superintendent", "crew"
EVERYONE = (SUPERINTENDENT, CREW)


@dataclass(frozen=True, slots=True)
class Transition:
    """One row of the table. `to` is "" where the state stays; `needs` are the body's fields."""

    act: str
    roles: tuple[str, ...]
    states: tuple[str, ...]
    to: str
    needs: tuple[str, ...]
    says: str


TABLE: tuple[Transition, ...] = (
    Transition("corrected", EVERYONE, (OPEN,), CORRECTED, (), "the crew says it is corrected"),
    Transition("accepted", (SUPERINTENDENT,), UNFINISHED, ACCEPTED, ("how",),
               "the superintendent looked, by eye or with a new measurement"),
    Transition("accepted_as_is", (SUPERINTENDENT,), UNFINISHED, AS_IS, ("agreed_by",),
               "it stays as it is, and somebody agreed"),
    Transition("sent_back", (SUPERINTENDENT,), (CORRECTED, ACCEPTED, AS_IS), OPEN, ("reason",),
               "looked at again and not right"),
    Transition("withdrawn", (SUPERINTENDENT,), UNFINISHED, WITHDRAWN, ("reason",),
               "it should not have been opened"),
    Transition("not_ours", (CREW,), (OPEN,), "", ("reason",), "the crew says another did it"),
    Transition("passed_on", (SUPERINTENDENT,), (OPEN,), "", ("trade",), "another crew owns it now"),
    Transition("note", EVERYONE, STATES, "", (), "a remark or a photo; nothing changes"),
)  # fmt: skip
"""Every act there is."""

_BY_ACT = {row.act: row for row in TABLE}


@dataclass(frozen=True, slots=True)
class Event:
    """One entry about an item: its opening (`act == "opened"`) or an act, in journal order.

    `trade` is the crew that owns it from the opening, or the one it is passed on to; `crew` is
    the author's trade id, "" for the superintendent. `struck` is the reason of a later strike.
    """

    id: str
    act: str
    role: str
    day: str
    crew: str = ""
    trade: str = ""
    reason: str = ""
    struck: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """What became of an event: `why` says why it had no effect, or is ""."""

    id: str
    effect: bool
    why: str


@dataclass(frozen=True, slots=True)
class ItemState:
    """An item as it stands, and what became of each event, in the same order."""

    state: str = OPEN
    trade: str = ""
    sent_back: bool = False
    not_ours: str = ""
    state_day: str = ""
    last_reason: str = ""
    opened: bool = False
    struck: str = ""
    lines: tuple[Line, ...] = field(default=())


def is_clash(seen: str, head: str) -> bool:
    """Whether an author had not seen the last entry of the subject when theirs was appended."""
    return seen != head


def allowed_acts(state: str, role: str) -> tuple[str, ...]:
    """The acts that take effect from `state` for `role`, in the table's order."""
    return tuple(row.act for row in TABLE if state in row.states and role in row.roles)


def fold(events: Sequence[Event]) -> ItemState:
    """The state of an item after `events`, which are in journal order."""
    item = ItemState()
    lines = []
    for event in events:
        why = _why_no_effect(item, event)
        lines.append(Line(event.id, not why, why))
        if event.act == "opened":
            item = _opened(event)
        elif not why:
            item = _after(item, event)
    return replace(item, lines=tuple(lines))


def _opened(event: Event) -> ItemState:
    return ItemState(trade=event.trade, state_day=event.day, opened=True, struck=event.struck)


def _why_no_effect(item: ItemState, event: Event) -> str:
    if event.struck:
        return "struck through"
    if event.act == "opened":
        return ""
    if not item.opened:
        return "there was no such item"
    if item.struck:
        return "the item is struck through"
    row = _BY_ACT[event.act]
    act = event.act.replace("_", " ")
    if event.role not in row.roles:
        return f"a {event.role} cannot enter {act}"
    if event.crew and event.crew != item.trade:
        return "the item is another crew's"
    if item.state not in row.states:
        return f"the item was {item.state.replace('_', ' ')}, and {act} does not follow that"
    if event.act == "passed_on" and event.trade == item.trade:
        return "the item is that crew's already"
    return ""


def _after(item: ItemState, event: Event) -> ItemState:
    if event.act == "note":
        return item
    if event.act == "not_ours":
        return replace(item, not_ours=event.reason, last_reason=event.reason)
    if event.act == "passed_on":
        return replace(
            item, trade=event.trade, not_ours="", sent_back=False, last_reason=event.reason
        )
    return replace(
        item,
        state=_BY_ACT[event.act].to,
        sent_back=event.act == "sent_back",
        not_ours="",
        state_day=event.day,
        last_reason=event.reason,
    )
