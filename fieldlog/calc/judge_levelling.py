"""What a judgement says of the level that was used: its set-ups, how they close, its last test."""

from __future__ import annotations

from fractions import Fraction
from math import isqrt
from typing import Any, Protocol

from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_MM, format_length
from fieldlog.calc.library import Library
from fieldlog.calc.scope import Scope
from fieldlog.calc.set_ups import Joining, said
from fieldlog.calc.tested import Tested
from fieldlog.calc.uncertainty import ErrorPart
from fieldlog.calc.values import Grid

Json = dict[str, Any]


class Told(Protocol):
    """A judged check on its way into JSON."""

    system: str
    library: Library
    scope: Scope

    def length(self, value: Any, feet: bool = False) -> Json | None:
        """`{"text", "nm"}` of a length in nm."""


def levelling_of(told: Told, field: str, levels: Grid) -> Json:
    """`{"set_ups", "tested", "says"}`, each only where it is known."""
    out: Json = {}
    says: list[str] = []
    if levels.joining:
        out["set_ups"] = _set_ups(told, field, levels.joining)
        says += set_ups_in_words(out["set_ups"])
    if levels.tested:
        out["tested"] = [
            one.as_json() | {"off": off_text(one.tilt, told.system)} for one in levels.tested
        ]
        says += [_tested_in_words(told, levels, one) for one in levels.tested]
    return out | ({"says": says} if says else {})


def _set_ups(told: Told, field: str, joining: Joining) -> Json:
    set_ups, closing = joining.set_ups, joining.closing
    parts = _parts(told, field)
    shared = sorted({said(one.spot) for one in set_ups.again})
    return {
        "count": set_ups.count,
        "of": [[n + 1 for n in row] for row in set_ups.of],
        "shared": shared,
        "loops": closing.loops,
        "misclosure": told.length(closing.misclosure),
        "at": said(closing.spot) if closing.spot is not None else "",
        "readings": closing.readings,
        "allowed": told.length(set_ups.allowed),
        "explained": closing.explained(parts),
    }


def _parts(told: Told, field: str) -> tuple[ErrorPart, ...]:
    tools = (tool for key, tool in told.scope.readings.tools.items() if key[0] == field)
    tool = next(tools, "")
    return told.library.instruments[tool].parts if tool else ()


def set_ups_in_words(found: Json) -> list[str]:
    """How the set-ups were joined, and how their worst loop closes."""
    places = "The laser stood in {count} places, joined by {where}.".format(
        count=found["count"], where=_listed(found["shared"])
    )
    if not found["loops"]:
        return [
            f"{places} Nothing shows whether that was misread: "
            "one more point, read from both places, would."
        ]
    missed, allowed = found["misclosure"], found["allowed"]
    of = f", of {allowed['text']} allowed" if allowed else ""
    if missed["nm"] == "0":
        return [f"{places} They agree to the last digit."]
    said = [
        f"{places} They disagree by {missed['text']} at {_lower(found['at'])}{of}. "
        "It is spread over the places."
    ]
    if not found["explained"]:
        said.append(
            f"{missed['text']} is more than reading the rod {found['readings']} times explains: "
            "was something moved, or misread?"
        )
    return said


def _tested_in_words(told: Told, levels: Grid, tested: Tested) -> str:
    how = "by two pegs" if tested.how == "two pegs" else "turned on its stand"
    off = off_text(tested.tilt, told.system)
    says = f"The level was tested {how} on {tested.day}: off by {off}."
    if not tested.within:
        says += f" That is more than it is allowed, {off_text(tested.allowed, told.system)}."
    if tested.how == "turned" and tested.tilt:
        across = told.length(-(-tested.tilt * _diagonal(levels) // 1))
        assert across is not None
        says += (
            f" A plane of light that leans so adds up to {across['text']} to high to low, "
            "and nothing to a gap."
        )
    return says


def _diagonal(levels: Grid) -> int:
    rows, columns = len(levels.rows) - 1, len(levels.rows[0]) - 1
    return isqrt((rows**2 + columns**2) * levels.spacing**2)


def off_text(tilt: Fraction, system: str) -> str:
    """A tilt as site people say it: "1/32 in over 100 ft"; to the nearest 1/64 in or 0.1 mm."""
    metric = system == "metric"
    run = 30_000 * NM_PER_MM if metric else 100 * NM_PER_FOOT
    step = NM_PER_MM // 10 if metric else NM_PER_FOOT // 12 // 64
    rise = format_length(round(tilt * run / step) * step, system)
    return f"{rise} over {format_length(run, system, feet=True)}"


def _listed(spots: list[str]) -> str:
    lowered = [_lower(spot) for spot in spots]
    return lowered[0] if len(lowered) == 1 else f"{', '.join(lowered[:-1])} and {lowered[-1]}"


def _lower(spot: str) -> str:
    return f"{spot[:1].lower()}{spot[1:]}"
