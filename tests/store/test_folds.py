"""Folds: rebuilt they are what they were live, whatever was entered in whatever order."""

from __future__ import annotations

import atexit
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from keeping import BAD_DOOR, GOOD_DOOR, HOUSE, PAINT_CREW, PAT, STAIR_CREW, Kept, copied
from msgspec.structs import replace

from fieldlog.calc.entries import Act, CheckEntry, Day, ItemEntry, PhotoEntry, Strike, Walk
from fieldlog.store import folds, journal, reading
from fieldlog.store.durable import write_durably

SHA = "0" * 64


@cache
def template() -> tuple[Path, sqlite3.Connection]:
    """A started house's folder with one photo, and its journal in memory."""
    folder = Path(tempfile.mkdtemp())
    atexit.register(shutil.rmtree, folder)
    started = copied(folder / "house")
    write_durably(started.folder / "photos" / "00" / f"{SHA}.jpg", b"a photo's bytes")
    conn = sqlite3.connect(":memory:", isolation_level=None)
    started.conn.backup(conn)
    started.conn.close()
    return started.folder, conn


@contextmanager
def house_in_memory() -> Iterator[Kept]:
    """A house whose journal is in memory: a random history needs no disk."""
    folder, started = template()
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as conn:
        started.backup(conn)
        yield Kept(folder, conn)


def agree(kept: Kept) -> None:
    """Assert that a rebuild changes nothing."""
    live = folds.dump(kept.conn)
    folds.rebuild(kept.conn)
    assert folds.dump(kept.conn) == live


number = st.integers(0, 11)
day = st.sampled_from(["", "2026-03-02", "2026-03-03", "2026-03-09"])
room = st.sampled_from(["hall", "bath", "gone"])
trade = st.sampled_from(["stairs", "paint"])
author = st.sampled_from([PAT, STAIR_CREW, PAINT_CREW])
step = st.one_of(
    st.tuples(st.just("walk"), day, number),
    st.tuples(st.just("check"), room, st.booleans(), day),
    st.tuples(st.just("item"), room, trade, number, day),
    st.tuples(st.just("act"), number, st.sampled_from(
        ["corrected", "accepted", "sent_back", "withdrawn", "not_ours", "passed_on", "note"]),
        author, trade, day),
    st.tuples(st.just("photo"), number, room, day),
    st.tuples(st.just("strike"), number, st.booleans()),
    st.tuples(st.just("day"), day, number),
    st.tuples(st.just("house"), st.booleans()),
    st.tuples(st.just("refused"), number),
)  # fmt: skip


class Teller:
    """Turns random steps into entries; numbers pick among what was entered so far."""

    def __init__(self, kept: Kept) -> None:
        self.kept = kept
        self.ids = [journal.job(kept.conn)]
        self.subjects = ["house"]

    def tell(self, told: tuple[Any, ...]) -> None:
        """Enter one step; the clock moves back as well as on."""
        self.kept.later(minutes=[90, -30, 600][len(self.ids) % 3])
        getattr(self, f"_{told[0]}")(*told[1:])

    def _take(self, entry_type: str, body: Any, **over: Any) -> None:
        entry = self.kept.made_elsewhere(entry_type, body, **over)
        self.kept.take(entry)
        self.ids.append(entry.id)
        self.subjects.append(entry.subject)

    def _pick(self, known: list[str], count: int) -> str:
        return known[-1 - count % len(known)]

    def _item_subject(self, count: int) -> str:
        items = [s for s in self.subjects if s.startswith("item:")]
        return self._pick(items or [f"item:{self.ids[0]}"], count)

    def _walk(self, when: str, count: int) -> None:
        self._take("walk/1", Walk(when or "2026-03-03"), seen=self._pick(self.ids, count))

    def _check(self, where: str, good: bool, when: str) -> None:
        readings = GOOD_DOOR if good else BAD_DOOR
        body = CheckEntry(where, "visual", readings, "eye", books=("our-standard",), day=when)
        self._take("check/1", body)

    def _item(self, where: str, crew: str, count: int, when: str) -> None:
        rules = ("visual.good",)
        body = ItemEntry(
            f"T-{count + 1}", where, crew, "Scratch", check=self._pick(self.ids, count),
            rules=rules, day=when,
        )  # fmt: skip
        self._take("item/1", body)

    def _act(self, count: int, act: str, who: str, crew: str, when: str) -> None:
        how = {"accepted": "eye", "corrected": "call" if who == PAT else ""}.get(act, "")
        body = Act(act, how=how, reason="why", trade=crew, day=when)  # type: ignore[arg-type]
        self._take("act/1", body, subject=self._item_subject(count), author=who)

    def _photo(self, count: int, where: str, when: str) -> None:
        of = self._item_subject(count) if count % 2 else ""
        self._take("photo/1", PhotoEntry(SHA, 15, "image/jpeg", 4, 3, where, of, day=when))

    def _strike(self, count: int, fitting: bool) -> None:
        subject = self._pick(self.subjects, count if fitting else count + 1)
        self._take("strike/1", Strike(self._pick(self.ids, count), "a slip"), subject=subject)

    def _day(self, when: str, count: int) -> None:
        self._take("day/1", Day(when or "2026-03-03", weather=f"rain {count}"))

    def _house(self, east: bool) -> None:
        zone = "Asia/Tokyo" if east else "America/Chicago"
        self._take("house/1", replace(HOUSE, zone=zone), subject="house")

    def _refused(self, count: int) -> None:
        self._take("walk/1", "{}", subject=self._pick(self.subjects, count))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(step, max_size=25))
def test_rebuilt_equals_live(told: list[tuple[Any, ...]]) -> None:
    with house_in_memory() as kept:
        teller = Teller(kept)
        for one in told:
            teller.tell(one)
        agree(kept)
        assert journal.verify(kept.conn) == []


@pytest.mark.slow
@settings(max_examples=600, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(step, min_size=10, max_size=80))
def test_rebuilt_equals_live_after_long_histories(told: list[tuple[Any, ...]]) -> None:
    with house_in_memory() as kept:
        teller = Teller(kept)
        for one in told:
            teller.tell(one)
        agree(kept)
        assert journal.verify(kept.conn) == []


def test_a_struck_check_gives_way_to_the_one_before(kept: Kept) -> None:
    good = kept.check(GOOD_DOOR)
    bad = kept.check(BAD_DOOR)
    assert reading.room_marks(kept.conn)["hall"]["fail"] == 1
    kept.strike(bad, "measured the wrong door")
    assert [c.id for c in reading.checks_of_room(kept.conn, "hall")] == [good]
    assert reading.room_marks(kept.conn)["hall"] == {
        "fail": 0, "too_close": 0, "not_measured": 0, "pass": 1, "open": 0,
    }  # fmt: skip
    found = reading.check(kept.conn, bad)
    assert found is not None
    assert found.struck == "measured the wrong door"
    agree(kept)


def test_the_latest_check_is_the_one_walked_last(kept: Kept) -> None:
    """A tablet without signal sends Monday's look after Tuesday's was entered."""
    tuesday = kept.check(GOOD_DOOR, day="2026-03-03")
    kept.check(BAD_DOOR, day="2026-03-02")
    assert [c.id for c in reading.latest_checks(kept.conn)] == [tuesday]
    assert len(reading.checks_of_subject(kept.conn, "check:hall/visual")) == 2


def test_a_struck_act_is_folded_away(kept: Kept) -> None:
    item = kept.item()
    accepted = kept.act(item, "accepted", how="eye")
    corrected = kept.act(item, "corrected", author=STAIR_CREW)
    history = reading.item_history(kept.conn, item)
    assert [a.effect for a in history] == [True, True, False]
    kept.strike(accepted, "the wrong item")
    history = reading.item_history(kept.conn, item)
    assert [(a.effect, a.struck) for a in history] == [
        (True, ""), (False, "the wrong item"), (True, ""),
    ]  # fmt: skip
    found = reading.item(kept.conn, item)
    assert found is not None
    assert (found.state, found.head != corrected) == ("corrected", True)
    agree(kept)


def test_a_struck_item_leaves_the_lists_and_stays_legible(kept: Kept) -> None:
    item = kept.item()
    kept.strike(item, "entered twice")
    assert reading.items(kept.conn) == []
    found = reading.item(kept.conn, item)
    assert found is not None
    assert found.struck == "entered twice"
    assert [e.id for e in reading.struck(kept.conn)] == [item]
    assert reading.next_number(kept.conn) == "P-2"
    assert reading.room_marks(kept.conn) == {}
    agree(kept)


def test_a_struck_day_gives_way_to_the_one_before(kept: Kept) -> None:
    kept.record("day/1", Day("2026-03-03", weather="sun"))
    wrong = kept.record("day/1", Day("2026-03-03", weather="snow")).id
    facts = reading.day_facts(kept.conn, "2026-03-03")
    assert facts is not None
    assert facts.weather == "snow"
    kept.strike(wrong)
    facts = reading.day_facts(kept.conn, "2026-03-03")
    assert facts is not None
    assert facts.weather == "sun"


def test_a_struck_house_gives_way_to_the_one_before(kept: Kept) -> None:
    renamed = kept.record("house/1", replace(HOUSE, name="Mill Lane 2")).id
    assert reading.house(kept.conn).name == "Mill Lane 2"
    kept.strike(renamed)
    assert reading.house(kept.conn).name == "Mill Lane"
    agree(kept)


def strike_why(kept: Kept, entry: str, subject: str) -> str:
    """Why a strike of `entry` under `subject` has no effect."""
    answer = kept.record("strike/1", Strike(entry, "x"), subject=subject)
    row = kept.conn.execute("SELECT why FROM fold_entry WHERE seq = ?", (answer.seq,)).fetchone()
    return str(row[0])


def test_a_strike_without_effect_says_why(kept: Kept) -> None:
    item = kept.item()
    assert strike_why(kept, item, "house") == "the entry is about something else"
    assert strike_why(kept, kept.new_id(), "house") == "there was no such entry"
    assert strike_why(kept, journal.job(kept.conn), "house").startswith("the entry that started")
    strike = kept.strike(item)
    assert strike_why(kept, item, f"item:{item}") == "it was struck through already"
    assert strike_why(kept, strike, f"item:{item}").startswith("a strike is not struck")
    assert reading.house(kept.conn) == HOUSE
    agree(kept)


def test_a_clash_is_shown_on_the_later_act(kept: Kept) -> None:
    item = kept.item()
    kept.act(item, "corrected", author=STAIR_CREW, seen=item)
    kept.act(item, "withdrawn", reason="no defect", seen=item)
    assert [a.clash for a in reading.item_history(kept.conn, item)] == [False, False, True]


def test_two_checks_of_one_thing_by_two_who_did_not_see_each_other_clash(kept: Kept) -> None:
    kept.check()
    second = kept.record(
        "check/1", CheckEntry("hall", "visual", GOOD_DOOR, "eye"), seen="", author=PAT
    ).id
    found = reading.check(kept.conn, second)
    assert found is not None
    assert found.clash


def test_the_day_is_the_house_s_own(kept: Kept) -> None:
    """20:30 UTC on March 3 plus eleven hours is still March 3 in Chicago, not in Tokyo."""
    kept.later(hours=14)  # 04:15 UTC on March 4, 22:15 on March 3 in Chicago
    item = kept.item()
    found = reading.item(kept.conn, item)
    assert found is not None
    assert found.opened_day == "2026-03-03"
    kept.record("house/1", replace(HOUSE, zone="Asia/Tokyo"))
    later = reading.item(kept.conn, kept.item())
    assert later is not None
    assert later.opened_day == "2026-03-04"
    assert found.opened_day == "2026-03-03"
    agree(kept)


def test_an_item_that_comes_before_its_check_gets_its_findings_when_the_check_comes(
    kept: Kept,
) -> None:
    check = kept.new_id()
    item = kept.item(check=check, rules=("visual.good",))
    kept.record("check/1", CheckEntry("hall", "visual", BAD_DOOR, "eye"), id=check)
    rules = {r["rule"] for r in reading.check(kept.conn, check).judgement["rules"]}  # type: ignore[union-attr]
    found = reading.item(kept.conn, item)
    assert found is not None
    assert {f["rule"] for f in found.findings} == rules & {"visual.good"}
    agree(kept)
