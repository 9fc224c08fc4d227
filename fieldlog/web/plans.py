"""What makes a floor pass: the plans in a table, one chosen and kept; its map and sections.

The plans are made by a job (`floor_jobs`): a page shows what is made by now, and comes back for
the rest.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, abort, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from fieldlog.calc.bodies import FloorPlan
from fieldlog.store import reading, reading_floors
from fieldlog.store.views import CheckView
from fieldlog.web import floor_work, from_check
from fieldlog.web import request as at
from fieldlog.web.floor_facts import floor_of
from fieldlog.web.floor_jobs import PATIENCE, Job, jobs
from fieldlog.web.floor_spare import unproven
from fieldlog.web.floor_work import NAMES, Wanted
from fieldlog.web.saving import EntryForm, posted, save

bp = Blueprint("plans", __name__)
Page = str | Response | tuple[str, int]
NO_GRINDING = "At these prices nothing is worth grinding: filling alone is cheaper."
NOT_NOW = "This plan is not offered any more with these answers. Nothing was kept."
NOT_YET = "This plan is still being worked out. Nothing was kept: wait for it, or take another."
WAITS = 8.0
"""Seconds that keeping a plan waits for it to be made, where it was forgotten meanwhile."""


@bp.get("/checks/<check_id>/plans")
def plans(check_id: str) -> Page:
    """What is asked, and every plan with bags, area, depth and cost."""
    check = _check_or_404(check_id)
    asked = {name: request.args.get(name, "")[: floor_work.LONGEST] for name in NAMES}
    kept = reading_floors.plan_of(at.conn(), check.subject, check.id)
    before = kept.inputs if kept else floor_work.start(check)
    wanted = Wanted(asked if any(asked.values()) else before)
    return _page(check, wanted, EntryForm(), PATIENCE)


@bp.post("/checks/<check_id>/plans")
def choose(check_id: str) -> Page:
    """Keep a plan: the one that was shown, or made anew from the same answers, and judged."""
    from fieldlog.calc.floors_plan import Plan
    from fieldlog.calc.floors_plan_json import kept

    check = _check_or_404(check_id)
    form = EntryForm(posted())
    form.validate()
    wanted = Wanted({n: request.form.get(n, "")[: floor_work.LONGEST] for n in NAMES})
    kind = request.form.get("kind", "")
    job = floor_work.job_of(check, wanted)
    plan = job.get(kind, WAITS) if job else None
    if job is None or not isinstance(plan, Plan):
        form.form_errors.append(NOT_NOW if job is None or job.done else NOT_YET)
    elif not form.errors:
        inputs = {n: t for n in NAMES if (t := wanted.text(n))}
        told = kept(plan, floor_work.speaker_of(job))
        body = FloorPlan(check.room, check.subject, check.id, kind, inputs, told, at.today())
        if save(form, "plan/1", check.subject, body) is not None:
            return redirect(url_for("checks.result", check_id=check.id) + "#plan", 303)
    return _page(check, wanted, form), form.status


@bp.get("/checks/<check_id>/plans/progress/<key>")
def progress(check_id: str, key: str) -> Page:
    """How far a job is, as a piece of the page; 205 when there is more to show than that."""
    _check_or_404(check_id)
    job = jobs().find(key)
    shown = request.args.get("made", "")
    if job is None or job.done or str(len(job.made)) != shown:
        return "", 205
    return render_template("floors/plan_progress.html", job=job, bound=floor_work.bound_words(job))


@bp.post("/checks/<check_id>/plans/stop/<key>")
def stop(check_id: str, key: str) -> Page:
    """End a job; or forget one that was ended, so that it starts anew."""
    job = jobs().find(key)
    if job is not None and job.done:
        jobs().drop(key)
    elif job is not None:
        job.stop()
        job.wait(PATIENCE)
    answers = {n: t for n in NAMES if (t := request.form.get(n, "").strip())}
    return redirect(f"{url_for('plans.plans', check_id=check_id)}?{urlencode(answers)}", 303)


@bp.get("/checks/<check_id>/map")
def look(check_id: str) -> Page:
    """The map with a section along any line, and the look before it beside it."""
    check = _check_or_404(check_id)
    return render_template(
        "floors/look.html", check=check, **_place(check), title=from_check.name_of(check),
        **floor_of(check, request.args.get("line", ""), request.args.get("through", "")),
    )  # fmt: skip


def _page(check: CheckView, wanted: Wanted, form: EntryForm, patience: float = 0.0) -> str:
    from fieldlog.calc.floors_plan_measures import units_text
    from fieldlog.drawings import draw

    site = floor_work.site_of(wanted)
    job = floor_work.job_of(check, wanted)
    if job is not None:
        job.wait(patience)
    return render_template(
        "floors/plans.html", check=check, wanted=wanted, form=form, names=NAMES, job=job,
        plans=_apart(_told_of(check, job)) if job else [], there=floor_work.THERE,
        units_text=units_text,
        unproven=unproven(check, floor_work.limits_as_judged(check)),
        bound=floor_work.bound_words(job) if job else "",
        seen=reading.head_of(at.conn(), check.subject), title=from_check.name_of(check),
        products=list(site.products.values()), floor=site.floor,
        map=Markup(draw(check.judgement)), map_narrow=Markup(draw(check.judgement, narrow=True)),
        **_place(check),
    )  # fmt: skip


def _told_of(check: CheckView, job: Job) -> list[dict[str, Any]]:
    """The plans that are made by now, as the page shows them; each is put in words once."""
    for kind, plan in list(job.made.items()):
        if kind not in job.told:
            job.told[kind] = _told(check, plan, job)
    return [dict(job.told[kind]) for kind in job.kinds if kind in job.told]


def _apart(told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """A mix that grinds nothing is the fill again: it is said, and not offered twice."""
    return [
        {"kind": "mix", "offered": False, "why": NO_GRINDING}
        if one["kind"] == "mix" and one["offered"] and not one["ground_ft2"]
        else one
        for one in told
    ]


def _told(check: CheckView, plan: Any, job: Job) -> dict[str, Any]:
    """A plan as the page shows it, with its map; the one that is not offered with its reason."""
    import json

    from fieldlog.calc.floors_plan import NotOffered
    from fieldlog.calc.floors_plan_json import kept, told
    from fieldlog.web.floor_facts import drawn

    speaker = floor_work.speaker_of(job)
    if isinstance(plan, NotOffered):
        return {**told(plan, speaker), "drawing": ""}
    return drawn(check, json.loads(kept(plan, speaker)))


def _place(check: CheckView) -> dict[str, Any]:
    room = at.house().room(check.room)
    story = at.house().story(room.story) if room else None
    return {"room": room, "story_name": story.name if story else ""}


def _check_or_404(check_id: str) -> CheckView:
    check = reading.check(at.conn(), check_id)
    if check is None or not floor_work.has_survey(check):
        abort(404, "There is no floor survey at this address. Open the check from its room's page.")
    return check
