"""A level is tested: two pegs, or a turning laser on one mark. A small page for each tool."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldlog.calc.bodies import InstrumentTest
from fieldlog.calc.instrument_tests import (
    DISTANCES,
    OPTIONAL,
    READINGS,
    TestNotUsable,
    outcome_of,
)
from fieldlog.calc.instrument_tests import UNITS as KNOWN_UNITS
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.judge_levelling import off_text
from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.reports.tools import side_of
from fieldlog.store import reading
from fieldlog.store.reading_instruments import TestView, last_tests, tests_of
from fieldlog.web import request as at
from fieldlog.web.names import who
from fieldlog.web.saving import EntryForm, posted, save
from fieldlog.web.times import days_ago

bp = Blueprint("instrument_tests", __name__)

Page = str | Response | tuple[str, int]
LONGEST = 30
UNITS = (("in", "inches"), ("16ths", "sixteenths"), ("ft", "decimal feet"), ("mm", "mm"))
LABELS = {
    "middle_1": "Peg 1, from the middle", "middle_2": "Peg 2, from the middle",
    "far_1": "Peg 1, from the second place", "far_2": "Peg 2, from the second place",
    "distance_1": "From the second place to peg 1", "distance_2": "From the second place to peg 2",
    "at_0": "As it stands", "at_90": "Turned 90 degrees", "at_180": "Turned 180 degrees",
    "at_270": "Turned 270 degrees, where read", "distance": "From the laser to the mark",
}  # fmt: skip
STEPS = {
    "two pegs": (
        "Two marks some 60 to 100 ft apart. Set up halfway between them and read both.",
        "Move to a place near one of them, in line. Read both again, and pace the distances.",
    ),
    "turned": (
        "Set up as far from one mark as the light is read well, 50 ft or more. Read the mark.",
        "Turn the whole laser on its stand by a quarter, let it level, read. Once more for 180.",
    ),
}
TITLES = {"two pegs": "Two-peg test", "turned": "Turned on its stand"}


@bp.route("/instruments/<tool>", methods=["GET", "POST"])
def tests(tool: str) -> Page:
    """The tests of one tool; saving one is a new entry, and the latest of a kind holds."""
    tried = _tool_or_404(tool)
    form, how = EntryForm(posted()), request.form.get("how", "")
    if request.method == "GET":
        form.seen.data = reading.head_of(at.conn(), f"instrument:{tool}")
        return _page(tried, form, "", {})
    if how not in [t.how for t in tried.tests]:
        abort(404, f"{tried.name} is not tested so.")
    form.validate()
    inputs = _inputs(how)
    errors = _wrong(how, inputs)
    try:
        tilt = outcome_of(how, inputs).tilt
    except TestNotUsable as err:
        errors.setdefault(err.name, str(err))
    if not errors and not any(form.errors.values()) and _saves(tried, form, how, inputs, tilt):
        return redirect(url_for("instrument_tests.tests", tool=tool), 303)
    return _page(tried, form, how, errors), form.status


def testable() -> list[Instrument]:
    """The house's tools that there is a test for."""
    known = at.library().instruments
    return [known[i] for i in at.house().instruments if i in known and known[i].tests]


def tests_in_words(tool: Instrument) -> list[str]:
    """The last tests of a tool: "tested 3 days ago, 1/32 in over 100 ft"; () where untested."""
    if not tool.tests:
        return []
    return [said_of(view) for view in last_tests(at.conn(), tool.id)] or ["not tested yet"]


def out_of_allowance(tool: str) -> list[str]:
    """A sentence for each test that the tool did not pass."""
    system = at.house().system
    return [
        f"It is {off_text(view.tilt, system)} off by its last test, {side_of(view)}. Allowed: "
        f"{off_text(Fraction(view.test.allowed), system)}. Have it adjusted, or level with "
        "another one."
        for view in last_tests(at.conn(), tool) if not view.within
    ]  # fmt: skip


def carried(tool: str) -> list[dict[str, str]]:
    """The last tests as a survey's readings carry them (`calc/tested.py`)."""
    return [
        {"entry": v.id, "day": v.day, "how": v.test.how, "tilt": v.test.tilt,
         "allowed": v.test.allowed}
        for v in last_tests(at.conn(), tool)
    ]  # fmt: skip


def said_of(view: TestView) -> str:
    """One test in words."""
    age = days_ago(view.day, at.local_date())
    when = age if age in ("today", "") else f"{age} ago"
    how = "two pegs" if view.test.how == "two pegs" else "turned"
    side = f", {found}" if (found := side_of(view)) else ""
    out = "" if view.within else ", more than allowed"
    return f"tested {when} ({how}), {off_text(view.tilt, at.house().system)}{side}{out}"


def _saves(
    tool: Instrument, form: EntryForm, how: str, inputs: dict[str, str], tilt: Fraction
) -> bool:
    allowed = next(t.allowed for t in tool.tests if t.how == how)
    body: Any = InstrumentTest(tool.id, how, inputs, str(tilt), str(allowed), "", at.today())  # type: ignore[arg-type]
    return save(form, "instrument/1", f"instrument:{tool.id}", body) is not None


def _inputs(how: str) -> dict[str, str]:
    """What was typed, with the units that hold where none is."""
    names = (*READINGS[how], *DISTANCES[how])
    found = {n: request.form.get(n, "").strip()[:LONGEST] for n in names}
    unit = request.form.get("unit", "")
    metric = at.house().system == "metric"
    return found | {"unit": unit[:LONGEST], "distance_unit": "m" if metric else "ft"}


def _wrong(how: str, inputs: dict[str, str]) -> dict[str, str]:
    """What is wrong with each box by itself, so that all of them are said at once."""
    units = dict.fromkeys(READINGS[how], inputs["unit"])
    units |= dict.fromkeys(DISTANCES[how], inputs["distance_unit"])
    asked = {n: unit for n, unit in units.items() if inputs[n] or n not in OPTIONAL}
    if inputs["unit"] not in KNOWN_UNITS:
        return {}
    errors = {}
    for name, unit in asked.items():
        try:
            parse_length(inputs[name], unit)
        except LengthNotUnderstood as err:
            errors[name] = str(err)
    return errors


def _tool_or_404(tool: str) -> Instrument:
    found = next((t for t in testable() if t.id == tool), None)
    if found is None:
        abort(404, "This house has no tool of that name that is tested. See the house's tools.")
    return found


def _page(tool: Instrument, form: EntryForm, how: str, errors: dict[str, str]) -> str:
    metric = at.house().system == "metric"
    system = at.house().system
    views = tests_of(at.conn(), tool.id)
    return render_template(
        "instruments/tests.html", tool=tool, form=form, tried=how, errors=errors, views=views,
        said=said_of, now=tests_in_words(tool), out=out_of_allowance(tool.id), who=who,
        titles=TITLES, steps=STEPS, labels=LABELS, readings=READINGS, distances=DISTANCES,
        units=UNITS, unit=request.form.get("unit", "mm" if metric else "in"),
        far="m" if metric else "ft", typed=request.form, optional=("at_270",),
        allowed={t.how: (off_text(t.allowed, system), t.source) for t in tool.tests},
        back=_back(),
    )  # fmt: skip


def _back() -> str:
    """The survey that this was opened from, by its room; or the house."""
    room = request.args.get("room", "")
    known = at.house().room(room)
    return url_for("floors.survey", room=room) if known else url_for("house.house")
