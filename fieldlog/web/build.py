"""Which edition of pages, styles and scripts this is: a digest that stands in their addresses.

A tablet keeps pages for hours. A page names its styles and scripts by their edition, so that a
kept page never meets the script of another.
"""

from __future__ import annotations

import hashlib
from functools import cache

from fieldlog.config import asset_folder

DIGITS = 12


@cache
def build() -> str:
    """The first 12 hex digits of the SHA-256 over every file of `static` and `templates`."""
    whole = hashlib.sha256()
    for name in ("static", "templates"):
        root = asset_folder(name)
        for path in sorted(p for p in root.rglob("*") if p.is_file()):
            whole.update(f"{name}/{path.relative_to(root).as_posix()}\n".encode())
            whole.update(hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()[:DIGITS]


def assets() -> list[str]:
    """Paths under `static` of everything that a page can name, in order."""
    root = asset_folder("static")
    found = (p.relative_to(root).as_posix() for p in root.rglob("*") if p.is_file())
    return sorted(path for path in found if not path.startswith("worker/"))
