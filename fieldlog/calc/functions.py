"""The named functions of expressions: what each takes and gives; `named.py` does the work.

`twin` says whether the tablet's script computes it too; one marked "server" makes the tablet
say "judged when sent". A kind is the power of length of a number (0 plain, 1 a length), the
name of another kind of number (`units.py`), or "truth", "text", "grid".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fieldlog.calc import fitted, geometry, named, named_levels
from fieldlog.calc.units import APART, LENGTH, PLAIN, Kind, say_kind
from fieldlog.calc.values import Value

__all__ = ["FUNCTIONS", "LENGTH", "PLAIN", "Kind", "arithmetic_kind", "is_number"]

_NO_NUMBER = ("truth", "text", "grid")

Refuse = Callable[[str], Exception]


@dataclass(frozen=True, slots=True)
class Function:
    """A named function: kinds of its arguments, and of its result.

    "same" is any one kind of number, "sums" one that can be added up (two temperatures can't),
    "any" a number, a truth or a text; else it is the name of the one kind that fits. A
    "difference" of temperatures is in degrees, of dates a time.
    """

    name: str
    takes: tuple[str, ...]
    gives: str
    call: Callable[..., Value]
    twin: str = "js"

    def kind_of(self, kinds: Sequence[Kind], refuse: Refuse) -> Kind:
        """The result's kind; raises by `refuse` where an argument does not fit."""
        if len(kinds) != len(self.takes) and not (self.takes[-1] == "same..." and kinds):
            raise refuse(f"{self.name} takes {len(self.takes)} values, not {len(kinds)}")
        number: Kind | None = None
        for wants, kind in zip(self._wants(len(kinds)), kinds, strict=True):
            named = "length" if kind == LENGTH else kind
            if wants == named or (wants == "any" and kind != "grid"):
                continue
            if not _fits(wants, kind) or number not in (None, kind):
                raise refuse(f"{self.name}: {say_kind(kind)} does not fit where {wants} is meant")
            number = kind
        if self.gives == "difference" and number in APART:
            return APART[number]
        return _RESULT.get(self.gives, number if number is not None else PLAIN)

    def _wants(self, count: int) -> list[str]:
        if self.takes[-1] == "same...":
            return ["same"] * count
        return list(self.takes)


_RESULT: dict[str, Kind] = {
    "truth": "truth", "plain": PLAIN, "length": LENGTH, "angle": "angle", "percent": "percent",
    "temperature": "temperature",
}  # fmt: skip


def is_number(kind: Kind) -> bool:
    """Whether values of a kind are numbers."""
    return kind not in _NO_NUMBER


def _fits(wants: str, kind: Kind) -> bool:
    return is_number(kind) and (wants == "same" or (wants == "sums" and kind not in APART))


def arithmetic_kind(op: str, a: Kind, b: Kind, refuse: Refuse) -> Kind:
    """Kind of `a op b`; raises by `refuse` for a sum of a length and a plain number."""
    for kind in (a, b):
        if not is_number(kind):
            raise refuse(f"{op} works on numbers, not on {say_kind(kind)}")
    if op in "+-":
        return _sum_kind(op, a, b, refuse)
    if isinstance(a, int) and isinstance(b, int):
        return a + b if op == "*" else a - b
    if a not in APART and b not in APART:
        if b == PLAIN or (op == "*" and a == PLAIN):
            return b if a == PLAIN else a
        if op == "/" and a == b:
            return PLAIN
    raise refuse(f"{op} between {say_kind(a)} and {say_kind(b)} is of no kind")


def _sum_kind(op: str, a: Kind, b: Kind, refuse: Refuse) -> Kind:
    if a in APART:  # 70 F and 5 F apart is 75 F; 70 F and 70 F is nothing
        if a == b and op == "-":
            return APART[a]
        if b == APART[a]:
            return a
    elif b in APART and op == "+" and a == APART[b]:
        return b
    elif a == b:
        return a
    if isinstance(a, int) and isinstance(b, int):
        raise refuse(f'{op} between a length and a plain number: write "1 in", not 1')
    raise refuse(f"{op} between {say_kind(a)} and {say_kind(b)}")


FUNCTIONS: dict[str, Function] = {
    f.name: f
    for f in (
        Function("max", ("same...",), "number", named.largest),
        Function("min", ("same...",), "number", named.smallest),
        Function("spread", ("same",), "difference", named.spread),
        Function("sum", ("sums",), "number", named.total),
        Function("mean", ("same",), "number", named.mean),
        Function("running", ("sums",), "number", named.running),
        Function("joined", ("same", "same"), "number", named.joined),
        Function("count", ("same",), "plain", named.count),
        Function("where", ("truth", "same"), "number", named.where),
        Function("choose", ("truth", "same", "same"), "number", named.choose),
        Function("prefer", ("same", "same"), "number", named.prefer),
        Function("most", ("same", "same"), "number", named.most),
        Function("least", ("same", "same"), "number", named.least),
        Function("known", ("same",), "truth", named.known),
        Function("given", ("any",), "truth", named.known),
        Function("answered", ("truth",), "truth", named.known),
        Function("any", ("truth",), "truth", named.any_of),
        Function("all", ("truth",), "truth", named.all_of),
        Function("same", ("text", "text"), "truth", named.same),
        Function("first_place", ("any",), "truth", named.first_place),
        Function("last_place", ("any",), "truth", named.last_place),
        Function("hypot", ("length", "length"), "length", geometry.hypot),
        Function("leg", ("length", "length"), "length", geometry.leg),
        Function("angle_of", ("length", "length"), "angle", geometry.angle_of),
        Function("steps", ("length", "length"), "plain", geometry.steps),
        Function("edge_gap", ("length", "length", "length"), "length", named.edge_gap),
        Function("step_above", ("length", "length"), "length", named.step_above),
        Function(
            "dew_point", ("temperature", "percent"), "temperature", fitted.dew_point, "server"
        ),
        Function(
            "wood_moisture", ("temperature", "percent"), "percent", fitted.wood_moisture, "server"
        ),
        Function("arc_departure", ("length", "length"), "length", fitted.arc_departure, "server"),
        Function("arc_radius", ("length", "length"), "length", fitted.arc_radius, "server"),
        Function("daily_change", ("sums", "date"), "number", fitted.daily_change),
        Function("hollow_under", ("grid", "length"), "length", named_levels.hollow_under),
        Function("hump_under", ("grid", "length"), "length", named_levels.hump_under),
        Function("ff_of", ("grid",), "plain", named_levels.ff_of, "server"),
        Function("fl_of", ("grid",), "plain", named_levels.fl_of, "server"),
        Function("range_of", ("grid",), "length", named_levels.range_of),
    )
}
"""Every function an expression may call."""
