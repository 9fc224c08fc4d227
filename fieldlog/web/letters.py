"""The owner's letters, as they were issued: a list, and each to read. Drafts are not here."""

from __future__ import annotations

from flask import Blueprint, Response, abort, render_template, url_for

from fieldlog.calc.shape import is_day
from fieldlog.reports import render, weekly
from fieldlog.reports.single import photo_within
from fieldlog.store import journal, reading
from fieldlog.web.request import conn, folder, house

bp = Blueprint("letters", __name__)


@bp.get("/letters")
def index() -> str:
    """The issued letters, the newest first."""
    return render_template("access/letters.html", weeks=_fixed()[::-1])


@bp.get("/letters/<week>")
def letter(week: str) -> str:
    """One issued letter."""
    facts = weekly.gather(conn(), house(), _fixed_or_404(week))
    body = render.body("weekly", facts, photo_url=_photo_url)
    return render_template("access/letter.html", body=body, head=render.heading(facts), week=week)


@bp.get("/letters/<week>/letter.html")
def as_file(week: str) -> Response:
    """An issued letter as one file with its photos in it, to send."""
    facts = weekly.gather(conn(), house(), _fixed_or_404(week))
    text = render.html("weekly", facts, photo_url=photo_within(folder()), standalone=True)
    response = Response(text, content_type="text/html; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="letter-{week}.html"'
    return response


def shows(sha256: str) -> bool:
    """Whether an issued letter shows this photo."""
    return any(
        found is not None and sha256 in found.photos
        for found in (reading.letter(conn(), week)[0] for week in _fixed())
    )


def _fixed_or_404(week: str) -> str:
    if not is_day(week) or week not in _fixed():
        abort(404, "There is no issued letter of that week.")
    return week


def _fixed() -> list[str]:
    """The Fridays whose letter is issued, the oldest first."""
    subjects = dict.fromkeys(e.subject for e in journal.entries(conn(), type="letter/1"))
    weeks = sorted(subject.partition(":")[2] for subject in subjects)
    return [w for w in weeks if (found := reading.letter(conn(), w)[0]) and found.fixed]


def _photo_url(sha256: str, size: int) -> str:
    return url_for("photos.rendition", sha256=sha256, size=size)
