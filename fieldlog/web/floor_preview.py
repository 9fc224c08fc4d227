"""What a survey says so far: its worst straightedges, its tints, readings to check. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.drawings.judged import Judged
from fieldlog.drawings.survey import Cell, Survey, survey_of
from fieldlog.web.sheet_form import slot_name

Json = dict[str, Any]


def told_of(judgement: Mapping[str, Any], grid: str) -> Json:
    """`{"slots", "summary", "tones", "bars"}`: by form name, the marks of the map."""
    survey = survey_of(Judged(judgement))
    if survey is None:
        return {"verdict": "", "slots": {}, "summary": [], "tones": {}, "bars": {}}
    rows, columns = survey.size
    cells = [(r, c) for r in range(rows) for c in range(columns)]
    tones = {slot_name(grid, *cell): survey.tone(cell) for cell in cells if survey.tone(cell)}
    return {
        "verdict": judgement["verdict"],
        "slots": _slots(judgement, grid),
        "summary": _summary(survey),
        "tones": tones,
        "bars": _bars(survey, grid),
    }


def _slots(judgement: Mapping[str, Any], grid: str) -> Json:
    """A reading that its neighbors contradict: asked about at its station."""
    said = {}
    for doubt in judgement["grids"][grid]["doubts"]:
        side = "above" if int(doubt["off"]) > 0 else "below"
        text = f"Check this one: {doubt['off_text']} {side} what those around it say."
        said[slot_name(grid, *doubt["at"])] = {"mark": "too_close", "short": text, "long": text}
    return said


def _summary(survey: Survey) -> list[Json]:
    """The worst of each kind, with its place, the gravest first; silent while all is well."""
    lines = [
        {
            "mark": bar.finding.verdict,
            "text": f"{bar.kind.capitalize()} {bar.gap} under {bar.edge}, {bar.where}. "
            f"Needs {bar.finding.limit} or less.",
        }
        for bar in survey.bars
        if bar.finding.verdict in ("fail", "too_close")
    ]
    return sorted(lines, key=lambda line: line["mark"] != "fail")


def _bars(survey: Survey, grid: str) -> Json:
    """The stations under a bar that does not pass, by kind."""
    marked: Json = {}
    for bar in survey.bars:
        if bar.finding.verdict in ("fail", "too_close"):
            for cell in _between(bar.start, bar.end):
                marked[slot_name(grid, *cell)] = bar.kind
    return marked


def _between(start: Cell, end: Cell) -> list[Cell]:
    down, across = end[0] - start[0], end[1] - start[1]
    steps = max(abs(down), abs(across))
    return [(start[0] + down * n // steps, start[1] + across * n // steps)
            for n in range(steps + 1)]  # fmt: skip
