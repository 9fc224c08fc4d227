"""A house served for real: the app behind its own server, on a free port of this machine."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic

from cheroot.wsgi import Server

from fieldlog.app import create_app
from fieldlog.config import Config
from fieldlog.web import request

LOCAL = "127.0.0.1"
THREADS = 3


class Clock:
    """A clock that goes on from a given time at the pace of the real one."""

    def __init__(self, start: datetime) -> None:
        self._start, self._since = start.astimezone(UTC), monotonic()

    def __call__(self) -> datetime:
        return self._start + timedelta(seconds=monotonic() - self._since)


@contextmanager
def served(folder: Path, start: datetime) -> Iterator[str]:
    """Serve the house in `folder` from `start` on; gives its address."""
    config = Config(folder=folder, port=0, clock=Clock(start), testing=True)
    app = create_app(config)
    server = Server((LOCAL, 0), app, numthreads=THREADS)
    server.prepare()
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    try:
        yield f"http://{LOCAL}:{server.bind_addr[1]}"
    finally:
        server.stop()
        thread.join(timeout=10)
        app.extensions[request.KEY].close()
