"""What lies, and will lie, in a room: its floor build-up and ceiling, as the latest entry says."""

from __future__ import annotations

from flask import Blueprint, abort, redirect, render_template, request, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response

from fieldlog.calc.bodies import Layers
from fieldlog.calc.house import Room
from fieldlog.calc.layers import to_come
from fieldlog.calc.lengths import format_length
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.intake import Answer
from fieldlog.store import reading
from fieldlog.store.reading_layers import layers_versions
from fieldlog.store.views import CheckView
from fieldlog.web import request as at
from fieldlog.web.layers_form import KINDS, LayersForm, check_rows, form_of, rows_of
from fieldlog.web.layers_words import layers_line, said
from fieldlog.web.names import story_name, who
from fieldlog.web.reopening import entry_of, reopened_by, reopened_of
from fieldlog.web.saving import EntryForm, posted, save

bp = Blueprint("layers", __name__)

Page = str | Response | tuple[str, int]
NO_LONGER = "Its readings no longer stand: something was laid since. Measure it again."


@bp.route("/rooms/<room>/layers", methods=["GET", "POST"])
def layers(room: str) -> Page:
    """The layers of a room; each saving is a new entry, and the latest holds."""
    place = at.room_or_404(room)
    known = reading.layers(at.conn(), place.id)
    if request.method == "GET":
        form = form_of(known, None)
        form.seen.data = reading.head_of(at.conn(), f"layers:{place.id}")
        return _page(place, form)
    form = form_of(known, request.form)
    if "more" in request.form:
        return _page(place, form)
    form.validate()
    check_rows(form, _unit())
    if not any(form.errors.values()) and _saves(place, form):
        return redirect(url_for("layers.layers", room=place.id, done="yes"), 303)
    return _page(place, form), form.status


@bp.post("/checks/<check_id>/judge")
def judge_again(check_id: str) -> Page:
    """Judge a check's readings again with the layers as they are now: a new check of it."""
    check = reading.check(at.conn(), check_id)
    if check is None:
        abort(404, "There is no check at this address. Open it from its room's page.")
    form = EntryForm(posted())
    open_again = reopened_of(check)
    if open_again and not open_again.can_judge:
        abort(409, NO_LONGER)
    answer = _judged_now(check, form) if form.validate() else None
    if answer is None:
        abort(409, " ".join(form.top_errors))
    return redirect(url_for("checks.result", check_id=answer.id), 303)


def _judged_now(check: CheckView, form: EntryForm) -> Answer | None:
    body = replace(entry_of(check), day=at.today())
    try:
        return save(form, "check/1", check.subject, body)
    except (ReadingsRefused, UnknownSource) as err:
        form.form_errors.append(f"It can't be judged as it was entered: {err} Measure it again.")
        return None


def _unit() -> str:
    return "mm" if at.house().system == "metric" else "in"


def _saves(place: Room, form: LayersForm) -> bool:
    body = Layers(
        room=place.id,
        layers=tuple(row.layer(_unit()) for row in rows_of(form) if not row.blank),
        note=form.note.data or "",
        day=at.today(),
    )
    return save(form, "layers/1", f"layers:{place.id}", body) is not None


def _page(place: Room, form: LayersForm) -> str:
    known = reading.layers(at.conn(), place.id)
    system = at.house().system
    come = to_come(known, place.name) if known else None
    return render_template(
        "layers/layers.html",
        room=place,
        story_name=story_name,
        form=form,
        rows=rows_of(form),
        kinds=KINDS,
        unit=_unit(),
        floor=format_length(come.floor, system) if come else "",
        ceiling=format_length(come.ceiling, system) if come else "",
        line=layers_line(place.id),
        again=reopened_by(place.id),
        versions=layers_versions(at.conn(), place.id),
        said=said,
        who=who,
        done=request.args.get("done", ""),
    )  # fmt: skip
