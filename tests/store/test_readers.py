"""Readers outlive a request: each sees the last commit, and another database in its place."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from keeping import Kept, copied

from fieldlog.store import journal, reading
from fieldlog.store.db import HouseMissing
from fieldlog.store.readers import MOST_IDLE, Readers


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    """A house with its first entry, open for writing."""
    one = copied(tmp_path / "house")
    yield one
    one.conn.close()


@pytest.fixture
def readers(kept: Kept) -> Iterator[Readers]:
    """Its readers."""
    made = Readers(kept.folder)
    yield made
    made.close()


def test_a_reader_comes_again_and_sees_what_was_committed_since(
    kept: Kept, readers: Readers
) -> None:
    kept.item()
    kept.item()
    first, other = readers.take(), readers.take()
    assert first is not other
    half_read = first.execute("SELECT seq FROM journal ORDER BY seq")
    assert half_read.fetchone() == (1,)
    kept.item()
    assert journal.head(other).seq == 4
    first.close()
    first.close()
    assert readers.take() is first
    assert readers.take() is not first, "given back twice, it is in one's hands all the same"
    assert journal.head(first).seq == 4, "what was half read holds no old state"
    assert len(reading.items(first)) == 3


def test_what_is_no_house_is_an_error_and_nothing_is_kept(tmp_path: Path) -> None:
    (tmp_path / "fieldlog.sqlite").write_bytes(b"no database, just words " * 100)
    readers = Readers(tmp_path)
    with pytest.raises(sqlite3.DatabaseError):
        readers.take()
    readers.close()


def test_only_so_many_are_kept(readers: Readers) -> None:
    out = [readers.take() for _ in range(MOST_IDLE + 1)]
    for one in out:
        one.close()
    again = {id(readers.take()) for _ in range(MOST_IDLE)}
    assert again == {id(one) for one in out[:MOST_IDLE]}


def test_another_database_in_its_place_is_noticed(kept: Kept, readers: Readers) -> None:
    kept.item()
    readers.take().close()
    kept.conn.close()
    shutil.rmtree(kept.folder)
    with pytest.raises(HouseMissing):
        readers.take()
    kept.conn = copied(kept.folder).conn
    assert journal.head(readers.take()).seq == 1
