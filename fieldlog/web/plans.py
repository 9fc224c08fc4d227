"""What makes a floor pass: the plans in a table, one chosen and kept; its map and sections."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from fieldlog.calc.bodies import FloorPlan
from fieldlog.store import reading, reading_floors
from fieldlog.store.views import CheckView
from fieldlog.web import floor_work, from_check
from fieldlog.web import request as at
from fieldlog.web.floor_facts import floor_of
from fieldlog.web.floor_work import NAMES, Wanted
from fieldlog.web.saving import EntryForm, posted, save

bp = Blueprint("plans", __name__)
Page = str | Response | tuple[str, int]
NO_GRINDING = "At these prices nothing is worth grinding: filling alone is cheaper."
NOT_NOW = "This plan is not offered any more with these answers. Nothing was kept."


@bp.get("/checks/<check_id>/plans")
def plans(check_id: str) -> Page:
    """What is asked, and every plan with bags, area, depth and cost."""
    check = _check_or_404(check_id)
    asked = {name: request.args.get(name, "")[: floor_work.LONGEST] for name in NAMES}
    kept = reading_floors.plan_of(at.conn(), check.subject, check.id)
    before = kept.inputs if kept else floor_work.start(check)
    wanted = Wanted(asked if any(asked.values()) else before)
    return _page(check, wanted, EntryForm())


@bp.post("/checks/<check_id>/plans")
def choose(check_id: str) -> Page:
    """Keep a plan; it is made anew from the same answers, and judged, before it is."""
    from fieldlog.calc.floors_plan import NotOffered
    from fieldlog.calc.floors_plan_json import kept

    check = _check_or_404(check_id)
    form = EntryForm(posted())
    form.validate()
    wanted = Wanted({n: request.form.get(n, "")[: floor_work.LONGEST] for n in NAMES})
    kind = request.form.get("kind", "")
    plan = _made(check, wanted, kind)
    if plan is None or isinstance(plan[0], NotOffered) or wanted.errors:
        form.form_errors.append(NOT_NOW)
    elif not form.errors:
        inputs = {n: t for n in NAMES if (t := wanted.text(n))}
        told = kept(plan[0], plan[1].stations, plan[2], at.house().system)
        body = FloorPlan(check.room, check.subject, check.id, kind, inputs, told, at.today())
        if save(form, "plan/1", check.subject, body) is not None:
            return redirect(url_for("checks.result", check_id=check.id) + "#plan", 303)
    return _page(check, wanted, form), form.status


@bp.get("/checks/<check_id>/map")
def look(check_id: str) -> Page:
    """The map with a section along any line, and the look before it beside it."""
    check = _check_or_404(check_id)
    return render_template(
        "floors/look.html", check=check, **_place(check), title=from_check.name_of(check),
        **floor_of(check, request.args.get("line", ""), request.args.get("through", "")),
    )  # fmt: skip


def _made(check: CheckView, wanted: Wanted, kind: str) -> Any:
    from fieldlog.calc.floors_plan import PLANS

    if kind not in PLANS:
        return None
    site, task = floor_work.site_of(wanted), floor_work.task_of(check, wanted)
    return None if wanted.errors else (floor_work.offer(task, site, kind), task, site)


def _page(check: CheckView, wanted: Wanted, form: EntryForm) -> str:
    site, task = floor_work.site_of(wanted), floor_work.task_of(check, wanted)
    found = [] if wanted.errors else floor_work.offers(task, site)
    told = _apart([_told(check, plan, task, site) for plan in found])
    head = reading.head_of(at.conn(), check.subject)
    return render_template(
        "floors/plans.html", check=check, wanted=wanted, form=form, plans=told, names=NAMES,
        there=floor_work.THERE, seen=head, title=from_check.name_of(check),
        products=list(site.products.values()), floor=site.floor, **_place(check),
    )  # fmt: skip


def _apart(told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """A mix that grinds nothing is the fill again: it is said, and not offered twice."""
    return [
        {"kind": "mix", "offered": False, "why": NO_GRINDING}
        if one["kind"] == "mix" and one["offered"] and not one["ground_ft2"]
        else one
        for one in told
    ]


def _told(check: CheckView, plan: Any, task: Any, site: Any) -> dict[str, Any]:
    """A plan as the page shows it, with its map; the one that is not offered with its reason."""
    import json

    from fieldlog.calc.floors_plan import NotOffered
    from fieldlog.calc.floors_plan_json import kept, told
    from fieldlog.drawings.floor_work import draw_work
    from fieldlog.drawings.judged import Judged

    system = at.house().system
    if isinstance(plan, NotOffered):
        return {**told(plan, task.stations, site, system), "drawing": ""}
    said: dict[str, Any] = json.loads(kept(plan, task.stations, site, system))
    return {**said, "drawing": Markup(draw_work(Judged(check.judgement), said))}


def _place(check: CheckView) -> dict[str, Any]:
    room = at.house().room(check.room)
    story = at.house().story(room.story) if room else None
    return {"room": room, "story_name": story.name if story else ""}


def _check_or_404(check_id: str) -> CheckView:
    check = reading.check(at.conn(), check_id)
    if check is None or not floor_work.has_survey(check):
        abort(404, "There is no floor survey at this address. Open the check from its room's page.")
    return check
