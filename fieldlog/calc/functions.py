"""The named functions of expressions: what each takes and gives; `named.py` does the work.

`twin` says whether the tablet's script computes it too; one marked "server" makes the tablet
say "judged when sent". A kind is the power of length of a number (0 plain, 1 a length), or
"truth", "text", "grid".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from fieldlog.calc import named
from fieldlog.calc.values import Value

Kind = int | str
PLAIN: Kind = 0
LENGTH: Kind = 1

Refuse = Callable[[str], Exception]


@dataclass(frozen=True, slots=True)
class Function:
    """A named function: kinds of its arguments ("same" = any one number kind), its result."""

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
            if wants in ("truth", "text", "grid") and kind == wants:
                continue
            fits = isinstance(kind, int) and wants in ("same", "length")
            if not fits or (wants == "length" and kind != 1) or number not in (None, kind):
                raise refuse(f"{self.name}: a {kind} does not fit where {wants} is meant")
            number = kind
        return _RESULT.get(self.gives, number if number is not None else PLAIN)

    def _wants(self, count: int) -> list[str]:
        if self.takes[-1] == "same...":
            return ["same"] * count
        return list(self.takes)


_RESULT: dict[str, Kind] = {"truth": "truth", "plain": PLAIN, "length": LENGTH}


def arithmetic_kind(op: str, a: Kind, b: Kind, refuse: Refuse) -> Kind:
    """Kind of `a op b`; raises by `refuse` for a sum of a length and a plain number."""
    if not isinstance(a, int) or not isinstance(b, int):
        raise refuse(f"{op} works on numbers, not on a {a if isinstance(a, str) else b}")
    if op in "+-":
        if a != b:
            raise refuse(f'{op} between a length and a plain number: write "1 in", not 1')
        return a
    return a + b if op == "*" else a - b


FUNCTIONS: dict[str, Function] = {
    f.name: f
    for f in (
        Function("max", ("same...",), "number", named.largest),
        Function("min", ("same...",), "number", named.smallest),
        Function("spread", ("same",), "number", named.spread),
        Function("sum", ("same",), "number", named.total),
        Function("mean", ("same",), "number", named.mean),
        Function("running", ("same",), "number", named.running),
        Function("count", ("same",), "plain", named.count),
        Function("where", ("truth", "same"), "number", named.where),
        Function("choose", ("truth", "same", "same"), "number", named.choose),
        Function("prefer", ("same", "same"), "number", named.prefer),
        Function("most", ("same", "same"), "number", named.most),
        Function("known", ("same",), "truth", named.known),
        Function("answered", ("truth",), "truth", named.known),
        Function("any", ("truth",), "truth", named.any_of),
        Function("all", ("truth",), "truth", named.all_of),
        Function("same", ("text", "text"), "truth", named.same),
        Function("edge_gap", ("length", "length", "length"), "length", named.edge_gap),
        Function("step_above", ("length", "length"), "length", named.step_above),
        Function("hollow_under", ("grid", "length"), "length", named.hollow_under, "server"),
        Function("hump_under", ("grid", "length"), "length", named.hump_under, "server"),
        Function("range_of", ("grid",), "length", named.range_of, "server"),
    )
}
"""Every function an expression may call."""
