"""A crew's own list: what is theirs, what is wrong with it, and what they can say to it.

Nothing of another crew is on it. What is posted here is the crew's entry, not the
superintendent's.
"""

from __future__ import annotations

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldlog.calc.entries import trade_of
from fieldlog.calc.house import Trade
from fieldlog.calc.items import CREW, UNFINISHED, allowed_acts
from fieldlog.store import journal, reading
from fieldlog.store.views import ItemAct, ItemView, PhotoView
from fieldlog.web.access import role
from fieldlog.web.floor_facts import of_item
from fieldlog.web.item_forms import ActForm
from fieldlog.web.items import act_form, refusal
from fieldlog.web.names import where
from fieldlog.web.next import gates_of_trade
from fieldlog.web.request import conn, house, today
from fieldlog.web.saving import keep_photo, save

bp = Blueprint("crews", __name__)

PAGE = 12
"""Items on one page: about 25 KB, which a phone on a bad line still gets."""


@bp.get("/crews/<trade>")
def crew(trade: str) -> str:
    """The crew's list, `?from=12` for the next page of it."""
    return _page(_trade_or_404(trade), None, None)


@bp.post("/crews/<trade>/items/<item_id>")
def act(trade: str, item_id: str) -> str | Response | tuple[str, int]:
    """Corrected, not ours, or a note, in the crew's name."""
    own = _trade_or_404(trade)
    item = reading.item(conn(), item_id)
    if item is None or not _theirs(own, item):
        abort(404, f"There is no such item on the {own.name}'s list.")
    form = act_form(item)
    form.validate()
    if _acts(own, item, form):
        done = url_for("crews.crew", trade=trade, done=item.id, act=form.act.data)
        return redirect(done)
    return _page(own, item, form), form.status


def _theirs(own: Trade, item: ItemView) -> bool:
    """The crew's item; or one that was, so that a form sent twice is still answered."""
    if item.trade == own.id:
        return True
    sent = journal.entry(conn(), request.form.get("entry_id", ""))
    return sent is not None and sent.subject == item.subject and sent.author == f"crew/{own.id}"


def _acts(own: Trade, item: ItemView, form: ActForm) -> bool:
    by = f"crew/{own.id}"
    photos = keep_photo(form, form.photo, room=item.room, of=item.subject, by=by)
    sent_before = journal.entry(conn(), form.entry_id.data or "") is not None
    may = ("corrected", "not_ours", "note") if sent_before else allowed_acts(item.state, CREW)
    if form.act.data not in may:
        form.form_errors.append(refusal(item, form.act.data or ""))
    form.ask(bool(photos), by_crew=True)
    if any(form.errors.values()):
        return False
    body = form.to_body(photos, today(), by_crew=True)
    return save(form, "act/1", item.subject, body, by=by) is not None


def _page(own: Trade, tried_on: ItemView | None, tried: ActForm | None) -> str:
    items = reading.items(conn(), trade=own.id, states=UNFINISHED)
    start = _start(items, tried_on)
    shown = items[start : start + PAGE]
    done = reading.item(conn(), request.args.get("done", ""))
    gates = gates_of_trade(own.id)
    return render_template(
        "crews/crew.html",
        trade=own,
        items=shown,
        total=len(items),
        start=start,
        page=PAGE,
        photos={i.id: _photos_of(i) for i in shown},
        talk={i.id: _talk(i) for i in shown},
        floors_of={i.id: of_item(i) for i in shown},
        tried_on=tried_on,
        tried=tried,
        done=done if done and done.trade == own.id else None,
        said=request.args.get("act", ""),
        gates=gates,
        may_start=_may_start({one.room for one in gates if not one.held}),
        me=role(),
        took=request.args.get("took", ""),
        ticked=request.args.get("ticked", ""),
        where=where,
    )


def _may_start(rooms: set[str]) -> list[tuple[str, list[str]]]:
    """The rooms' names, by story from the top of the house down."""
    stories = [(s, house().rooms_of(s.id)) for s in reversed(house().stories)]
    named = [(s.name, [r.name for r in found if r.id in rooms]) for s, found in stories]
    return [(story, names) for story, names in named if names]


def _start(items: list[ItemView], tried_on: ItemView | None) -> int:
    """First item of the page: the page that holds the item tried, else what the address says."""
    if tried_on is not None:
        at = next((n for n, i in enumerate(items) if i.id == tried_on.id), 0)
        return at - at % PAGE
    asked = request.args.get("from", "0")
    return int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 0


def shows(trade: str, sha256: str) -> bool:
    """Whether a crew's list shows this photo: of an item of theirs, and not another crew's."""
    items = reading.items(conn(), trade=trade, states=UNFINISHED)
    return any(sha256 == photo.sha256 for item in items for photo in _photos_of(item))


def _photos_of(item: ItemView) -> list[PhotoView]:
    found = {p.sha256: p for p in reading.photos(conn(), of=item.subject)}
    for sha256 in item.photos:
        if sha256 not in found and (photo := reading.photo(conn(), sha256)):
            found[sha256] = photo
    return [photo for photo in found.values() if _for(item.trade, photo.author)]


def _talk(item: ItemView) -> list[ItemAct]:
    """Notes to and fro, of this item only."""
    acts = [a for a in reading.item_history(conn(), item.id) if _for(item.trade, a.author)]
    return [a for a in acts if a.act == "note" and a.effect and not a.struck and a.reason]


def _for(trade: str, author: str) -> bool:
    """Whether a crew may see what this author added: theirs, or the superintendent's.

    An item that was passed on may carry photos and notes of the crew that had it before.
    """
    return trade_of(author) in ("", trade)


def _trade_or_404(trade: str) -> Trade:
    known = house().trade(trade)
    if known is None:
        abort(404, f'There is no crew "{trade}" in this house. Punch lists the crews.')
    return known
