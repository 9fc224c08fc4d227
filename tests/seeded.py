"""The demo's house, loaded once for all tests that look at it."""

from __future__ import annotations

import tempfile
from contextlib import AbstractContextManager, closing
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from sqlite3 import Connection

from fieldlog.demo.load import load
from fieldlog.demo.seed import Seed, read_seed
from fieldlog.store.db import open_reader

NOW = datetime(2026, 3, 5, 22, 0, tzinfo=UTC)
"""Thursday of the seed's own week, five in the afternoon at the house."""
LAST = date(2026, 3, 5)
_kept: list[tempfile.TemporaryDirectory[str]] = []


@cache
def seed() -> Seed:
    """What `seed_data/` says."""
    return read_seed()


@cache
def house_folder() -> Path:
    """The loaded house. Only to be read: copy it to change anything."""
    _kept.append(tempfile.TemporaryDirectory(prefix="fieldlog-test-"))
    folder = Path(_kept[-1].name) / "demo"
    load(folder, seed(), NOW, LAST)
    return folder


def reader() -> AbstractContextManager[Connection]:
    """A reading connection to the loaded house; closes at the end of a `with`."""
    return closing(open_reader(house_folder()))
