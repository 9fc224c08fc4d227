"""Styles, scripts and pictures as they are sent: scripts packed, text stripped and gzipped once.

The library that strips has no build for every machine; where it is missing, text is sent as it is
written, which works the same and weighs half as much again.
"""

from __future__ import annotations

import gzip
import mimetypes
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import zopfli.gzip
from flask import Response, abort, request

from fieldlog.config import asset_folder
from fieldlog.web.packs import Packs, packed

try:
    import minify
except ImportError:
    minify = None

YEAR = 365 * 24 * 3600
SCRIPTS, WORKER = "js/", "worker/"
WHOLE_WORKER = "worker.js"
STRIPPED = {".js": "text/javascript", ".css": "text/css"}
ZIPPED = (*STRIPPED, ".svg")
LONG = 1500


@dataclass(frozen=True)
class File:
    """What is sent for one address. `zipped` is None where that would save nothing."""

    data: bytes
    media: str
    zipped: bytes | None

    def answer(self) -> Response:
        """For the request at hand, gzipped where the browser takes that."""
        takes = self.zipped is not None and request.accept_encodings["gzip"] > 0
        response = Response(self.zipped if takes else self.data, mimetype=self.media)
        if self.zipped is not None:
            response.vary.add("Accept-Encoding")
        if takes:
            response.content_encoding = "gzip"
        response.add_etag()
        return response


@cache
def files() -> Mapping[str, File]:
    """Everything that a page can name below `static`, by path, and the worker."""
    root = asset_folder("static")
    tree = {p.relative_to(root).as_posix(): p for p in sorted(root.rglob("*")) if p.is_file()}
    texts = {SCRIPTS + path: text for path, text in packs().files.items()}
    worker = [p for path, p in tree.items() if path.startswith(WORKER)]
    texts[WHOLE_WORKER] = "".join(part.read_text(encoding="utf-8") for part in worker)
    others = {n: p.read_bytes() for n, p in tree.items() if not n.startswith((SCRIPTS, WORKER))}
    return {n: _file(n, data) for n, data in sorted((others | _encoded(texts)).items())}


@cache
def packs() -> Packs:
    """The scripts below `static/js`, packed."""
    root = asset_folder("static") / SCRIPTS
    found = sorted(root.rglob("*.js"))
    return packed({p.relative_to(root).as_posix(): p.read_text(encoding="utf-8") for p in found})


def _encoded(texts: Mapping[str, str]) -> dict[str, bytes]:
    return {name: text.encode() for name, text in texts.items()}


def _file(name: str, data: bytes) -> File:
    ending = name[name.rindex(".") :]
    media = STRIPPED.get(ending) or mimetypes.guess_type(name)[0] or "application/octet-stream"
    data = stripped(data, media)
    return zipped(data, media, ending == ".js") if ending in ZIPPED else File(data, media, None)


def zipped(data: bytes, media: str, once: bool = False) -> File:
    """What is sent of a text. `once`: it may take ten times as long, for 3 % less of a long one."""
    if once and len(data) > LONG:
        small = zopfli.gzip.compress(data, numiterations=5)
    else:
        small = gzip.compress(data, mtime=0)
    return File(data, media, small if len(small) < len(data) else None)


def stripped(data: bytes, media: str) -> bytes:
    """A script or style without comments, and what is its own by short names; else as it is."""
    if minify is None or media not in STRIPPED.values():
        return data
    return str(minify.string(media, data.decode())).encode()


def static_file(filename: str) -> Response:
    """An address with the build in it: what it names never changes."""
    file = files().get(filename)
    if file is None:
        abort(404)
    response = file.answer()
    response.headers["Cache-Control"] = f"private, max-age={YEAR}, immutable"
    response.make_conditional(request)
    return response
