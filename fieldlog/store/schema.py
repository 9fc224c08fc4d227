"""The tables: two that are the record and only grow, and the folds, which can be thrown away.

A migration is a tuple of statements; `PRAGMA user_version` counts those that have run.
"""

from __future__ import annotations

_RECORD = (
    """CREATE TABLE journal (
        seq INTEGER PRIMARY KEY,
        received TEXT NOT NULL,
        chain TEXT NOT NULL,
        id TEXT NOT NULL UNIQUE,
        job TEXT NOT NULL,
        device TEXT NOT NULL,
        device_seq INTEGER NOT NULL,
        claimed_ms INTEGER NOT NULL,
        offset_min INTEGER NOT NULL,
        author TEXT NOT NULL,
        type TEXT NOT NULL,
        subject TEXT NOT NULL,
        seen TEXT NOT NULL,
        body TEXT NOT NULL,
        judgement TEXT NOT NULL,
        refused TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX journal_device ON journal (device, device_seq)",
    "CREATE INDEX journal_subject ON journal (subject, seq) WHERE refused = ''",
    "CREATE INDEX journal_refused ON journal (seq) WHERE refused != ''",
    """CREATE TABLE source (
        sha256 TEXT PRIMARY KEY,
        kind TEXT NOT NULL,
        file TEXT NOT NULL,
        text TEXT NOT NULL
    ) STRICT""",
    # Which sources the house judged by, from the check numbered `seq` on: their digests in the
    # order they were loaded, one a line.
    """CREATE TABLE shelf (
        seq INTEGER PRIMARY KEY,
        members TEXT NOT NULL
    ) STRICT""",
)


def _only_grows(table: str, *keys: str) -> tuple[str, ...]:
    """Triggers that keep what is in `table`.

    INSERT OR REPLACE fires no DELETE trigger, so what is there is guarded before the insert;
    the caller learns from the missing RETURNING row that nothing was written.
    """
    there = " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})" for key in keys)
    grows = f"BEGIN SELECT RAISE(ABORT, 'the {table} only grows'); END"
    return (
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN {there}"
        " BEGIN SELECT RAISE(IGNORE); END",
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {grows}",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {grows}",
    )


_GUARDS = (
    *_only_grows("journal", "id", "seq"),
    *_only_grows("source", "sha256"),
    *_only_grows("shelf", "seq"),
)

# Every index is one more page to write for every entry, so there is none where the journal's
# own (id, subject) leads to the row.
_FOLDS = (
    # One row for each journal row. `type` is '' for a refused entry; `why` says why an entry
    # had no effect; `struck` is the reason of a later strike.
    """CREATE TABLE fold_entry (
        seq INTEGER PRIMARY KEY,
        type TEXT NOT NULL,
        day TEXT NOT NULL,
        room TEXT NOT NULL,
        clash INTEGER NOT NULL,
        why TEXT NOT NULL,
        struck TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX fold_entry_day ON fold_entry (day, type)",
    "CREATE INDEX fold_entry_report ON fold_entry (seq) WHERE type = 'report/1'",
    "CREATE INDEX fold_entry_room ON fold_entry (room, seq) WHERE room != '' AND struck = ''",
    "CREATE INDEX fold_entry_struck ON fold_entry (seq) WHERE struck != ''",
    """CREATE TABLE fold_house (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        seq INTEGER NOT NULL,
        zone TEXT NOT NULL
    ) STRICT""",
    # `latest` marks the last check of its subject by day, then seq, that is not struck.
    """CREATE TABLE fold_check (
        seq INTEGER PRIMARY KEY,
        subject TEXT NOT NULL,
        room TEXT NOT NULL,
        key TEXT NOT NULL,
        day TEXT NOT NULL,
        verdict TEXT NOT NULL,
        latest INTEGER NOT NULL
    ) STRICT""",
    "CREATE INDEX fold_check_subject ON fold_check (subject, day, seq)",
    "CREATE INDEX fold_check_latest ON fold_check (room, key, verdict) WHERE latest = 1",
    """CREATE TABLE fold_item (
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL,
        prefix TEXT NOT NULL,
        count INTEGER NOT NULL,
        room TEXT NOT NULL,
        trade TEXT NOT NULL,
        state TEXT NOT NULL,
        rank INTEGER NOT NULL,
        opened_day TEXT NOT NULL,
        check_id TEXT NOT NULL,
        struck TEXT NOT NULL,
        view TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX fold_item_number ON fold_item (prefix, count)",
    "CREATE INDEX fold_item_check ON fold_item (check_id) WHERE check_id != ''",
    """CREATE INDEX fold_item_open ON fold_item (room, trade)
        WHERE struck = '' AND state IN ('open', 'corrected')""",
    """CREATE TABLE fold_act (
        seq INTEGER PRIMARY KEY,
        view TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE fold_photo (
        seq INTEGER PRIMARY KEY,
        sha256 TEXT NOT NULL,
        room TEXT NOT NULL,
        of TEXT NOT NULL,
        day TEXT NOT NULL,
        struck TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX fold_photo_sha256 ON fold_photo (sha256)",
    "CREATE INDEX fold_photo_room ON fold_photo (room)",
    "CREATE INDEX fold_photo_of ON fold_photo (of) WHERE of != ''",
    "CREATE INDEX fold_photo_day ON fold_photo (day)",
)

FOLD_TABLES = ("fold_entry", "fold_house", "fold_check", "fold_item", "fold_act", "fold_photo")

# What the server saw of handing over: no part of the chain, and no fold of it. A photo that was
# here once and has no file any more is gone; one that never was is still on its tablet.
_HANDING_OVER = (
    """CREATE TABLE device_seen (
        device TEXT PRIMARY KEY,
        prefix TEXT NOT NULL UNIQUE,
        seen TEXT NOT NULL,
        last INTEGER NOT NULL,
        waiting INTEGER NOT NULL,
        clock_off_s INTEGER NOT NULL
    ) STRICT""",
    """CREATE TABLE photo_here (
        sha256 TEXT PRIMARY KEY,
        size INTEGER NOT NULL,
        received TEXT NOT NULL
    ) STRICT""",
)

# A number that a device gave to an entry which is stored under another one: sent before, and
# numbered anew since. It is used up, and no gap.
_NUMBERED_ANEW = (
    """CREATE TABLE numbered_anew (
        device TEXT NOT NULL,
        device_seq INTEGER NOT NULL,
        PRIMARY KEY (device, device_seq)
    ) STRICT, WITHOUT ROWID""",
)

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (*_RECORD, *_GUARDS, *_FOLDS),
    _HANDING_OVER,
    _NUMBERED_ANEW,
)
