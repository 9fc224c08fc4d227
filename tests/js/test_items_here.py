"""Items as they stand on a tablet: what the office knew, then what the outbox holds, in order."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from fieldlog.calc.items import TABLE
from tests.js.asking import ROOT, document, node_or_skip

ASKS = """
import { isOf, itemsHere, stateOf, wordOf } from "./tablet/items_here.js";
let text = "";
for await (const part of process.stdin) text += part;
const { table, cases, lists } = JSON.parse(text);
const told = cases.map(({ records, known }) => {
  const page = new Map(known.map(([id, word, trade]) => [id, stateOf(word, trade)]));
  return [...itemsHere(table, records, page).values()].map(({ id, before, after, why, waits }) =>
    [id, before ? wordOf(before) : "", wordOf(after), after.trade, Object.values(why), waits]);
});
console.log(JSON.stringify([told, lists.map(([list, item, room]) => isOf(list, item, room))]));
"""
WAS = {"state": "corrected", "sent_back": False, "trade": "paint", "opened": True}


def entry(
    act: str, item: str = "a", state: str = "waiting", was: Any = None, **body: str
) -> dict[str, Any]:
    """One record of the outbox."""
    said = {"day": "", "reason": "", "trade": "", **body}
    kind = "item/1" if act == "opened" else "act/1"
    if act != "opened":
        said["act"] = act
    envelope = {
        "type": kind, "subject": f"item:{item}", "author": "superintendent/Ada Quill",
        "body": json.dumps(said),
    }  # fmt: skip
    return {"id": f"{act}-{item}", "state": state, "envelope": envelope, "shown": {"was": was}}


NO = "the item was withdrawn, and accepted does not follow that"
NEW = [entry("opened", trade="paint"), entry("passed_on", trade="stair"), entry("accepted")]
CASES: list[tuple[str, list[dict[str, Any]], list[list[str]], list[list[Any]]]] = [
    ("accepted on the page's word", [entry("accepted")], [["a", "open", "paint"]],
     [["a", "open", "accepted", "paint", [""], True]]),
    ("not on the page: as it stood when the act was done", [entry("sent_back", was=WAS)], [],
     [["a", "corrected", "sent_back", "paint", [""], True]]),
    ("the page knows better", [entry("accepted", was=WAS)], [["a", "withdrawn", "paint"]],
     [["a", "withdrawn", "withdrawn", "paint", [NO], True]]),
    ("opened here, passed on, accepted", NEW, [],
     [["a", "", "accepted", "stair", ["", "", ""], True]]),
    ("sent since the page was made", [entry("accepted", state="sent")], [["a", "open", "paint"]],
     [["a", "open", "accepted", "paint", [""], False]]),
    ("refused by the office", [entry("withdrawn", state="refused")], [["a", "open", "paint"]],
     [["a", "open", "open", "paint", [], False]]),
    ("its opening is on the page by now", NEW, [["a", "open", "paint"]],
     [["a", "open", "accepted", "stair", ["", ""], True]]),
    ("two items, each its own", [entry("accepted"), entry("corrected", "b"), entry("note", "b")],
     [["a", "sent_back", "paint"], ["b", "open", "stair"]],
     [["a", "sent_back", "accepted", "paint", [""], True],
      ["b", "open", "corrected", "stair", ["", ""], True]]),
]  # fmt: skip
OPEN = {"state": "open", "trade": "paint", "opened": True}
LISTS = [
    ({"states": "open corrected", "trade": "", "rooms": ""}, OPEN, "hall", True),
    ({"states": "corrected", "trade": "", "rooms": ""}, OPEN, "hall", False),
    ({"states": "open", "trade": "stair", "rooms": ""}, OPEN, "hall", False),
    ({"states": "open", "trade": "paint", "rooms": "study hall"}, OPEN, "hall", True),
    ({"states": "open", "trade": "paint", "rooms": "study"}, OPEN, "hall", False),
    ({"states": "", "trade": "", "rooms": ""}, {**OPEN, "opened": False}, "hall", False),
    ({}, None, "hall", False),
]


@pytest.fixture
def answers(tmp_path: Path) -> tuple[list[Any], list[bool]]:
    for part in ("calc", "tablet"):
        shutil.copytree(ROOT / "static" / "js" / part, tmp_path / part)
    (tmp_path / "package.json").write_text('{"type": "module"}')
    asked = {
        "table": document()["transitions"],
        "cases": [{"records": records, "known": known} for _, records, known, _ in CASES],
        "lists": [list(one[:3]) for one in LISTS],
    }
    found = subprocess.run(
        [node_or_skip(), "--input-type=module", "-e", ASKS],
        input=json.dumps(asked), capture_output=True, text=True, check=False, timeout=60,
        cwd=tmp_path,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-2000:]
    told, lists = json.loads(found.stdout)
    return told, lists


def test_an_item_stands_as_the_page_and_then_the_outbox_say(
    answers: tuple[list[Any], list[bool]],
) -> None:
    told, lists = answers
    for (name, _, _, expected), said in zip(CASES, told, strict=True):
        assert said == expected, name
    assert lists == [one[3] for one in LISTS]
    assert len(document()["transitions"]) == len(TABLE)
