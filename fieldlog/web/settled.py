"""What a server does once, when its doors are open, so that no tablet's request has to wait for it.

The first to ask for a page would wait until its template is compiled, and any request at all while
Python looks through everything that was loaded for what could be thrown away: 25 ms or more, again
and again. What is loaded stays, so it is looked through once and never again.
"""

from __future__ import annotations

import gc
import sys
import threading
from collections.abc import Iterable
from contextlib import suppress

from flask import Flask

from fieldlog.calc.toml_text import DataFileError
from fieldlog.web import request

THRESHOLDS = (10_000, 10, 10)
"""Of the collector: a page makes some thousand objects, and next to none of them in a circle."""

TURN_SECONDS = 0.0005
"""How long a thread may compute while another waits. Every statement of SQL gives its turn away,
so a request of 30 of them beside one that computes waits 30 times for it; Python's 5 ms is long."""


def settle_soon(apps: Iterable[Flask]) -> threading.Thread:
    """Begin to settle in a thread of its own; pages are served meanwhile."""
    sys.setswitchinterval(TURN_SECONDS)
    thread = threading.Thread(target=settle, args=(tuple(apps),), daemon=True)
    thread.start()
    return thread


def settle(apps: Iterable[Flask]) -> None:
    """Load and compile what pages need, and tell the collector that it stays."""
    for app in apps:
        with suppress(DataFileError):  # a file of the house is faulty: each page says which
            app.extensions[request.KEY].library()
        for name in app.jinja_env.list_templates(extensions=["html"]):
            app.jinja_env.get_template(name)
    gc.collect()
    gc.freeze()
    gc.set_threshold(*THRESHOLDS)
