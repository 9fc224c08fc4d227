"""The demo from start to files: load the house, say what came of it, write its reports."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime
from pathlib import Path

from fieldlog.demo import dates, told
from fieldlog.demo.load import load
from fieldlog.demo.seed import read_seed
from fieldlog.store import reading
from fieldlog.store.db import open_reader


def prepared(folder: Path, now: datetime, day: str = "") -> str:
    """Make the demo's house in `folder`, write its reports; what to print about both.

    `day` is the last walk's ISO date, "" for today. Raises WrongDay, and what `load` raises.
    """
    seed = read_seed()
    last, now = dates.asked(day, now, seed.house.zone)
    load(folder, seed, now, last)
    with closing(open_reader(folder)) as conn:
        house = reading.house(conn)
        written = told.write_reports(folder / "reports", conn, house, folder)
        return f"{told.summary(conn, house)}\n\n{written}"
