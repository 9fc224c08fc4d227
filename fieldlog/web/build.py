"""Which edition of pages, styles and scripts this is: a digest that stands in their addresses.

A tablet keeps pages for hours. A page names its styles and scripts by their edition, so that a
kept page never meets the script of another.
"""

from __future__ import annotations

import hashlib
from functools import cache

from fieldlog.config import asset_folder
from fieldlog.web import sent

DIGITS = 12


@cache
def build() -> str:
    """The first 12 hex digits of the SHA-256 over all that is sent and every template."""
    whole = hashlib.sha256()
    root = asset_folder("templates")
    pages = {p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*.*")}
    for name, data in (*sorted(pages.items()), *((n, f.data) for n, f in sent.files().items())):
        whole.update(f"{name}\n".encode())
        whole.update(hashlib.sha256(data).digest())
    return whole.hexdigest()[:DIGITS]


def assets() -> list[str]:
    """Paths under `static` of everything that a page can name, in order."""
    return [path for path in sent.files() if path != sent.WHOLE_WORKER]
