"""Finished against rough: where a stair's floors and treads come to lie, and its end risers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from fieldlog.drawings.clear_lines import clear_line
from fieldlog.drawings.judged import NO_FINDING, Finding, Judged, bare, inches
from fieldlog.drawings.labels import Label, Piece, valued
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.stair_part import DrawnPart
from fieldlog.drawings.svg import INK, PAD, PENCIL

_WORST = ("fail", "too_close", "not_measured")
_MOST_NOTED = 6


@dataclass(frozen=True)
class Finished:
    """Inches that the floor below, the treads and the floor above still come up (None: not
    known), and the part of the judgement that judges it."""

    below: float | None
    tread: float
    above: float | None
    raw: Any


def finished_of(judged: Judged) -> Finished | None:
    """What the judgement says of the finished stair, or None."""
    raw = judged.raw.get("finished")
    if not raw:
        return None
    floors = {layer["place"]: inches(layer["floor"]["nm"]) for layer in raw.get("layers", ())}
    tread = judged.value("tread_finish").size or 0.0
    return Finished(floors.get("below"), tread, floors.get("above"), raw)


def draw_finished(part: DrawnPart, finished: Finished | None) -> None:
    """A thin line over each tread and floor where its finish will be."""
    if finished is None:
        return
    flight, last = part.flight, len(part.flight.steps) - 1
    if part.part.first == 0 and finished.below:
        y = part.y(finished.below)
        _thin(part, PAD, part.x(flight.fronts[0]), y)
    for i in range(part.part.first, part.part.end):
        floor = i == last and not flight.top_tread
        up = finished.above if floor else finished.tread
        if up:
            y = part.y(flight.heights[i + 1] + up)
            _thin(part, part.x(flight.fronts[i]), part.x(flight.back(i)), y)


def _thin(part: DrawnPart, left: float, right: float, y: float) -> None:
    clear_line(part.sheet, (left, y), (right, y), width=0.9, stroke=INK)


def finished_told(judged: Judged, finished: Finished) -> Iterator[Label]:
    """Each riser that the finishes change, as it will be, then what else will not pass."""
    yield from _risers(judged, finished)
    on_one_riser = {r["rule"] for r in judged.rules("riser")}
    for found in finished.raw["findings"]:
        if found["mark"] in ("fail", "too_close") and found["rule"] not in on_one_riser:
            yield (
                Piece(verdict=found["mark"]),
                Piece("finished:", fill=PENCIL),
                Piece(found["head"], bold=True, fill=COLORS[found["mark"]]),
            )


def _risers(judged: Judged, finished: Finished) -> Iterator[Label]:
    values = finished.raw["quantities"].get("riser", {}).get("values", ())
    changed = [
        (i, bare(str(v["text"])))
        for i, v in enumerate(values)
        if v.get("nm") and bare(str(v["text"])) != judged.value("riser", i).text
    ]
    for i, text in changed[:_MOST_NOTED]:
        yield valued(f"R{i + 1} finished", text, _finding(judged, finished, i))


def _finding(judged: Judged, finished: Finished, index: int) -> Finding:
    """The worst finding of the finished stair on one riser; its sides are the rough one's."""
    rules = {r["rule"]: r for r in judged.rules("riser")}
    hits = [
        f for f in finished.raw["findings"]
        if f["rule"] in rules and index in f["indices"] and f["mark"] in _WORST
    ]  # fmt: skip
    if not hits:
        return NO_FINDING
    worst = min(hits, key=lambda f: _WORST.index(f["mark"]))
    rule = rules[worst["rule"]]
    return Finding(worst["mark"], worst["plain"] or "", rule["compare"], rule["limit"]["text"])
