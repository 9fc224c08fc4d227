"""Writes units.json, items.json and floors.json: what the tablet's own modules must agree with.

The answers were computed by this project; tests/calc and tests/outside hold them to values worked
out by hand and to published ones. Run `python tests/vectors/make_twin_vectors.py` after a
deliberate change, and read the diff. Each question says by `do` what is asked.
"""

from __future__ import annotations

import json
from itertools import product
from pathlib import Path
from typing import Any

from tests.js.twins import answer

HERE = Path(__file__).parent
Question = dict[str, Any]

TYPED: dict[str, tuple[str, ...]] = {
    "angle": ("42 deg", "41.8", "30 1/2°", "-0.1 degrees", "1/3 deg", "42 in", "steep", "", ".5",
              "0.0000001", "90", "1/0 deg"),
    "slope": ("1:48", "1 in 12", "2 %", "-2.5%", "0.25 pct", "2", "1:0", "1 / 48", "flat", "1:7",
              "1/3 %", "12.5 percent"),
    "number": ("0.5", "1/3", "2 1/2", "-4", "5 kg", "1e3", "1/0", "0.0001", "2/3"),
    "count": ("4", "0", "-1", "1.5", "4 pcs", "1/2", "1000000000000000", "12"),
    "percent": ("45", "45.5 %", "6 pct", "150", "-3", "wet", "1/3", "12.345 %"),
    "temperature": ("70 F", "-40 °C", "-40 f", "21.5c", "70", "98.6 deg F", "20 degC", "70 K",
                    "1/3 C"),
    "degrees": ("5 F", "3 c", "5", "-2 °F", "9.9 F", "1 K"),
    "time": ("48 h", "2 days", "90 min", "30 s", "-1 h", "48", "1/2 day", "20 min", "3 weeks"),
    "weight": ("50 lb", "8 oz", "25 kg", "500 g", "50", "-1 lb", "1/3 kg", "2 stone"),
    "date": ("2026-03-04", "3/4/2026", "0001-01-01", "2026-02-29", "2024-02-29", "9999-12-31",
             "3/4/26", "tomorrow", "2026-13-01", "1900-02-29", "2000-02-29", "0000-01-01"),
    "length": ("7 3/4", "190.5 mm", "6' 8\"", "71/2", "-1/8", "7½", "1/128"),
}  # fmt: skip
"""What people type for each measure: understood, asked about, or refused."""

SAID: dict[str, tuple[str, ...]] = {
    "angle": ("0", "41800000", "-41805000", "123456", "90000000"),
    "slope": ("1/48", "1/50", "1/7", "-1/48", "3/48", "0", "1/8"),
    "number": ("1/2", "1/3", "-7", "12345/1000", "123456/100000"),
    "count": ("0", "12"),
    "percent": ("45", "91/2", "12345/1000", "1/3", "-1/200"),
    "temperature": ("190/9", "-40", "0", "1/3", "100"),
    "degrees": ("25/9", "1/3", "-5"),
    "time": ("172800", "5400", "1800", "1", "0", "100000/3"),
    "weight": ("22679618500", "1000000000", "1"),
    "date": ("86400", "63908265600", "63908265601", "315537811200"),
    "length": (
        "190500000",
        "190500001",
        "2032000000",
        "-3175000",
        "0",
        "100000000/3",
        "198437",
        "1",
        "-63500",
        "127000",
    ),
}
"""Values in base units, to be said."""


def units() -> list[Question]:
    """Every measure typed and said, in both systems, and errors rounded up."""
    typed: list[Question] = [
        {"do": "measure", "measure": m, "text": text, "unit": ""}
        for m, texts in TYPED.items() for text in texts
    ]  # fmt: skip
    typed.append({"do": "measure", "measure": "temperature", "text": "50", "unit": "F"})
    said: list[Question] = [
        {"do": "say", "measure": m, "value": value, "system": system}
        for m, values in SAID.items() for value in values for system in ("us", "metric")
    ]  # fmt: skip
    errors: list[Question] = [
        {"do": "error", "measure": m, "value": value, "system": system}
        for m, value, system in (
            ("angle", "123456", "us"), ("slope", "1/4800", "us"), ("percent", "7/3", "us"),
            ("temperature", "1/3", "us"), ("temperature", "1/3", "metric"), ("time", "61", "us"),
            ("weight", "1", "metric"), ("number", "1/3000", "us"), ("count", "1/2", "us"),
            ("date", "3600", "us"),
        )
    ]  # fmt: skip
    return typed + said + errors


OPENED = {
    "id": "o",
    "act": "opened",
    "role": "superintendent",
    "day": "2026-03-02",
    "trade": "stair",
}
STEPS: dict[str, Question] = {
    "c": {"act": "corrected", "role": "crew", "crew": "stair"},
    "C": {"act": "corrected", "role": "crew", "crew": "paint"},
    "t": {"act": "corrected", "role": "superintendent"},
    "a": {"act": "accepted", "role": "superintendent"},
    "A": {"act": "accepted", "role": "crew", "crew": "stair"},
    "i": {"act": "accepted_as_is", "role": "superintendent"},
    "b": {"act": "sent_back", "role": "superintendent", "reason": "still 4 1/2 in"},
    "w": {"act": "withdrawn", "role": "superintendent", "reason": "opened twice"},
    "n": {"act": "not_ours", "role": "crew", "crew": "stair", "reason": "the painter's"},
    "p": {"act": "passed_on", "role": "superintendent", "trade": "paint", "reason": "theirs"},
    "s": {"act": "passed_on", "role": "superintendent", "trade": "stair"},
    "m": {"act": "note", "role": "crew", "crew": "stair"},
    "x": {"act": "accepted", "role": "superintendent", "struck": "wrong item"},
}
WAYS = (
    "", "ca", "cba", "cbca", "ta", "a", "A", "i", "ib", "w", "wa", "wb", "n", "np", "npC", "npc",
    "pC", "pc", "s", "ps", "m", "wm", "cmbm", "xca", "caa", "cac", "nca", "cn", "cp", "ab", "abab",
    "bbb", "ctcw", "iiw", "cbn", "cbp", "mmm", "npCba",
)  # fmt: skip


def items() -> list[Question]:
    """Items by what was done to them, one letter an act, and who may do what."""
    told: list[Question] = []
    for way in WAYS:
        acts = [{"id": f"{n}", "day": f"2026-03-0{min(n + 3, 9)}", **STEPS[letter]}
                for n, letter in enumerate(way)]  # fmt: skip
        told.append({"do": "fold", "events": [OPENED, *acts]})
    struck = [{**OPENED, "struck": "no such thing"}, {"id": "1", "day": "2026-03-03", **STEPS["c"]}]
    told += [
        {"do": "fold", "events": struck},
        {"do": "fold", "events": [{"id": "1", "day": "2026-03-03", **STEPS["c"]}, OPENED]},
        {"do": "fold", "events": []},
    ]
    states = ("open", "corrected", "accepted", "accepted_as_is", "withdrawn")
    roles = ("superintendent", "crew")
    told += [{"do": "allowed", "state": s, "role": r} for s, r in product(states, roles)]
    return told


GRIDS: dict[str, list[list[int | None]]] = {
    "flat": [[0] * 5 for _ in range(5)],
    "one station": [[3]],
    "nothing read": [[None, None], [None, None]],
    "a bump": [[0, 0, 0, 0], [0, 4, 0, 0], [0, 0, 0, 0], [0, 0, 0, 0]],
    "a dip": [[0, 0, 0, 0], [0, -4, 0, 0], [0, 0, 0, 0], [0, 0, 0, 0]],
    "slope": [[n + 2 * m for n in range(6)] for m in range(5)],
    "crowned": [[-n * n for n in range(-3, 4)] for _ in range(3)],
    "dished": [[n * n + m * m for n in range(-3, 4)] for m in range(-3, 4)],
    "diagonal ridge": [[6 if n == m else 0 for n in range(5)] for m in range(5)],
    "cross ridge": [[6 if n + m == 4 else 0 for n in range(5)] for m in range(5)],
    "gaps": [[0, None, 3, 0, 1], [None, 2, 0, None, 0], [1, 0, None, 4, 2]],
    "one row": [[0, 1, 0, 3, 0, 2, 0]],
    "one column": [[0], [1], [0], [3], [0], [2]],
    "a slip": [[0, 1, 0, 1, 0], [1, 0, 192, 0, 1], [0, 1, 0, 1, 0], [1, 0, 1, 0, 1]],
    "two alike": [[0, 3, 0, 0, 3, 0], [0] * 6, [0, 3, 0, 0, 3, 0]],
    "a line of stations": [[1, None, None], [None, 2, None], [None, None, 3]],
}


def floors() -> list[Question]:
    """Heights in sixteenths 2 ft apart, under edges of 6 ft, 10 ft and one too short to see."""
    unit, edges = 1_587_500, ["1828800000", "3048000000", "1219199999"]
    return [
        {
            "do": "floor", "spacing": "609600000", "edges": edges,
            "rows": [[None if z is None else str(z * unit) for z in row] for row in rows],
        }
        for rows in GRIDS.values()
    ]  # fmt: skip


def written(questions: list[Question]) -> str:
    """A vector file's text as it should stand, a case a line so that a diff names what changed."""
    cases = [json.dumps({**q, "gives": answer(q)}, ensure_ascii=False) for q in questions]
    head = {
        "source": "computed by this project; held to hand-worked and published values elsewhere",
        "numbers": "text, n or n/d, in base units",
        "count": len(cases),
    }
    text = json.dumps(head, ensure_ascii=False)[:-1]
    return text + ', "cases": [\n' + ",\n".join(cases) + "\n]}\n"


FILES = {"units": units, "items": items, "floors": floors}

if __name__ == "__main__":
    for name, questions in FILES.items():
        (HERE / f"{name}.json").write_text(written(questions()), encoding="utf-8")
