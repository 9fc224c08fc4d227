"""The house: its rooms, crews, books, tools and plan, and a small form for each that adds one."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldlog.calc.entries import EntryMalformed
from fieldlog.calc.house import House, HouseNotUnderstood
from fieldlog.calc.library import UnknownSource
from fieldlog.changing import HouseStays, change_house
from fieldlog.store import journal, reading
from fieldlog.store.reading_house import house_versions
from fieldlog.web import request as at
from fieldlog.web.house_forms import FORMS, AddForm
from fieldlog.web.instrument_tests import tests_in_words
from fieldlog.web.names import who
from fieldlog.web.rooms import sheets
from fieldlog.web.saving import SAVED_ONCE

bp = Blueprint("house", __name__)

Page = str | Response | tuple[str, int]
NO_BUTTON = "The button was not understood. Use one below."


@bp.get("/house")
def house() -> Page:
    """What the house consists of now, and how it came to that."""
    return _page(None)


@bp.post("/house")
def add() -> Page:
    """Add a room, a crew, a planned check or a phrase: a new entry of the house."""
    kind = FORMS.get(request.form.get("add", ""))
    if kind is None:
        return _page(None, NO_BUTTON), 422
    form = kind.over(at.house(), request.form)
    before = journal.entry(at.conn(), form.entry_id.data or "")
    if before is not None:
        return _again(form, before.type == "house/1", before.body)
    if form.validate() and _changes(form):
        return redirect(url_for("house.house", done=form.entry_id.data), 303)
    return _page(form), form.status


def _changes(form: AddForm) -> bool:
    """Record the house with the addition; False where that is not possible, and the form says."""
    seen = form.seen.data or ""
    try:
        with at.writer() as w:
            change_house(
                w, at.folder(), at.library(), form.added_to(reading.house(w)),
                id=form.entry_id.data or "", author=at.author(), now=at.now(),
                seen=seen if journal.entry(w, seen) else "",
            )  # fmt: skip
    except (HouseStays, HouseNotUnderstood, UnknownSource, EntryMalformed) as err:
        form.form_errors.append(f"Not saved. {err}")
        return False
    return True


def _again(form: AddForm, is_house: bool, body: str) -> Page:
    """The same form once more: nothing is doubled, and another addition is not lost."""
    from fieldlog.calc.house import house_from_body

    if is_house and form.is_in(house_from_body(body)):
        return redirect(url_for("house.house", done=form.entry_id.data), 303)
    form.fresh()
    form.form_errors.append(SAVED_ONCE)
    return _page(form), 409


def _page(tried: AddForm | None, notice: str = "") -> str:
    known: House = at.house()
    head = reading.head_of(at.conn(), "house")
    forms = {name: kind.over(known, None) for name, kind in FORMS.items()}
    for form in forms.values():
        form.seen.data = head
    if tried is not None:
        forms[tried.add.data or ""] = tried
    versions = house_versions(at.conn())
    library = at.library()
    return render_template(
        "house/house.html",
        known=known,
        forms=forms,
        tried=tried.add.data if tried else "",
        notice=notice,
        versions=versions[::-1],
        done=next((v for v in versions if v.id == request.args.get("done", "")), None),
        who=who,
        titles={sheet.id: sheet.title for sheet in sheets()},
        books=[library.books.get(b) or b for b in known.books],
        tests_in_words=tests_in_words,
        tools=[library.instruments.get(i) or i for i in known.instruments],
    )
