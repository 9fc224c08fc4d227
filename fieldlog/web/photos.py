"""Photos: kept for a room, and shown at the sizes that pages need."""

from __future__ import annotations

from pathlib import Path

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import FileField, StringField

from fieldlog.calc.shape import is_digest
from fieldlog.config import asset_folder
from fieldlog.store import arriving, photos, reading
from fieldlog.store.views import CheckView, PhotoView
from fieldlog.web.from_check import name_of
from fieldlog.web.names import story_name
from fieldlog.web.request import conn, folder, room_or_404, today
from fieldlog.web.saving import EntryForm, Sound, keep_photo, posted, tidy

bp = Blueprint("photos", __name__)

SIZES = (320, 900, 1600)
ON_TABLET = "pictures/photo-on-tablet.svg"
YEAR = 365 * 24 * 3600
"""Seconds a browser may keep a photo: its address is its content, so it never changes."""


class PhotoForm(EntryForm):
    """A photo and what it shows."""

    photo = FileField("Photo")
    caption = StringField("What it shows", filters=[tidy], validators=[Sound(500)])


@bp.route("/rooms/<room>/photos", methods=["GET", "POST"])
def add(room: str) -> str | Response | tuple[str, int]:
    """Keep a photo for a room, or for the check in `of`; a refused one says why."""
    place = room_or_404(room)
    form, check = PhotoForm(posted()), _check_of(place.id)
    home = (
        url_for("checks.result", check_id=check.id) if check else url_for("rooms.room", room=room)
    )
    sent = request.method == "POST"
    if sent and form.validate() and _keeps(form, place.id, check.subject if check else ""):
        return redirect(home + "#photos")
    page = render_template(
        "photos/add.html", form=form, room=place, today=today(), story_name=story_name,
        check=check, name=name_of(check) if check else "", home=home,
    )  # fmt: skip
    return (page, form.status) if sent else page


def _check_of(room: str) -> CheckView | None:
    """The check that the photo shows, where the address names one of this room."""
    check = reading.check(conn(), request.args.get("of", ""))
    return check if check and check.room == room and not check.struck else None


def _keeps(form: PhotoForm, room: str, of: str) -> bool:
    kept = keep_photo(form, form.photo, room=room, of=of, caption=form.caption.data or "")
    if not kept and not form.photo.errors and not form.form_errors:
        form.photo.errors = ["Take or choose a photo first."]
    return bool(kept)


@bp.get("/photos/<sha256>/<int:size>")
def rendition(sha256: str, size: int) -> Response:
    """A smaller copy: its longer side is `size`, without the place where it was taken."""
    if size not in SIZES:
        abort(404, f"A photo is shown at {', '.join(map(str, SIZES))} pixels, not at {size}.")
    _photo_or_404(sha256)
    here = photos.original(folder(), sha256) is not None
    try:
        path = photos.rendition(folder(), sha256, size)
    except (photos.PhotoRefused, FileNotFoundError):
        if arriving.is_waiting(conn(), folder(), sha256):
            return _for_now(asset_folder("static") / ON_TABLET, "image/svg+xml")
        abort(404, "This photo's file is not in the house's folder.")
    if not here:
        return _for_now(path, "image/jpeg")
    return _forever(path, "image/jpeg", f"{sha256}-{size}")


@bp.get("/photos/<sha256>")
def original(sha256: str) -> Response:
    """The photo as it was taken, untouched."""
    photo = _photo_or_404(sha256)
    path = photos.original(folder(), sha256)
    if path is None and arriving.is_waiting(conn(), folder(), sha256):
        abort(404, "This photo is still on the tablet that took it. It comes by itself in reach.")
    if path is None:
        abort(404, "This photo's file is not in the house's folder.")
    return _forever(path, photo.media, sha256)


def _photo_or_404(sha256: str) -> PhotoView:
    photo = reading.photo(conn(), sha256) if is_digest(sha256) else None
    if photo is None:
        abort(404, "There is no photo at this address.")
    return photo


def _for_now(path: Path, media: str) -> Response:
    """What is shown until the original is here: asked for again each time."""
    return Response(path.read_bytes(), mimetype=media, headers={"Cache-Control": "no-store"})


def _forever(path: Path, media: str, tag: str) -> Response:
    """The file's bytes, to be kept by the browser; an empty 304 where it has them already."""
    response = Response(path.read_bytes(), mimetype=media)
    response.set_etag(tag)
    response.headers["Cache-Control"] = f"private, max-age={YEAR}, immutable"
    return response.make_conditional(request)
