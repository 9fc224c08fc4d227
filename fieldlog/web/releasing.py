"""A recorded structure is released to be covered: a named person says so, over its photos.

A sheet with a derived quantity `given(name)` is held while that name is blank. Releasing makes a
new check of the same readings with the name in it, and with the photos that came in since.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

from flask import Blueprint, abort, redirect, render_template, request, url_for
from msgspec.structs import replace
from werkzeug.wrappers import Response
from wtforms import FileField, StringField
from wtforms.validators import DataRequired

from fieldlog.calc.bodies import CheckEntry
from fieldlog.calc.checking import PHOTOS
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.sheets import Field
from fieldlog.store import reading
from fieldlog.store.views import CheckView, PhotoView
from fieldlog.web import request as at
from fieldlog.web.check_result import tool_words
from fieldlog.web.from_check import name_of
from fieldlog.web.names import story_name
from fieldlog.web.reopening import entry_of
from fieldlog.web.saving import EntryForm, Sound, keep_photo, posted, save, tidy

bp = Blueprint("releasing", __name__)

Page = str | Response | tuple[str, int]
WHO = "Type the name of the person who releases it. Nobody covers it without one."
NOT_HELD = "It waits for no name, or somebody looked at it since. Open its newest look."


class ReleaseForm(EntryForm):
    """Who says that it may be covered, and a photo that shows it."""

    photo = FileField()
    name = StringField(filters=[tidy], validators=[DataRequired(WHO), Sound()])


@dataclass(frozen=True)
class Held:
    """A check that waits for a name in `field`, on which `quantity` hangs, and every photo of
    what it is about."""

    check: CheckView
    field: Field
    quantity: str
    photos: tuple[PhotoView, ...]

    def released(self, name: str) -> CheckEntry:
        """The same look with the name in it, as of today."""
        body = entry_of(self.check)
        told = {**body.readings, self.field.name: name}
        digests = tuple(p.sha256 for p in self.photos)
        return replace(body, readings=told, photos=digests, day=at.today())


@bp.app_template_global()
def held_of(check: CheckView) -> Held | None:
    """What a check waits for, where it is the newest of its kind and lacks a name; else None."""
    sheet = at.library().sheets.get(check.sheet)
    failing = {r["quantity"] for r in check.judgement["rules"] if r["verdict"] == "fail"}
    if sheet is None or check.struck or not failing or not _is_newest(check):
        return None
    for derived in sheet.derived:
        named = derived.formula.removeprefix("given(").removesuffix(")")
        field = sheet.field(named)
        if derived.name in failing and derived.formula == f"given({named})" and field:
            return Held(check, field, derived.name, _photos(check))
    return None


@bp.route("/checks/<check_id>/release", methods=["GET", "POST"])
def release(check_id: str) -> Page:
    """What was recorded and its photos, and the name of who releases it."""
    check = reading.check(at.conn(), check_id)
    if check is None:
        abort(404, "There is no check at this address. Open it from its room's page.")
    form = ReleaseForm(posted())
    if request.method == "POST" and reading.check(at.conn(), form.entry_id.data or ""):
        return redirect(url_for("checks.result", check_id=form.entry_id.data), 303)
    held = held_of(check)
    if held is None:
        abort(409, NOT_HELD)
    if request.method == "GET":
        form.seen.data = check.id
        return _page(held, form)
    held = _with_photo(held, form)
    if "add" in request.form and not form.photo.errors:
        return _page(held, form)
    if form.validate() and not form.photo.errors and _saves(held, form):
        return redirect(url_for("checks.result", check_id=form.entry_id.data), 303)
    return _page(held, form), form.status


def _with_photo(held: Held, form: ReleaseForm) -> Held:
    """Keep the photo at once, whatever else is missing: a browser cannot send it again."""
    check = held.check
    keep_photo(form, form.photo, room=check.room, of=check.subject)
    form.kept.data = ""  # it is among the photos of the thing now, and another may follow
    return dataclasses.replace(held, photos=_photos(check))


def _saves(held: Held, form: ReleaseForm) -> bool:
    body = held.released(form.name.data or "")
    try:
        return save(form, "check/1", held.check.subject, body) is not None
    except (ReadingsRefused, UnknownSource) as err:
        form.form_errors.append(f"It can't be judged as it was entered: {err} Measure it again.")
        return False


def _page(held: Held, form: ReleaseForm) -> str:
    check = held.check
    return render_template(
        "checks/release.html", check=check, held=held, form=form, title=name_of(check),
        room=at.house().room(check.room), story_name=story_name,
        tool=tool_words(check.judgement, check.instrument), caution=check.judgement["caution"],
        told=[(label, words) for label, words in _told(check) if words],
        short=_short(held),
    )  # fmt: skip


def _told(check: CheckView) -> Iterator[tuple[str, str]]:
    """What was entered, in the sheet's order; the photos stand beside it."""
    known = check.judgement["quantities"]
    for field in at.library().sheet(check.sheet).fields:
        values = known.get(field.name, {}).get("values", ())
        if field.name != PHOTOS:
            yield field.label, ", ".join(v["text"] for v in values if v.get("text"))


def _short(held: Held) -> list[str]:
    """What keeps it held besides the name, as it was judged; photos that came since count then."""
    judged = held.check.judgement
    named = {r["rule"] for r in judged["rules"] if r["quantity"] == held.quantity}
    return [
        f["head"] for f in judged["findings"]
        if f["mark"] in ("fail", "not_measured") and f["rule"] not in named
    ]  # fmt: skip


def _is_newest(check: CheckView) -> bool:
    looks = (c for c in reading.checks_of_subject(at.conn(), check.subject) if not c.struck)
    return max(looks, key=lambda c: (c.day, c.seq), default=check).id == check.id


def _photos(check: CheckView) -> tuple[PhotoView, ...]:
    """Its own photos, then those of the same thing that came in later."""
    own = [p for p in (reading.photo(at.conn(), sha) for sha in check.photos) if p]
    seen = {p.sha256 for p in own}
    later = reading.photos(at.conn(), of=check.subject)
    return (*own, *(p for p in later if p.sha256 not in seen))
