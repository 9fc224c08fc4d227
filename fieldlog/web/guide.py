"""Getting a tablet ready, step by step. Nothing of the house is here: anyone may read it."""

from __future__ import annotations

from flask import Blueprint, Response, abort, jsonify, render_template, url_for

from fieldlog import tls
from fieldlog.config import Lan
from fieldlog.web.access import role
from fieldlog.web.qr import qr_svg
from fieldlog.web.request import config, folder
from fieldlog.web.security import POLICY

bp = Blueprint("guide", __name__)

NOT_SERVED = "This house is served on this machine only. Start it with: fieldlog serve --lan"
ICONS = (192, 512)
DOT = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"><path d="M0 0h1v1H0z"/></svg>'


@bp.get("/guide")
def guide() -> str:
    """The steps, with the QR that leads here; printable."""
    lan = _lan_or_404()
    qr = qr_svg(f"{lan.plain}/guide", "this guide")
    return render_template("guide/guide.html", lan=lan, qr=qr, front=config().front)


@bp.get("/guide/root.crt")
def certificate() -> Response:
    """The root's certificate (DER), which a tablet offers to install."""
    kept = tls.kept(folder())
    if kept is None:
        abort(404, NOT_SERVED)
    response = Response(kept.root.read_bytes(), mimetype="application/x-x509-ca-cert")
    response.headers["Content-Disposition"] = 'attachment; filename="fieldlog.crt"'
    return response


@bp.get("/guide/test")
def self_test() -> Response:
    """Which step is missing. On the plain front it asks the other one for a picture."""
    lan = _lan_or_404()
    page = render_template("guide/self_test.html", lan=lan, front=config().front, me=role())
    response = Response(page)
    # The one page that looks at another address: the house's own, at its other front.
    response.headers["Content-Security-Policy"] = POLICY.replace(
        "img-src 'self'", f"img-src 'self' {lan.tls} {lan.plain}"
    )
    return response


@bp.get("/guide/here.svg")
def here() -> Response:
    """A dot: whoever can load it has found this front, and trusts its certificate."""
    response = Response(DOT, mimetype="image/svg+xml")
    response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    response.headers["Cache-Control"] = "no-store"
    return response


@bp.get("/manifest.webmanifest")
def manifest() -> Response:
    """What the home screen shows (W3C, Web Application Manifest)."""
    icons = [
        {
            "src": url_for("static", filename=f"icons/book-{side}.png"),
            "sizes": f"{side}x{side}",
            "type": "image/png",
            "purpose": purpose,
        }
        for side in ICONS
        for purpose in ("any", "maskable")
    ]
    told = {
        "id": "/", "name": "fieldlog", "short_name": "fieldlog", "start_url": "/", "scope": "/",
        "display": "standalone", "background_color": "#fbf7ea", "theme_color": "#fbf7ea",
        "icons": icons,
    }  # fmt: skip
    response = jsonify(told)
    response.mimetype = "application/manifest+json"
    return response


def _lan_or_404() -> Lan:
    lan = config().lan
    if lan is None:
        abort(404, NOT_SERVED)
    return lan
