"""Reading a stored judgement: what in it is over, and whose it is. Nothing is judged here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def is_over(line: Mapping[str, Any]) -> bool:
    """Whether a rule or finding of a judgement can be handed to a crew.

    A fail can, and one too close to call whose number as read is over. Too close on the
    passing side opens nothing and holds nobody.
    """
    mark = line.get("verdict", line.get("mark"))
    return mark == "fail" or (mark == "too_close" and line.get("plain") == "fail")


def failing_rules(judgement: Mapping[str, Any], trade: str) -> tuple[str, ...]:
    """Ids of the limits that a check is over and that are this crew's, each once.

    A limit of no trade (a look) is the one's whom the superintendent names.
    """
    over = (r for r in judgement.get("rules", ()) if is_over(r) and r["trade"] in ("", trade))
    return tuple(dict.fromkeys(str(r["rule"]) for r in over))
