"""The journal only grows, and shows what was done to it behind its back."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path

import pytest
from keeping import PAT, START, Kept, start
from msgspec.structs import replace

from fieldlog.calc.entries import Walk
from fieldlog.store import db, journal

GUARDS = ("journal_no_update", "journal_no_delete", "journal_no_replace", "source_no_update",
          "source_no_delete", "shelf_no_delete")  # fmt: skip


@pytest.fixture
def history(kept: Kept) -> Kept:
    """A walk, a judged check, an item, its correction, and a refused entry."""
    kept.record("walk/1", Walk("2026-03-03"))
    check = kept.stair()
    item = kept.item(check=check, rules=("stair.riser-height",))
    kept.act(item, "corrected", how="call")
    kept.take(kept.made_elsewhere("dance/1", "{}", subject="walk:2026-03-03"))
    return kept


def forge(kept: Kept, statement: str, *values: object) -> None:
    """Change the file as someone would who has the database and knows SQL."""
    for guard in GUARDS:
        kept.conn.execute(f"DROP TRIGGER {guard}")
    kept.conn.execute(statement, values)


def test_a_sound_journal_has_no_faults(history: Kept) -> None:
    assert journal.verify(history.conn) == []
    assert journal.head(history.conn).seq == 6


def test_numbers_follow_each_other_from_one(history: Kept) -> None:
    assert [e.seq for e in journal.entries(history.conn)] == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE journal SET body = '{}' WHERE seq = 2",
        "UPDATE OR REPLACE journal SET seq = 2 WHERE seq = 3",
        "DELETE FROM journal WHERE seq = 2",
        "DELETE FROM journal",
        "INSERT INTO journal SELECT * FROM journal WHERE seq = 2"
        " ON CONFLICT (seq) DO UPDATE SET body = '{}'",
        "UPDATE source SET text = ''",
        "DELETE FROM source",
        "DELETE FROM shelf",
    ],
)
def test_sql_cannot_change_the_record(history: Kept, statement: str) -> None:
    before = history.conn.execute("SELECT * FROM journal").fetchall()
    sources = history.conn.execute("SELECT * FROM source").fetchall()
    with suppress(sqlite3.IntegrityError):  # the insert is ignored instead
        history.conn.execute(statement)
    assert history.conn.execute("SELECT * FROM journal").fetchall() == before
    assert history.conn.execute("SELECT * FROM source").fetchall() == sources


def test_insert_or_replace_replaces_nothing(history: Kept) -> None:
    conn = history.conn
    before = conn.execute("SELECT * FROM journal").fetchall()
    columns = [row[1] for row in conn.execute("PRAGMA table_info(journal)")]
    for changed in ({"body": "{}"}, {"seq": 99, "body": "{}"}, {"id": "x", "body": "{}"}):
        taken = ", ".join("?" if c in changed else c for c in columns)
        values = [changed[c] for c in columns if c in changed]
        row = conn.execute(
            f"INSERT OR REPLACE INTO journal SELECT {taken} FROM journal WHERE seq = 2"
            " RETURNING seq",
            values,
        ).fetchone()
        assert row is None
    assert conn.execute("SELECT * FROM journal").fetchall() == before


def test_append_notices_that_nothing_was_written(history: Kept) -> None:
    again = history.made_elsewhere("walk/1", Walk("2026-03-03"), id=_id_of(history, 2))
    with pytest.raises(journal.NotAppended), db.transaction(history.conn):
        journal.append(history.conn, again, now=START)


@pytest.mark.parametrize(
    ("statement", "entry"),
    [
        ("UPDATE journal SET body = replace(body, '8 1/4', '7 1/4') WHERE seq = 3", 3),
        ("UPDATE journal SET judgement = replace(judgement, 'fail', 'pass') WHERE seq = 3", 3),
        ("UPDATE journal SET author = 'superintendent/Ann' WHERE seq = 2", 2),
        ("UPDATE journal SET received = '2026-03-01T00:00:00Z' WHERE seq = 4", 4),
        ("UPDATE journal SET claimed_ms = 0 WHERE seq = 4", 4),
        ("UPDATE journal SET seen = id WHERE seq = 4", 4),
        ("UPDATE journal SET refused = 'another reason' WHERE seq = 6", 6),
        ("UPDATE journal SET refused = '' WHERE seq = 6", 6),
        ("UPDATE journal SET refused = 'never happened' WHERE seq = 5", 5),
        ("UPDATE journal SET chain = '00' WHERE seq = 3", 3),
        ("DELETE FROM journal WHERE seq = 3", 4),
        ("DELETE FROM journal WHERE seq = 1", 2),
    ],
)
def test_a_forged_entry_is_found(history: Kept, statement: str, entry: int) -> None:
    forge(history, statement)
    faults = journal.verify(history.conn)
    assert any(fault.startswith(f"Entry {entry}:") for fault in faults), faults


def test_a_dropped_entry_whose_followers_are_renumbered_is_found(history: Kept) -> None:
    forge(history, "DELETE FROM journal WHERE seq = 3")
    history.conn.execute("UPDATE journal SET seq = seq - 1 WHERE seq > 3")
    assert journal.verify(history.conn)[0].startswith("Entry 3:")


def test_a_forged_entry_is_found_once_and_does_not_taint_the_rest(history: Kept) -> None:
    forge(history, "UPDATE journal SET author = 'superintendent/Ann' WHERE seq = 2")
    assert len(journal.verify(history.conn)) == 1


def test_a_changed_source_is_found(history: Kept) -> None:
    forge(history, "UPDATE source SET text = replace(text, '7 3/4', '8 1/4') WHERE kind = 'book'")
    assert "the text was changed" in journal.verify(history.conn)[0]


def test_a_source_that_is_gone_is_found(history: Kept) -> None:
    forge(history, "DELETE FROM source WHERE kind = 'sheet'")
    assert "it is gone" in journal.verify(history.conn)[0]


def test_a_dropped_tail_shows_only_in_the_head(history: Kept) -> None:
    """The chain cannot know; that is why reports print the head."""
    printed = journal.head(history.conn)
    forge(history, "DELETE FROM journal WHERE seq > 4")
    assert journal.verify(history.conn) == []
    assert journal.head(history.conn) != printed


def test_the_body_is_kept_byte_for_byte(kept: Kept) -> None:
    body = '{ "note":"½ \\u00bd",\n "day" : "2026-03-03" }'
    sent = kept.made_elsewhere("walk/1", body, subject="walk:2026-03-03")
    assert kept.take(sent).status == "stored"
    found = journal.entry(kept.conn, sent.id)
    assert found is not None
    assert found.body == body


def test_entries_are_filtered(history: Kept) -> None:
    conn = history.conn
    assert [e.type for e in journal.entries(conn, after=4)] == ["act/1", "dance/1"]
    assert [e.seq for e in journal.entries(conn, type="item/1")] == [4]
    assert [e.seq for e in journal.entries(conn, limit=2)] == [1, 2]
    assert [e.seq for e in journal.entries(conn, day="2026-03-03", after=2, limit=2)] == [3, 4]
    assert journal.entries(conn, day="2026-03-04") == []
    assert journal.entry(conn, "x") is None


def test_a_device_number_is_used_up_by_a_refused_entry(kept: Kept) -> None:
    kept.take(kept.made_elsewhere("dance/1", "{}", subject="walk:2026-03-03", device_seq=41))
    assert journal.next_device_seq(kept.conn, "tablet-1") == 42
    assert journal.next_device_seq(kept.conn, "tablet-2") == 1


def test_the_time_of_receipt_is_utc() -> None:
    assert journal.stamp(START) == "2026-03-03T14:15:00Z"
    with pytest.raises(ValueError, match="aware"):
        journal.stamp(START.replace(tzinfo=None))


def test_two_houses_do_not_share_a_chain(kept: Kept, tmp_path: Path) -> None:
    other = start(tmp_path / "other")
    with closing(other.conn):
        other.record("walk/1", Walk("2026-03-03"), author=PAT)
        kept.record("walk/1", Walk("2026-03-04"), author=PAT)
        assert journal.head(other.conn).chain != journal.head(kept.conn).chain


def test_a_row_says_what_was_stored(history: Kept) -> None:
    found = journal.stored(history.conn, _id_of(history, 2))
    assert found is not None
    assert replace(found.entry, device_seq=9) != found.entry
    assert (found.seq, found.refused) == (2, "")
    assert journal.stored(history.conn, "x") is None


def _id_of(kept: Kept, seq: int) -> str:
    return str(kept.conn.execute("SELECT id FROM journal WHERE seq = ?", (seq,)).fetchone()[0])
