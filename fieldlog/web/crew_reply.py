"""A crew that is not on this network: its list to send, and what it answers, ticked off.

The list leaves as one page that carries its photos, and as a message. A reply such as
`12, 14 done` is typed or pasted in, each number is shown with what it is, and the ticked ones
become corrected, told by text.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from flask import Blueprint, Response, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Answer
from wtforms import TextAreaField

from fieldlog.calc.bodies import Act
from fieldlog.calc.house import Trade
from fieldlog.calc.items import OPEN
from fieldlog.calc.replies import MAX_REPLY, Named, Reply, read_reply
from fieldlog.intake import PREFIX
from fieldlog.reports import punch, render
from fieldlog.reports.facts_punch import PunchList
from fieldlog.reports.punch_short import message
from fieldlog.reports.single import photo_within
from fieldlog.store import reading
from fieldlog.store.views import ItemView
from fieldlog.web.names import where
from fieldlog.web.request import conn, folder, house, today
from fieldlog.web.saving import EntryForm, SomeOf, Sound, derived_id, posted, save, tidy

bp = Blueprint("crew_reply", __name__)

Page = str | Answer | tuple[str, int]
NO_NUMBER = "There is no number in this. Type the numbers of the items that are done."
NONE_TICKED = "Tick the items that the crew says are done, or leave this page."


class ReplyForm(EntryForm):
    """What the crew wrote, and which items are ticked."""

    reply = TextAreaField(
        "What the crew wrote", filters=[tidy], validators=[Sound(MAX_REPLY, lines=True)]
    )
    ticked = SomeOf("Items")


@dataclass(frozen=True)
class Line:
    """A number of the reply and the item it is.

    `why` says why it can't be ticked; `several` that the number may be another item's as well.
    """

    number: str
    item: ItemView | None
    why: str = ""
    several: bool = False


@bp.route("/crews/<trade>/told", methods=["GET", "POST"])
def told(trade: str) -> Page:
    """Read a crew's reply, show what its numbers are, and tick them off."""
    crew, form = _trade_or_404(trade), ReplyForm(posted())
    mine = reading.items(conn(), trade=trade)
    reply = read_reply(form.reply.data or "", {PREFIX, *(_prefix(item) for item in mine)})
    lines = _each_once(line for one in reply.named for line in _lines(crew, one, mine))
    if request.method == "POST" and form.validate():
        if request.form.get("do") == "tick" and _ticks(form, lines):
            done = len(form.ticked.data or ())
            return redirect(url_for("crews.crew", trade=trade, ticked=done))
        if not lines:
            form.reply.errors = [NO_NUMBER]
    return _page(crew, form, reply, lines)


def _lines(crew: Trade, named: Named, mine: list[ItemView]) -> list[Line]:
    """What a number is on this crew's list; without its letters it may be several, each offered."""
    number = f"{named.prefix or PREFIX}-{named.number}"
    found = [i for i in mine if i.number == number or _may_be(named, i)]
    waiting = [i for i in found if i.state == OPEN]
    if not found:
        return [Line(number, None, f"Not on the {crew.name}'s list.")]
    if waiting:
        return [Line(i.number, i, several=len(waiting) > 1) for i in waiting]
    return [Line(i.number, i, f"It is {i.state.replace('_', ' ')} already.") for i in found]


def _each_once(lines: Iterable[Line]) -> list[Line]:
    """A line for each item and number (an item holds readings, and is itself no key); one that
    was named with its letters is not among several."""
    found: dict[tuple[str, str], Line] = {}
    for one in lines:
        key = (one.item.id if one.item else "", one.number)
        if key not in found or not one.several:
            found[key] = one
    return list(found.values())


def _may_be(named: Named, item: ItemView) -> bool:
    return not named.prefix and item.number.partition("-")[2] == str(named.number)


def _prefix(item: ItemView) -> str:
    return item.number.partition("-")[0]


def _ticks(form: ReplyForm, lines: list[Line]) -> bool:
    """Make the ticked items corrected, each under an id of its own that a second post repeats."""
    known = {line.item.id: line.item for line in lines if line.item}
    chosen = [known[i] for i in form.ticked.data or () if i in known]
    if not chosen:
        form.form_errors.append(NONE_TICKED)
    first_id = form.entry_id.data or ""
    body = Act("corrected", how="text", reason=f"They wrote: {form.reply.data}", day=today())
    return bool(chosen) and all(
        save(form, "act/1", item.subject, body, entry_id=derived_id(first_id, item.id))
        for item in chosen
    )


def _page(crew: Trade, form: ReplyForm, reply: Reply, lines: list[Line]) -> Page:
    ticked = set(form.ticked.data or ())
    if reply.sure and request.form.get("do") != "tick":
        ticked = {one.item.id for one in lines if one.item and not (one.why or one.several)}
    failed = form.status if any(form.errors.values()) or form.form_errors else 200
    return (
        render_template(
            "access/told.html", trade=crew, form=form, reply=reply, lines=lines, ticked=ticked,
            where=where,
        ),
        failed,
    )  # fmt: skip


@bp.get("/crews/<trade>/list.html")
def as_page(trade: str) -> Response:
    """The list as one file with its photos in it, to hand on."""
    facts = _facts(trade)
    text = render.html("punch", facts, photo_url=photo_within(folder()), standalone=True)
    return _file(text, "text/html", f"punch-{trade}-{facts.day}.html")


@bp.get("/crews/<trade>/list.txt")
def as_message(trade: str) -> Response:
    """The list as a message, with how to answer it."""
    return Response(message(_facts(trade)), content_type="text/plain; charset=utf-8")


def _facts(trade: str) -> PunchList:
    return punch.gather(conn(), house(), _trade_or_404(trade).id, today())


def _file(text: str, media: str, name: str) -> Response:
    response = Response(text, content_type=f"{media}; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _trade_or_404(trade: str) -> Trade:
    known = house().trade(trade)
    if known is None:
        abort(404, f'There is no crew "{trade}" in this house. Punch lists the crews.')
    return known
