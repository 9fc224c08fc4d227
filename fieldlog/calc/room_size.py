"""A room's size as it is typed: "12 x 14 ft", "3 ft 2 in wide". Words on a page, yet lengths."""

from __future__ import annotations

import re

from fieldlog.calc.lengths import LengthNotUnderstood, parse_length

ASKS = (
    "Type two lengths with their unit, such as 12 x 14 ft or 3.6 x 4.2 m, or one, such as "
    "3 ft 2 in wide. It may stay empty."
)
_BETWEEN = re.compile(r"\s*(?:\bby\b|[x×])\s*", re.IGNORECASE)
_ONE_WAY = re.compile(r"\s+(?:wide|long|deep|high|square)\s*$", re.IGNORECASE)
_HAS_UNIT = re.compile(r"\d\s*(?:ft|in|mm|cm|m|feet|foot|inches|inch|['\"′″])", re.IGNORECASE)
_MOST = 3


def size_fault(text: str) -> str:
    """What is wrong with a room's size, and what to type; "" where it is empty or understood."""
    if not text.strip():
        return ""
    one_way = _ONE_WAY.search(text)
    parts = _BETWEEN.split(_ONE_WAY.sub("", text))
    sound = len(parts) == 1 if one_way else 2 <= len(parts) <= _MOST
    if not sound or not _HAS_UNIT.search(parts[-1]) or not all(map(_more_than_nothing, parts)):
        return f'"{text[:60]}" is no size of a room. {ASKS}'
    return ""


def _more_than_nothing(part: str) -> bool:
    try:
        return parse_length(part, "ft") > 0
    except LengthNotUnderstood:
        return False
