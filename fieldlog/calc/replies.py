"""A crew's reply by text, such as `12, 14 done`: which item numbers it names. Pure.

Nothing is guessed: only where every word of the reply is a number, a joint or a plain "done" are
its numbers taken as said; else they are only offered. `12-14` may be a range or two numbers, so
both ends and what lies between are offered. Each tablet numbers with letters of its own, so `12`
alone may be several items: which, is for the page to ask.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import NamedTuple

MOST = 60
"""Numbers that are read out of one reply."""
MAX_REPLY = 2000
MAX_DIGITS = 6
PLAIN = frozenset(
    (
        "done", "corrected", "fixed", "finished", "complete", "completed", "ready", "ok", "and",
        "are", "is", "all", "items", "item", "numbers", "number", "listo", "listos", "y",
        "pronto", "feito", "e",
    )
)  # fmt: skip
"""Words beside which a number is meant as an item's."""


class Named(NamedTuple):
    """An item as a reply names it: `TS-1`, or `1` with the prefix ""."""

    prefix: str
    number: int


@dataclass(frozen=True, slots=True)
class Reply:
    """The items named, each once, in the order of the text.

    `sure` is whether the reply says nothing but that these are done; `unread` are words and
    ranges that make it less than that.
    """

    named: tuple[Named, ...]
    unread: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether the numbers may be ticked beforehand."""
        return bool(self.named) and not self.unread


def read_reply(text: str, prefixes: Collection[str] = ("P",)) -> Reply:
    """The items in a reply; `#12` is 12, and `p-12`, `P12` have a prefix of the house's."""
    named: dict[Named, None] = {}
    unread: list[str] = []
    for found in _pieces(prefixes).finditer(text[:MAX_REPLY]):
        if found["range"]:
            named.update(dict.fromkeys(_between(found)))
            unread.append(found["range"])
        elif found["number"]:
            # a longer one is a telephone's
            if len(found["number"]) <= MAX_DIGITS:
                named[Named((found["prefix"] or "").upper(), int(found["number"]))] = None
        elif found["odd"] or found["word"].lower() not in PLAIN:
            unread.append(found[0])
    return Reply(tuple(named)[:MOST], tuple(dict.fromkeys(unread)))


def _pieces(prefixes: Collection[str]) -> re.Pattern[str]:
    """A time, a fraction or a question; a range; a number; a word."""
    letters = "|".join(re.escape(one) for one in sorted(prefixes, key=len, reverse=True)) or "(?!)"
    joint = r"\s*(?:-|–|to|thru|through)\s*"

    def item(prefix: str, count: str) -> str:
        return rf"(?:(?<![^\W_])(?P<{prefix}>{letters})(?:\s?-\s?)?)?(?P<{count}>\d+)"

    return re.compile(
        r"(?P<odd>\d+\s*[/.:]\s*\d+|\?)"
        rf"|(?P<range>{item('first', 'from')}{joint}{item('last', 'to')})"
        rf"|{item('prefix', 'number')}"
        r"|(?P<word>[^\W\d_]+)",
        re.IGNORECASE,
    )


def _between(found: re.Match[str]) -> list[Named]:
    first, last = ((found[end] or "").upper() for end in ("first", "last"))
    start, end = (int(found[end][:MAX_DIGITS]) for end in ("from", "to"))
    if last not in ("", first):
        return [Named(first, start), Named(last, end)]
    low, high = min(start, end), max(start, end)
    counts = range(low, high + 1) if high - low < MOST else (low, high)
    return [Named(first, count) for count in counts]
