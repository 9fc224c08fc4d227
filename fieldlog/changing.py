"""The house is changed after it was started: by a new entry, and what entries name stays."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime

from fieldlog import intake
from fieldlog.calc.house import House
from fieldlog.calc.house_change import differences, dropped_in_use
from fieldlog.calc.house_flags import check_known
from fieldlog.calc.library import Library
from fieldlog.store import reading
from fieldlog.store.db import transaction
from fieldlog.store.reading_house import named_by_entries


class HouseStays(ValueError):
    """A change would drop what entries name, or changes nothing; the message says which."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = tuple(reasons)


def change_house(
    conn: sqlite3.Connection,
    folder: intake.Folder,
    library: Library,
    new: House,
    *,
    id: str,
    author: str,
    now: datetime,
    seen: str = "",
) -> list[str]:
    """Record the house as it is from now on; a sentence for each thing that is different.

    Raises HouseStays, UnknownSource for a book, tool or sheet that there is none of, and
    EntryMalformed; then nothing is stored.
    """
    check_known(new, library)
    with transaction(conn):
        old = reading.house(conn)
        reasons = dropped_in_use(old, new, named_by_entries(conn))
        said = differences(old, new)
        if reasons or not said:
            raise HouseStays(reasons or ["Nothing is different: the house stays as it is."])
        answer = intake.record(
            conn, folder, library, id=id, type="house/1", subject="house", author=author,
            body=new, now=now, seen=seen,
        )  # fmt: skip
        if answer.status != "stored":
            raise HouseStays([answer.reason or "It was saved before."])
    return said
