"""One writer under a lock, readers that cannot write, transactions that leave nothing half."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest
from keeping import Kept, start

from fieldlog.calc.entries import Walk
from fieldlog.store import access, db, journal, reading
from fieldlog.store.schema import FOLD_TABLES, MIGRATIONS


def test_a_second_writer_is_refused_and_told_who_writes(kept: Kept) -> None:
    with pytest.raises(db.HouseBusy, match=r"Another fieldlog writes .* \(process \d+\)"):
        db.open_writer(kept.folder)


def test_another_process_is_refused_too(kept: Kept) -> None:
    script = (
        "import sys; from fieldlog.store import db\n"
        "try: db.open_writer(sys.argv[1])\n"
        "except db.HouseBusy: sys.exit(3)\n"
    )
    done = subprocess.run([sys.executable, "-c", script, str(kept.folder)], check=False)
    assert done.returncode == 3


def test_the_lock_comes_back_when_the_writer_closes(tmp_path: Path) -> None:
    one = start(tmp_path / "house")
    one.conn.close()
    with db.open_writer(one.folder) as again:
        assert journal.head(again).seq == 1
    with closing(db.open_writer(one.folder)):
        pass


def test_the_writer_is_set_for_durability(tmp_path: Path) -> None:
    conn = db.open_writer(tmp_path, create=True)

    def pragma(name: str) -> object:
        return conn.execute(f"PRAGMA {name}").fetchone()[0]

    assert pragma("journal_mode") == "wal"
    assert pragma("synchronous") == 2
    assert pragma("mmap_size") == 0
    assert pragma("user_version") == len(MIGRATIONS)
    conn.close()


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM fold_item",
        "UPDATE journal SET body = ''",
        "INSERT INTO shelf VALUES (1, '')",
        "DROP TABLE journal",
        "CREATE TABLE x (y)",
    ],
)
def test_a_reader_cannot_write(kept: Kept, statement: str) -> None:
    with closing(db.open_reader(kept.folder)) as reader:
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            reader.execute(statement)
        reader.execute("PRAGMA query_only=OFF")
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            reader.execute(statement)


def test_a_reader_never_checkpoints(tmp_path: Path) -> None:
    """Not even as the last one to close, while a killed writer's entries are in the WAL."""
    kept = start(tmp_path / "house")
    kept.record("walk/1", Walk("2026-03-03"))
    copy = tmp_path / "copy"
    copy.mkdir()
    for name in ("fieldlog.sqlite", "fieldlog.sqlite-wal"):
        (copy / name).write_bytes((kept.folder / name).read_bytes())
    kept.conn.close()
    before = (copy / "fieldlog.sqlite").read_bytes()
    with closing(db.open_reader(copy)) as reader:
        assert reader.execute("PRAGMA wal_autocheckpoint").fetchone()[0] == 0
        assert journal.head(reader).seq == 2
    assert (copy / "fieldlog.sqlite").read_bytes() == before
    assert (copy / "fieldlog.sqlite-wal").stat().st_size > 0


def test_a_reader_sees_what_was_committed_and_keeps_what_it_sees(kept: Kept) -> None:
    with closing(db.open_reader(kept.folder)) as reader:
        reader.execute("BEGIN")
        assert journal.head(reader).seq == 1
        kept.record("walk/1", Walk("2026-03-03"))
        assert journal.head(reader).seq == 1
        reader.execute("COMMIT")
        assert journal.head(reader).seq == 2


def test_a_reader_waits_for_nobody(kept: Kept) -> None:
    with db.transaction(kept.conn), closing(db.open_reader(kept.folder)) as reader:
        assert reading.house(reader).name == "Mill Lane"


def test_a_folder_without_a_house_says_so(tmp_path: Path) -> None:
    for opened in (db.open_reader, db.open_writer):
        with pytest.raises(db.HouseMissing, match="no house"):
            opened(tmp_path)
    with closing(db.open_writer(tmp_path, create=True)) as conn:
        with pytest.raises(db.HouseMissing):
            reading.house(conn)
        assert journal.head(conn).seq == 0


def test_a_database_of_a_newer_fieldlog_is_left_alone(tmp_path: Path) -> None:
    kept = start(tmp_path / "house")
    kept.conn.execute("PRAGMA user_version=99")
    kept.conn.close()
    for opened in (db.open_reader, db.open_writer):
        with pytest.raises(db.HouseTooNew, match="newer fieldlog"):
            opened(kept.folder)
    with pytest.raises(db.HouseTooNew):  # the lock came back
        db.open_writer(kept.folder)


def test_a_reader_does_not_migrate(tmp_path: Path) -> None:
    (tmp_path / "fieldlog.sqlite").touch()
    with pytest.raises(db.HouseTooNew, match="older fieldlog"):
        db.open_reader(tmp_path)


def test_a_transaction_is_all_or_nothing(kept: Kept) -> None:
    def two_then_fail() -> None:
        with db.transaction(kept.conn):
            kept.record("walk/1", Walk("2026-03-03"))
            kept.record("walk/1", Walk("2026-03-04"))
            raise RuntimeError

    with pytest.raises(RuntimeError):
        two_then_fail()
    assert journal.head(kept.conn).seq == 1
    assert not kept.conn.in_transaction


def test_an_inner_transaction_can_fail_alone(kept: Kept) -> None:
    def fail() -> None:
        with db.transaction(kept.conn):
            kept.record("walk/1", Walk("2026-03-04"))
            raise RuntimeError

    with db.transaction(kept.conn):
        kept.record("walk/1", Walk("2026-03-03"))
        with pytest.raises(RuntimeError):
            fail()
        kept.record("walk/1", Walk("2026-03-05"))
    assert [e.subject for e in journal.entries(kept.conn, after=1)] == [
        "walk:2026-03-03", "walk:2026-03-05",
    ]  # fmt: skip
    assert journal.verify(kept.conn) == []


def test_every_fold_is_thrown_away_by_a_rebuild(kept: Kept) -> None:
    tables = {
        name for (name,) in kept.conn.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
    }
    assert tables == {
        *FOLD_TABLES, "journal", "source", "shelf", "device_seen", "photo_here",
        "numbered_anew",
    }  # fmt: skip


def test_the_writer_serves_several_threads_in_turn(kept: Kept) -> None:
    lock = threading.Lock()

    def enter() -> None:
        for _ in range(10):
            with lock:
                kept.item()

    threads = [threading.Thread(target=enter) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(reading.items(kept.conn)) == 40
    assert len({i.number for i in reading.items(kept.conn)}) == 40
    assert journal.verify(kept.conn) == []


def test_a_folder_is_usable_as_a_path(tmp_path: Path) -> None:
    at = db.HouseFolder(tmp_path)
    assert db.HouseFolder(at) == at
    assert at.photos == tmp_path / "photos"
    assert not at.exists


def test_the_secret_is_made_once_and_is_private(tmp_path: Path) -> None:
    one = access.secret(tmp_path)
    assert access.secret(tmp_path) == one
    assert len(one) == 32
    assert (tmp_path / "secret.key").stat().st_mode & 0o077 == 0
    (tmp_path / "secret.key").write_bytes(one[:9])
    again = access.secret(tmp_path)
    assert len(again) == 32
    assert again != one


def test_the_secret_is_not_in_the_database(kept: Kept) -> None:
    key = access.secret(kept.folder)
    kept.record("walk/1", Walk("2026-03-03"))
    files = [path.read_bytes() for path in kept.folder.glob("fieldlog.sqlite*")]
    assert any(b"walk/1" in data for data in files), "what was entered is in them"
    assert not [data for data in files if key in data]


@pytest.mark.parametrize("junk", [b"no database", b"SQLite format 3\0" + b"x" * 5000])
def test_a_file_that_is_no_database_is_an_error_and_the_lock_comes_back(
    tmp_path: Path, junk: bytes
) -> None:
    (tmp_path / "fieldlog.sqlite").write_bytes(junk)
    for opened in (db.open_writer, db.open_reader, db.open_writer):
        with pytest.raises(sqlite3.DatabaseError):
            opened(tmp_path)


def test_an_error_in_a_statement_is_no_full_disk(kept: Kept) -> None:
    with pytest.raises(sqlite3.OperationalError, match="no such table"), db.transaction(kept.conn):
        kept.conn.execute("SELECT * FROM no_table")
    assert not kept.conn.in_transaction
