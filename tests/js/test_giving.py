"""What a tablet puts on a crew's list says the same as the office's: words and limits."""

from __future__ import annotations

import json
import subprocess
from types import SimpleNamespace
from typing import Any, cast

from fieldlog.calc.judged import failing_rules
from fieldlog.calc.judging import judge
from fieldlog.store.views import CheckView
from fieldlog.web import from_check
from tests.js.asking import ROOT, library, node_or_skip

OPEN = {"open_riser": "yes", "riser": ["7 1/2", "8", "7 1/2"] * 3, "tread": ["9"] * 8,
        "tread_thickness": "3", "headroom": "6 ft 7 in", "landing_depth": "35"}  # fmt: skip
LOOKS: tuple[tuple[str, str, tuple[str, ...], dict[str, Any]], ...] = (
    ("stair", "Whole flight", ("irc-2021",), OPEN),
    ("stair", "", ("irc-2021",), {"riser": ["7 49/64"] * 3}),
    ("guard", "Riser", ("irc-2021",), {"drop": "40", "height_level": "30"}),
    ("visual", "Door", ("our-standard",), {"thing": "Leaf", "good": "no"}),
)
ASKS = """
import { givesOf } from "./static/js/tablet/giving.js";
let text = "";
for await (const part of process.stdin) text += part;
const { checks, crews } = JSON.parse(text);
console.log(JSON.stringify(checks.map((one) => givesOf(one, crews))));
"""
CREWS = {"stair": "Stair crew", "trim": "Trim crew"}


def looked(sheet: str, place: str, books: tuple[str, ...], readings: dict[str, Any]) -> CheckView:
    judgement = judge(library(), sheet, books, readings, "tape")
    # Only what an item's words are made of.
    return cast(CheckView, SimpleNamespace(judgement=judgement, place=place, sheet=sheet))


def test_words_and_limits_are_those_of_the_office() -> None:
    checks = [looked(*look) for look in LOOKS]
    told = [
        {"judged": c.judgement, "place": c.place, "title": from_check.name_of(c)} for c in checks
    ]
    found = subprocess.run(
        [node_or_skip(), "--input-type=module", "-e", ASKS],
        input=json.dumps({"checks": told, "crews": CREWS}),
        capture_output=True, text=True, check=False, timeout=60, cwd=ROOT,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-2000:]
    office = [
        [
            {"trade": t, "words": from_check.words_for(c, t),
             "rules": list(failing_rules(c.judgement, t))}
            for t in from_check.failing_trades(c)
            if t in CREWS
        ]
        for c in checks
    ]  # fmt: skip
    assert json.loads(found.stdout) == office
    assert [len(one) for one in office] == [1, 1, 1, 0]
    assert " and " in office[0][0]["words"]
