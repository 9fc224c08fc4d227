"""Reading a stored judgement: what in it is over, and whose it is. Nothing is judged here."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any


def is_over(line: Mapping[str, Any]) -> bool:
    """Whether a rule or finding of a judgement can be handed to a crew.

    A fail can, and one too close to call whose number as read is over. Too close on the
    passing side opens nothing and holds nobody.
    """
    mark = line.get("verdict", line.get("mark"))
    return mark == "fail" or (mark == "too_close" and line.get("plain") == "fail")


def rules_digest(judgement: Mapping[str, Any]) -> str:
    """What two judges of the same readings must agree on: every limit's verdict and value.

    SHA-256 over one line a limit, sorted: rule id, a space, its place (`index`, or `-`), a space,
    verdict, a space, value (`value.nm`, else `value.value`, else `-`), a line feed.
    """
    lines = sorted(_line(rule) for rule in judgement.get("rules", ()))
    return hashlib.sha256("".join(lines).encode()).hexdigest()


def _line(rule: Mapping[str, Any]) -> str:
    value = rule["value"] or {}
    number = value.get("nm") or value.get("value") or "-"
    place = "-" if rule["index"] is None else rule["index"]
    return f"{rule['rule']} {place} {rule['verdict']} {number}\n"


def failing_rules(judgement: Mapping[str, Any], trade: str) -> tuple[str, ...]:
    """Ids of the limits that a check is over and that are this crew's, each once.

    A limit of no trade (a look) is the one's whom the superintendent names.
    """
    over = (r for r in judgement.get("rules", ()) if is_over(r) and r["trade"] in ("", trade))
    return tuple(dict.fromkeys(str(r["rule"]) for r in over))
