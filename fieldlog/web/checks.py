"""One check: entered by its sheet's form, judged while it is typed, shown with its result."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldlog.calc.bodies import Differs
from fieldlog.calc.entries import parse_body
from fieldlog.calc.judging import judge
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.looks import NOTHING_EARLIER, Earlier, earlier_of
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.store import journal, looks, reading
from fieldlog.web import request as at
from fieldlog.web.check_result import facts_of
from fieldlog.web.entering import Entering, save
from fieldlog.web.entry_page import Asked, asked_or_404
from fieldlog.web.preview import errors_of, preview_of, without
from fieldlog.web.slot_buttons import pressed

bp = Blueprint("checks", __name__)

Page = str | Response | tuple[str, int]
CHANGED = (
    "The sheet was changed after this page was opened. What you typed is still here, in what the "
    "sheet asks now: look it over and save again."
)


@bp.get("/rooms/<room>/checks/<sheet>")
def enter(room: str, sheet: str) -> Page:
    """The empty form, with as many slots as the last check of this had."""
    asked = asked_or_404(room, sheet, request.args.get("place", ""))
    return Entering.fresh(asked).page()


@bp.post("/rooms/<room>/checks/<sheet>")
def keep(room: str, sheet: str) -> Page:
    """Save the check, or come back with everything that was typed and what is wrong."""
    asked = asked_or_404(room, sheet, request.args.get("place", ""), request.form.get("place", ""))
    if "do" in request.form:
        extent, data = pressed(asked.sheet, request.form.to_dict())
        return Entering.of(asked, data, extent).page()
    entering = Entering.of(asked, request.form.to_dict())
    before = journal.entry(at.conn(), entering.entry_id)
    if before is None and entering.sheet_changed:
        entering.keep_photos()
        return entering.page(CHANGED), 409
    saved, status = save(entering)
    if saved:
        return redirect(url_for("checks.result", check_id=saved), 303)
    return entering.page(), status


@bp.post("/rooms/<room>/checks/<sheet>/preview")
def preview(room: str, sheet: str) -> Response:
    """What each reading is worth so far, as JSON. Nothing is kept."""
    asked = asked_or_404(room, sheet, request.args.get("place", ""))
    entering = Entering.of(asked, request.form.to_dict())
    readings = entering.readings
    errors: dict[str, Any] = {}
    try:
        try:
            judged = _judged(entering, readings)
        except ReadingsRefused as refused:
            errors = errors_of(asked.sheet, entering.extent, refused)
            judged = _judged(entering, without(readings, refused.errors))
    except (ReadingsRefused, UnknownSource) as err:
        return jsonify({"verdict": "", "slots": errors, "summary": [], "said": str(err)})
    told = preview_of(judged, asked.sheet, at.library())
    told["slots"].update(errors)
    return jsonify(told)


def _judged(entering: Entering, readings: dict[str, Any]) -> dict[str, Any]:
    house = at.house()
    return judge(
        at.library(),
        entering.asked.sheet.id,
        entering.asked.books,
        readings,
        entering.main_tool,
        house.system,
        house.instruments,
        earlier=_earlier(entering.asked),
    )


def _earlier(asked: Asked) -> Earlier:
    if not asked.sheet.earlier:
        return NOTHING_EARLIER
    return earlier_of(looks.of_sheet(at.conn(), asked.sheet.id), asked.subject, at.today())


@bp.get("/checks/<check_id>")
def result(check_id: str) -> Page:
    """The stored judgement: drawing, findings, every number, and what can be done now."""
    check = reading.check(at.conn(), check_id)
    if check is None:
        abort(404, "There is no check at this address. Open it from its room's page.")
    return render_template("checks/result.html", differs=_differs(check_id), **facts_of(check))


def _differs(check_id: str) -> Differs | None:
    """How the tablet that took a check had judged it, where that was otherwise."""
    told = journal.entries_of(at.conn(), f"differs:{check_id}")
    body = parse_body(told[0].type, told[0].body) if told else None
    return body if isinstance(body, Differs) else None
