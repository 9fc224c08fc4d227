"""Level readings of a judgement, as plain JSON values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Protocol

from fieldlog.calc import floors
from fieldlog.calc.judge_levelling import levelling_of
from fieldlog.calc.library import Library
from fieldlog.calc.named_levels import plain_grid
from fieldlog.calc.scope import Scope
from fieldlog.calc.sentences import Speaker
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.values import Away, Grid
from fieldlog.calc.verdicts import Result

Json = dict[str, Any]


class Told(Protocol):
    """A judged check on its way into JSON."""

    system: str
    sheet: Sheet
    library: Library
    scope: Scope
    speaker: Speaker

    def length(self, value: Any, feet: bool = False) -> Json | None:
        """`{"text", "nm"}` of a length in nm."""


def grids_of(told: Told) -> Json:
    """The level readings of a check, each with its worst hollow and hump, ends and plane."""
    out: Json = {}
    for f in told.sheet.fields:
        value = told.scope.quantity(f.name)
        if isinstance(value, Grid):
            out[f.name] = _grid(told, value) | levelling_of(told, f.name, value)
    return out


def _grid(told: Told, levels: Grid) -> Json:
    grid = plain_grid(levels)
    lengths = sorted({b.given["edge"] for b in told.scope.rules if "edge" in b.given})
    edges = [_edge(told, grid, length) for length in lengths]
    nothing: Json = dict.fromkeys(_KINDS)
    flat: Json = {}
    if not {b.rule.quantity for b in told.scope.rules}.isdisjoint(("ff", "fl")):
        from fieldlog.calc.floors_fnumbers_judged import as_json  # NumPy: only where it is asked

        flat = {"f_numbers": as_json(grid, told.length)}
    ends = floors.high_low(grid)
    return {
        "spacing_nm": str(grid.spacing),
        "spacing_text": told.speaker.length(grid.spacing, feet=True),
        "rows": [[None if n is None else str(n) for n in row] for row in grid.rows],
        "blocked": [[isinstance(n, Away) for n in row] for row in levels.rows],
        "worst": {kind: (edges[-1] if edges else nothing)[kind] for kind in _KINDS},
        "edges": edges,
        "doubts": _doubts(told, grid),
        "rings": [[[str(x), str(y)] for x, y in ring] for ring in levels.rings],
        "high": list(ends.high) if ends else None,
        "low": list(ends.low) if ends else None,
        "range": told.length(ends.range) if ends else None,
        "plane": _plane(told, grid),
        **flat,
    }


_KINDS: tuple[floors.Kind, ...] = ("hollow", "hump")


def _edge(told: Told, grid: floors.Grid, length: int) -> Json:
    """The worst hollow and hump under an edge of a length (nm) that a limit names."""
    from fieldlog.calc.floors_worst import look  # NumPy: only where a floor is judged

    under = look(grid, length)
    said = told.speaker.length(length, feet=True)
    edge: Json = {"edge_nm": str(length), "edge_text": said}
    for kind in _KINDS:
        found = under.worst(kind) if under else None
        texts = {"edge_text": said, "gap_text": told.speaker.length(found.gap) if found else ""}
        edge[kind] = found.as_json() | texts if found else None
    return edge


def _doubts(told: Told, grid: floors.Grid) -> list[Json]:
    """Readings to look at again: far from what their neighbors say."""
    from fieldlog.calc.floors_worst import doubtful

    return [
        {"at": list(d.cell), "off": str(d.off), "off_text": told.speaker.length(abs(d.off))}
        for d in doubtful(grid)
    ]


def placed(findings: list[Json], results: Iterable[Result], grids: Json) -> list[Json]:
    """Findings with where a worst straightedge lies, by the numbers at the map's edge."""
    of_rule = {r.bound.rule.id: r for r in results}
    return [_placed(f, of_rule.get(f["rule"]), grids) for f in findings]


def _placed(finding: Json, result: Result | None, grids: Json) -> Json:
    edge = result.bound.given.get("edge") if result else None
    if edge is None or result is None or finding["mark"] not in ("fail", "too_close"):
        return finding
    value = getattr(result.value, "value", None)
    for grid in grids.values():
        found: Json = next((e for e in grid["edges"] if e["edge_nm"] == str(edge)), {})
        worst = found.get(result.bound.rule.quantity)
        if worst and worst["gap"] == str(value):
            where = lies(worst)
            return finding | {"where": where, "body": f"{finding['body']} {where}.".strip()}
    return finding


def lies(worst: Mapping[str, Any]) -> str:
    """Where a straightedge lies, and where the gap is under it: "Row 3, 1 to 6, at 4"."""
    (a, b), (c, d), (e, f) = ([n + 1 for n in worst[key]] for key in ("start", "end", "at"))
    if a == c:
        return f"Row {a}, {b} to {d}, at {f}"
    if b == d:
        return f"Column {b}, {a} to {c}, at {e}"
    return f"From row {a}, {b} to row {c}, {d}, at row {e}, {f}"


def notes_of(grids: Json) -> list[str]:
    """What to look at again, in sentences, and why F-numbers that were asked for are none.

    A reading is asked about, never dropped.
    """
    flat = [grid["f_numbers"]["why_not"] for grid in grids.values() if "f_numbers" in grid]
    level = [said for grid in grids.values() for said in grid.get("says", ())]
    return [
        *(f"No FF and FL: {why}" for reasons in flat for why in reasons), *level, *_again(grids),
    ]  # fmt: skip


def _again(grids: Json) -> list[str]:
    return [
        f"Check row {d['at'][0] + 1}, {d['at'][1] + 1}: it is {d['off_text']} "
        f"{'above' if int(d['off']) > 0 else 'below'} what the stations around it say."
        for grid in grids.values() for d in grid["doubts"]
    ]  # fmt: skip


def _plane(told: Told, grid: floors.Grid) -> Json | None:
    try:
        plane = floors.plane(grid)
    except floors.PlaneNotDetermined:
        return None
    ten_feet = 3_048_000_000 if told.system == "us" else 3_000_000_000
    rise = plane.rise_over(ten_feet)
    over = told.speaker.length(ten_feet, feet=True)
    return plane.as_json() | {"slope_text": f"{told.speaker.length(rise)} over {over}"}
