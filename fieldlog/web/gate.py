"""One gate before every page: which roles may ask for which endpoint, as a table.

What is not in the table is for nobody. A page that somebody may not see answers as one that
is not there: `403` and a page that says nothing, the same for every address.
"""

from __future__ import annotations

from collections.abc import Callable

from flask import Flask, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldlog.config import Front
from fieldlog.web import crews, letters
from fieldlog.web.access import Kind, Role, role
from fieldlog.web.request import config

SITE: tuple[Kind, ...] = ("machine", "device")
MACHINE: tuple[Kind, ...] = ("machine",)
ANYONE: tuple[Kind, ...] = ("machine", "device", "crew", "letter", "nobody")
LIST: tuple[Kind, ...] = ("machine", "device", "crew")
LETTERS: tuple[Kind, ...] = ("machine", "device", "letter")

ALLOWED: dict[str, tuple[Kind, ...]] = {
    # The superintendent's.
    **dict.fromkeys(
        (
            "walk.today", "walk.start", "rooms.all_rooms", "rooms.room", "checks.enter",
            "checks.keep", "checks.preview", "checks.result", "items.new", "items.history",
            "items.act", "items.give", "items.accept_from_check", "punch.punch", "photos.add",
            "photos.original", "day.day", "next.next_up", "codes.codes", "reports.index",
            "reports.daily", "reports.issue_daily", "reports.punch", "reports.weekly",
            "strikes.strike", "strikes.refused", "strikes.stands", "math.choose", "math.work",
            "math.kept", "house.house", "house.add", "layers.layers", "layers.judge_again",
            "floors.survey", "floors.keep", "floors.preview", "floor_room.outline",
            "floor_room.look", "plans.plans", "plans.choose", "plans.look", "plans.progress",
            "plans.stop", "check_drawing.sheet", "releasing.release", "tablet.kept",
            "tablet.outbox", "tablet.no_signal", "tablet.no_list", "tablet.pages",
            "tablet.measure", "tablet.data", "tablet.ready", "tablet.photo_arrived",
            "crew_reply.told", "crew_reply.as_page", "crew_reply.as_message", "crew_links.links",
            "crew_links.make", "crew_links.end", "devices.tablets", "sync.hello", "sync.sync",
            "sync.photo", "sync.small", "instrument_tests.tests",
        ),
        SITE,
    ),
    # Only at the machine itself.
    **dict.fromkeys(("devices.code", "devices.end", "devices.take_back"), MACHINE),
    # A tablet about itself.
    "devices.sign_out": ("device",),
    "devices.pass_on": ("device",),
    "devices.back": ("crew",),
    # A crew's own list, and the owner's letters.
    **dict.fromkeys(("crews.crew", "crews.act"), LIST),
    **dict.fromkeys(("letters.index", "letters.letter", "letters.as_file"), LETTERS),
    "photos.rendition": ("machine", "device", "crew", "letter"),
    # Getting in, and getting ready: nothing of the house is on these.
    **dict.fromkeys(
        (
            "static", "tablet.plain_style", "tablet.worker", "guide.guide", "guide.certificate",
            "guide.self_test", "guide.here",
            "guide.manifest", "devices.pair", "crew_links.come_in",
        ),
        ANYONE,
    ),
}  # fmt: skip
"""For each endpoint, the roles that may ask for it."""

FRONTS: dict[str, tuple[Front, ...]] = {
    "devices.pair": ("tls",),  # a pairing code does not travel in clear
    "crew_links.come_in": ("tls", "plain"),
    "guide.certificate": ("machine", "plain"),
}
"""Endpoints that are not at every front."""

NARROWED: dict[tuple[str, Kind], Callable[[Role, dict[str, str]], bool]] = {
    ("crews.crew", "crew"): lambda who, at: at["trade"] == who.trade,
    ("crews.act", "crew"): lambda who, at: at["trade"] == who.trade,
    ("photos.rendition", "crew"): lambda who, at: crews.shows(who.trade, at["sha256"]),
    ("photos.rendition", "letter"): lambda _who, at: letters.shows(at["sha256"]),
    ("devices.back", "crew"): lambda who, _at: who.is_passed,
}
"""What a role may see of an endpoint that it shares with others."""

NO_ROW = "No row for {} in ALLOWED of fieldlog/web/gate.py: say there who may ask for it."
SMALL = 64 * 1024
"""Bytes that somebody without a role may send: a code and a token."""


def guard(app: Flask) -> None:
    """Put the gate before every request of `app`."""

    @app.before_request
    def allowed() -> Response | tuple[str, int] | None:
        who = role()
        if who.kind == "nobody":
            request.max_content_length = SMALL
        endpoint = request.endpoint
        if endpoint is None:  # no such address: the superintendent is told, a stranger is not
            return None if who.kind != "nobody" else closed()
        if endpoint not in ALLOWED and who.kind == "machine":
            raise LookupError(NO_ROW.format(endpoint))
        if may(who, config().front, endpoint, request.view_args or {}):
            return None
        return _own_page(who) if endpoint == "walk.today" else closed()


def may(who: Role, front: Front, endpoint: str, view_args: dict[str, str]) -> bool:
    """Whether this role may ask for the endpoint at this front with these parts of its address."""
    if who.kind not in ALLOWED.get(endpoint, ()) or front not in FRONTS.get(endpoint, (front,)):
        return False
    narrowed = NARROWED.get((endpoint, who.kind))
    return narrowed is None or narrowed(who, view_args)


def closed() -> tuple[str, int]:
    """The page that says nothing."""
    return render_template("access/closed.html", front=config().front), 403


def _own_page(who: Role) -> Response | tuple[str, int]:
    """Where `/` leads somebody who has one page of their own."""
    if who.kind == "crew":
        return redirect(url_for("crews.crew", trade=who.trade))
    return redirect(url_for("letters.index")) if who.kind == "letter" else closed()
