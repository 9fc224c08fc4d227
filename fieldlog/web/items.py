"""Punch items: a new one in four taps, its history, what is done about it, and from a check."""

from __future__ import annotations

from flask import Blueprint, abort, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from fieldlog.calc.house import Room
from fieldlog.calc.items import SUPERINTENDENT, TABLE, allowed_acts
from fieldlog.store import journal, reading
from fieldlog.store.reading_sums import sums
from fieldlog.store.views import CheckView, ItemAct, ItemView, PhotoView
from fieldlog.web import from_check, giving
from fieldlog.web.floor_facts import of_item
from fieldlog.web.item_forms import ActForm, NewItemForm
from fieldlog.web.names import act_says, crew_name, story_name, where, who
from fieldlog.web.request import conn, house, room_or_404, today
from fieldlog.web.saving import EntryForm, keep_photo, posted, save

bp = Blueprint("items", __name__)

NO_WORDS = "Tap a phrase, write what is wrong, or add a photo."

Page = str | Response | tuple[str, int]
ACTS = {row.act for row in TABLE}
LAST_CREWS = "crews"
"""Session key: crews in order of use, the last one first."""


@bp.route("/rooms/<room>/items/new", methods=["GET", "POST"])
def new(room: str) -> Page:
    """Photo, crew, words, Done: the same form again after it, with room and crew set."""
    place = room_or_404(room)
    form, of = _new_form(), _asked_of(place)
    if request.method == "GET":
        form.trade.data = next(iter(session.get(LAST_CREWS, ())), None)
        form.words.data = of.words if of else ""
        return _new_page(place, form, of)
    if form.validate() & _takes(place, form, of):
        _remember(form.trade.data or "")
        return redirect(url_for("items.new", room=room, done=form.entry_id.data))
    return _new_page(place, form, of), form.status


def _asked_of(place: Room) -> from_check.ByHand | None:
    """The check of the address, where it leaves something for an item by hand in this room."""
    check = reading.check(conn(), request.args.get("check", ""))
    if check is None or check.room != place.id:
        return None
    sent = request.form.get("entry_id", "")  # a form sent again is about the same limits
    others = [i for i in reading.items_of_check(conn(), check.id) if i.id != sent]
    return from_check.by_hand(check, house(), others)


def _new_form() -> NewItemForm:
    form = NewItemForm(posted())
    last = [t for t in session.get(LAST_CREWS, ()) if house().trade(t)]
    rest = [t.id for t in house().trades if t.id not in last]
    form.trade.choices = [(t, crew_name(t)) for t in (*last, *rest)]
    form.phrase.choices = [(p, p) for p in house().phrases]
    return form


def _takes(place: Room, form: NewItemForm, of: from_check.ByHand | None) -> bool:
    """Keep the photo whatever else is wrong; record the item when nothing is."""
    photos = keep_photo(form, form.photo, room=place.id, of=f"item:{form.entry_id.data}")
    if not photos and not form.photo.errors and not form.words_said():
        form.words.errors = [*form.words.errors, NO_WORDS]
    if any(form.errors.values()):
        return False
    body = form.to_body(place.id, photos, today(), of)
    return save(form, "item/1", f"item:{form.entry_id.data}", body) is not None


def _remember(trade: str) -> None:
    used = [t for t in session.get(LAST_CREWS, ()) if t != trade]
    session[LAST_CREWS] = [trade, *used]


def _new_page(place: Room, form: NewItemForm, of: from_check.ByHand | None) -> str:
    done = reading.item(conn(), request.args.get("done", ""))
    kept = reading.photo(conn(), form.kept.data) if form.kept.data else None
    return render_template(
        "items/new.html", room=place, form=form, done=done, kept=kept, today=today(), of=of,
        crew_name=crew_name, story_name=story_name, name_of=from_check.name_of,
    )  # fmt: skip


@bp.get("/items/<item_id>")
def history(item_id: str) -> Page:
    """Everything about one item, in order, and what can be done about it."""
    return _history_page(_item_or_404(item_id), None)


@bp.post("/items/<item_id>/acts")
def act(item_id: str) -> Page:
    """Do something about an item; what was typed stays where that is not possible."""
    item = _item_or_404(item_id)
    form = act_form(item)
    form.validate()
    if _acts(item, form):
        return redirect(url_for("items.history", item_id=item.id, done=form.act.data))
    return _history_page(item, form), form.status


def _acts(item: ItemView, form: ActForm) -> bool:
    photos = keep_photo(form, form.photo, room=item.room, of=item.subject)
    if journal.entry(conn(), form.entry_id.data or "") is None:
        if form.act.data not in allowed_acts(item.state, SUPERINTENDENT):
            form.form_errors.append(refusal(item, form.act.data or ""))
        form.ask(bool(photos))
    elif form.act.data not in ACTS:
        form.form_errors.append(refusal(item, form.act.data or ""))
    if any(form.errors.values()):
        return False
    return save(form, "act/1", item.subject, form.to_body(photos, today())) is not None


def refusal(item: ItemView, wanted: str) -> str:
    """Why an act does not go with the item's state, and that nothing changed."""
    state = item.state.replace("_", " ")
    if not wanted.replace("_", "").isalpha():
        return f"{item.number} is unchanged: the button was not understood. Use one below."
    return (
        f"{item.number} is {state} now, so it cannot be set to {wanted.replace('_', ' ')}. "
        "Nothing was changed; see below what happened meanwhile."
    )


def act_form(item: ItemView) -> ActForm:
    """The act form over what was posted, with the crews an item can be passed on to."""
    form = ActForm(posted())
    form.trade.choices = [(t.id, t.name) for t in house().trades if t.id != item.trade]
    return form


def _history_page(item: ItemView, tried: ActForm | None) -> str:
    acts = reading.item_history(conn(), item.id)
    allowed = allowed_acts(item.state, SUPERINTENDENT)
    forms = fresh_forms(item.trade, item.head)
    known = tried is not None and tried.act.data in ACTS
    if tried is not None and known:
        forms[tried.act.data or ""] = tried
    return render_template(
        "items/history.html",
        item=item,
        room=house().room(item.room),
        where=where,
        story_name=story_name,
        who=who,
        act_says=act_says,
        acts=acts,
        photos=_photos_of(item, acts),
        sums=sums(conn(), item.room, item.subject),
        check=reading.check(conn(), item.check) if item.check else None,
        floor=of_item(item),
        allowed=allowed,
        forms=forms,
        tried=tried,
        crew_name=crew_name,
        done=request.args.get("done", ""),
    )


def fresh_forms(trade: str = "", head: str = "") -> dict[str, ActForm]:
    """An empty form for each act of a superintendent, about an item of `trade` seen up to `head`.

    All of them, whatever the item's state: on a tablet it may be another one meanwhile.
    """
    return {r.act: _fresh(r.act, trade, head) for r in TABLE if SUPERINTENDENT in r.roles}


def _fresh(act: str, trade: str, head: str) -> ActForm:
    form = ActForm(data={"act": act, "seen": head})
    form.trade.choices = [(t.id, t.name) for t in house().trades if t.id != trade]
    form.fresh()
    return form


def _photos_of(item: ItemView, acts: list[ItemAct]) -> dict[str, PhotoView]:
    named = [*item.photos, *(p for a in acts for p in a.photos)]
    found = {p.sha256: p for p in reading.photos(conn(), of=item.subject)}
    for sha256 in named:
        if sha256 not in found and (photo := reading.photo(conn(), sha256)):
            found[sha256] = photo
    return found


def _item_or_404(item_id: str) -> ItemView:
    item = reading.item(conn(), item_id)
    if item is None:
        abort(404, "There is no punch item at this address. Punch lists them all.")
    return item


@bp.post("/checks/<check_id>/give")
def give(check_id: str) -> Page:
    """Open one item for a crew with everything that the check is over in."""
    check = _check_or_404(check_id)
    form = EntryForm(posted())
    form.validate()
    trade = request.form.get("trade", "")
    sent_before = reading.item(conn(), form.entry_id.data or "") is not None
    refused = None if sent_before else giving.cannot_give(check, trade)
    if refused is None and not form.errors and giving.gives(check, trade, form):
        return redirect(url_for("items.history", item_id=form.entry_id.data, done="given"))
    return _not_given(check, form, refused, trade), 409


def _not_given(
    check: CheckView, form: EntryForm, refused: giving.Refused | None, trade: str
) -> str:
    if refused is None:
        refused = giving.Refused(" ".join(form.top_errors) or "Nothing was opened.")
        form.fresh()
    return render_template(
        "items/not_given.html", check=check, refused=refused, form=form, trade=trade,
        name=from_check.name_of(check), crew=crew_name(trade), room=house().room(check.room),
    )  # fmt: skip


@bp.post("/checks/<check_id>/accept")
def accept_from_check(check_id: str) -> Page:
    """A new measurement passes: accept the items that earlier ones of the same thing opened."""
    check = _check_or_404(check_id)
    form = EntryForm(posted())
    form.validate()
    settled = [i for i in giving.items_of_subject(check) if from_check.settles(check, i)]
    if not settled:
        return _nothing_settled(check, form)
    if form.errors or not all(giving.accepts(check, i, form) for i in settled):
        return _not_given(check, form, None, ""), 409
    first = settled[0]
    return redirect(url_for("items.history", item_id=first.id, done="accepted"))


def _nothing_settled(check: CheckView, form: EntryForm) -> Page:
    """Sent twice: the items are accepted by this check already. Else say what is missing."""
    for item in giving.items_of_subject(check):
        acts = reading.item_history(conn(), item.id)
        if any(a.act == "accepted" and a.check == check.id for a in acts):
            return redirect(url_for("items.history", item_id=item.id, done="accepted"))
    refused = giving.Refused(giving.NOT_SETTLED, tuple(giving.items_of_subject(check)))
    return _not_given(check, form, refused, ""), 409


def _check_or_404(check_id: str) -> CheckView:
    check = reading.check(conn(), check_id)
    if check is None:
        abort(404, "There is no check at this address. Rooms lead to all of them.")
    return check
