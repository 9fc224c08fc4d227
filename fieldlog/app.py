"""The app of one house: `create_app(config)` makes it, `serve(config)` runs it on this machine."""

from __future__ import annotations

import hashlib
import importlib
from datetime import datetime, timedelta

from flask import Flask, g

from fieldlog.calc.shape import know_all
from fieldlog.config import Config, asset_folder
from fieldlog.reports.stations import stations_in_full
from fieldlog.store import arriving, journal
from fieldlog.web import access, check_result, errors, forms, names, request, security, times
from fieldlog.web.build import build
from fieldlog.web.compiled import COMPILED
from fieldlog.web.sent import static_file
from fieldlog.web.settled import settle_soon

BLUEPRINTS = (
    "walk", "rooms", "checks", "items", "punch", "crews", "photos", "day", "next", "codes",
    "reports", "strikes", "math", "house", "layers", "floors", "floor_room", "plans",
    "check_drawing", "releasing", "tablet", "sync", "devices", "crew_links",
    "crew_reply", "letters", "guide", "instrument_tests",
)  # fmt: skip
READ_LATER = (
    "fieldlog.web.math_words", "fieldlog.calc.products", "fieldlog.calc.calculations.practice",
    "fieldlog.calc.calculations.species",
)  # fmt: skip
"""Loaded where they are used, were it not for their structures: see `know_all`."""
PLACES = (
    ("walk", "Walk", "/"),
    ("rooms", "Rooms", "/rooms"),
    ("punch", "Punch", "/punch"),
    ("next", "Next", "/next"),
    ("reports", "Reports", "/reports"),
)
MEGABYTE = 1024 * 1024
MAX_POST = 16 * MEGABYTE
MAX_FORM_MEMORY = 2 * MEGABYTE
MAX_FORM_PARTS = 5000
SESSION_DAYS = 400
SERVER_THREADS = 8
"""More would only wait for one another; with fewer, three slow phones hold up everybody."""


SESSION_COOKIES = {"machine": "fieldlog", "tls": "__Host-fieldlog", "plain": "fieldlog-form"}
"""Cookies ignore ports, so each front's has a name of its own."""
ENDS_SOON = "The tablets' certificate ends {day}: see Tablets. "


def create_app(config: Config, held: request.HouseAtHand | None = None) -> Flask:
    """A Flask app serving the house in `config.folder`. Does not open its writer yet.

    `held` is the house as another front of the same process has it open: there is one writer.
    """
    app = Flask(
        "fieldlog",
        template_folder=str(asset_folder("templates")),
        static_folder=None,
    )
    app.add_url_rule(f"/static/{build()}/<path:filename>", "static", static_file)
    app.config.update(
        TESTING=config.testing,
        SECRET_KEY=_secret(config),
        MAX_CONTENT_LENGTH=MAX_POST,
        MAX_FORM_MEMORY_SIZE=MAX_FORM_MEMORY,
        MAX_FORM_PARTS=MAX_FORM_PARTS,
        SESSION_COOKIE_NAME=SESSION_COOKIES[config.front],
        SESSION_COOKIE_SECURE=config.front == "tls",
        SESSION_COOKIE_SAMESITE="Strict",
        SESSION_COOKIE_HTTPONLY=True,
        PERMANENT_SESSION_LIFETIME=timedelta(days=SESSION_DAYS),
    )
    app.jinja_options = {"trim_blocks": True, "lstrip_blocks": True, "bytecode_cache": COMPILED}
    app.extensions[request.KEY] = held or request.HouseAtHand(config)
    app.extensions[request.CONFIG] = config
    security.guard(app, config)
    errors.install(app)
    _words(app)
    _register(app)
    app.teardown_appcontext(_close_reader)
    return app


def serve(config: Config) -> None:
    """Serve until interrupted. Opens the writer first: raises HouseBusy where another has it."""
    from cheroot.wsgi import Server

    app = create_app(config)
    held = app.extensions[request.KEY]
    with held.writing():
        pass
    server = Server((config.host, config.port), app, numthreads=SERVER_THREADS)
    settle_soon([app])
    try:
        server.start()
    finally:
        server.stop()
        held.close()


def _register(app: Flask) -> None:
    for name in BLUEPRINTS:
        app.register_blueprint(importlib.import_module(f"fieldlog.web.{name}").bp)
    for name in READ_LATER:
        importlib.import_module(name)
    know_all()


def _close_reader(_error: BaseException | None) -> None:
    reader = g.pop("reader", None)
    if reader is not None:
        reader.close()
    access.close_store()


def _secret(config: Config) -> bytes:
    """Each front signs with a key of its own: a token of one is none at another."""
    if config.front == "machine":
        return config.secret
    return hashlib.sha256(config.front.encode() + config.secret).digest()


def _words(app: Flask) -> None:
    """What every template may call: the house's name, times in its zone, a form's tokens."""
    app.jinja_env.globals.update(
        house_name=_house_name,
        saved_line=_saved_line,
        build=build,
        head_seq=_head_seq,
        nag_hours=_nag_hours,
        still_on_tablet=_still_on_tablet,
        places=_places,
        role=access.role,
        csrf_token=forms.csrf_token,
        form_id=request.form_id,
    )
    app.jinja_env.filters.update(
        day=times.day_name,
        long_day=times.long_day_name,
        when=lambda received: times.full(_local(received)),
        clock=lambda received: times.clock_time(_local(received)),
        short_when=lambda received: times.short(_local(received), request.local_date()),
        crew=names.crew_name,
        who=names.who,
        lower_first=times.lower_first,
        bold_numbers=check_result.bold_numbers,
        in_full=stations_in_full,
        days_ago=lambda day: times.days_ago(day, request.local_date()),
    )


def _local(received: str) -> datetime:
    return times.local(received, request.zone())


def _places() -> tuple[tuple[str, str, str], ...]:
    return PLACES if access.role().is_superintendent else ()


def _house_name() -> str:
    if access.role().kind == "nobody":
        return "fieldlog"
    return request.house().name if request.has_house() else "fieldlog"


def _still_on_tablet(sha256: str) -> bool:
    return arriving.is_waiting(request.conn(), request.folder(), sha256)


def _nag_hours() -> int:
    return request.house().nag_hours if request.has_house() else 0


def _head_seq() -> int:
    """The last entry that a page can show; what a tablet sent later stands above the page."""
    told = access.role().is_superintendent and request.has_house()
    return journal.head(request.conn()).seq if told else 0


def _saved_line() -> str:
    """One line under the head: what is safe, and where."""
    if not access.role().is_superintendent or not request.has_house():
        return ""
    return _certificate_line() + _saved_last()


def _certificate_line() -> str:
    """A warning from 60 days before the certificate ends."""
    lan = request.config().lan
    if lan is None or not lan.warn(request.now()):
        return ""
    return ENDS_SOON.format(day=times.day_name(lan.ends.date()))


def _saved_last() -> str:
    reader = request.conn()
    newest = journal.entries(reader, after=journal.head(reader).seq - 1)
    if not newest:
        return "Nothing is entered yet."
    return (
        f"Saved on this machine, {times.short(_local(newest[-1].received), request.local_date())}"
    )
