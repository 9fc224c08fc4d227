"""A check's drawing on one sheet of paper, to pin up where the work is done."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flask import Blueprint, abort, render_template
from markupsafe import Markup

from fieldlog.store import reading
from fieldlog.store.reading_sums import sums
from fieldlog.store.views import CheckView
from fieldlog.web import from_check
from fieldlog.web import request as at
from fieldlog.web.check_result import AWAY, NEEDS, tool_words

bp = Blueprint("check_drawing", __name__)

RAIL = "handrail"


@bp.get("/checks/<check_id>/drawing")
def sheet(check_id: str) -> str:
    """The drawing across a page, what fails below it in words."""
    check = reading.check(at.conn(), check_id)
    facts = _facts(check) if check else None
    if facts is None:
        abort(404, "There is no drawing at this address. Open the check from its room's page.")
    return render_template("checks/drawing.html", **facts)


def _facts(check: CheckView) -> dict[str, Any] | None:
    from fieldlog.drawings import draw_for_paper

    judged = check.judgement
    rail = _rail(check)
    drawing = draw_for_paper(judged, rail.judgement if rail else None)
    if not drawing:
        return None
    return {
        "check": check,
        "judged": judged,
        "room": at.house().room(check.room),
        "title": from_check.name_of(check),
        "tool": tool_words(judged, check.instrument),
        "drawing": Markup(drawing),  # our own SVG, its texts escaped where it is made
        "rail": rail,
        "marked": [f for f in judged["findings"] if f["mark"] in ("fail", "too_close")],
        "numbers": list(_numbers(judged)),
        "sums": [s for s in sums(at.conn(), check.room, check.subject) if not s.struck],
    }


def _numbers(judged: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """What is of the whole and not of one place: name, as measured, what it needs and by what."""
    limits = {r["quantity"]: r for r in judged["rules"] if r["verdict"] != AWAY}
    known = judged["quantities"]
    sheet = at.library().sheets.get(judged["sheet"]["id"])
    order = list(known)
    if sheet:
        order = [f.name for f in sheet.fields] + [d.name for d in sheet.derived]
    for name in (n for n in order if n in known):
        quantity, rule = known[name], limits.get(name)
        values = quantity["values"]
        measured = len(values) == 1 and (values[0].get("nm") or values[0].get("value"))
        text = values[0]["text"] if measured else ""
        if text and quantity["kind"] in ("length", "angle", "slope"):
            yield quantity["label"], text, needs_words(rule) if rule else ""


def needs_words(rule: dict[str, Any]) -> str:
    """A limit with its clause, and whether nobody saw it in its document."""
    source = rule["source"]
    clause = " ".join(source[k] for k in ("document", "edition", "clause") if source[k])
    seen = ", from memory" if source["verified"] == "memory" else ""
    return f"{NEEDS.get(rule['compare'], '{}').format(rule['limit']['text'])}, {clause}{seen}"


def _rail(check: CheckView) -> CheckView | None:
    """The handrail of the same place, or the only one where the room has one stair."""
    looks = [c for c in reading.checks_of_room(at.conn(), check.room) if not c.struck]
    rails = [c for c in looks if c.sheet == RAIL]
    alone = len(rails) == 1 and len([c for c in looks if c.sheet == check.sheet]) == 1
    return next((c for c in rails if alone or c.place == check.place), None)
