"""A floor's drawings for a page: its map, its plan, a section, and the look before it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from fieldlog.store import reading, reading_floors
from fieldlog.store.reading_floors import PlanView
from fieldlog.store.views import CheckView, ItemView
from fieldlog.web import request as at
from fieldlog.web.floor_work import has_survey

WORDS = (
    ("row", "Along the row"),
    ("column", "Along the column"),
    ("diagonal", "Diagonal, down to the right"),
    ("cross", "Diagonal, down to the left"),
)


def chosen_plan(check: CheckView) -> dict[str, Any] | None:
    """The plan that was chosen for a check with its map, or None."""
    if not has_survey(check):
        return None
    kept = reading_floors.plan_of(at.conn(), check.subject, check.id)
    return planned(check, kept) if kept else None


def of_item(item: ItemView) -> dict[str, Any] | None:
    """Map and plan of the floor that an item is about, or None."""
    check = reading.check(at.conn(), item.check) if item.check else None
    if check is None or not has_survey(check):
        return None
    from fieldlog.drawings import draw

    return {
        "map": Markup(draw(check.judgement)),
        "map_narrow": Markup(draw(check.judgement, narrow=True)),
        "plan": chosen_plan(check),
        "check": check,
    }


def planned(check: CheckView, kept: PlanView) -> dict[str, Any]:
    """A kept plan as pages show it: what was told, and its map."""
    return drawn(check, kept.told)


def drawn(check: CheckView, told: Mapping[str, Any]) -> dict[str, Any]:
    """A plan that was told with its map, laid out for a wide page and for a phone."""
    from fieldlog.drawings.floor_work import draw_work
    from fieldlog.drawings.judged import Judged
    from fieldlog.drawings.svg import NARROW

    judged = Judged(check.judgement)
    return {
        **told,
        "drawing": Markup(draw_work(judged, told)),
        "drawing_narrow": Markup(draw_work(judged, told, NARROW)),
    }


def floor_of(check: CheckView, line: str, through: str) -> dict[str, Any]:
    """Map, section and the map before; `through` is "row,column" from 1."""
    from fieldlog.drawings import draw
    from fieldlog.drawings.floor_section import DIRECTIONS, cut_of, draw_section, worst_cut
    from fieldlog.drawings.judged import Judged

    judged = Judged(check.judgement)
    rows = check.judgement["grids"]["levels"]["rows"]
    size = (len(rows), len(rows[0]))
    cell = _cell(through, size)
    cut = cut_of(size, line, cell) if line in DIRECTIONS and cell else worst_cut(judged)
    kept = reading_floors.plan_of(at.conn(), check.subject, check.id)
    before = _before(check)
    assert cut is not None
    return {
        "map": Markup(draw(check.judgement)),
        "section": Markup(draw_section(judged, cut, kept.told if kept else None)),
        "cut": cut,
        "words": WORDS,
        "middle": cell or cut.cells[len(cut.cells) // 2],
        "size": size,
        "before": before,
        "map_before": Markup(draw(before.judgement)) if before else "",
    }


def _before(check: CheckView) -> CheckView | None:
    """The last look at the same floor before this one that has stations."""
    looks = reading.checks_of_subject(at.conn(), check.subject)
    earlier = [c for c in looks if c.seq < check.seq and not c.struck and has_survey(c)]
    return earlier[-1] if earlier else None


def _cell(text: str, size: tuple[int, int]) -> tuple[int, int] | None:
    parts = text.split(",")
    if len(parts) != 2 or not all(p.isascii() and p.isdigit() and len(p) < 5 for p in parts):
        return None
    row, column = (int(p) - 1 for p in parts)
    return (row, column) if 0 <= row < size[0] and 0 <= column < size[1] else None
