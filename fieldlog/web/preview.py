"""The verdict of each reading while it is typed: a mark and a short sentence per slot. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.calc.library import Library
from fieldlog.calc.readings import ReadingsRefused, SlotError
from fieldlog.calc.sheets import Sheet
from fieldlog.web.sheet_form import Extent, error_name, slot_name

Json = dict[str, Any]

GRAVITY = ("fail", "too_close", "not_measured", "pass")
NEEDS = {"<": "less than {}", "<=": "{} or less", ">": "more than {}", ">=": "{} or more"}
SUMMARY_LINES = 2


def preview_of(judgement: Json, sheet: Sheet, library: Library) -> Json:
    """`{"verdict", "slots": {form name: mark, short, long}, "summary": [mark, text]}`."""
    slots: dict[str, Json] = {}
    worst: dict[str, int] = {}
    for rule in judgement["rules"]:
        name = _slot_of(rule, sheet, judgement)
        rank = GRAVITY.index(rule["verdict"]) if rule["verdict"] in GRAVITY else len(GRAVITY)
        if name is None or rank >= worst.get(name, len(GRAVITY)):
            continue
        worst[name], slots[name] = rank, _said(rule, library)
    return {"verdict": judgement["verdict"], "slots": slots, "summary": _summary(judgement, sheet)}


def errors_of(sheet: Sheet, extent: Extent, refused: ReadingsRefused) -> dict[str, Json]:
    """`{form name: error, suggestions}` of readings that can't be used."""
    return {
        error_name(sheet, extent, e): {"error": e.message, "suggestions": list(e.suggestions)}
        for e in refused.errors
    }


def without(readings: Mapping[str, Any], errors: tuple[SlotError, ...]) -> Json:
    """Readings less those that can't be used: the rest can still be judged."""
    left = dict(readings)
    for error in errors:
        value = left.get(error.field)
        if isinstance(value, list) and error.index is not None:
            left[error.field] = [None if n == error.index else v for n, v in enumerate(value)]
        elif isinstance(value, Mapping) and "rows" in value and error.index is not None:
            left[error.field] = _without_station(value, error.index)
        else:
            left.pop(error.field, None)
    return left


def _without_station(grid: Mapping[str, Any], index: int) -> Json:
    at = divmod(index, len(grid["rows"][0]))
    rows = [
        [None if (r, c) == at else cell for c, cell in enumerate(row)]
        for r, row in enumerate(grid["rows"])
    ]
    return {**grid, "rows": rows}


def _slot_of(rule: Json, sheet: Sheet, judgement: Json) -> str | None:
    """The slot that a limit speaks about; None where it is derived or nothing was entered."""
    f = sheet.field(rule["quantity"])
    if f is None or f.kind == "grid":
        return None
    index = rule["index"] or 0
    values = judgement["quantities"][f.name]["values"]
    if index >= len(values) or not values[index].get("typed"):
        return None
    return slot_name(f.name, index) if f.many else slot_name(f.name)


def _said(rule: Json, library: Library) -> Json:
    mark, limit, margin = rule["verdict"], rule["limit"]["text"], rule["margin"]
    needs = NEEDS.get(rule["compare"], "{}").format(limit)
    side = "over" if rule["compare"].startswith("<") else "under"
    if mark == "not_measured":
        asks = rule["question"] or "Not measured."
        return {"mark": mark, "short": asks, "long": f"Waits for an answer: {asks}"}
    if mark == "pass":
        return {"mark": mark, "short": "pass", "long": f"Passes. Needs {needs}."}
    if mark == "too_close":
        short = "passes, too close" if rule["plain"] == "pass" else f"{side}, too close"
        settle = _settles(rule, library)
        return {"mark": mark, "short": short, "long": f"{short.capitalize()} to call.{settle}"}
    if margin is None:
        return {"mark": mark, "short": f"needs {needs}", "long": f"Needs {needs}."}
    by = margin["text"].removeprefix("-")
    if margin["nm"] == "0":
        return {"mark": mark, "short": "at the limit", "long": f"Needs {needs}."}
    long = f"{side.capitalize()} {limit} by {by}."
    return {"mark": mark, "short": f"{side} by {by}", "long": long}


def _settles(rule: Json, library: Library) -> str:
    tool = library.instruments.get(rule["settled_by"] or "")
    return f" {tool.name} would settle it." if tool else ""


def _summary(judgement: Json, sheet: Sheet) -> list[Json]:
    """What the check says by itself: derived limits that fail, and numbers that disagree."""
    lines = [
        {"mark": f["mark"], "text": f["head"]}
        for f in judgement["findings"]
        if f["mark"] == "fail" and not _has_slot(f, judgement, sheet)
    ]
    return lines[:SUMMARY_LINES]


def _has_slot(finding: Json, judgement: Json, sheet: Sheet) -> bool:
    return any(
        _slot_of(r, sheet, judgement) is not None
        for r in judgement["rules"]
        if r["rule"] == finding["rule"]
    )
