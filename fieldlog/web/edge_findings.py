"""Findings of a floor under many edges of one book: the edge that governs, the others folded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

EDGES = ("hollow", "hump")
FEW = 2
"""So many edges of a book are all shown; of more, the one that governs."""
SAYS = {
    "pass": "pass",
    "fail": "fail",
    "too_close": "are too close to call",
    "not_measured": "are not measured",
}

Finding = dict[str, Any]


def folded(findings: Sequence[Finding], rules: Sequence[Mapping[str, Any]]) -> list[Finding]:
    """The findings with those of one book, kind and verdict together: the nearest to its limit
    (or the furthest over it) stands, with the others in `more` and in words in `more_says`.

    `rules` are the judgement's; what is no straightedge's is left as it is.
    """
    by_id = {rule["rule"]: rule for rule in rules if rule["quantity"] in EDGES}
    together: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        if finding["rule"] in by_id:
            together.setdefault(_key(finding, by_id), []).append(finding)
    shown: list[Finding] = []
    for finding in findings:
        group = together[_key(finding, by_id)] if finding["rule"] in by_id else []
        if len(group) <= FEW:
            shown.append(finding)
        elif finding is group[0]:
            shown.append(_governing(group, by_id))
    return shown


def _key(finding: Finding, by_id: Mapping[str, Any]) -> tuple[str, ...]:
    rule = by_id[finding["rule"]]
    return (rule["book"], rule["quantity"], finding["mark"])


def _governing(group: list[Finding], by_id: Mapping[str, Any]) -> Finding:
    first = min(group, key=lambda finding: _room_left(by_id[finding["rule"]]))
    more = [finding for finding in group if finding is not first]
    return {**first, "more": more, "more_says": f"and {len(more)} more edges {SAYS[first['mark']]}"}


def _room_left(rule: Mapping[str, Any]) -> Fraction:
    """What is left below the limit as a part of it; below zero is over."""
    margin, limit = rule["margin"], Fraction(rule["limit"]["nm"])
    return Fraction(margin["nm"]) / limit if margin and limit else Fraction(0)
