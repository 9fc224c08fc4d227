"""Links to come in by: one for each crew, to its own list, and one for the owner, to the letters.

The QR's address has the secret behind its #, which a browser sends to nobody: a short script
hands it in once, in a form, for a cookie. Without scripts the code printed under it does the same.
"""

from __future__ import annotations

from flask import Blueprint, abort, current_app, redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import StringField
from wtforms.validators import Length

from fieldlog.calc.bodies import AccessAct
from fieldlog.store import access_links
from fieldlog.store.access import draw_link_code, draw_token
from fieldlog.store.access_links import Kind
from fieldlog.web.access import CREW_COOKIE, LETTER_COOKIE, give_cookie, store
from fieldlog.web.qr import qr_svg
from fieldlog.web.request import config, house, local_date, now
from fieldlog.web.saving import EntryForm, posted, save, tidy
from fieldlog.web.tries import Tries

bp = Blueprint("crew_links", __name__)

Page = str | Response | tuple[str, int]
TRIES = "fieldlog.tries"
WRONG = (
    "That is not the code of a list that can be seen here. Look at the sheet, or ask for a new one."
)
TOO_OFTEN = "Too many wrong codes came from here. Wait ten minutes, and look at the sheet again."
MADE_BEFORE = (
    "This link was made already, and it holds: it is on the page before this one. It can't be "
    "shown a second time. If that page is lost, make a new one."
)


class CodeForm(EntryForm):
    """The code under the QR, or the secret that the script took from the address."""

    code = StringField("Code", filters=[tidy], validators=[Length(max=100)])


@bp.get("/links/crew/<trade>")
@bp.get("/links/letter", defaults={"trade": ""})
def links(trade: str) -> str:
    """Whether a link holds, until when, and when it was last used."""
    return _page(trade)


@bp.post("/links/crew/<trade>")
@bp.post("/links/letter", defaults={"trade": ""})
def make(trade: str) -> Page:
    """Make a link and show its QR and code, this once; the one before it ends."""
    _check(trade)
    form, kind = EntryForm(posted()), _kind(trade)
    if not form.validate():
        return _page(trade, error=" ".join(form.top_errors)), form.status
    secret, code = draw_token(), draw_link_code()
    link_id = form.entry_id.data or ""
    act = AccessAct("link_made", link_id, trade=trade, day=local_date().isoformat())
    if not access_links.make_link(
        store(), link_id, kind, trade, secret=secret, code=code, now=now()
    ):
        return _page(trade, error=MADE_BEFORE), 409
    save(form, "access/1", f"access:{link_id}", act)
    return _page(trade, secret=secret, code=code)


@bp.post("/links/crew/<trade>/end")
@bp.post("/links/letter/end", defaults={"trade": ""})
def end(trade: str) -> Page:
    """End a link, and with it every browser that came in by it."""
    _check(trade)
    form, link = EntryForm(posted()), access_links.live_link(store(), _kind(trade), trade, now())
    if form.validate() and link is not None:
        access_links.revoke_links(store(), _kind(trade), trade, now())
        day = local_date().isoformat()
        act = AccessAct("link_revoked", link.id, trade=trade, day=day)
        save(form, "access/1", f"access:{link.id}", act)
    return redirect(url_for("crew_links.links", trade=trade or None))


def _page(trade: str, *, secret: str = "", code: str = "", error: str = "") -> str:
    _check(trade)
    lan = config().lan
    base = (lan.plain if trade else lan.tls) if lan else ""
    crew = house().trade(trade)
    says = f"the {crew.name}'s list" if crew else "the letters"
    return render_template(
        "access/link.html",
        trade=crew,
        link=access_links.live_link(store(), _kind(trade), trade, now()),
        lan=lan,
        address=f"{base}/in",
        qr=qr_svg(f"{base}/in#{secret}", says) if secret else "",
        code=code,
        error=error,
        days=access_links.LINK_DAYS,
    )


@bp.route("/in", methods=["GET", "POST"])
def come_in() -> Page:
    """Hand in the secret or the code, and get to what it is for."""
    form = CodeForm(posted())
    if request.method == "GET":
        return render_template("access/come_in.html", form=form)
    link = _entered(form) if form.validate() else None
    if link is None:
        return render_template("access/come_in.html", form=form), form.status
    return link


def _entered(form: CodeForm) -> Response | None:
    tries: Tries = current_app.extensions.setdefault(TRIES, Tries())
    address = request.remote_addr or ""
    if not tries.may(address, now()):
        form.code.errors = [TOO_OFTEN]
        return None
    kind: Kind = "crew" if config().front == "plain" else "letter"
    token, typed = draw_token(), (form.code.data or "").replace(" ", "")
    # A printed code is typed in capitals as well; a secret is handed in as it is.
    link = access_links.come_in(store(), kind, typed, token, now()) or access_links.come_in(
        store(), kind, typed.lower().replace("-", ""), token, now()
    )
    if link is None:
        tries.was_wrong(address, now())
        form.code.errors = [WRONG]
        return None
    crew = url_for("crews.crew", trade=link.trade) if link.trade else url_for("letters.index")
    done = redirect(crew)
    give_cookie(done, CREW_COOKIE if kind == "crew" else LETTER_COOKIE, token)
    return done


def _kind(trade: str) -> Kind:
    return "crew" if trade else "letter"


def _check(trade: str) -> None:
    if trade and house().trade(trade) is None:
        abort(404, f'There is no crew "{trade}" in this house. Punch lists the crews.')
