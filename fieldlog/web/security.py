"""The page is safe from the start: host names, CSRF on every post, headers on every answer."""

from __future__ import annotations

from ipaddress import ip_address

from flask import Flask, Response, abort, request, session
from werkzeug.datastructures import MultiDict

from fieldlog.config import Config
from fieldlog.web import gate
from fieldlog.web.access import host_name
from fieldlog.web.forms import FieldlogForm

POLICY = "; ".join(
    (
        "default-src 'none'",
        "img-src 'self' blob: data:",
        "style-src 'self'",
        "script-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
TOKEN_HEADER = "X-CSRF-Token"
SYNC_HEADER = "X-Fieldlog"
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
OWN_SITE = ("same-origin", "none")
BAD_HOST = (
    "This address is not one the house answers to. Open http://127.0.0.1:{port}/ on the machine "
    "itself."
)
BAD_LAN_HOST = "This address is not one that is answered here."
BAD_TOKEN = (
    "This form does not carry this browser's own mark, so nothing was saved. Go back (what you "
    "typed is still there), load the page again and send it once more."
)


def guard(app: Flask, config: Config) -> None:
    """Put the checks before, and the headers after, every request of `app`."""

    @app.before_request
    def allowed_host() -> None:
        if not _allowed(host_name(request.host), config):
            at_home = config.front == "machine"
            abort(400, BAD_HOST.format(port=config.port) if at_home else BAD_LAN_HOST)

    gate.guard(app)

    @app.before_request
    def own_form() -> None:
        if request.method in SAFE_METHODS:
            return
        # Not Origin: under "no-referrer" a browser sends "null" for the page's own forms.
        if request.headers.get("Sec-Fetch-Site", "same-origin") not in OWN_SITE:
            abort(403, BAD_TOKEN)
        # Another site's page can't send a header of its own making here without being let to.
        if request.blueprint == "sync" and SYNC_HEADER in request.headers:
            return
        form = FieldlogForm(_token_sent())
        form.validate()
        if form["csrf_token"].errors:
            abort(403, BAD_TOKEN)

    @app.before_request
    def lasting_session() -> None:
        session.permanent = True

    @app.after_request
    def headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if not request.path.startswith(("/static/", "/photos/")):
            response.headers.setdefault("Cache-Control", "private, no-cache")
        return response


def _token_sent() -> MultiDict[str, str]:
    """The posted form, or for what is no form the token in its header."""
    if TOKEN_HEADER in request.headers:
        return MultiDict({"csrf_token": request.headers[TOKEN_HEADER]})
    return request.form


def _allowed(name: str, config: Config) -> bool:
    """Whether this front answers to a Host name.

    The plain front answers to any address in numbers as well: for a tablet that can't find the
    name yet. Another site can't have those in its pages' name, so it gains nothing by them.
    """
    if config.front == "plain" and _is_number(name):
        return True
    return name in config.allowed_hosts


def _is_number(name: str) -> bool:
    try:
        ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True
