"""Today's walk: its date, the rooms in order with what is left, what failed, what is unfinished."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import StringField

from fieldlog import intake
from fieldlog.calc.entries import Walk
from fieldlog.calc.house import Room, Story
from fieldlog.calc.ids import is_id
from fieldlog.calc.shape import is_day
from fieldlog.store import reading
from fieldlog.store.reading_walk import last_measured, outcomes_on
from fieldlog.store.views import CheckLine
from fieldlog.web import request as at
from fieldlog.web.forms import FieldlogForm
from fieldlog.web.from_check import name_of
from fieldlog.web.rooms import RoomLine, latest_sentence, stories

bp = Blueprint("walk", __name__)

SHOWN = 20
"""Failed checks listed on the walk; the day's report has them all."""
FORM_LOST = "This form had lost its number and has a new one now. Press the button once more."


class WalkForm(FieldlogForm):
    """The date of a walk, as the person confirms it."""

    day = StringField()


@dataclass(frozen=True)
class Failed:
    """A check of this walk that did not pass, and that no later one took the place of."""

    check: CheckLine
    title: str
    room: str
    plain: str | None
    says: str


@bp.get("/")
def today() -> str:
    """Today's walk."""
    form = WalkForm(day=at.today(), entry_id=at.form_id())
    return _page(form)


@bp.post("/walk")
def start() -> str | Response | tuple[str, int]:
    """Start the walk of the confirmed date."""
    form = WalkForm(request.form)
    day = (form.day.data or "").strip()
    if not is_day(day):
        form.day.errors = [f'"{day[:40]}" is not a date. Write it like {at.local_date()}.']
        return _page(form), 422
    if not is_id(form.entry_id.data or ""):
        form.entry_id.data = at.form_id()
        form.day.errors = [FORM_LOST]
        return _page(form), 422
    if reading.walk_of(at.conn(), day) is None:
        _record(form, day)
    at.confirm_day(day)
    return redirect(url_for("walk.today"), 303)


def _record(form: WalkForm, day: str) -> None:
    """Record the walk. The same form again, or changed and sent again, starts nothing twice."""
    with at.writer() as w:
        intake.record(
            w, at.folder(), at.library(), id=form.entry_id.data or "", type="walk/1",
            subject=f"walk:{day}", author=at.author(), body=Walk(day=day), now=at.now(),
        )  # fmt: skip


def _page(form: WalkForm) -> str:
    day = at.today()
    listed = stories()
    checks = outcomes_on(at.conn(), day)
    last = at.house().room(checks[-1].room) if checks else None
    failed = [c.id for c in checks if c.verdict == "fail" and c.latest]
    shown = reading.check_lines(at.conn(), failed[-SHOWN:])
    return render_template(
        "walk/today.html",
        form=form, day=day, started=reading.walk_of(at.conn(), day) is not None,
        stories=listed, measured=last_measured(at.conn()),
        last=last, next_room=next_room(listed, last),
        failed=[_failed(c) for c in shown], failed_count=len(failed),
        taken=len(checks), unfinished=_unfinished(day),
        corrected=len(reading.items(at.conn(), states=("corrected",))),
    )  # fmt: skip


def next_room(listed: list[tuple[Story, list[RoomLine]]], last: Room | None) -> RoomLine | None:
    """The next room after the last one with something left to measure; around the house once."""
    lines = [line for _, rooms in listed for line in rooms]
    ids = [line.room.id for line in lines]
    start = ids.index(last.id) if last and last.id in ids else 0
    ordered = lines[start:] + lines[:start]
    return next((line for line in ordered if line.left), None)


def _failed(check: CheckLine) -> Failed:
    room = at.house().room(check.room)
    plain, says = latest_sentence(check.judgement)
    return Failed(check, name_of(check), room.name if room else check.room, plain, says)


def _unfinished(day: str) -> list[tuple[str, str]]:
    """What else waits for a person, each with the page where it is done."""
    conn = at.conn()
    lines: list[tuple[str, str]] = []
    if reading.day_facts(conn, day) is None:
        says = "The day is not written up: weather, crews, deliveries"
        lines.append((says, url_for("day.day", day=day)))
    refused = len(reading.refused(conn))
    if refused:
        says = "1 entry was" if refused == 1 else f"{refused} entries were"
        lines.append((f"{says} refused and kept, with the reason", url_for("strikes.refused")))
    return lines
