"""What Python says to the questions of a test: the twin of `answers.js`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from fractions import Fraction
from typing import Any

from fieldlog.calc import floors
from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.checking import judge_check
from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.floors_doubt import doubts
from fieldlog.calc.floors_edge import look_under
from fieldlog.calc.floors_noise import gaps_looked_at
from fieldlog.calc.floors_survey import SurveyNotUsable, stations_of
from fieldlog.calc.functions import FUNCTIONS
from fieldlog.calc.items import Event, allowed_acts, fold
from fieldlog.calc.judging import ReadingsRefused, UnknownSource, judge
from fieldlog.calc.lengths import LengthAmbiguous, LengthNotUnderstood, parse_length
from fieldlog.calc.looks import Earlier, Look
from fieldlog.calc.units import parse_measure, say_error, say_measure
from fieldlog.calc.values import (
    AWAY,
    GAP,
    UNKNOWN,
    Away,
    Element,
    Many,
    Number,
    Text,
    Truth,
    Value,
)
from tests.js.asking import LAYERS, Question, house, library, told


class _Given:
    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given

    def quantity(self, name: str) -> Value:
        return _value(self.given[name], name)

    def limit(self, rule: str) -> Value:
        return self.quantity(f"limit:{rule}")

    def applies(self, rule: str) -> Value:
        return self.quantity(f"applies:{rule}")


def _value(raw: Any, name: str) -> Value:
    if isinstance(raw, list):
        return Many(tuple(_element(one, name, n) for n, one in enumerate(raw)))
    return _element(raw, name, 0)


def _element(raw: Any, name: str, index: int) -> Element:
    if raw is None:
        return GAP
    if isinstance(raw, bool):
        return Truth(raw)
    if isinstance(raw, dict):
        return Text(raw["text"])
    known: dict[str, Element] = {"?": UNKNOWN, "away": AWAY}
    return known.get(raw) or Number(Fraction(raw), {(name, index, -1): Fraction(1)})


def value_told(value: Any) -> Any:
    """A value with its marks and with what it hangs on, as JSON."""
    if isinstance(value, Many):
        return [value_told(e) for e in value.items]
    if isinstance(value, Away):
        return "away"
    if isinstance(value, Text):
        return {"text": value.value}
    if isinstance(value, Truth):
        return "?" if value.value is None else value.value
    if value.value is None:
        return None
    hangs = {f"{k[0]} {k[1]} {k[2]}": str(c) for k, c in value.sens.items()}
    return {"is": str(value.value), "may": value.may, "hangs_on": hangs}


def _floor(q: Question) -> Any:
    rows = [[None if z is None else int(z) for z in row] for row in q["rows"]]
    grid = floors.Grid(tuple(map(tuple, rows)), int(q["spacing"]))
    if not any(z is not None for row in rows for z in row):
        nothing = {"hollow": None, "hump": None, "gaps": 0}
        return {"edges": [nothing] * len(q["edges"]), "ends": None, "plane": None, "doubts": []}
    stations = stations_of(rows, grid.spacing)
    edges = []
    for edge in map(int, q["edges"]):
        under = look_under(stations, edge)
        seen = under.hollow is not None
        edges.append({
            "hollow": under.hollow and under.hollow.as_json(),
            "hump": under.hump and under.hump.as_json(),
            "gaps": gaps_looked_at(stations, edge) if seen else 0,
        })  # fmt: skip
    ends = floors.high_low(grid)
    try:
        plane = floors.plane(grid)
        lie = [str(plane.slope_x), str(plane.slope_y), str(plane.offset)]
    except floors.PlaneNotDetermined:
        lie = None
    off = [{"at": list(d.cell), "off": str(d.off)} for d in doubts(stations)]
    high_low = ends and {"high": ends.high, "low": ends.low, "range": str(ends.range)}
    return {"edges": edges, "ends": high_low, "plane": lie, "doubts": off}


def _judge(q: Question) -> Any:
    known = q.get("known", {})
    told = known["earlier"]
    looks = {where: [Look("", seq=0, **one) for one in told[where]] for where in ("here", "house")}
    earlier = Earlier(told["today"], looks["here"], looks["house"])
    return judge(
        library(), *q["args"], known.get("system", "us"), known.get("tools", ()), None, earlier
    )  # fmt: skip


def _check(q: Question) -> Any:
    body = CheckEntry(**{"room": "hall", "day": "", **q["check"]})
    return judge_check(library(), house(), body, _Layers.get)


class _Layers:
    """What is still to come in the rooms, as layers would have it."""

    @staticmethod
    def get(room: str) -> Any:
        from fieldlog.calc.bodies import Layer, Layers

        one = LAYERS[room]
        sizes = (("finish", one.floor), ("ceiling", one.ceiling))
        layers = [Layer(kind, str(nm / 10**6), "mm", False) for kind, nm in sizes]
        return Layers(room=room, layers=tuple(layers))


_ANSWERS: dict[str, Callable[[Question], Any]] = {
    "length": lambda q: str(parse_length(q["text"], q["unit"])),
    "measure": lambda q: str(parse_measure(q["measure"], q["text"], q.get("unit", ""))),
    "say": lambda q: say_measure(
        q["measure"], Fraction(q["value"]), q["system"], q.get("feet", False)
    ),
    "error": lambda q: say_error(q["measure"], Fraction(q["value"]), q["system"]),
    "tree": lambda q: value_told(evaluate(q["tree"], _Given(q["given"]))),
    "judge": _judge,
    "check": _check,
    "fold": lambda q: asdict(fold([Event(**e) for e in q["events"]])),
    "allowed": lambda q: list(allowed_acts(q["state"], q["role"])),
    "floor": _floor,
    "functions": lambda _q: sorted(f.name for f in FUNCTIONS.values() if f.twin == "js"),
}


def answer(question: Question) -> Any:
    """An answer, or what was refused and why."""
    try:
        return told(_ANSWERS[question["do"]](question))
    except LengthNotUnderstood as err:
        return {
            "refused": err.reason, "suggestions": list(err.suggestions),
            "ambiguous": isinstance(err, LengthAmbiguous),
        }  # fmt: skip
    except ReadingsRefused as err:
        return {"errors": [{**asdict(e), "suggestions": list(e.suggestions)} for e in err.errors]}
    except UnknownSource as err:
        return {"unknown": str(err)}
    except SurveyNotUsable as err:
        return {"unusable": err.sentence}
