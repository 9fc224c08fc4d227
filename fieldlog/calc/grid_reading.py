"""A grid of level readings as it was entered: heights or rod readings, the room around them.

`{"spacing", "unit", "rows", "instrument"}`, and where they are known `"kind"` (heights, or rod:
a rod reads *down* from the plane of light), `"readings"` (a scan: the fewest readings whose
median a height is) and `"outline"`: `{"corners": [["0", "0"], ...], "cut_outs": [[...], ...],
"first": ["1 ft", "1 ft"]}`, walls in order around the room and where the first station is.
A level that was moved has its `"set_ups"` (`set_ups.py`), one that was tested its `"tested"`
(`tested.py`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.set_ups import SetUps, SetUpsRefused, joined_grid, parse_set_ups
from fieldlog.calc.tested import Tested, TestRefused, parse_tested
from fieldlog.calc.values import Away, Grid, Number

MOST_STATIONS = 2500
MOST_CORNERS = 200
UNITS = ("in", "ft", "mm", "cm", "m", "16ths")
KINDS = ("heights", "rod")
_KEYS = {"spacing", "unit", "rows", "instrument", "kind", "readings", "outline"}
_KEYS |= {"set_ups", "tested"}
_OUTLINE = {"corners", "cut_outs", "first"}

Ring = tuple[tuple[int, int], ...]
Cells = tuple[tuple[Number | Away, ...], ...]


class SlotRefused(ValueError):
    """What stands in a slot can't be used; the message says why, `suggestions` what was meant."""

    def __init__(self, message: str, suggestions: tuple[str, ...] = ()) -> None:
        self.suggestions = suggestions
        super().__init__(message)


@dataclass(frozen=True, slots=True)
class GridShape:
    """A grid's frame: spacing in nm, unit and kind of its readings, rows as typed, walls,
    set-ups and the test of the level where they are known."""

    spacing: int
    unit: str
    rows: list[list[Any]]
    kind: str
    readings: int
    rings: tuple[Ring, ...]
    set_ups: SetUps | None
    tested: tuple[Tested, ...]

    def made_of(self, cells: Cells, field: str) -> Grid:
        """The grid of a field: rod readings become heights above the first station that was
        read. Raises SlotRefused for set-ups that can't be joined."""
        grid = Grid(cells, self.spacing, self.readings, self.rings, tested=self.tested)
        if self.set_ups is None:
            return replace(grid, rows=_from_rod(cells)) if self.kind == "rod" else grid
        try:
            return joined_grid(grid, field, self.set_ups, self.kind == "rod")
        except SetUpsRefused as err:
            raise SlotRefused(str(err)) from err


def grid_shape(raw: Any, system: str) -> GridShape:
    """The frame of a grid's raw readings. Raises SlotRefused."""
    if not isinstance(raw, Mapping) or set(raw) - _KEYS:
        raise SlotRefused('Level readings are {"spacing": "2 ft", "unit": "in", "rows": [[...]]}.')
    rows = raw.get("rows")
    if not isinstance(rows, list) or not rows or not all(isinstance(r, list) for r in rows):
        raise SlotRefused("Level readings need rows, each a list of heights.")
    if len({len(r) for r in rows}) != 1 or not rows[0]:
        raise SlotRefused("Every row of level readings has the same number of stations.")
    if len(rows) * len(rows[0]) > MOST_STATIONS:
        raise SlotRefused(f"{len(rows) * len(rows[0])} stations; {MOST_STATIONS} at most.")
    unit = raw.get("unit") or ("mm" if system == "metric" else "in")
    if unit not in UNITS:
        raise SlotRefused("The unit of heights is in, ft, mm, cm, m or 16ths.")
    kind = raw.get("kind") or "heights"
    if kind not in KINDS:
        raise SlotRefused("Level readings are heights, or readings of a rod.")
    rings = _rings(raw.get("outline"), system)
    readings = _readings(raw.get("readings"))
    set_ups, tested = _levelled(raw, (len(rows), len(rows[0])), unit)
    spacing = _spacing(raw.get("spacing"), system)
    return GridShape(spacing, unit, rows, kind, readings, rings, set_ups, tested)


def as_text(value: Any) -> str:
    """A reading as text. Raises SlotRefused for what is neither text, yes or no, nor a whole
    number."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | Decimal):
        return str(value)
    if isinstance(value, float):
        raise SlotRefused('A number with a point is rounded on its way here: send text, "7.5".')
    if not isinstance(value, str):
        raise SlotRefused("A reading is text, yes or no, or nothing.")
    return value


def _from_rod(cells: Cells) -> Cells:
    """Down is less: each reading is taken from the first one, which the rest are measured off.

    The first is a datum here, without an error of its own: it cancels in every gap.
    """
    read = (c.value for row in cells for c in row if isinstance(c, Number))
    first = next((value for value in read if value is not None), None)
    return tuple(tuple(_down(c, first) for c in row) for row in cells)


def _down(cell: Number | Away, mark: Any) -> Number | Away:
    if isinstance(cell, Away) or cell.value is None:
        return cell
    return replace(
        cell, value=mark - cell.value, sens={key: -weight for key, weight in cell.sens.items()}
    )


def _levelled(
    raw: Mapping[str, Any], shape: tuple[int, int], unit: str
) -> tuple[SetUps | None, tuple[Tested, ...]]:
    """The set-ups and the last tests of the level, where they are known. Raises SlotRefused."""
    try:
        return parse_set_ups(raw.get("set_ups"), shape, unit), parse_tested(raw.get("tested"))
    except (SetUpsRefused, TestRefused) as err:
        raise SlotRefused(str(err)) from err


def _readings(raw: Any) -> int:
    if raw in (None, ""):
        return 1
    if not isinstance(raw, int) or isinstance(raw, bool) or not 1 <= raw <= 10**9:
        raise SlotRefused("How many readings a height was made of is a whole number.")
    return raw


def _spacing(raw: Any, system: str) -> int:
    spacing = _length(raw, system, "Spacing of stations")
    if spacing <= 0:
        raise SlotRefused("Spacing of stations is more than zero.")
    return spacing


def _length(raw: Any, system: str, what: str) -> int:
    try:
        return parse_length(as_text(raw), "mm" if system == "metric" else "ft")
    except LengthNotUnderstood as err:
        raise SlotRefused(f"{what}: {err}", err.suggestions) from err


def _rings(raw: Any, system: str) -> tuple[Ring, ...]:
    if raw in (None, "", {}):
        return ()
    if not isinstance(raw, Mapping) or set(raw) - _OUTLINE or "corners" not in raw:
        raise SlotRefused(
            'An outline is {"corners": [["0", "0"], ...], "first": ["1 ft", "1 ft"]}.'
        )
    x0, y0 = _corner(raw.get("first") or ["0", "0"], system)
    rings = [raw["corners"], *_listed(raw.get("cut_outs") or [])]
    placed = (tuple(_corner(c, system) for c in _listed(ring)) for ring in rings)
    return tuple(tuple((x - x0, y - y0) for x, y in ring) for ring in placed)


def _listed(raw: Any) -> Sequence[Any]:
    if not isinstance(raw, list | tuple) or len(raw) > MOST_CORNERS:
        raise SlotRefused(f"An outline has a list of corners, {MOST_CORNERS} at most.")
    return raw


def _corner(raw: Any, system: str) -> tuple[int, int]:
    if not isinstance(raw, list | tuple) or len(raw) != 2:
        raise SlotRefused("A corner is two lengths: across, and down.")
    x, y = (_length(part, system, "Corner of the room") for part in raw)
    return x, y
