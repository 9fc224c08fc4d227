"""The tree as files on this machine, for a browser to import modules from."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

from tests.js.asking import ROOT


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_args: object) -> None:
        """Nothing is said."""


@contextmanager
def tree_served() -> Iterator[str]:
    """The tree's files by HTTP: their address."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(ROOT)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join(timeout=10)
