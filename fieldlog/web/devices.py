"""Tablets: paired by a code that is made at the machine, listed, signed out, passed to a crew.

Signing out and ending a pairing take away the token and nothing else: what a tablet has not
sent yet stays on it.
"""

from __future__ import annotations

import re

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Answer
from wtforms import StringField
from wtforms.validators import Length

from fieldlog.calc.bodies import AccessAct
from fieldlog.store import access_devices
from fieldlog.store.access import draw_pairing_code, draw_token
from fieldlog.store.access_devices import CodeRefused, PairingEnded
from fieldlog.web.access import DEVICE_COOKIE, drop_cookie, give_cookie, role, store
from fieldlog.web.qr import qr_svg
from fieldlog.web.request import config, house, local_date, now
from fieldlog.web.saving import EntryForm, Sound, posted, save, tidy

bp = Blueprint("devices", __name__)

Page = str | Answer | tuple[str, int]
UNNAMED = "Tablet"
PIN = re.compile(r"[0-9]{4,8}", re.ASCII)
NO_PIN = "Type 4 to 8 digits: with them you take the tablet back."


class PairForm(EntryForm):
    """The code that stands at the machine, and what this tablet is called."""

    code = StringField("Code", filters=[tidy], validators=[Length(max=20)])
    name = StringField("Name", filters=[tidy], validators=[Sound(40)])


class PinForm(EntryForm):
    """The number that takes a passed tablet back."""

    pin = StringField("Number", filters=[tidy], validators=[Length(max=20)])


@bp.get("/tablets")
def tablets() -> str:
    """Every paired tablet with when it was last seen; at the machine, a code for one more."""
    return _page("")


@bp.post("/tablets/code")
def code() -> Page:
    """Make a pairing code and show it, this once."""
    drawn = draw_pairing_code()
    access_devices.make_code(store(), drawn, now())
    return _page(drawn)


def _page(drawn: str) -> str:
    lan = config().lan
    return render_template(
        "access/tablets.html",
        devices=access_devices.devices(store()),
        code=drawn,
        minutes=access_devices.CODE_MINUTES,
        lan=lan,
        guide_qr=qr_svg(f"{lan.plain}/guide", "the guide") if lan else "",
        warn=lan is not None and lan.warn(now()),
        me=role(),
    )


@bp.route("/pair", methods=["GET", "POST"])
def pair() -> Page:
    """Type the code: this browser becomes a paired tablet, under a new device id."""
    form = PairForm(posted())
    if request.method == "GET":
        return render_template("access/pair.html", form=form)
    if not (form.validate() and _pairs(form)):
        return render_template("access/pair.html", form=form), form.status
    token = draw_token()
    name = form.name.data or UNNAMED
    access_devices.add_device(store(), _device_id(form), name, token, now())
    done = redirect(url_for("tablet.ready"))
    give_cookie(done, DEVICE_COOKIE, token)
    return done


def _pairs(form: PairForm) -> bool:
    """Use the code up, then write the act down."""
    device = _device_id(form)
    try:
        typed = re.sub(r"[\s-]", "", form.code.data or "")
        access_devices.use_code(store(), typed, device, now())
    except CodeRefused as err:
        form.code.errors = [str(err)]
        if isinstance(err, PairingEnded):
            form.fresh()
        return False
    return _noted(form, AccessAct("paired", device, form.name.data or UNNAMED, day=_day()))


def _device_id(form: EntryForm) -> str:
    """Made of the form's id: the same form sent twice pairs one device."""
    return f"tablet-{(form.entry_id.data or '').rpartition('-')[2]}"


@bp.post("/tablets/<device>/end")
def end(device: str) -> Page:
    """End a tablet's pairing, at the machine."""
    _ends(device)
    return redirect(url_for("devices.tablets"))


@bp.post("/tablets/<device>/back")
def take_back(device: str) -> Page:
    """Take a passed tablet back without its number, at the machine."""
    known = access_devices.device(store(), device)
    if known is None:
        abort(404, "There is no such tablet.")
    access_devices.give_back(store(), device)
    _noted(EntryForm(posted()), AccessAct("taken_back", device, known.name, day=_day()))
    return redirect(url_for("devices.tablets"))


@bp.post("/sign-out")
def sign_out() -> Page:
    """Sign this tablet out. Nothing that it keeps is touched."""
    _ends(role().device)
    done = redirect("/")
    drop_cookie(done, DEVICE_COOKIE)
    return done


def _ends(device: str) -> None:
    known = access_devices.device(store(), device)
    if known is None:
        abort(404, "There is no such tablet.")
    if access_devices.revoke(store(), device, now()):
        _noted(EntryForm(posted()), AccessAct("device_revoked", device, known.name, day=_day()))


@bp.route("/crews/<trade>/pass", methods=["POST"])
def pass_on(trade: str) -> Page:
    """Pass this tablet to a crew: it shows their list and nothing else until it is taken back."""
    form = PinForm(posted())
    if house().trade(trade) is None:
        abort(404, f'There is no crew "{trade}" in this house.')
    if not form.validate() or not PIN.fullmatch(form.pin.data or ""):
        abort(422, NO_PIN)
    access_devices.pass_to(store(), role().device, trade, form.pin.data or "")
    _noted(form, AccessAct("passed", role().device, trade=trade, day=_day()))
    done = redirect(url_for("crews.crew", trade=trade))
    # Pages the browser kept for its Back button are the superintendent's. Only the cache: what
    # is stored on the tablet stays.
    done.headers["Clear-Site-Data"] = '"cache"'
    return done


@bp.post("/take-back")
def back() -> Page:
    """Take the passed tablet back by its number, or by a code just made at the machine."""
    form, device = PinForm(posted()), role().device
    form.validate()
    typed = form.pin.data or ""
    try:
        access_devices.take_back(store(), device, typed)
    except CodeRefused as err:
        return redirect(url_for("crews.crew", trade=role().trade, took=str(err)))
    _noted(form, AccessAct("taken_back", device, day=_day()))
    return redirect("/")


def _noted(form: EntryForm, act: AccessAct) -> bool:
    """Write the act into the journal: who came in or went, never by which secret."""
    if not form.entry_id.data:
        form.fresh()
    return save(form, "access/1", f"access:{act.of}", act) is not None


def _day() -> str:
    return local_date().isoformat()
