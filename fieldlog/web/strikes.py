"""Striking through: a wrong entry is never removed, a later one says that and why it is wrong.

And the entries that were refused: kept as they came, with the reason.
"""

from __future__ import annotations

import json
from typing import Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import TextAreaField
from wtforms.validators import InputRequired

from fieldlog.calc.entries import Strike
from fieldlog.store import journal, reading
from fieldlog.store.views import EntryView
from fieldlog.web.names import act_says, crew_name, where, who
from fieldlog.web.request import conn
from fieldlog.web.saving import EntryForm, Sound, posted, save, tidy
from fieldlog.web.times import day_name

bp = Blueprint("strikes", __name__)

WHY = "Say what is wrong with it: the reason stands beside it for good."
QUIET = ("sheet_sha256", "sha256", "check", "of", "size", "answer")
"""What only the machine reads."""
IN_THE_ACT = ("act", "how", "agreed by", "trade")
"""What the sentence about an act has in it."""
NEVER = ("house/1", "strike/1", "differs/1", "access/1")
WHAT = {
    "walk/1": "Walk",
    "check/1": "Check",
    "item/1": "Punch item",
    "act/1": "What was done about a punch item",
    "photo/1": "Photo",
    "day/1": "The day",
    "report/1": "Issued report",
    "letter/1": "Weekly letter",
    "calculation/1": "Kept sum",
    "layers/1": "Floor and ceiling of a room",
    "instrument/1": "Test of a level",
}


class StrikeForm(EntryForm):
    """Why an entry is wrong."""

    reason = TextAreaField(
        "What is wrong with it?",
        filters=[tidy],
        validators=[InputRequired(WHY), Sound(2000, lines=True)],
    )


@bp.route("/entries/<entry_id>/strike", methods=["GET", "POST"])
def strike(entry_id: str) -> str | Response | tuple[str, int]:
    """Strike an entry through, with the reason."""
    entry = _entry_or_404(entry_id)
    form = StrikeForm(posted())
    if request.method == "GET":
        form.seen.data = reading.head_of(conn(), entry.subject)
        form.fresh()
        return _page(entry, form)
    sent_before = journal.entry(conn(), form.entry_id.data or "") is not None
    valid = form.validate()
    if entry.struck and not sent_before:
        form.form_errors.append("It is struck through already; nothing was changed.")
    elif valid and not form.reason.data:
        form.reason.errors = [WHY]
    if not any(form.errors.values()):
        body = Strike(entry=entry.id, reason=form.reason.data or "")
        if save(form, "strike/1", entry.subject, body):
            return redirect(_back_to(entry))
    return _page(entry, form), form.status


@bp.get("/entries/refused")
def refused() -> str:
    """Entries that could not be taken: each as it came, and why."""
    return render_template("reports/pages_refused.html", entries=reading.refused(conn()), who=who)


@bp.get("/entries/<entry_id>")
def stands(entry_id: str) -> Response:
    """Where an entry stands: a tablet that let go of it knows its id alone."""
    entry = journal.entry(conn(), entry_id)
    if entry is None:
        abort(404, "The office has no entry at this address.")
    return redirect(url_for("strikes.refused") if entry.refused else _back_to(entry))


def _page(entry: EntryView, form: StrikeForm) -> str:
    return render_template(
        "reports/pages_strike.html",
        entry=entry,
        form=form,
        what=WHAT.get(entry.type, entry.type),
        lines=_lines(entry),
        who=who,
        back=_back_to(entry),
    )


def _lines(entry: EntryView) -> list[tuple[str, str]]:
    """What the entry says; an act on an item in the words of the item's history."""
    lines = _legible(entry.body)
    if entry.type != "act/1":
        return lines
    history = reading.item_history(conn(), entry.subject.partition(":")[2])
    told = [("what", act_says(act)) for act in history if act.id == entry.id]
    return [*told, *(line for line in lines if line[0] not in IN_THE_ACT)]


def _legible(body: str) -> list[tuple[str, str]]:
    """An entry's body, one line for each thing that is filled in."""
    found = json.loads(body)
    lines = []
    for name, value in found.items():
        if value not in ("", [], {}, None, False) and name not in QUIET:
            lines.append((name.replace("_", " "), _said(name, value)))
    return lines


def _said(name: str, value: Any) -> str:
    """One value as a person reads it; what has no better form stands as JSON."""
    match name, value:
        case "room", str():
            return where(value)
        case "trade", str():
            return crew_name(value)
        case (("day" | "needs_by" | "week"), str()):
            return day_name(value)
        case "photos", list():
            return str(len(value))
        case _, str():
            return value.replace("_", " ") if name == "act" else value
        case _, list() if all(isinstance(one, str) for one in value):
            return ", ".join(value)
    return "yes" if value is True else json.dumps(value, ensure_ascii=False)


def _back_to(entry: EntryView) -> str:
    """The page that shows the entry."""
    kind, _, rest = entry.subject.partition(":")
    if kind == "item":
        return url_for("items.history", item_id=rest) + f"#entry-{entry.id}"
    if entry.type == "check/1":
        return url_for("checks.result", check_id=entry.id)
    if entry.type == "calculation/1":
        return url_for("math.kept", sum_id=entry.id)
    if kind == "photo":
        return url_for("rooms.room", room=json.loads(entry.body)["room"]) + "#photos"
    if kind == "layers":
        return url_for("layers.layers", room=rest)
    if kind == "day":
        return url_for("day.day", day=rest)
    return url_for("reports.index")


def _entry_or_404(entry_id: str) -> EntryView:
    entry = journal.entry(conn(), entry_id)
    if entry is None or entry.refused or entry.type in NEVER:
        abort(404, "There is no entry at this address that can be struck through.")
    return entry
