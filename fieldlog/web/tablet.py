"""What a tablet fetches ahead, so that it can do the walk alone: pages, data and the worker."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import msgspec
from flask import (
    Blueprint,
    Response,
    jsonify,
    render_template,
    request,
    send_from_directory,
    url_for,
)

from fieldlog.calc.house import Room, slug
from fieldlog.calc.items import UNFINISHED
from fieldlog.calc.layers import ToCome, to_come
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.calc.tablet_document import tablet_document
from fieldlog.config import asset_folder
from fieldlog.store import journal, reading
from fieldlog.store.reading_layers import house_or_layers_changed
from fieldlog.store.views import ItemView, PhotoView
from fieldlog.web import entry_page, entry_tools, sent
from fieldlog.web import request as at
from fieldlog.web.build import assets, build
from fieldlog.web.items import fresh_forms
from fieldlog.web.rooms import recent_photos

bp = Blueprint("tablet", __name__)

ALONE = ("walk.today", "rooms.all_rooms", "punch.punch", "next.next_up", "codes.codes",
         "reports.index", "tablet.kept", "tablet.outbox", "tablet.no_signal",
         "tablet.no_list", "tablet.ready", "tablet.data")  # fmt: skip
"""Pages that are there once."""
MOST_TRIED = 1_000_000
PLAIN_STYLES = "css/"
"""Reports name their styles without an edition: they are read as files, too."""


@bp.get("/sw.js")
def worker() -> Response:
    """The worker; at the root, because it answers for what lies below its own address.

    One script of several files: parts that it fetched by itself could be of two builds.
    """
    answer = sent.files()[sent.WHOLE_WORKER].answer()
    answer.headers["Cache-Control"] = "no-cache"
    answer.make_conditional(request)
    return answer


@bp.get("/static/css/<name>")
def plain_style(name: str) -> Response:
    """A style of a report, which names it without an edition."""
    return send_from_directory(asset_folder("static") / "css", name)


@bp.get("/tablet/kept")
def kept() -> str:
    """One entry that is on the tablet; the script knows which from the address's end."""
    crews = json.dumps({t.id: t.name for t in at.house().trades})
    return render_template("tablet/kept.html", crews=crews, forms=fresh_forms())


@bp.get("/tablet/outbox")
def outbox() -> str:
    """All that is on this tablet only."""
    return render_template("tablet/outbox.html")


@bp.get("/tablet/no-signal")
def no_signal() -> str:
    """Shown in place of a page that is not on the tablet."""
    return render_template("tablet/no_signal.html")


@bp.get("/tablet/no-list")
def no_list() -> str:
    """Shown on a tablet in a crew's hands whose list did not get onto it."""
    return render_template("tablet/no_list.html")


@bp.get("/tablet/ready")
def ready() -> str:
    """The app tests itself: what a walk with no signal needs, each good or missing."""
    return render_template("tablet/ready.html", guide=at.config().lan is not None)


@bp.post("/tablet/ready/photo")
def photo_arrived() -> Response:
    """What arrived of the photo that a tablet tests itself by; nothing of it is kept."""
    request.max_content_length = MOST_TRIED
    data = request.get_data(cache=False)
    return jsonify(sha256=hashlib.sha256(data).hexdigest(), size=len(data))


@bp.get("/tablet/pages")
def pages() -> Response:
    """Which addresses make the house whole on a tablet, and as of which entry."""
    head, house = (
        journal.head(at.conn()).seq,
        at.house(),
    )  # so: the list is never older than it says
    listed = [url_for(name) for name in ALONE]
    for room in house.rooms:
        listed += _of_room(room)
    listed += [url_for("tablet.measure", sheet=s.id) for s in _sheets()]
    listed += [url_for("crews.crew", trade=t.id) for t in house.trades]
    waiting = [i for i in reading.items(at.conn()) if i.state in UNFINISHED and not i.struck]
    listed += [url_for("items.history", item_id=i.id) for i in waiting]
    styles = [f"/static/{path}" for path in assets() if path.startswith(PLAIN_STYLES)]
    files = [url_for("static", filename=path) for path in assets()]
    return jsonify(
        build=build(), head=head, rooms=len(house.rooms),
        pages=list(dict.fromkeys(listed)), assets=[*files, *styles, *_pictures(waiting)],
    )  # fmt: skip


def _pictures(waiting: list[ItemView]) -> list[str]:
    """What those pages show of photos: waiting items' large and small, and each room's last."""
    at_rooms: dict[str, list[PhotoView]] = {}
    for photo in reading.photos(at.conn()):
        at_rooms.setdefault(photo.room, []).append(photo)
    of_items = [digest for item in waiting for digest in item.photos]
    of_rooms = [p.sha256 for some in at_rooms.values() for p in recent_photos(some)]
    sizes = [(digest, 900) for digest in of_items]
    sizes += [(digest, 320) for digest in (*of_items, *of_rooms)]
    named = (url_for("photos.rendition", sha256=digest, size=size) for digest, size in sizes)
    return list(dict.fromkeys(named))


@bp.get("/tablet/measure/<sheet>")
def measure(sheet: str) -> str:
    """A sheet's form for whichever room the address names: the script puts the room in."""
    from fieldlog.web.entering import Entering

    asked = entry_page.asked_or_404(at.house().rooms[0].id, sheet, "")
    return Entering.fresh(asked).page()


def _of_room(room: Room) -> list[str]:
    """A room's own pages: itself, its planned checks and their last looks, item, photo."""
    listed = [
        url_for("rooms.room", room=room.id),
        url_for("items.new", room=room.id),
        url_for("photos.add", room=room.id),
    ]
    for planned in room.checks:
        place = slug(planned.place) or None
        listed.append(url_for("checks.enter", room=room.id, sheet=planned.sheet, place=place))
    last = reading.checks_of_room(at.conn(), room.id)
    return listed + [url_for("checks.result", check_id=check.id) for check in last]


@bp.get("/tablet/data.json")
def data() -> Response:
    """What the tablet judges by, and what its forms need to know of the house."""
    edition = _edition()
    known = request.if_none_match.contains(edition)
    answer = Response(status=304) if known else _file_of(edition).answer()
    answer.set_etag(edition)
    return answer


_last: dict[str, sent.File] = {}
"""The last one by its edition: twenty tablets ask for the same."""


def _file_of(edition: str) -> sent.File:
    found = _last.get(edition)
    if found is None:
        found = sent.zipped(msgspec.json.encode(_told()), "application/json")
        _last.clear()
        _last[edition] = found
    return found


def _edition() -> str:
    """Changes with the pages, the library, the house and the layers of its rooms; of this house
    alone, as the chain's links are."""
    parts = (build(), house_or_layers_changed(at.conn()), *sorted(at.library().sources))
    return hashlib.sha256(" ".join(parts).encode()).hexdigest()


def _told() -> dict[str, Any]:
    house = at.house()
    return {
        "fields": {sheet.id: [_field(f) for f in sheet.fields] for sheet in _sheets()},
        "rooms": {room.id: room.name for room in house.rooms},
        "crews": {trade.id: trade.name for trade in house.trades},
        "judges": tablet_document(at.library(), house, _layers()),
    }


def _layers() -> dict[str, ToCome]:
    """What is still to come in each room whose layers are recorded."""
    recorded = ((room, reading.layers(at.conn(), room.id)) for room in at.house().rooms)
    return {room.id: to_come(layers, room.name) for room, layers in recorded if layers}


def _field(field: Field) -> dict[str, Any]:
    able = [tool.id for tool in entry_tools.tools_for(field)]
    return {
        "name": field.name, "kind": field.kind, "many": field.many, "follows": field.follows,
        "required": field.required, "able": able,
    }  # fmt: skip


def _sheets() -> list[Sheet]:
    return list(at.library().sheets.values())
