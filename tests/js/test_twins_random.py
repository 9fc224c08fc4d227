"""The tablet's modules against Python on what nobody thought of: trees, floors, whole checks."""

from __future__ import annotations

from random import Random
from typing import Any

from tests.js.asking import Question, ask, differences, seed_of
from tests.js.made import (
    check_question,
    floor_question,
    judged_floor,
    stair_question,
    tree_question,
)
from tests.js.twins import answer


def disagreements(questions: list[Question]) -> list[tuple[Question, list[str]]]:
    """Questions that are answered otherwise, and where."""
    out = []
    for question, said in zip(questions, ask(questions), strict=True):
        found = differences(*compared(said, answer(question)))
        if found:
            out.append((question, found[:5]))
    return out


def compared(tablet: Any, server: Any) -> tuple[Any, Any]:
    """Both answers without what the tablet left for the server, which it has to name."""
    if not isinstance(tablet, dict) or "when_sent" not in tablet:
        return tablet, server
    left = {(one["what"], one["name"]) for one in tablet["when_sent"]}
    if "errors" in server:  # what can't be, by a sum that only the server does
        assert {("impossible", e["field"]) for e in server["errors"]} <= left, server
        return None, None
    rules = {name for what, name in left if what == "rule"}
    quantities = {name for what, name in left if what == "quantity"}
    kept = dict(server)
    kept["quantities"] = {n: q for n, q in server["quantities"].items() if n not in quantities}
    if rules:
        kept["rules"] = [one for one in server["rules"] if one["rule"] not in rules]
        for part in ("findings", "questions", "counts", "verdict"):
            kept.pop(part)
        assert tablet["verdict"] in ("fail", "when_sent")
    if ("grid", "f_numbers") in left:
        kept["grids"] = {
            name: {key: v for key, v in grid.items() if key != "f_numbers"}
            for name, grid in server["grids"].items()
        }
        kept["notes"] = [note for note in server["notes"] if not note.startswith("No FF and FL")]
    said = {key: value for key, value in tablet.items() if key in kept}
    sentences = {name for what, name in left if what == "sentence"}
    for judgement in (said, kept):
        found = judgement.get("findings", ())
        if sentences:
            judgement["findings"] = [f for f in found if f["rule"] not in sentences]
    return said, kept


def test_two_thousand_trees() -> None:
    r = Random(seed_of("trees"))
    questions = [tree_question(r) for _ in range(2000)]
    assert disagreements(questions) == []


def test_two_hundred_floors() -> None:
    r = Random(seed_of("floors"))
    assert disagreements([floor_question(r) for _ in range(200)]) == []


def test_forty_judged_floors() -> None:
    r = Random(seed_of("judged floors"))
    assert disagreements([judged_floor(r) for _ in range(40)]) == []


def test_three_hundred_checks_of_every_sheet() -> None:
    r = Random(seed_of("checks"))
    assert disagreements([check_question(r) for _ in range(300)]) == []


def test_forty_stairs_between_floors_to_come() -> None:
    r = Random(seed_of("stairs"))
    assert disagreements([stair_question(r) for _ in range(40)]) == []
