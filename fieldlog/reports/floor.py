"""A floor's map and the work that was chosen for it, for reports: read back, never computed."""

from __future__ import annotations

import sqlite3

from fieldlog.reports.facts import FloorWork
from fieldlog.reports.stations import stations_in_full
from fieldlog.store import reading_floors
from fieldlog.store.views import CheckView


def floor_work(conn: sqlite3.Connection, check: CheckView, upto: int = 0) -> FloorWork | None:
    """Map and plan of a check with a floor survey, of entries up to number `upto` (0: all)."""
    grid = check.judgement.get("grids", {}).get("levels")
    if not grid or not grid.get("edges"):
        return None
    from fieldlog.drawings import draw  # NumPy: only where a floor is shown
    from fieldlog.drawings.floor_work import draw_work
    from fieldlog.drawings.judged import Judged
    from fieldlog.drawings.svg import NARROW

    kept = reading_floors.plan_of(conn, check.subject, check.id, upto)
    told = kept.told if kept else None
    return FloorWork(
        map=draw(check.judgement),
        plan=str(told["title"]) if told else "",
        plan_map=draw_work(Judged(check.judgement), told) if told else "",
        steps=tuple(stations_in_full(str(s)) for s in told["steps"]) if told else (),
        map_narrow=draw(check.judgement, narrow=True),
        plan_narrow=draw_work(Judged(check.judgement), told, NARROW) if told else "",
    )
