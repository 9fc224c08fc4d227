"""What a crew's punch list says, as plain frozen facts."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.reports.facts import NO_LIMITS, Finding, FloorWork, Limits, Picture
from fieldlog.store.views import Head


@dataclass(frozen=True, slots=True)
class PunchItem:
    """An item on a crew's list. `findings` are the failing limits of its check, if measured."""

    number: str
    where: str
    words: str
    state: str
    sent_back: bool
    reason: str
    age: str
    opened: str
    needs_by: str
    late: bool
    kind: str
    tool: str
    findings: tuple[Finding, ...]
    damaged_by_other: bool
    not_ours: str
    picture: Picture | None = None
    floor: FloorWork | None = None


@dataclass(frozen=True, slots=True)
class PunchList:
    """A crew's punch list: what is to be done, then what waits for a look."""

    house: str
    by: str
    trade: str
    crew: str
    day: str
    head: Head
    open: tuple[PunchItem, ...] = ()
    waiting: tuple[PunchItem, ...] = ()
    cautions: tuple[str, ...] = ()
    limits: Limits = NO_LIMITS

    @property
    def serious(self) -> int:
        """How many of the open ones are about safety and code."""
        return sum(1 for item in self.open if item.kind == "safety")
