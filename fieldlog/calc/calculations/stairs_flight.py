"""A flight as it was measured, what may be done to it, and how the judge sees it after.

Riser 1 is the lowest. Tread i lies on riser i; the last riser ends at the upper floor, which
stays where it is, as the lower one does. Lengths are whole nm.

- The flight moved up by d: every tread rises by d, so the first riser grows by d and the last
  one shrinks by d. No gap between two treads changes.
- Tread i shimmed by s: its top rises, with its underside. Riser i grows, riser i + 1 shrinks.
- Tread i planed by p: its top sinks, its underside stays. Riser i shrinks and riser i + 1
  grows; the gap under tread i stays, and the gap above it opens by p.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from fieldlog.calc.judging import judge
from fieldlog.calc.library import Library
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.tape import NM_PER_MM

SHEET = "stair"

Readings = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Plan:
    """What is done: the move of the whole flight, and of each tread's top (+ shim, - plane)."""

    move: int
    changes: tuple[int, ...]

    @property
    def pieces(self) -> int:
        """Treads touched."""
        return sum(1 for change in self.changes if change)

    @property
    def total(self) -> int:
        """Shims and shavings together, nm."""
        return sum(abs(change) for change in self.changes)

    @property
    def cost(self) -> tuple[int, int, int, int]:
        """What plans of one stage are compared by, the least first.

        Pieces touched, then shims and shavings together, then pieces planed, then the move.
        """
        planed = sum(1 for change in self.changes if change < 0)
        return self.pieces, self.total, planed, abs(self.move)


@dataclass(frozen=True, slots=True)
class Flight:
    """A flight, nm. `thickness` has one of each riser, None where it was not measured, and is
    empty where none was; the last is that of the upper floor's edge, which is no tread:
    `own_edge` where it was measured by itself. `others` are further readings of the sheet,
    as typed, that no plan changes.
    """

    risers: tuple[int, ...]
    thickness: tuple[int | None, ...] = ()
    own_edge: bool = False
    open_riser: bool | None = None
    headroom: int | None = None
    others: Mapping[str, Any] | None = None

    @property
    def rise(self) -> int:
        """Floor to floor: the sum of the risers."""
        return sum(self.risers)

    def after(self, plan: Plan) -> Flight:
        """The flight when the plan is done."""
        tops = [0, *(plan.move + change for change in plan.changes), 0]
        risers = tuple(
            riser + above - below
            for riser, below, above in zip(self.risers, tops, tops[1:], strict=False)
        )
        thickness = tuple(
            None if thick is None else thick + min(change, 0)
            for thick, change in zip(self.thickness, (*plan.changes, 0), strict=False)
        )
        headroom = None if self.headroom is None else self.headroom - max(0, *tops)
        return replace(self, risers=risers, thickness=thickness, headroom=headroom)

    def readings(self) -> Readings:
        """Readings of the sheet "stair", exact."""
        told: Readings = dict(self.others or {})
        told["riser"] = [exact_text(riser) for riser in self.risers]
        if any(thick is not None for thick in self.thickness):
            treads = self.thickness[:-1] if self.own_edge else self.thickness
            told["tread_thickness"] = [None if t is None else exact_text(t) for t in treads]
        if self.own_edge and self.thickness[-1] is not None:
            told["floor_edge_thickness"] = exact_text(self.thickness[-1])
        if self.open_riser is not None:
            told["open_riser"] = self.open_riser
        if self.headroom is not None:
            told["headroom"] = exact_text(self.headroom)
        return told


def exact_text(nm: int) -> str:
    """Whole nanometers as a length that the parser reads back exactly, in any system."""
    whole, rest = divmod(nm, NM_PER_MM)
    return f"{whole}.{rest:06d} mm"


@dataclass(frozen=True, slots=True)
class Court:
    """The real judge, with a house's limits and a tool, asked about flights."""

    library: Library
    books: tuple[str, ...]
    tool: str
    system: str

    @property
    def sheet(self) -> Sheet:
        """The sheet of a flight."""
        return self.library.sheet(SHEET)

    def judged(self, flight: Flight) -> dict[str, Any]:
        """The judgement of a flight. Raises ReadingsRefused, UnknownSource."""
        return self.judge(flight.readings())

    def judge(self, readings: Readings) -> dict[str, Any]:
        """The judgement of readings of the sheet."""
        return judge(self.library, SHEET, self.books, readings, self.tool, self.system)


def even_split(total: int, parts: int) -> tuple[int, ...]:
    """A length in whole nm split into even parts that add up to it exactly.

    Where it does not divide, some parts are 1 nm longer; the longest is over a limit in whole
    nm exactly when the true share is, and the shortest under one.
    """
    each, more = divmod(total, parts)
    return (each + 1,) * more + (each,) * (parts - more)


def off(judgement: Mapping[str, Any], rules: Sequence[str] | None = None) -> list[dict[str, Any]]:
    """Lines of a judgement that fail or are too close to call (of these rules only)."""
    return [
        line
        for line in judgement["rules"]
        if line["verdict"] in ("fail", "too_close") and (rules is None or line["rule"] in rules)
    ]


def heads(judgement: Mapping[str, Any], rules: Sequence[str] | None = None) -> tuple[str, ...]:
    """What a judgement says of the limits that fail or are too close, a sentence each."""
    return tuple(
        finding["head"]
        for finding in judgement["findings"]
        if finding["mark"] in ("fail", "too_close") and (rules is None or finding["rule"] in rules)
    )


def mean(flight: Flight) -> Fraction:
    """The riser that all would be if they were even, nm."""
    return Fraction(flight.rise, len(flight.risers))
