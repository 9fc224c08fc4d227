"""A room's outline on a page: walls in, a plan drawing out, stations laid."""

from __future__ import annotations

from dataclasses import dataclass, field

from flask import Blueprint, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from fieldlog.calc.house import Room
from fieldlog.calc.lengths import format_length
from fieldlog.store import reading_floors
from fieldlog.web import request as at
from fieldlog.web.room_outline import (
    Laid,
    OutlineNotUsable,
    body_of,
    default_texts,
    lay,
    texts_of,
)
from fieldlog.web.saving import EntryForm, posted, save

bp = Blueprint("floor_room", __name__)
Page = str | Response | tuple[str, int]
NAMES = ("shape", "width", "depth", "corners", "cut_outs", "spacing", "rod")
LONGEST = 4000


@dataclass
class Drafted:
    """An outline as it stands in the form."""

    room: Room
    texts: dict[str, str]
    laid: Laid | None = None
    errors: dict[str, str] = field(default_factory=dict)

    def read(self) -> None:
        """Lay it, or say at which field it can't be."""
        try:
            self.laid = lay(body_of(self.texts, self.room.id, at.today()))
        except OutlineNotUsable as err:
            self.errors[err.field] = str(err)

    @property
    def drawing(self) -> Markup:
        """The plan, or nothing."""
        return Markup(drawn(self.laid)) if self.laid else Markup("")


@bp.route("/rooms/<room>/outline", methods=["GET", "POST"])
def outline(room: str) -> Page:
    """The room's walls; saving leads to the stations."""
    form = EntryForm(posted())
    draft = Drafted(at.room_or_404(room), _texts(room))
    if request.method == "GET":
        if "width" in draft.texts or "corners" in draft.texts:
            draft.read()
        return _page(draft, form)
    form.validate()
    draft.read()
    if "do" in request.form:  # only look at it
        return _page(draft, form)
    if draft.laid and not form.errors:
        body = draft.laid.body
        if save(form, "outline/1", f"outline:{room}", body) is not None:
            where = request.args.get("place") or None
            return redirect(url_for("floors.survey", room=room, place=where), 303)
    return _page(draft, form), form.status


@bp.post("/rooms/<room>/outline/look")
def look(room: str) -> Page:
    """The plan drawing alone, while it is typed. Nothing is kept."""
    draft = Drafted(at.room_or_404(room), _texts(room))
    draft.read()
    return render_template("floors/plan_look.html", draft=draft, says=_says(draft))


def drawn(laid: Laid) -> str:
    """The plan drawing of a room."""
    from fieldlog.drawings.room_plan import draw_room

    box, system = laid.outline.box, at.house().system
    across, down = (format_length(n, system, feet=True) for n in (box[2] - box[0], box[3] - box[1]))
    return draw_room(
        laid.outline.rings, [laid.layout.xy(c) for c in laid.layout.order], across, down
    )


def _texts(room: str) -> dict[str, str]:
    if request.method == "POST":
        return {name: request.form.get(name, "")[:LONGEST] for name in NAMES}
    kept, _ = reading_floors.outline_of(at.conn(), room)
    return texts_of(kept) if kept else default_texts(at.room_or_404(room).size)


def _says(draft: Drafted) -> str:
    if draft.laid is None:
        return ""
    count = len(draft.laid.layout.order)
    return f"{count} stations, every {draft.laid.body.spacing}."


def _page(draft: Drafted, form: EntryForm) -> str:
    seen = reading_floors.outline_of(at.conn(), draft.room.id)[1]
    story = at.house().story(draft.room.story)
    return render_template(
        "floors/outline.html", draft=draft, form=form, seen=seen, says=_says(draft),
        room=draft.room, story_name=story.name if story else "",
    )  # fmt: skip
