"""Reports: the daily report, a crew's punch list, the weekly letter; each as page and text."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Answer
from wtforms import TextAreaField, ValidationError

from fieldlog.calc.entries import Letter
from fieldlog.calc.items import CORRECTED, OPEN, UNFINISHED
from fieldlog.calc.shape import is_day
from fieldlog.reports import daily as daily_report
from fieldlog.reports import punch as punch_report
from fieldlog.reports import render
from fieldlog.reports import weekly as weekly_report
from fieldlog.reports.files import keep_issued
from fieldlog.reports.weekly_facts import week_days
from fieldlog.store import journal, reading
from fieldlog.store.views import PhotoView
from fieldlog.web.next import sequence
from fieldlog.web.request import author, conn, folder, house, now, today
from fieldlog.web.saving import EntryForm, SomeOf, Sound, posted, save, tidy

bp = Blueprint("reports", __name__)

Page = str | Response | Answer | tuple[str, int]
LONG = 6000
FIRST_DAY = "1900-01-01"
"""Earlier than any walk; a week has to have a first day."""
PICTURES = 3
FIXED = (
    "This letter was issued meanwhile, so nothing was changed. What you typed is still below: copy "
    "what you want to keep into the next letter."
)


class LetterForm(EntryForm):
    """The letter's sections, as the superintendent words them."""

    greeting = TextAreaField("Greeting", filters=[tidy], validators=[Sound(LONG, lines=True)])
    finished = TextAreaField("Finished", filters=[tidy], validators=[Sound(LONG, lines=True)])
    need_from_you = TextAreaField(
        "What we need from you, by when", filters=[tidy], validators=[Sound(LONG, lines=True)]
    )
    next_up = TextAreaField("Next", filters=[tidy], validators=[Sound(LONG, lines=True)])
    closing = TextAreaField("Closing", filters=[tidy], validators=[Sound(LONG, lines=True)])
    photos = SomeOf("Photos")

    def validate_photos(self, field: SomeOf) -> None:
        """Three at most, out of the week's."""
        if len(field.data or ()) > PICTURES:
            raise ValidationError(f"Choose {PICTURES} photos at most. You chose {len(field.data)}.")
        if field.unknown:
            raise ValidationError("One of these photos is not of this week. Choose again.")

    def to_body(self, week: str, fixed: bool) -> Letter:
        """The entry: a draft, or the letter as it is issued."""
        texts = {
            name: self[name].data or ""
            for name in ("greeting", "finished", "need_from_you", "next_up", "closing")
        }
        photos = tuple(self.photos.data or ())
        return Letter(week=week, photos=photos, fixed=fixed, **texts)


@bp.get("/reports")
def index() -> str:
    """Today's report, the earlier ones, each crew's list, the letters."""
    days = reading.walk_days(conn())[::-1]
    issued = {r.day: r for r in reading.reports_issued(conn(), kind="daily")}
    waiting = reading.items(conn(), states=UNFINISHED)
    weeks = dict.fromkeys(weekly_report.friday_of(d) for d in [today(), *days])
    return render_template(
        "reports/pages_index.html",
        today=today(),
        days=[d for d in days if d != today()],
        issued=issued,
        crews=[
            (t, _waiting([i.state for i in waiting if i.trade == t.id])) for t in house().trades
        ],
        letters=[(week, reading.letter(conn(), week)[0]) for week in weeks],
        refused=len(reading.refused(conn())),
    )


def _waiting(states: list[str]) -> str:
    """ "4 to do, 1 to look at": what is the crew's to do, and what is the superintendent's."""
    told = ((states.count(OPEN), "to do"), (states.count(CORRECTED), "to look at"))
    return ", ".join(f"{count} {word}" for count, word in told if count) or "nothing open"


@bp.get("/reports/daily/<day>")
def daily(day: str) -> Page:
    """The daily report of a date, `?text=1` as text."""
    facts = daily_report.gather(conn(), house(), _day_or_404(day))
    if request.args.get("text"):
        return _text(daily_report.text(facts))
    return _page("daily", facts, day=day, error="")


@bp.post("/reports/daily/<day>/issue")
def issue_daily(day: str) -> Page:
    """Issue the report as it stands; what comes later shows as added after it."""
    form = EntryForm(posted())
    form.validate()
    if journal.entry(conn(), form.entry_id.data or "") is not None:
        return redirect(url_for("reports.daily", day=_day_or_404(day)))
    body = daily_report.issue_daily(conn(), house(), _day_or_404(day), now=now(), author=author())
    if not form.errors and save(form, "report/1", f"report:daily:{day}", body):
        keep_issued(conn(), house(), folder(), day)
        return redirect(url_for("reports.daily", day=day))
    facts = daily_report.gather(conn(), house(), day)
    return _page("daily", facts, day=day, error=" ".join(form.top_errors)), form.status


@bp.get("/reports/punch/<trade>")
def punch(trade: str) -> Page:
    """A crew's punch list to print, `?text=1` as text."""
    if house().trade(trade) is None:
        abort(404, f'There is no crew "{trade}" in this house. Reports lists the crews.')
    facts = punch_report.gather(conn(), house(), trade, today())
    if request.args.get("text"):
        return _text(punch_report.text(facts))
    return _page("punch", facts, trade=trade)


@bp.route("/reports/weekly/<week>", methods=["GET", "POST"])
def weekly(week: str) -> Page:
    """The letter of a Friday: edited and saved as a draft, then issued and only read."""
    friday = weekly_report.friday_of(_day_or_404(week))
    if friday != week:
        return redirect(url_for("reports.weekly", week=friday))
    facts = weekly_report.gather(conn(), house(), week, sequence())
    if request.args.get("text"):
        return _text(weekly_report.text(facts))
    form = _letter_form(week)
    if request.method == "POST":
        return _post_letter(week, form)
    return _page("weekly", facts, week=week) if facts.fixed else _editor(week, form)


def _letter_form(week: str) -> LetterForm:
    written, head = reading.letter(conn(), week)
    letter = written or weekly_report.draft(conn(), house(), week, sequence())
    names = ("greeting", "finished", "need_from_you", "next_up", "closing")
    data: dict[str, Any] = {name: getattr(letter, name) for name in names}
    form = LetterForm(posted(), data={**data, "photos": list(letter.photos), "seen": head})
    form.photos.choices = [(p.sha256, p.caption) for p in _photos_of_week(week, letter)]
    if request.method == "GET":
        form.fresh()
    return form


def _post_letter(week: str, form: LetterForm) -> Page:
    written, _ = reading.letter(conn(), week)
    sent_before = journal.entry(conn(), form.entry_id.data or "") is not None
    if written and written.fixed and not sent_before:
        form.form_errors.append(FIXED)
        return _editor(week, form), 409
    fix = request.form.get("do") == "fix"
    if form.validate() and save(form, "letter/1", f"letter:{week}", form.to_body(week, fix)):
        return redirect(url_for("reports.weekly", week=week, done="fixed" if fix else "saved"))
    return _editor(week, form), form.status


def _editor(week: str, form: LetterForm) -> str:
    written, _ = reading.letter(conn(), week)
    photos = _photos_of_week(week, written)
    return render_template(
        "reports/pages_letter.html",
        says={p.sha256: weekly_report.photo_says(conn(), house(), p) for p in photos},
        week=week,
        form=form,
        written=written,
        photos=photos,
        done=request.args.get("done", ""),
    )


def _photos_of_week(week: str, letter: Letter | None) -> list[PhotoView]:
    """Photos that the letter may carry: the week's, the chosen first, then those of no item."""
    chosen = letter.photos if letter else ()
    found = {p.sha256: p for day in week_days(week) for p in reading.photos(conn(), day=day)}
    for sha256 in chosen:
        if sha256 not in found and (photo := reading.photo(conn(), sha256)):
            found[sha256] = photo
    return sorted(
        found.values(), key=lambda p: (p.sha256 not in chosen, p.of.startswith("item:"), -p.seq)
    )


def _page(name: render.Name, facts: render.Facts, **more: Any) -> str:
    body = render.body(name, facts, photo_url=_photo_url)
    return render_template(
        f"reports/pages_{name}.html", body=body, head=render.heading(facts), facts=facts, **more
    )


def _photo_url(sha256: str, size: int) -> str:
    return url_for("photos.rendition", sha256=sha256, size=size)


def _text(told: str) -> Response:
    return Response(told, content_type="text/plain; charset=utf-8")


def _day_or_404(day: str) -> str:
    if not is_day(day) or day < FIRST_DAY:
        abort(404, f'"{day}" is not a day. A day looks like {now().date().isoformat()}.')
    return day
