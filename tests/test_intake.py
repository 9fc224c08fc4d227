"""The one way in: stored, already stored, conflict, refused; judged once; nothing half stored."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace as changed
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from keeping import (
    BAD_DOOR,
    BAD_STAIR,
    GOOD_DOOR,
    HOUSE,
    PAT,
    STAIR_CREW,
    START,
    Kept,
    copied,
    library,
    start,
)
from msgspec.structs import asdict, replace

from fieldlog import intake
from fieldlog.calc.entries import (
    Act,
    CheckEntry,
    EntryMalformed,
    ItemEntry,
    PhotoEntry,
    Walk,
    encode_body,
)
from fieldlog.calc.house import PlannedCheck
from fieldlog.calc.ids import new_id
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.store import db, journal, reading

WALK = Walk("2026-03-03")


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    """A house with its first entry, open for writing."""
    one = copied(tmp_path / "house")
    yield one
    one.conn.close()


def count(kept: Kept) -> int:
    """Entries in the journal."""
    return journal.head(kept.conn).seq


def test_the_first_entry_is_the_house(kept: Kept) -> None:
    first = journal.entries(kept.conn)[0]
    assert (first.seq, first.type, first.subject, first.author) == (1, "house/1", "house", PAT)
    assert first.id == journal.job(kept.conn)
    assert reading.house(kept.conn) == HOUSE


def test_a_house_is_started_once(kept: Kept, tmp_path: Path) -> None:
    with pytest.raises(db.HouseBusy):
        intake.start_house(kept.folder, HOUSE, START, kept.new_id())
    kept.conn.close()
    with pytest.raises(intake.HouseExists, match="started in"):
        intake.start_house(kept.folder, HOUSE, START, kept.new_id())
    with pytest.raises(EntryMalformed):
        intake.start_house(tmp_path / "other", HOUSE, START, "not-an-id")
    assert not (tmp_path / "other").exists()


def test_nothing_comes_before_the_house(tmp_path: Path) -> None:
    with closing(db.open_writer(tmp_path, create=True)) as conn:
        kept = Kept(tmp_path, conn)
        entry = kept.made_elsewhere("walk/1", WALK, job=kept.new_id())
        with pytest.raises(intake.NotTheHouse):
            kept.take(entry)
        with pytest.raises(db.HouseMissing):
            kept.record("walk/1", WALK)
        assert count(kept) == 0


def test_the_same_entry_twice_is_stored_once(kept: Kept) -> None:
    entry = kept.made_elsewhere("walk/1", WALK)
    first, second = kept.take(entry), kept.take(entry)
    assert (first.status, second.status) == ("stored", "already_stored")
    assert (first.seq, first.id) == (second.seq, second.id)
    assert count(kept) == 2


def test_a_resend_may_differ_in_what_the_device_counts(kept: Kept) -> None:
    entry = kept.made_elsewhere("walk/1", WALK)
    kept.take(entry)
    again = replace(entry, device_seq=9, claimed_ms=1, offset_min=0, seen=kept.new_id())
    assert kept.take(again).status == "already_stored"


def test_another_entry_under_the_same_id_is_a_conflict_and_is_kept(kept: Kept) -> None:
    entry = kept.made_elsewhere("walk/1", WALK)
    kept.take(entry)
    other = replace(entry, body=encode_body(Walk("2026-03-03", "other")), device_seq=2)
    answers = [kept.take(other), kept.take(other)]
    assert [a.status for a in answers] == ["conflict", "conflict"]
    assert answers[0].seq == answers[1].seq
    assert count(kept) == 3
    (refused,) = reading.refused(kept.conn)
    assert (refused.body, refused.refused) == (other.body, intake.CONFLICT)
    found = journal.entry(kept.conn, entry.id)
    assert found is not None
    assert found.body == entry.body
    assert journal.next_device_seq(kept.conn, "tablet-1") == 3


@pytest.mark.parametrize("over", [{"author": "superintendent/Ann"}, {"seen": ""}])
def test_the_author_is_part_of_what_was_said(kept: Kept, over: dict[str, str]) -> None:
    entry = kept.made_elsewhere("walk/1", WALK)
    kept.take(entry)
    status = kept.take(replace(entry, **over)).status
    assert status == ("conflict" if "author" in over else "already_stored")


def test_a_malformed_entry_is_kept_with_its_body_and_the_reason(kept: Kept) -> None:
    entry = kept.made_elsewhere("walk/1", '{"day":"soon"}', subject="walk:2026-03-03")
    first, second = kept.take(entry), kept.take(entry)
    assert (first.status, second.status) == ("refused", "refused")
    assert first == second
    assert "day" in first.reason
    (refused,) = reading.refused(kept.conn)
    assert (refused.id, refused.body) == (entry.id, '{"day":"soon"}')
    assert json.loads(refused.judgement) == {"refused": first.reason}
    assert journal.verify(kept.conn) == []


@pytest.mark.parametrize(
    "sent",
    [
        {},
        [],
        None,
        "text",
        {"id": 3, "body": "\ud800 half a pair"},
        {"\ud800": 1},
        {"a key of any length" * 1000: 1},
        {"id": "x", "device_seq": 10**40, "author": "a\x00b", "type": None},
        {"id": "019cb3ff-9f00-7000-8000-00000000abcd", "device": "tablet-9", "device_seq": 12},
        {"nan": float("nan"), "deep": [[[[[[{}]]]]]]},
    ],
)
def test_what_is_no_entry_at_all_is_kept_whole(kept: Kept, sent: Any) -> None:
    first, second = kept.take(sent), kept.take(sent)
    assert first.status == "refused"
    assert first == second
    (refused,) = reading.refused(kept.conn)
    assert json.loads(refused.body) == json.loads(json.dumps(sent)) or "NaN" in refused.body
    assert journal.verify(kept.conn) == []
    if isinstance(sent, dict) and sent.get("device_seq") == 12:
        assert journal.next_device_seq(kept.conn, "tablet-9") == 13


def test_two_malformed_entries_under_one_id_are_both_kept(kept: Kept) -> None:
    entry = kept.made_elsewhere("walk/1", "{", subject="walk:2026-03-03")
    kept.take(entry)
    assert kept.take(replace(entry, body="[")).status in ("refused", "conflict")
    assert {e.body for e in reading.refused(kept.conn)} == {"{", "["}


def test_a_poisoned_entry_does_not_block_its_batch(kept: Kept) -> None:
    poisoned = kept.made_elsewhere(
        "check/1", CheckEntry("hall", "stair", {"riser": ["71/2"]}, "tape")
    )
    batch = [
        kept.made_elsewhere("walk/1", WALK, device_seq=1),
        poisoned,
        {"id": "what"},
        kept.made_elsewhere("item/1", ItemEntry("T-1", "hall", "stairs", "x"), device_seq=4),
        kept.made_elsewhere("dance/1", "{}", subject="walk:2026-03-03", device_seq=5),
        kept.made_elsewhere("\ud800", "{}", subject="walk:2026-03-03", device_seq=6),
        kept.made_elsewhere("walk/1", Walk("2026-03-04"), device_seq=7),
    ]
    answers = intake.take_all(kept.conn, kept.folder, library(), batch, kept.now)
    assert [a.status for a in answers] == [
        "stored", "refused", "refused", "stored", "refused", "refused", "stored",
    ]  # fmt: skip
    again = intake.take_all(kept.conn, kept.folder, library(), batch, kept.now)
    assert [a.seq for a in again] == [a.seq for a in answers]
    assert {a.status for a in again} == {"already_stored", "refused"}
    assert journal.verify(kept.conn) == []


def test_the_order_of_a_batch_does_not_lose_an_act(kept: Kept) -> None:
    item = kept.made_elsewhere("item/1", ItemEntry("T-1", "hall", "stairs", "x"))
    act = kept.made_elsewhere(
        "act/1", Act("corrected"), subject=item.subject, author=STAIR_CREW, device="tablet-2"
    )
    intake.take_all(kept.conn, kept.folder, library(), [act, item], kept.now)
    found = reading.item(kept.conn, item.id)
    assert found is not None
    assert found.state == "open"
    history = reading.item_history(kept.conn, item.id)
    assert [(a.act, a.why_no_effect) for a in history] == [
        ("corrected", "there was no such item"), ("opened", ""),
    ]  # fmt: skip


def test_an_entry_of_another_house_is_refused(kept: Kept) -> None:
    entry = kept.made_elsewhere("walk/1", WALK, job=new_id(START, b"\xff" * 10))
    assert kept.take(entry).reason == "The entry belongs to another house."


def test_a_tablet_s_clock_days_off_changes_no_day(kept: Kept) -> None:
    off = int((START + timedelta(days=400)).timestamp() * 1000)
    entry = kept.made_elsewhere("item/1", ItemEntry("T-1", "hall", "stairs", "x"), claimed_ms=off)
    kept.take(entry)
    found = reading.item(kept.conn, entry.id)
    assert found is not None
    assert found.opened_day == "2026-03-03"


def test_a_server_clock_that_goes_back_breaks_nothing(kept: Kept) -> None:
    kept.later(days=5)
    kept.item()
    kept.later(days=-9)
    kept.item()
    assert journal.verify(kept.conn) == []
    assert [i.opened_day for i in reading.items(kept.conn)] == ["2026-03-08", "2026-02-27"]


def test_a_check_is_judged_and_its_judgement_stored(kept: Kept) -> None:
    check = kept.stair()
    found = reading.check(kept.conn, check)
    stored = journal.entry(kept.conn, check)
    assert found is not None
    assert stored is not None
    assert found.verdict == "fail"
    assert found.judgement == json.loads(stored.judgement)
    text = json.dumps(found.judgement, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    assert stored.judgement == text


def test_an_old_verdict_is_read_back_when_the_books_change(kept: Kept) -> None:
    check = kept.stair()
    lenient = changed(library(), bound=dict.fromkeys(library().bound, ()))
    answer = intake.record(
        kept.conn, kept.folder, lenient, id=kept.new_id(), type="check/1",
        subject="check:hall/stair", author=PAT,
        body=CheckEntry("hall", "stair", BAD_STAIR, "tape"), now=kept.now,
    )  # fmt: skip
    assert answer.verdict != "fail"
    found = reading.check(kept.conn, check)
    assert found is not None
    assert found.verdict == "fail"


@pytest.mark.parametrize(
    ("body", "error", "says"),
    [
        (CheckEntry("hall", "stair", {"riser": ["71/2"]}, "tape"), ReadingsRefused, "riser"),
        (CheckEntry("hall", "stair", {"rizer": ["7"]}, "tape"), ReadingsRefused, "rizer"),
        (CheckEntry("hall", "moon", {}, "tape"), UnknownSource, "moon"),
        (CheckEntry("hall", "stair", BAD_STAIR, "moon"), UnknownSource, "moon"),
        (CheckEntry("hall", "stair", BAD_STAIR, "tape", books=("moon",)), UnknownSource, "moon"),
        (CheckEntry("hall", "stair", {}, "tape", sheet_sha256="0" * 64), EntryMalformed, "changed"),
        (ItemEntry("", "hall", "stairs", "a\x00b"), EntryMalformed, "words"),
    ],
)
def test_record_raises_and_take_keeps(
    kept: Kept, body: Any, error: type[Exception], says: str
) -> None:
    kinds = {CheckEntry: "check/1", ItemEntry: "item/1"}
    with pytest.raises(error, match=says):
        kept.record(kinds[type(body)], body)
    assert count(kept) == 1
    answer = kept.take(kept.made_elsewhere(kinds[type(body)], body))
    assert answer.status == "refused"
    assert says in answer.reason
    assert count(kept) == 2


def test_a_photo_of_a_form_comes_before_its_entry_and_a_tablets_may_come_after(kept: Kept) -> None:
    body = PhotoEntry("0" * 64, 9, "image/png", 1, 1)
    with pytest.raises(EntryMalformed, match="file is not here"):
        kept.record("photo/1", body)
    assert kept.take(kept.made_elsewhere("photo/1", body)).status == "stored"


def test_a_form_sent_twice_is_stored_once_and_keeps_its_number(kept: Kept) -> None:
    id = kept.new_id()
    body = ItemEntry("", "hall", "stairs", "Scratch")
    first = kept.record("item/1", body, id=id)
    kept.item()
    kept.later(minutes=5)
    second = kept.record("item/1", body, id=id)
    assert (first.status, second.status) == ("stored", "already_stored")
    assert [i.number for i in reading.items(kept.conn)] == ["P-1", "P-2"]
    found = reading.item_by_number(kept.conn, "p-1")
    assert found is not None
    assert found.id == id


def test_a_form_sent_again_with_other_words_is_a_conflict(kept: Kept) -> None:
    id = kept.new_id()
    kept.record("item/1", ItemEntry("", "hall", "stairs", "Scratch"), id=id)
    answer = kept.record("item/1", ItemEntry("", "hall", "stairs", "Dent"), id=id)
    assert (answer.status, count(kept)) == ("conflict", 2)
    answer = kept.record("walk/1", WALK, id=id)
    assert (answer.status, count(kept)) == ("conflict", 2)


def test_a_check_sent_twice_is_judged_once(kept: Kept) -> None:
    id = kept.new_id()
    body = CheckEntry("hall", "stair", BAD_STAIR, "tape")
    first = kept.record("check/1", body, id=id)
    again = intake.record(
        kept.conn, kept.folder, changed(library(), sheets={}), id=id, type="check/1",
        subject="check:hall/stair", author=PAT, body=body, now=kept.now,
    )  # fmt: skip
    assert (again.status, again.verdict) == ("already_stored", first.verdict)


def test_a_form_under_an_id_that_was_refused_is_told_so(kept: Kept) -> None:
    id = kept.new_id()
    kept.take(kept.made_elsewhere("walk/1", "{}", id=id, subject="walk:2026-03-03"))
    assert kept.record("walk/1", WALK, id=id).status == "conflict"


def test_an_item_form_under_an_id_whose_item_was_refused(kept: Kept) -> None:
    id = kept.new_id()
    kept.take(kept.made_elsewhere("item/1", "{}", id=id, subject=f"item:{id}"))
    assert kept.record("item/1", ItemEntry("", "hall", "stairs", "x"), id=id).status == "conflict"


@pytest.mark.parametrize("id", ["", "P-1", "\ud800", "x" * 10_000])
def test_a_form_without_a_sound_id_is_refused(kept: Kept, id: str) -> None:
    with pytest.raises(EntryMalformed, match="UUID"):
        intake.record(
            kept.conn, kept.folder, library(), id=id, type="walk/1", subject="walk:2026-03-03",
            author=PAT, body=WALK, now=kept.now,
        )  # fmt: skip


@pytest.mark.parametrize("reading_", ["\ud800", 10**400, [[[[[[[[[[[]]]]]]]]]]]])
def test_a_reading_that_is_no_text_is_refused(kept: Kept, reading_: Any) -> None:
    body = CheckEntry("hall", "stair", {"headroom": reading_}, "tape")
    with pytest.raises((EntryMalformed, ReadingsRefused)):
        kept.record("check/1", body)
    assert count(kept) == 1


def test_two_devices_numbers_do_not_meet(kept: Kept) -> None:
    kept.take(kept.made_elsewhere("item/1", ItemEntry("T-7", "hall", "stairs", "x")))
    kept.item()
    assert {i.number for i in reading.items(kept.conn)} == {"T-7", "P-1"}
    assert reading.next_number(kept.conn) == "P-2"
    assert reading.next_number(kept.conn, "T") == "T-8"


def test_an_entry_made_here_says_where_and_when(kept: Kept) -> None:
    entry = intake.make_entry(
        kept.conn, HOUSE, id=kept.new_id(), type="walk/1", subject="walk:2026-03-03", author=PAT,
        body_struct=WALK, now=kept.now,
    )  # fmt: skip
    assert (entry.device, entry.device_seq, entry.offset_min) == ("office", 2, -360)
    assert entry.claimed_ms == 1772547300000
    assert entry.job == journal.job(kept.conn)
    assert kept.take(asdict(entry)).status == "stored"


def test_a_place_is_judged_by_its_planned_books(tmp_path: Path) -> None:
    hall = replace(HOUSE.rooms[0], checks=(PlannedCheck("visual", books=("our-standard",)),))
    house = replace(HOUSE, rooms=(hall, *HOUSE.rooms[1:]), books=("irc-2021",))
    kept = start(tmp_path / "house", house)
    with closing(kept.conn):
        planned = reading.check(kept.conn, kept.check(BAD_DOOR))
        other = reading.check(kept.conn, kept.check(BAD_DOOR, place="Elsewhere"))
        named = reading.check(kept.conn, kept.check(BAD_DOOR, place="x", books=("our-standard",)))
    assert planned is not None
    assert other is not None
    assert named is not None
    assert [b["id"] for b in planned.judgement["books"]] == ["our-standard"]
    assert [b["id"] for b in other.judgement["books"]] == ["irc-2021"]
    assert (planned.verdict, named.verdict) == ("fail", "fail")


def test_two_tabs_and_nothing_is_lost(kept: Kept) -> None:
    """Both had seen the same; the second is stored, has no effect, and the clash shows."""
    item = kept.item()
    kept.act(item, "accepted", how="eye", seen=item)
    kept.act(item, "accepted", how="eye", seen=item)
    history = reading.item_history(kept.conn, item)
    assert [(a.effect, a.clash) for a in history] == [(True, False), (True, False), (False, True)]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=10,
)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    sheet=st.sampled_from(sorted(library().sheets)),
    junk=json_values,
    extra=st.dictionaries(st.text(), json_values, max_size=2),
    pick=st.integers(0, 50),
)
def test_random_readings_are_stored_or_refused(
    kept: Kept, sheet: str, junk: Any, extra: dict[str, Any], pick: int
) -> None:
    fields = library().sheets[sheet].fields
    readings = {fields[pick % len(fields)].name: junk} | extra
    before = count(kept)
    body = json.dumps({"room": "hall", "sheet": sheet, "readings": readings, "instrument": "tape"})
    entry = kept.made_elsewhere("check/1", body, subject=f"check:hall/{sheet}")
    answer = kept.take(entry)
    assert answer.status in ("stored", "refused")
    assert count(kept) == before + 1


@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(json_values)
def test_random_json_is_refused_and_kept(kept: Kept, sent: Any) -> None:
    answer = kept.take(sent)
    assert answer.status == "refused"
    assert answer.reason
    found = journal.entry(kept.conn, answer.id)
    assert found is not None
    assert found.refused == answer.reason


def test_good_and_bad_doors_are_what_the_tests_think(kept: Kept) -> None:
    for readings, verdict in ((GOOD_DOOR, "pass"), (BAD_DOOR, "fail")):
        found = reading.check(kept.conn, kept.check(readings))
        assert found is not None
        assert found.verdict == verdict
