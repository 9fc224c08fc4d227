"""What the tablet says of a form that is not fit to be judged yet: each slot its own reason."""

from __future__ import annotations

import json
import subprocess
from typing import Any

from tests.js.asking import ROOT, document, library, node_or_skip

ASKS = """
import { previewHere } from "./static/js/tablet/judging.js";
let text = "";
for await (const part of process.stdin) text += part;
const { data, about, forms } = JSON.parse(text);
const told = (readings) => previewHere(data, about, readings, "tape", new Map());
console.log(JSON.stringify(forms.map((one) => told(one))));
"""
ABOUT = {"room": "loft", "sheet": "stair", "books": ["irc-2021"], "place": ""}
RISERS = ["7 1/2", "7 1/2", "190 mm"]


def previews(*forms: dict[str, Any]) -> list[Any]:
    fields = [
        {"name": f.name, "kind": f.kind, "many": f.many} for f in library().sheets["stair"].fields
    ]
    data = {"fields": {"stair": fields}, "judges": document()}
    found = subprocess.run(
        [node_or_skip(), "--input-type=module", "-e", ASKS],
        input=json.dumps({"data": data, "about": ABOUT, "forms": forms}),
        capture_output=True, text=True, check=False, timeout=60, cwd=ROOT,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-2000:]
    answers: list[Any] = json.loads(found.stdout)
    return answers


def test_what_can_be_judged_is_judged_and_the_rest_says_why() -> None:
    unread, mixed, both = previews(
        {"riser": ["7 1/2", "soon", "8"]},
        {"riser": RISERS},
        {"riser": RISERS, "headroom": "soon"},  # refused by itself, then the mixed units are seen
    )
    assert unread["slots"]["q-riser-1"]["mark"] == "pass"
    assert "soon" in unread["slots"]["q-riser-2"]["error"]
    assert unread["slots"]["q-riser-3"]["mark"] == "fail"
    assert "mixed units" in mixed["slots"]["q-riser-3"]["error"]
    assert "soon" in both["slots"]["q-headroom"]["error"]
    assert "mixed units" in both["slots"]["q-riser-3"]["error"]
    assert both["slots"]["q-riser-1"]["mark"] == "pass"
