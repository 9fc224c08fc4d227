"""A floor's survey: stations walked back and forth on a map, or a file of points."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, jsonify, redirect, request, url_for
from werkzeug.wrappers import Response

from fieldlog.calc.judging import judge
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.store import journal
from fieldlog.web import request as at
from fieldlog.web.checks import CHANGED
from fieldlog.web.entering import save
from fieldlog.web.entry_page import Asked, asked_or_404
from fieldlog.web.floor_file import FileNotUsable, stations_of_file
from fieldlog.web.floor_preview import told_of
from fieldlog.web.preview import errors_of, without
from fieldlog.web.room_outline import laid_room
from fieldlog.web.surveying import BLOCKED, GRID, Surveying

bp = Blueprint("floors", __name__)
Page = str | Response | tuple[str, int]
SHEET = "floor"
MEGABYTE = 1024 * 1024
LARGEST = 250 * MEGABYTE
MOST_PARTS = 6000
SET_UPS = ("moved", "not-moved", "close")
NO_FILE = "Choose a file of points first."


@bp.url_value_preprocessor
def a_scan_is_large(_endpoint: str | None, _values: dict[str, Any] | None) -> None:
    """Before anything reads the form: its token is in it, beside a file of points."""
    request.max_content_length, request.max_form_parts = LARGEST, MOST_PARTS


@bp.get("/rooms/<room>/floor/survey")
def survey(room: str) -> Page:
    """The empty map; a room without walls is asked for them first."""
    asked = _asked(room)
    if laid_room(room)[0] is None:
        where = request.args.get("place") or None
        return redirect(url_for("floor_room.outline", room=room, place=where))
    return Surveying.start(asked).page()


@bp.post("/rooms/<room>/floor/survey")
def keep(room: str) -> Page:
    """Save the survey, or come back with everything that was typed and what is wrong."""
    asked = _asked(room)
    data = request.form.to_dict()
    if data.get("do") == "file":
        return _from_file(asked, data)
    surveying = Surveying.posted_as(asked, data)
    if data.get("do", "") in SET_UPS:
        return _set_ups(surveying, data["do"])
    if journal.entry(at.conn(), surveying.entry_id) is None and surveying.sheet_changed:
        return surveying.page(CHANGED), 409
    saved, status = save(surveying)
    if saved:
        return redirect(url_for("checks.result", check_id=saved), 303)
    return surveying.page(), status


def _set_ups(surveying: Surveying, button: str) -> Page:
    """The page again with one set-up more, one less, or how they close. Nothing is kept."""
    if button == "moved":
        surveying.moved.moves_at(surveying.first_blank() or surveying.moved.order[-1])
    elif button == "not-moved":
        surveying.moved.drops_last()
    surveying.moved.closing = _closing(surveying)
    return surveying.page()


def _closing(surveying: Surveying) -> list[str]:
    """How the set-ups close, in sentences; or what they can't be joined for yet."""
    levels = _spread(surveying.readings).get(GRID) or {}
    if "set_ups" not in levels:
        return []
    try:
        judged = _judged(surveying, {GRID: levels})
    except ReadingsRefused as refused:
        return [error.message for error in refused.errors if error.index is None]
    except UnknownSource as err:
        return [str(err)]
    said: list[str] = judged["grids"][GRID].get("says", [])
    return said


def _spread(readings: dict[str, Any]) -> dict[str, Any]:
    """As if what is left between set-ups were accepted: to show what it is before it is."""
    levels = readings.get(GRID)
    if not isinstance(levels, dict) or "set_ups" not in levels:
        return readings
    return readings | {GRID: levels | {"set_ups": levels["set_ups"] | {"accepted": True}}}


def _first_place(readings: dict[str, Any]) -> dict[str, Any]:
    """Only what the first set-up read: what can be said before the others are joined."""
    levels = dict(readings[GRID])
    of = levels.pop("set_ups")["of"]
    rows = [
        [cell if n == 1 or cell == BLOCKED else None for cell, n in zip(row, numbers, strict=True)]
        for row, numbers in zip(levels["rows"], of, strict=True)
    ]
    return readings | {GRID: levels | {"rows": rows}}


def _from_file(asked: Asked, data: dict[str, str]) -> Page:
    """The file's points in the form, to look over; what was typed stays where it can't be read."""
    upload = request.files.get("points")
    try:
        if upload is None or not upload.filename:
            raise FileNotUsable(NO_FILE)
        skip, system = bool(data.get("skip")), at.house().system
        fields, said = stations_of_file(upload, data.get("file_unit", ""), skip, system)
    except FileNotUsable as err:
        surveying = Surveying.posted_as(asked, data)
        surveying.file_error = str(err)
        return surveying.page(), 422
    kept = {n: v for n, v in data.items() if not n.startswith(f"q-{GRID}-")}
    kept["instrument"] = data.get("point_tool") or data.get("instrument", "")
    surveying = Surveying.posted_as(asked, {**kept, **fields})
    surveying.file_said = said
    return surveying.page()


@bp.post("/rooms/<room>/floor/survey/preview")
def preview(room: str) -> Response:
    """What the stations say so far, as JSON. Nothing is kept."""
    asked = _asked(room)
    surveying = Surveying.posted_as(asked, request.form.to_dict())
    readings = _spread(surveying.readings)
    errors: dict[str, Any] = {}
    try:
        try:
            judged = _judged(surveying, readings)
        except ReadingsRefused as refused:
            stations = ReadingsRefused([e for e in refused.errors if e.index is not None])
            if len(stations.errors) < len(refused.errors) and surveying.moved.count > 1:
                readings = _first_place(readings)
            errors = errors_of(asked.sheet, surveying.extent, stations)
            judged = _judged(surveying, without(readings, stations.errors))
    except (ReadingsRefused, UnknownSource) as err:
        return jsonify({"slots": errors, "summary": [], "tones": {}, "bars": {}, "said": str(err)})
    told = told_of(judged, GRID)
    told["slots"].update(errors)
    told["closing"] = _closing(surveying)
    return jsonify(told)


def _judged(surveying: Surveying, readings: dict[str, Any]) -> dict[str, Any]:
    house, asked = at.house(), surveying.asked
    return judge(
        at.library(), asked.sheet.id, asked.books, readings, surveying.main_tool, house.system,
        house.instruments,
    )  # fmt: skip


def _asked(room: str) -> Asked:
    asked = asked_or_404(room, SHEET, request.args.get("place", ""))
    if asked.sheet.field(GRID) is None:
        abort(404, "The floor sheet of this house has no level readings.")
    return asked
