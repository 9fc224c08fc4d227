"""The page is safe from the start: host names, CSRF on every post, headers on every answer."""

from __future__ import annotations

from flask import Flask, Response, abort, request, session

from fieldlog.config import Config
from fieldlog.web.forms import FieldlogForm

POLICY = "; ".join(
    (
        "default-src 'none'",
        "img-src 'self' blob: data:",
        "style-src 'self'",
        "script-src 'self'",
        "connect-src 'self'",
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
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
OWN_SITE = ("same-origin", "none")
BAD_HOST = (
    "This address is not one the house answers to. Open http://127.0.0.1:{port}/ on the machine "
    "itself."
)
BAD_TOKEN = (
    "This form does not carry this browser's own mark, so nothing was saved. Go back (what you "
    "typed is still there), load the page again and send it once more."
)


def guard(app: Flask, config: Config) -> None:
    """Put the checks before, and the headers after, every request of `app`."""

    @app.before_request
    def allowed_host() -> None:
        if _host_name(request.host) not in config.allowed_hosts:
            abort(400, BAD_HOST.format(port=config.port))

    @app.before_request
    def own_form() -> None:
        if request.method in SAFE_METHODS:
            return
        # Not Origin: under "no-referrer" a browser sends "null" for the page's own forms.
        if request.headers.get("Sec-Fetch-Site", "same-origin") not in OWN_SITE:
            abort(403, BAD_TOKEN)
        form = FieldlogForm(request.form)
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


def _host_name(host: str) -> str:
    """The Host header without its port; a bracketed IPv6 address keeps its brackets."""
    if host.startswith("["):
        return host.partition("]")[0] + "]"
    return host.partition(":")[0].lower()
