"""The cut list: pieces wanted against lengths sold, with the least waste."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from fieldlog.calc.calculations.cutting import CutList, Stick, cut_list
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Rows,
    Series,
    Words,
)
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text

_MOST_PIECES = 200


def _compute(given: Given) -> Answer:
    pieces, kerf = _pieces(given), _kerf(given)
    found = cut_list(pieces, list(given["stock"]), kerf)
    waste = found.bought - sum(pieces)

    def say(nm: int) -> str:
        return length_text(nm, given.system, feet=True)

    results = (
        Result("sticks", "Sticks", Number(len(found.sticks))),
        Result("buy", "Buy", Rows(_to_buy(found))),
        Result("bought", "Bought in all", Length(found.bought, feet=True)),
        Result("waste", "Waste, kerfs in it", Length(waste, feet=True)),
        Result("waste_percent", "Waste", Number(Fraction(100 * waste, found.bought), "%", 1)),
        Result("proven", "Least waste", Words(_says(found, given.system))),
        Result("bound", "No list buys less than", Length(found.bound, feet=True)),
        Result("cuts", "Cuts", Rows(tuple(_row(s, kerf) for s in found.sticks))),
    )
    steps = (
        f"{len(pieces)} pieces, {say(sum(pieces))} in all; a kerf of "
        f"{length_text(kerf, given.system)} at each cut.",
        f"{say(found.bought)} bought - {say(sum(pieces))} of pieces = {say(waste)}.",
    )
    return Answer(results, steps, _notes(given), "cut-list")


def _pieces(given: Given) -> list[int]:
    """Every piece, as often as it is wanted. Refuses a piece longer than the longest stock."""
    _positive("pieces", given["pieces"])
    _positive("stock", given["stock"])
    counts = given["counts"] or (1,) * len(given["pieces"])
    if len(counts) != len(given["pieces"]):
        why = f"{len(given['pieces'])} lengths and {len(counts)} counts: one for each length."
        raise refused("counts", why)
    longest = max(given["stock"])
    for place, piece in enumerate(given["pieces"]):
        if piece > longest:
            said = (length_text(nm, given.system, feet=True) for nm in (piece, longest))
            why = "{} is longer than the longest stock, {}.".format(*said)
            raise refused("pieces", why, index=place)
    pieces = [one for one, n in zip(given["pieces"], counts, strict=True) for _ in range(n)]
    if not 1 <= len(pieces) <= _MOST_PIECES:
        raise refused("counts", f"1 to {_MOST_PIECES} pieces, not {len(pieces)}.")
    return pieces


def _positive(name: str, lengths: tuple[int, ...]) -> None:
    for place, one in enumerate(lengths):
        if one <= 0:
            raise refused(name, "A length is more than zero.", index=place)


def _kerf(given: Given) -> int:
    typed: int | None = given["kerf"]
    return given.reference.practice["saw-kerf"].nm if typed is None else typed


def _to_buy(found: CutList) -> tuple[tuple[Result, ...], ...]:
    counted = Counter(s.stock for s in found.sticks)
    return tuple(
        (Result("count", "Count", Number(n)), Result("stock", "of", Length(stock, feet=True)))
        for stock, n in sorted(counted.items(), reverse=True)
    )


def _row(stick: Stick, kerf: int) -> tuple[Result, ...]:
    return (
        Result("stock", "From", Length(stick.stock, feet=True)),
        Result("pieces", "cut", Series(tuple(map(Length, stick.pieces)))),
        Result("left_over", "left over", Length(stick.left_over(kerf))),
    )


def _says(found: CutList, system: str) -> str:
    if found.proven:
        return "Proven: no list from these lengths buys less."
    bound = length_text(found.bound, system, feet=True)
    return f"A good list, not proven: no list can buy less than {bound}."


def _notes(given: Given) -> tuple[str, ...]:
    told = ["Square the ends first: add what that takes to the pieces, or to the kerf."]
    if given["kerf"] is None:
        kerf = given.reference.practice["saw-kerf"]
        told.append(f"Kerf: {kerf.verified}; {kerf.seen}.")
    return tuple(told)


CALCULATIONS = (
    Calculation(
        name="stock-list",
        title="Cut list",
        says="Which lengths to buy and how to cut them, with the least waste.",
        inputs=(
            Input("pieces", "Lengths wanted", "lengths", required=True),
            Input("counts", "How many of each", "counts", "Left out: one of each."),
            Input("stock", "Lengths sold", "lengths", required=True, most=8),
            Input("kerf", "Saw kerf", "length", "Left out: a full blade.", low=0),
        ),
        formula="Least length bought, with sum of pieces + kerfs between them <= stock in each.",
        source="Exact search (each remainder once); not proven where the list is too long for it",
        caution="Buy one more: a knot, a split or a wrong cut is not in the list.",
        compute=_compute,
    ),
)
