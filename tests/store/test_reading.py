"""What pages and reports read, and that the indexes serve."""

from __future__ import annotations

import pytest
from keeping import BAD_DOOR, GOOD_DOOR, PAINT_CREW, PAT, STAIR_CREW, Kept

from fieldlog.calc.entries import Day, Letter, ReportIssued, Walk
from fieldlog.store import journal, reading

SHA = "a" * 64


def failing(kept: Kept, check: str) -> tuple[str, ...]:
    """The failing limits of a check."""
    found = reading.check(kept.conn, check)
    assert found is not None
    return tuple({r["rule"]: 1 for r in found.judgement["rules"] if r["verdict"] == "fail"})


def test_an_item_takes_its_findings_from_the_check_that_opened_it(kept: Kept) -> None:
    check = kept.stair()
    rules = failing(kept, check)
    assert "stair.riser-height" in rules
    item = kept.item(words="", check=check, rules=("stair.riser-height",))
    kept.stair({"riser": ["7 1/2"] * 3, "tread": ["10 1/2"] * 2})
    found = reading.item(kept.conn, item)
    assert found is not None
    assert {f["rule"] for f in found.findings} == {"stair.riser-height"}
    assert all("fail" in (f["mark"], f["plain"]) for f in found.findings)
    assert found.kind == "safety"
    assert [i.id for i in reading.items_of_check(kept.conn, check)] == [item]


def test_findings_given_to_another_crew_on_purpose_stay(kept: Kept) -> None:
    check = kept.stair()
    item = kept.item(words="", check=check, rules=("stair.riser-height",), trade="paint")
    found = reading.item(kept.conn, item)
    assert found is not None
    assert found.findings


def test_items_are_ordered_serious_first_then_oldest(kept: Kept) -> None:
    plain_old = kept.item("a scratch")
    ours = kept.item("", check=kept.check(BAD_DOOR), rules=("visual.good",))
    safety = kept.item("", check=kept.stair(), rules=("stair.riser-height",))
    plain_new = kept.item("a dent")
    assert [i.id for i in reading.items(kept.conn)] == [safety, ours, plain_old, plain_new]
    assert [i.kind for i in reading.items(kept.conn)] == ["safety", "ours", "", ""]


def test_items_are_filtered(kept: Kept) -> None:
    hall = kept.item()
    bath = kept.item(room="bath", trade="paint")
    shop = kept.item(room="shop")
    kept.act(hall, "corrected", author=STAIR_CREW)
    kept.act(shop, "accepted", how="eye")

    def ids(**filters: object) -> list[str]:
        return [i.id for i in reading.items(kept.conn, **filters)]  # type: ignore[arg-type]

    assert ids() == [hall, bath, shop]
    assert ids(room="bath") == [bath]
    assert ids(trade="stairs") == [hall, shop]
    assert ids(story_rooms=("hall", "bath")) == [hall, bath]
    assert ids(story_rooms=()) == []
    assert ids(states=("open", "corrected")) == [hall, bath]
    assert ids(states=("accepted",)) == [shop]
    assert ids(states=()) == []
    assert ids(room="hall", trade="paint") == []


def test_items_of_a_day_are_those_anything_was_entered_about(kept: Kept) -> None:
    first = kept.item()
    kept.later(days=1)
    second = kept.item()
    kept.act(first, "note", reason="waiting for stain")
    assert [i.id for i in reading.items(kept.conn, day="2026-03-03")] == [first]
    assert [i.id for i in reading.items(kept.conn, day="2026-03-04")] == [first, second]
    acts = reading.acts_on(kept.conn, "2026-03-04")
    assert [(a.act, a.item) for a in acts] == [("opened", second), ("note", first)]


def test_an_item_s_history_says_who_did_what(kept: Kept) -> None:
    item = kept.item()
    kept.act(item, "corrected", author=PAINT_CREW)
    kept.act(item, "corrected", how="call")
    kept.act(item, "sent_back", reason="still there")
    told = [
        (a.act, a.author, a.how, a.reason, a.effect) for a in reading.item_history(kept.conn, item)
    ]
    assert told == [
        ("opened", PAT, "", "", True),
        ("corrected", PAINT_CREW, "", "", False),
        ("corrected", PAT, "call", "", True),
        ("sent_back", PAT, "", "still there", True),
    ]
    found = reading.item(kept.conn, item)
    assert found is not None
    assert (found.state, found.sent_back, found.last_reason) == ("open", True, "still there")
    assert found.head == reading.head_of(kept.conn, f"item:{item}")


@pytest.mark.parametrize("number", ["P-1", "p-1", " P-1 "])
def test_an_item_is_found_by_its_number(kept: Kept, number: str) -> None:
    item = kept.item()
    found = reading.item_by_number(kept.conn, number)
    assert found is not None
    assert found.id == item


@pytest.mark.parametrize("number", ["", "P", "P-", "P-2", "Q-1", "P-x", "P-²", "P-" + "9" * 40])
def test_no_item_is_found_by_another_number(kept: Kept, number: str) -> None:
    kept.item()
    assert reading.item_by_number(kept.conn, number) is None


def test_room_marks_count_latest_checks_and_unfinished_items(kept: Kept) -> None:
    kept.check(BAD_DOOR)
    kept.check(GOOD_DOOR)
    kept.stair()
    kept.check(BAD_DOOR, room="bath")
    done = kept.item()
    kept.act(done, "accepted", how="eye")
    kept.item()
    marks = reading.room_marks(kept.conn)
    assert marks["hall"] == {"fail": 1, "too_close": 0, "not_measured": 0, "pass": 1, "open": 1}
    assert marks["bath"]["fail"] == 1
    assert "shop" not in marks


def test_who_was_last_here(kept: Kept) -> None:
    assert reading.last_here(kept.conn, "hall") is None
    kept.check()
    kept.later(days=1)
    kept.item(room="bath")
    assert reading.last_here(kept.conn, "hall") == (PAT, "2026-03-03", "2026-03-03T14:15:00Z")
    wrong = kept.item()
    kept.strike(wrong)
    last = reading.last_here(kept.conn, "hall")
    assert last is not None
    assert last[1] == "2026-03-03"


def test_days_walks_and_day_facts(kept: Kept) -> None:
    assert reading.walk_days(kept.conn) == []
    assert reading.walk_of(kept.conn, "2026-03-03") is None
    kept.record("walk/1", Walk("2026-03-03", "windy"))
    kept.check(day="2026-02-27")
    kept.record("day/1", Day("2026-03-05", weather="rain"))
    assert reading.walk_days(kept.conn) == ["2026-02-27", "2026-03-03", "2026-03-05"]
    assert reading.walk_of(kept.conn, "2026-03-03") == Walk("2026-03-03", "windy")
    assert reading.day_facts(kept.conn, "2026-03-05") == Day("2026-03-05", weather="rain")
    assert reading.day_facts(kept.conn, "2026-03-06") is None
    assert [c.day for c in reading.checks_on(kept.conn, "2026-02-27")] == ["2026-02-27"]


def test_letters_and_reports(kept: Kept) -> None:
    week = "2026-03-06"
    assert reading.letter(kept.conn, week) == (None, "")
    draft = Letter(week, "Dear", "much", "paint", "trim", "Pat")
    first = kept.record("letter/1", draft).id
    assert reading.letter(kept.conn, week) == (draft, first)
    head = journal.head(kept.conn)
    issued = ReportIssued("daily", "2026-03-03", head.seq, head.chain, SHA)
    kept.record("report/1", issued)
    kept.record("report/1", ReportIssued("punch", "2026-03-03", 2, SHA, SHA, "stairs"))
    (report,) = reading.reports_issued(kept.conn, kind="daily")
    assert (report.day, report.head_seq, report.head_chain) == ("2026-03-03", 2, head.chain)
    assert len(reading.reports_issued(kept.conn)) == 2
    assert len(reading.reports_issued(kept.conn, kind="punch", day="2026-03-03")) == 1
    assert reading.reports_issued(kept.conn, day="2026-03-04") == []


def test_a_check_reads_back_what_was_entered(kept: Kept) -> None:
    first = kept.check(GOOD_DOOR, place="Linen closet", note="dim light", photos=(SHA,))
    found = reading.check(kept.conn, first)
    assert found is not None
    assert (found.key, found.place) == ("visual/linen-closet", "Linen closet")
    assert (found.readings, found.note, found.photos) == (GOOD_DOOR, "dim light", (SHA,))
    assert (found.clash, found.struck, found.instrument) == (False, "", "eye")
    assert [c.id for c in reading.checks_of_subject(kept.conn, found.subject)] == [first]
    assert reading.check(kept.conn, "x") is None


def test_the_journal_s_indexes_serve(kept: Kept) -> None:
    for query in (
        "SELECT id FROM journal WHERE subject = ? AND refused = '' ORDER BY seq DESC",
        "SELECT max(device_seq) FROM journal WHERE device = ?",
        "SELECT j.seq FROM journal j LEFT JOIN fold_entry f USING (seq) WHERE f.day = ?",
        "SELECT seq FROM fold_check WHERE latest = 1 AND room = ?",
        "SELECT view FROM fold_item WHERE struck = '' AND room = ?"
        " AND state IN ('open', 'corrected')",
        "SELECT seq FROM fold_photo WHERE of = ? AND of != ''",
    ):
        plan = kept.conn.execute(f"EXPLAIN QUERY PLAN {query}", ("x",)).fetchall()
        assert not any("SCAN" in row[3] for row in plan), (query, plan)
