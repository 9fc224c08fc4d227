"""Writes judge.json: whole checks with every verdict, for a second evaluator to agree with.

The verdicts were computed by this project; tests/outside holds them to published values. Run
`python tests/vectors/make_judge_vectors.py` after a deliberate change, and read the diff.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from fieldlog.calc.judging import judge
from fieldlog.store.files import load_library

HERE = Path(__file__).parent
BOOKS = ["irc-2021", "our-standard", "plank-floor"]
OPEN = {"open_riser": "yes", "tread_thickness": "3"}


def tool(value: str, instrument: str) -> dict[str, str]:
    return {"value": value, "instrument": instrument}


CASES: list[tuple[str, str, str, dict[str, Any]]] = [
    ("even stair", "stair", "tape", {"riser": ["7 1/2"] * 9}),
    ("one high riser", "stair", "tape", {"riser": ["7 1/2"] * 6 + ["7 7/8"]}),
    ("open gaps high up", "stair", "tape", {**OPEN, "riser": ["7 1/2"] * 9}),
    ("open gaps, exact", "stair", "exact", {**OPEN, "riser": ["7 1/2"] * 9}),
    ("gap of exactly four", "stair", "exact", {"open_riser": "yes", "tread_thickness": "3 1/2",
     "riser": ["7 1/2"] * 9}),
    ("a thickness for each", "stair", "tape", {"open_riser": "yes", "riser": ["7 1/2"] * 6,
     "tread_thickness": ["4", "4", "", "4 1/4", "3 1/2"]}),
    ("blank riser", "stair", "tape", {**OPEN, "riser": ["7 1/2", "", "7 5/8"]}),
    ("question open", "stair", "tape", {"riser": ["18"] * 3, "tread_thickness": "3"}),
    ("ball says through", "stair", "tape", {**OPEN, "riser": ["18"] * 3,
     "ball_passes": ["", "yes", "no"]}),
    ("measured gaps", "stair", "tape", {**OPEN, "riser": ["7 1/2"] * 7,
     "open_gap_measured": ["", "", "", "", "3 15/16", "4", "4 1/16"]}),
    ("mixed tools", "stair", "tape", {"riser": ["7 3/4", tool("7 3/4", "steel-rule"),
     tool("7 23/32", "steel-rule"), tool("7 3/4", "exact")]}),
    ("spread at the limit", "stair", "exact", {"riser": ["7 1/4", "7 5/8"]}),
    ("spread by tape", "stair", "tape", {"riser": ["7 1/4", "7 5/8", "7 1/2"]}),
    ("millimetres", "stair", "tape", {"riser": ["190mm", "191mm", "196mm", "197mm"]}),
    ("whole stair", "stair", "tape", {"open_riser": "no", "riser": ["7 1/2"] * 12,
     "tread": ["10 1/2"] * 11, "nosing": ["1"] * 11, "total_rise": "90", "headroom": "6' 9\"",
     "width_above_rail": "37", "width_at_rail": "33", "landing_depth": "37"}),
    ("rails on both sides", "stair", "tape", {"rail_both_sides": "yes", "width_at_rail": "28"}),
    ("deep treads, no nosing", "stair", "tape", {"open_riser": "no", "tread": ["11", "11 1/16"],
     "nosing": ["0", "0"]}),
    ("rise disagrees", "stair", "tape", {"riser": ["7 1/2"] * 4, "total_rise": "31"}),
    ("guard", "guard", "tape", {"drop": "9 ft", "height_level": "35 7/8",
     "opening_level": ["3 7/8", "4", "3 15/16"], "stair_side": "no"}),
    ("guard, low drop", "guard", "tape", {"drop": "30", "height_level": "10"}),
    ("guard, no drop", "guard", "tape", {"height_level": "36"}),
    ("guard, stair", "guard", "tape", {"drop": "60", "level_side": "no", "height_stair": "34 1/2",
     "opening_stair": ["4 1/4", "4 3/8"], "triangle": "5 15/16"}),
    ("guard, ball", "guard", "tape", {"drop": "60", "opening_level": ["4", "4"],
     "ball_passes": ["no", "yes"]}),
    ("handrail", "handrail", "tape", {"height": ["34", "36", "38 1/16"], "clearance": "1 1/2",
     "grip_diameter": "1 1/2"}),
    ("trim", "trim", "steel-rule", {"casing": ["3 1/2", "3 1/2", "3 3/8", "3 1/2"],
     "reveal": ["3/16", "3/16", "1/4", "3/16"], "miter_gap": ["0", "1/16"], "base_gap": ["1/16"]}),
    ("look, bad", "visual", "eye", {"thing": "Sill", "good": "no"}),
    ("look, not said", "visual", "eye", {"thing": "Sill"}),
    ("straightedge", "floor", "straightedge", {"edge_length": ["10 ft", "6 ft"],
     "gap": ["1/4", "1/16"], "shape": ["hump", "hollow"], "spot": ["by the door", "bay"]}),
    ("short straightedge", "floor", "straightedge", {"edge_length": ["6 ft"], "gap": ["1/16"],
     "shape": ["hollow"]}),
    ("nothing entered", "handrail", "tape", {}),
]  # fmt: skip


def case(name: str, sheet: str, instrument: str, readings: dict[str, Any]) -> dict[str, Any]:
    out = judge(LIBRARY, sheet, BOOKS, readings, instrument)
    rules = [
        {
            "rule": r["rule"], "index": r["index"], "verdict": r["verdict"], "plain": r["plain"],
            "value": r["value"] and r["value"]["nm"], "margin": r["margin"] and r["margin"]["nm"],
            "u": r["u"] and r["u"]["nm"], "settled_by": r["settled_by"],
        }
        for r in out["rules"]
    ]  # fmt: skip
    quantities = {
        q: [v["nm"] for v in one["values"]]
        for q, one in out["quantities"].items()
        if one["kind"] == "length" and one["values"]
    }
    return {
        "id": name, "sheet": sheet, "books": BOOKS, "instrument": instrument,
        "readings": readings, "verdict": out["verdict"], "quantities": quantities, "rules": rules,
    }  # fmt: skip


LIBRARY = load_library()


def written() -> str:
    """The vector file's text as it should stand."""
    cases = [case(*c) for c in CASES]
    head = {
        "source": "computed by this project; held to published values in tests/outside",
        "numbers": "nm as text, n or n/d; u rounded up to whole nm",
        "count": len(cases),
        "cases": cases,
    }
    text = json.dumps(head | {"cases": []}, indent=1, ensure_ascii=False)
    return text.replace("[]", "[\n" + ",\n".join(map(case_text, cases)) + "\n ]") + "\n"


def case_text(one: dict[str, Any]) -> str:
    """A case with a limit a line, so that a diff names what changed."""
    rules = ",\n".join("   " + json.dumps(r, ensure_ascii=False) for r in one["rules"])
    head = json.dumps(one | {"rules": []}, indent=1, ensure_ascii=False)
    return head.replace('"rules": []', f'"rules": [\n{rules}\n  ]')


if __name__ == "__main__":
    (HERE / "judge.json").write_text(written(), encoding="utf-8")
