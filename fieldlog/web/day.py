"""The day: weather, crews, deliveries, delays. The latest entry holds; the earlier stay."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import IntegerField, StringField, TextAreaField

from fieldlog.calc.entries import CrewToday, Day, parse_body
from fieldlog.calc.house import House
from fieldlog.calc.items import is_clash
from fieldlog.calc.shape import is_day
from fieldlog.store import journal, reading
from fieldlog.web.names import crew_name, who
from fieldlog.web.request import conn, house, now
from fieldlog.web.saving import EntryForm, Sound, posted, save, tidy

bp = Blueprint("day", __name__)

MOST_PEOPLE = 999
LONG = 4000
A_NUMBER = "A whole number of people, 0 to 999."


@dataclass(frozen=True)
class Version:
    """One time the day was saved."""

    by: str
    received: str
    facts: Day
    clash: bool
    struck: str


class PeopleField(IntegerField):
    """A head count: a whole number, or blank."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take the number. Raises ValueError with the sentence for the field."""
        if not valuelist:
            return
        text = str(valuelist[0]).strip()
        self.data = None
        if text:
            if not (
                text.isascii() and text.isdigit() and len(text) < 10 and int(text) <= MOST_PEOPLE
            ):
                raise ValueError(A_NUMBER)
            self.data = int(text)


class DayForm(EntryForm):
    """The facts of a day; a house's crews come as pairs of fields, see day_form."""

    weather = StringField("Weather", filters=[tidy], validators=[Sound(LONG, lines=True)])
    deliveries = TextAreaField("Deliveries", filters=[tidy], validators=[Sound(LONG, lines=True)])
    delays = TextAreaField("Delays", filters=[tidy], validators=[Sound(LONG, lines=True)])
    note = TextAreaField("Note", filters=[tidy], validators=[Sound(LONG, lines=True)])


@bp.route("/day/<day>", methods=["GET", "POST"])
def day(day: str) -> str | Response | tuple[str, int]:
    """The day's facts as last saved, to be changed and saved again."""
    if not is_day(day):
        abort(404, f'"{day}" is not a day. A day looks like {now().date().isoformat()}.')
    form = _form(day)
    if request.method == "GET":
        return _page(day, form)
    if form.validate() and save(form, "day/1", f"day:{day}", _body(day, form)):
        return redirect(url_for("day.day", day=day, done="yes"))
    return _page(day, form), form.status


def _form(day: str) -> DayForm:
    facts = reading.day_facts(conn(), day) or Day(day=day)
    there = {c.trade: c for c in facts.crews}
    data: dict[str, Any] = {
        "weather": facts.weather, "deliveries": facts.deliveries, "delays": facts.delays,
        "note": facts.note, "seen": reading.head_of(conn(), f"day:{day}"),
    }  # fmt: skip
    for trade, crew in there.items():
        data[f"people-{trade}"], data[f"did-{trade}"] = crew.people, crew.did
    form = _class_for(house(), tuple(there))(posted(), data=data)
    if not form.entry_id.data and request.method == "GET":
        form.fresh()
    return form


def _class_for(house: House, also: tuple[str, ...]) -> type[DayForm]:
    """A form with two fields for each crew of the house, and of an earlier entry of the day."""
    fields: dict[str, Any] = {}
    for trade in dict.fromkeys([*(t.id for t in house.trades), *also]):
        fields[f"people-{trade}"] = PeopleField("People")
        fields[f"did-{trade}"] = StringField(
            "What they did", filters=[tidy], validators=[Sound(LONG, lines=True)]
        )
    return type("DayFormOfHouse", (DayForm,), fields)


def crews_of(form: DayForm) -> list[str]:
    """The trades that the form has fields for, in order."""
    return [f.name.partition("-")[2] for f in form if f.name.startswith("people-")]


def _body(day: str, form: DayForm) -> Day:
    crews = []
    for trade in crews_of(form):
        people, did = form[f"people-{trade}"].data or 0, form[f"did-{trade}"].data or ""
        if people or did:
            crews.append(CrewToday(trade=trade, people=people, did=did))
    return Day(
        day=day,
        weather=form.weather.data or "",
        crews=tuple(crews),
        deliveries=form.deliveries.data or "",
        delays=form.delays.data or "",
        note=form.note.data or "",
    )


def _page(day: str, form: DayForm) -> str:
    on = date.fromisoformat(day)
    one = timedelta(days=1)
    return render_template(
        "day/day.html",
        day=day,
        form=form,
        crews=crews_of(form),
        crew_name=crew_name,
        versions=_versions(day),
        before=(on - one).isoformat() if on > date.min else "",
        after=(on + one).isoformat() if on < date.max else "",
        done=request.args.get("done", ""),
    )


def _versions(day: str) -> list[Version]:
    """Every time it was saved, the latest first, and whether it was saved over one unseen."""
    found, head = [], ""
    for entry in journal.entries_of(conn(), f"day:{day}"):
        stored = journal.stored(conn(), entry.id)
        if entry.type == "day/1" and stored:
            facts = parse_body(entry.type, entry.body)
            assert isinstance(facts, Day)
            clash = is_clash(stored.entry.seen, head)
            found.append(Version(who(entry.author), entry.received, facts, clash, entry.struck))
        head = entry.id
    return found[::-1]
