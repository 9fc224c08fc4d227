"""Who is asking: one Role for each request, from the front, the address and the cookies.

The exception, written down: a person at the machine itself is the superintendent, without a
login. "At the machine" means by a loopback address *and* by a loopback Host name, at the front
that listens nowhere else. Whoever can log in to the machine can do the same.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from ipaddress import ip_address
from typing import Literal

from flask import g, request
from werkzeug.wrappers import Response

from fieldlog.config import HOME_NAMES
from fieldlog.store import access_db, access_devices, access_links
from fieldlog.web.request import config, folder, now

Kind = Literal["machine", "device", "crew", "letter", "nobody"]
DEVICE_COOKIE, LETTER_COOKIE = "__Host-fieldlog-device", "__Host-fieldlog-letter"
CREW_COOKIE = "fieldlog-crew"
"""Cookies ignore ports: each front has names of its own. `__Host-` can't be set over plain HTTP."""
COOKIE_DAYS = 400
DAY = 24 * 3600


@dataclass(frozen=True)
class Role:
    """Who asks. `trade` is a crew's; `device` a paired tablet's id, also while it is passed."""

    kind: Kind
    trade: str = ""
    device: str = ""

    @property
    def is_superintendent(self) -> bool:
        """At the machine, or by a paired device that is not passed to a crew."""
        return self.kind in ("machine", "device")

    @property
    def is_passed(self) -> bool:
        """Whether this is a paired tablet in a crew's hands."""
        return self.kind == "crew" and bool(self.device)


NOBODY = Role("nobody")


def role() -> Role:
    """Who makes this request; the same within one request."""
    if "role" not in g:
        g.role = {"machine": _at_the_machine, "tls": _by_device, "plain": _by_crew_link}[
            config().front
        ]()
    known: Role = g.role
    return known


def store() -> sqlite3.Connection:
    """This request's connection to the access store; closed when the request ends."""
    if "access" not in g:
        g.access = access_db.open_access(folder())
    conn: sqlite3.Connection = g.access
    return conn


def close_store() -> None:
    """Close it, at the request's end."""
    conn = g.pop("access", None)
    if conn is not None:
        conn.close()


def host_name(host: str) -> str:
    """The Host header without its port; a bracketed IPv6 address keeps its brackets."""
    if host.startswith("["):
        return host.partition("]")[0] + "]"
    return host.partition(":")[0].lower()


def give_cookie(response: Response, name: str, token: str) -> None:
    """Have the browser keep a token, out of reach of scripts and of other sites."""
    response.set_cookie(
        name, token, max_age=COOKIE_DAYS * DAY, path="/", httponly=True, samesite="Strict",
        secure=config().front == "tls",
    )  # fmt: skip


def drop_cookie(response: Response, name: str) -> None:
    """Have the browser forget a token; nothing else that it keeps is touched."""
    response.delete_cookie(
        name, path="/", httponly=True, samesite="Strict", secure=config().front == "tls"
    )


def _at_the_machine() -> Role:
    try:
        near = ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        near = False
    here = near and host_name(request.host) in HOME_NAMES
    return Role("machine") if here else NOBODY


def _by_device() -> Role:
    token = request.cookies.get(DEVICE_COOKIE, "")
    known = access_devices.device_of(store(), token) if token else None
    if known is None:
        return _by_letter_link()
    access_devices.note_seen(store(), known, now())
    if known.trade:
        return Role("crew", known.trade, known.id)
    return Role("device", device=known.id)


def _by_letter_link() -> Role:
    token = request.cookies.get(LETTER_COOKIE, "")
    link = access_links.link_of(store(), token, now()) if token else None
    return Role("letter") if link and link.kind == "letter" else NOBODY


def _by_crew_link() -> Role:
    token = request.cookies.get(CREW_COOKIE, "")
    link = access_links.link_of(store(), token, now()) if token else None
    return Role("crew", link.trade) if link and link.kind == "crew" else NOBODY
