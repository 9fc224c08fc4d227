"""A crew's reply by text, such as `12, 14 done`: which item numbers it names. Pure.

Nothing is guessed: only where every word of the reply is a number, a joint or a plain "done" are
its numbers taken as said; else they are only offered. `12-14` may be a range or two numbers, so
both ends and what lies between are offered.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

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
_PIECE = re.compile(
    r"(?P<odd>\d+\s*[/.:]\s*\d+|\?)"
    r"|(?P<range>\d+\s*(?:-|–|to|thru|through)\s*\d+)"
    r"|(?P<number>\d+)"
    r"|(?P<word>[^\W\d_]+)"
)
"""A time, a fraction or a question; a range; a number; a word."""


@dataclass(frozen=True, slots=True)
class Reply:
    """The counts of the items named, each once, in the order of the text.

    `sure` is whether the reply says nothing but that these are done; `unread` are words and
    ranges that make it less than that.
    """

    counts: tuple[int, ...]
    unread: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether the numbers may be ticked beforehand."""
        return bool(self.counts) and not self.unread


def read_reply(text: str, prefix: str = "P") -> Reply:
    """The numbers in a reply; `P-12` and `#12` are 12."""
    bare = re.sub(rf"\b{prefix}-?(?=\d)", " ", text[:MAX_REPLY], flags=re.IGNORECASE)
    counts: dict[int, None] = {}
    unread: list[str] = []
    for found in _PIECE.finditer(bare):
        if found["range"]:
            counts.update(dict.fromkeys(_between(found["range"])))
            unread.append(found["range"])
        elif found["number"]:
            # a longer one is a telephone's
            if len(found["number"]) <= MAX_DIGITS:
                counts[int(found["number"])] = None
        elif found["odd"] or found["word"].lower() not in PLAIN:
            unread.append(found[0])
    return Reply(tuple(counts)[:MOST], tuple(dict.fromkeys(unread)))


def _between(said: str) -> list[int]:
    ends = [int(n[:MAX_DIGITS]) for n in re.findall(r"\d+", said)]
    low, high = min(ends), max(ends)
    return list(range(low, high + 1)) if high - low < MOST else [low, high]
