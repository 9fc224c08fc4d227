"""Level readings of a judgement, as plain JSON values."""

from __future__ import annotations

from typing import Any, Protocol

from fieldlog.calc import floors
from fieldlog.calc.named import plain_grid
from fieldlog.calc.scope import Scope
from fieldlog.calc.sentences import Speaker
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.values import Away, Grid

Json = dict[str, Any]


class Told(Protocol):
    """A judged check on its way into JSON."""

    system: str
    sheet: Sheet
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
            out[f.name] = _grid(told, value)
    return out


def _grid(told: Told, levels: Grid) -> Json:
    grid = plain_grid(levels)
    edges = sorted({b.given["edge"] for b in told.scope.rules if "edge" in b.given})
    worst = {kind: _worst(told, grid, edges, kind) for kind in _KINDS}
    ends = floors.high_low(grid)
    return {
        "spacing_nm": str(grid.spacing),
        "spacing_text": told.speaker.length(grid.spacing, feet=True),
        "rows": [[None if n is None else str(n) for n in row] for row in grid.rows],
        "blocked": [[isinstance(n, Away) for n in row] for row in levels.rows],
        "worst": worst,
        "high": list(ends.high) if ends else None,
        "low": list(ends.low) if ends else None,
        "range": told.length(ends.range) if ends else None,
        "plane": _plane(told, grid),
    }


_KINDS: tuple[floors.Kind, ...] = ("hollow", "hump")


def _worst(told: Told, grid: floors.Grid, edges: list[int], kind: floors.Kind) -> Json | None:
    """The worst place under the longest edge that a limit names."""
    found = floors.worst_under(grid, edges[-1], kind) if edges else None
    if found is None:
        return None
    return found.as_json() | {
        "gap_text": told.speaker.length(found.gap),
        "edge_text": told.speaker.length(edges[-1], feet=True),
    }


def _plane(told: Told, grid: floors.Grid) -> Json | None:
    try:
        plane = floors.plane(grid)
    except floors.PlaneNotDetermined:
        return None
    ten_feet = 3_048_000_000 if told.system == "us" else 3_000_000_000
    rise = plane.rise_over(ten_feet)
    over = told.speaker.length(ten_feet, feet=True)
    return plane.as_json() | {"slope_text": f"{told.speaker.length(rise)} over {over}"}
