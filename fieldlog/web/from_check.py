"""From a judged check to punch items: what is handed to a crew, and what a new look settles.

Reads only the stored judgement; nothing is judged here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from fieldlog.calc.house import House
from fieldlog.calc.items import UNFINISHED
from fieldlog.calc.judged import failing_rules, is_over
from fieldlog.store.views import CheckLine, CheckView, ItemView

HEADS = 3
"""Sentences of a check that go into an item's words; the findings hold them all."""
WORDS = 300

_FIRST_SENTENCE = re.compile(r"(.+?)[.!?](\s|$)", re.DOTALL)


def failing_trades(check: CheckView) -> tuple[str, ...]:
    """Crews that the check has something for, in the judgement's order."""
    return tuple(
        dict.fromkeys(str(r["trade"]) for r in check.judgement.get("rules", ()) if is_over(r))
    )


@dataclass(frozen=True, slots=True)
class ByHand:
    """What an item says and is about where a person picks the crew."""

    check: CheckView
    words: str
    rules: tuple[str, ...]


def by_hand(check: CheckView, house: House, opened: Iterable[ItemView]) -> ByHand | None:
    """What is over and is no crew's of the house (a look is nobody's by itself), in one item.

    None where there is nothing such, the check is struck through, or `opened` (the items of
    this check) has it already. What was typed as a note goes into the words.
    """
    trades = tuple(t for t in failing_trades(check) if house.trade(t) is None)
    found = (r for t in trades for r in failing_rules(check.judgement, t))
    rules = tuple(dict.fromkeys(found))
    had = {r for i in opened if i.state != "withdrawn" and not i.struck for r in i.rules}
    if check.struck or not rules or had.intersection(rules):
        return None
    said = [words_for(check, *trades), " ".join(check.note.split())]
    return ByHand(check, _cut(". ".join(part for part in said if part)), rules)


def words_for(check: CheckView, *trades: str) -> str:
    """What the item says: the check's name and what is off, from the findings' heads."""
    heads = [
        _first_sentence(str(f["head"]))
        for f in check.judgement.get("findings", ())
        if is_over(f) and f.get("trade") in ("", *trades)
    ]
    more = f" and {len(heads) - HEADS} more" if len(heads) > HEADS else ""
    said = "; ".join(heads[:HEADS]) + more
    named = check.place and said.lower().startswith(check.place.lower())
    name = _title(check) if named else name_of(check)
    return _cut(f"{name}: {said}" if said else f"{name} does not pass")


def _cut(text: str) -> str:
    return text if len(text) <= WORDS else text[: WORDS - 1].rstrip() + "…"


def name_of(check: CheckLine) -> str:
    """`Stair, whole flight`: the sheet's title, and which one."""
    title = _title(check)
    return f"{title}, {check.place[:1].lower()}{check.place[1:]}" if check.place else title


def _title(check: CheckLine) -> str:
    return str(check.judgement.get("sheet", {}).get("title", check.sheet))


def settles(check: CheckView, item: ItemView) -> bool:
    """Whether the check passes every limit that the item is about."""
    if item.state not in UNFINISHED or item.struck or not item.rules:
        return False
    lines = [r for r in check.judgement.get("rules", ()) if r["rule"] in item.rules]
    return bool(lines) and not any(is_over(r) or r["verdict"] == "not_measured" for r in lines)


def still_waiting(items: Iterable[ItemView], trade: str) -> ItemView | None:
    """An item of that crew that nobody has accepted yet, or None."""
    return next(
        (i for i in items if i.trade == trade and i.state in UNFINISHED and not i.struck), None
    )


def _first_sentence(text: str) -> str:
    found = _FIRST_SENTENCE.match(text)
    return (found[1] if found else text).strip()
