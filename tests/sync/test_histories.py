"""Random histories of handing over: whatever goes wrong, every entry is there once at the end."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from keeping import BAD_DOOR, GOOD_DOOR, STAIR_CREW, library
from page_tablet import Node, PageTablet
from twin import OutOfReach, Site, Tablet, Wire, jpeg, quick

from fieldlog import intake
from fieldlog.calc.bodies import Act, CheckEntry, ItemEntry, PhotoEntry, Walk
from fieldlog.calc.ids import new_id
from fieldlog.store import folds, journal
from fieldlog.store.backup import BackupFailed
from fieldlog.store.db import open_writer
from fieldlog.store.photos import original

which = st.integers(0, 1)
PHOTOS = itertools.count(1)


class Histories(RuleBasedStateMachine):
    """Two tablets, a crew at its page, and a machine that is lost, restored and copied."""

    place: Site
    """Made once: what takes time in a history is to be the handing over."""
    makes: Callable[[Wire, int], Any]
    """A tablet: in Python, or the page's own scripts."""

    @initialize()
    def starts(self) -> None:
        self.site = self.place
        self.site.begins()
        self.tablets = [type(self).makes(self.site.wire(), n) for n in (0, 1)]
        for tablet in self.tablets:
            tablet.greet()
        self.items: list[str] = []
        self.crew = 0

    @rule(n=which, words=st.sampled_from(["Scratch", "Nail pop"]))
    def opens_an_item(self, n: int, words: str) -> None:
        self.items.append(self.tablets[n].enters("item/1", ItemEntry("", "hall", "stairs", words)))

    @precondition(lambda self: self.items)
    @rule(n=which, at=st.integers(0, 50), act=st.sampled_from(["accepted", "corrected", "note"]))
    def acts(self, n: int, at: int, act: Any) -> None:
        how = {"accepted": "eye", "corrected": "call"}.get(act, "")
        body = Act(act, how=how, reason="again")  # type: ignore[arg-type]
        item = self.items[at % len(self.items)]
        self.tablets[n].enters("act/1", body, subject=f"item:{item}")

    @rule(n=which, good=st.booleans(), said=st.sampled_from(["pass", "fail", None]))
    def checks(self, n: int, good: bool, said: str | None) -> None:
        body = CheckEntry("hall", "visual", GOOD_DOOR if good else BAD_DOOR, "eye")
        self.tablets[n].enters("check/1", body, judged={"verdict": said} if said else None)

    @rule(n=which)
    def enters_what_will_be_refused(self, n: int) -> None:
        wrong = self.tablets[n].enters("walk/1", Walk("2026-03-03"), subject="walk:2026-03-04")
        self.tablets[n].ever.discard(wrong)

    @rule(n=which)
    def takes_a_photo(self, n: int) -> None:
        data = jpeg(next(PHOTOS))
        sha256 = self.tablets[n].keeps_photo(data)
        self.tablets[n].enters(
            "photo/1", PhotoEntry(sha256, len(data), "image/jpeg", 24, 16, room="hall")
        )

    @rule(n=which, twice=st.booleans(), lost=st.booleans(), backwards=st.booleans())
    def hands_over(self, n: int, twice: bool, lost: bool, backwards: bool) -> None:
        tablet = self.tablets[n]
        tablet.wire.twice, tablet.wire.lose_reply = twice, lost
        with suppress(OutOfReach):
            tablet.sends(list(reversed(tablet.entries)) if backwards else None)

    @rule(n=which, eighth=st.integers(0, 7), lost=st.booleans())
    def hands_photos_over(self, n: int, eighth: int, lost: bool) -> None:
        tablet = self.tablets[n]
        tablet.wire.cut_eighth = eighth
        with suppress(OutOfReach):
            tablet.sends_photos()
        tablet.wire.cut_eighth, tablet.wire.lose_reply = 0, lost
        with suppress(OutOfReach):
            tablet.sends_photos()
        tablet.wire.lose_reply = False

    @precondition(lambda self: self.items)
    @rule(at=st.integers(0, 50))
    def a_crew_says_corrected(self, at: int) -> None:
        """By its own page: not an outbox, so what it said since a backup is lost with the disk."""
        item = self.items[at % len(self.items)]
        self.crew += 1
        entry_id = new_id(self.site.now, self.crew.to_bytes(10, "big"))
        with self.site.held.writing() as conn:
            intake.record(
                conn, self.site.folder, library(), id=entry_id, type="act/1",
                subject=f"item:{item}", author=STAIR_CREW, body=Act("corrected"),
                now=self.site.now,
            )  # fmt: skip

    @rule()
    def is_backed_up(self) -> None:
        try:
            self.site.backs_up()
        except BackupFailed:  # an older house than the latest backup is served: heed it
            self._restored()

    @precondition(lambda self: self.site.place.exists())
    @rule()
    def is_restored_from_last_nights_backup(self) -> None:
        self._restored()

    @rule()
    def the_folder_is_copied(self) -> None:
        self.site.copies()

    @precondition(lambda self: self.site.copy is not None)
    @rule()
    def the_copy_is_served(self) -> None:
        self.site.swaps()
        self._follow()

    @precondition(lambda self: self.site.place.exists())
    @rule(n=which, words=st.lists(st.sampled_from(["Scratch", "Nail pop"]), min_size=1, max_size=9))
    def the_machine_is_lost_after_a_walk(self, n: int, words: list[str]) -> None:
        """Left to chance alone it is seldom that what was just acknowledged is lost."""
        self.a_walk_is_handed_over(n, words)
        self._restored()

    @rule(n=which, words=st.lists(st.sampled_from(["Scratch", "Nail pop"]), min_size=1, max_size=9))
    def a_copy_of_before_a_backup_is_served(self, n: int, words: list[str]) -> None:
        """The tablet has let go of what the copy lacks and the latest backup has."""
        self.site.copies()
        self.a_walk_is_handed_over(n, words)
        self.is_backed_up()
        self.tablets[n].sends()
        self.the_copy_is_served()

    @rule(n=which, words=st.lists(st.sampled_from(["Scratch", "Nail pop"]), min_size=1, max_size=9))
    def a_walk_is_handed_over(self, n: int, words: list[str]) -> None:
        """And the answer heard: what waits at the end of the second round is nothing."""
        for one in words:
            self.opens_an_item(n, one)
        self.tablets[n].wire.lose_reply = self.tablets[n].wire.twice = False
        self.tablets[n].sends()
        self.tablets[n].sends()

    @rule(n=which, days=st.integers(-3, 3))
    def a_clock_is_off(self, n: int, days: int) -> None:
        self.tablets[n].clock_off = timedelta(days=days)

    @rule(n=which)
    def is_paired_anew(self, n: int) -> None:
        self.tablets[n].wire = self.site.wire()

    @invariant()
    def nothing_is_doubled(self) -> None:
        if not hasattr(self, "site"):
            return
        ids = [entry_id for entry_id, _ in self.site.tablets_entries()]
        assert len(ids) == len(set(ids))

    def teardown(self) -> None:
        if hasattr(self, "site"):
            self._ends()

    def _restored(self) -> None:
        self.site.restores()
        self._follow()

    def _follow(self) -> None:
        """The tablets find the house under the same name, with the pairing they had."""
        for tablet in self.tablets:
            cookie = tablet.wire.client.get_cookie("fieldlog", domain="127.0.0.1")
            tablet.wire = self.site.wire()
            if cookie:
                tablet.wire.client.set_cookie("fieldlog", cookie.value, domain="127.0.0.1")

    def _ends(self) -> None:
        """Everybody comes into reach; a tablet that missed what it dropped is heeded."""
        self._all_hand_over()
        if any(tablet.missing_there for tablet in self.tablets):
            self._restored()
            self._all_hand_over()
        assert not any(tablet.missing_there for tablet in self.tablets)
        wanted = self.tablets[0].ever | self.tablets[1].ever
        assert sorted(entry_id for entry_id, _ in self.site.tablets_entries()) == sorted(wanted)
        for sha256 in self.tablets[0].ever_photos | self.tablets[1].ever_photos:
            assert original(self.site.folder, sha256) is not None
        self.site.close()
        with open_writer(self.site.folder) as conn:
            assert journal.verify(conn) == []
            live = folds.dump(conn)
            folds.rebuild(conn)
            assert folds.dump(conn) == live

    def _all_hand_over(self) -> None:
        for tablet in self.tablets:
            tablet.wire.lose_reply = tablet.wire.twice = False
            tablet.sends()
            tablet.sends_photos()
            assert all(kept.state != "waiting" for kept in tablet.entries.values())


def run(
    histories: int,
    root: Path,
    monkeypatch: pytest.MonkeyPatch,
    makes: Callable[[Wire, int], Any] = lambda wire, _n: Tablet(wire),
) -> None:
    """So many random histories."""
    quick(monkeypatch)
    Histories.place, Histories.makes = Site(root), makes
    given = settings(
        max_examples=histories,
        stateful_step_count=25,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    run_state_machine_as_test(Histories, settings=given)  # type: ignore[no-untyped-call]
    Histories.place.close()


def test_every_entry_is_there_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run(30, tmp_path, monkeypatch)


def test_the_pages_own_outbox_in_histories(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pages: list[Node]
) -> None:
    run(6, tmp_path, monkeypatch, lambda wire, n: PageTablet(wire, pages[n]))


@pytest.mark.slow
def test_the_pages_own_outbox_in_many_histories(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pages: list[Node]
) -> None:
    run(100, tmp_path, monkeypatch, lambda wire, n: PageTablet(wire, pages[n]))


@pytest.mark.slow
def test_every_entry_is_there_once_in_many_histories(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(300, tmp_path, monkeypatch)
