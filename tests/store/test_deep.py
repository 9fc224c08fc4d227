"""Every stored judgement is reproduced from the sources it names; a forged one is not."""

from __future__ import annotations

from dataclasses import replace as changed

import pytest
from keeping import BAD_DOOR, BAD_STAIR, GOOD_DOOR, HOUSE, PAT, Kept, library
from msgspec.structs import replace

from fieldlog import intake
from fieldlog.calc.chain import START, link
from fieldlog.calc.entries import CheckEntry
from fieldlog.calc.library import Library, SourceText, build_library
from fieldlog.store import journal, reading


def with_override() -> Library:
    """The library of a town that allows a riser of 8 1/4 in."""
    text = (
        '[[override]]\nrule = "stair.riser-height"\nlimit = "8 1/4 in"\n'
        'reason = "the town\'s own code"\nby = "the inspector"\n'
    )
    return build_library(
        [*library().sources.values(), SourceText("overrides", "overrides.toml", text)]
    )


@pytest.fixture
def history(kept: Kept) -> Kept:
    """Checks under two houses and three libraries."""
    kept.stair()
    kept.check(BAD_DOOR)
    metric = kept.record("house/1", replace(HOUSE, system="metric", instruments=("tape",))).id
    kept.stair({"riser": ["190 mm", "200 mm"], "tread": ["260"]})
    kept.strike(metric)
    kept.check(GOOD_DOOR, room="bath", place="tile")
    return kept


def forge(kept: Kept, old: str, new: str) -> None:
    """Change judgements and work the chain out anew: `verify` alone cannot tell."""
    kept.conn.execute("DROP TRIGGER journal_no_update")
    kept.conn.execute("UPDATE journal SET judgement = replace(judgement, ?, ?)", (old, new))
    before = START
    for row in journal.rows(kept.conn):
        before = link(before, row.seq, row.received, row.entry, row.judgement)
        kept.conn.execute("UPDATE journal SET chain = ? WHERE seq = ?", (before, row.seq))
    assert journal.verify(kept.conn) == []


def test_every_check_is_reproduced(history: Kept) -> None:
    assert journal.verify_deep(history.conn) == []
    assert journal.verify_deep(history.conn, library()) == []


def test_a_check_is_reproduced_by_its_own_library_and_no_other(history: Kept) -> None:
    lenient = with_override()
    body = CheckEntry("hall", "stair", BAD_STAIR, "exact")
    answer = intake.record(
        history.conn, history.folder, lenient, id=history.new_id(), type="check/1",
        subject="check:hall/stair", author=PAT, body=body, now=history.now,
    )  # fmt: skip
    history.stair()
    found = reading.check(history.conn, answer.id)
    assert found is not None
    assert [o["rule"] for o in found.judgement["overrides"]] == ["stair.riser-height"]
    assert journal.verify_deep(history.conn) == []
    assert journal.verify_deep(history.conn, lenient) == []
    shelves = history.conn.execute("SELECT seq FROM shelf ORDER BY seq").fetchall()
    assert [seq for (seq,) in shelves] == [2, answer.seq, answer.seq + 1]


def test_a_forged_verdict_is_found(history: Kept) -> None:
    forge(history, '"verdict":"fail"', '"verdict":"pass"')
    faults = journal.verify_deep(history.conn)
    assert [f for f in faults if f.startswith("Entry")] == [
        f"Entry {seq}: judged again it gives another judgement." for seq in (2, 3, 5)
    ]


def test_a_fold_that_was_changed_is_found(history: Kept) -> None:
    history.conn.execute("UPDATE fold_check SET verdict = 'pass' WHERE verdict = 'fail'")
    assert journal.verify(history.conn) == []
    (fault,) = journal.verify_deep(history.conn)
    assert fault.startswith("The table fold_check is not what the journal gives.")


def test_a_source_that_is_gone_is_named(history: Kept) -> None:
    history.conn.execute("DROP TRIGGER source_no_delete")
    sha256 = library().sheets["stair"].sha256
    history.conn.execute("DELETE FROM source WHERE sha256 = ?", (sha256,))
    faults = journal.verify_deep(history.conn)
    assert all(sha256 in fault and "is not kept" in fault for fault in faults)
    assert len(faults) == 4


def test_the_sources_are_kept_once(history: Kept) -> None:
    kept = history.conn.execute("SELECT count(*) FROM source").fetchone()[0]
    assert kept == len(library().sources)
    assert history.conn.execute("SELECT count(*) FROM shelf").fetchone()[0] == 1
    sheet = library().sheets["stair"]
    assert reading.source_text(history.conn, sheet.sha256) == sheet.text
    assert reading.source_text(history.conn, "0" * 64) is None


def test_every_source_a_judgement_names_is_kept(history: Kept) -> None:
    checks = reading.latest_checks(history.conn)
    assert checks
    for check in checks:
        named = [check.judgement["sheet"], *check.judgement["books"]]
        named += check.judgement["instruments"]
        assert all(reading.source_text(history.conn, one["sha256"]) for one in named)


def test_another_limit_gives_another_judgement(history: Kept) -> None:
    """So that the comparison is known to compare."""
    lenient = changed(library(), bound=dict.fromkeys(library().bound, ()))
    assert journal.verify_deep(history.conn, lenient) != []
