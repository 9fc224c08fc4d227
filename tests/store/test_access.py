"""The access store: codes, tokens and links, kept as digests, each with its end."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from fieldlog.store import access_db, access_devices, access_links
from fieldlog.store.access import draw_lan_name, draw_link_code, draw_pairing_code, draw_token
from fieldlog.store.access_devices import CodeRefused

DAY = timedelta(days=1)
TOKEN, SECRET, LINK_CODE = "t" * 32, "s" * 32, "23456789ab"


@pytest.fixture
def conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """An empty access store."""
    one = access_db.open_access(tmp_path)
    yield one
    one.close()


def test_what_is_drawn_is_long_enough_and_plain_to_read() -> None:
    # RFC 4648 section 5: 24 bytes are 32 signs; the issue asks for 128 bits or more.
    assert {len(draw_token()) for _ in range(20)} == {32}
    assert len({draw_token() for _ in range(200)}) == 200
    assert all(len(c) == 6 and c.isdigit() for c in (draw_pairing_code() for _ in range(50)))
    assert not set("".join(draw_link_code() for _ in range(200))) & set("il1o0")
    assert draw_lan_name().endswith(".local")


@pytest.mark.skipif(os.name == "nt", reason="Windows has other rights on files")
def test_the_file_is_its_owners_alone_and_holds_no_secret(
    conn: sqlite3.Connection, tmp_path: Path, now: datetime
) -> None:
    access_devices.make_code(conn, "482913", now)
    access_devices.add_device(conn, "tablet-1", "Kitchen", TOKEN, now)
    access_devices.pass_to(conn, "tablet-1", "stair", "7391")
    access_links.make_link(conn, "link-1", "crew", "stair", secret=SECRET, code=LINK_CODE, now=now)
    path = access_db.path_of(tmp_path)
    assert path.stat().st_mode & 0o077 == 0
    kept = path.read_bytes()
    for secret in ("482913", TOKEN, "7391", SECRET, LINK_CODE):
        assert secret.encode() not in kept


def test_the_name_is_kept_once_drawn(conn: sqlite3.Connection) -> None:
    assert access_db.keep_lan_name(conn, "fieldlog-aaaa.local") == "fieldlog-aaaa.local"
    assert access_db.keep_lan_name(conn, "fieldlog-bbbb.local") == "fieldlog-aaaa.local"


class TestPairingCode:
    """Ten minutes, one use, five tries."""

    def test_it_is_good_once_and_again_only_for_the_same_form(
        self, conn: sqlite3.Connection, now: datetime
    ) -> None:
        access_devices.make_code(conn, "482913", now)
        access_devices.use_code(conn, "482913", "tablet-1", now)
        access_devices.use_code(conn, "482913", "tablet-1", now)
        with pytest.raises(CodeRefused, match="used already"):
            access_devices.use_code(conn, "482913", "tablet-2", now)

    def test_it_ends_after_ten_minutes(self, conn: sqlite3.Connection, now: datetime) -> None:
        access_devices.make_code(conn, "482913", now)
        access_devices.use_code(conn, "482913", "tablet-1", now + timedelta(minutes=10))
        access_devices.make_code(conn, "482914", now)
        with pytest.raises(CodeRefused, match="No code is good"):
            access_devices.use_code(
                conn, "482914", "tablet-1", now + timedelta(minutes=10, seconds=1)
            )

    def test_five_wrong_ones_end_it_and_the_next_is_made_at_once(
        self, conn: sqlite3.Connection, now: datetime
    ) -> None:
        access_devices.make_code(conn, "482913", now)
        for left in ("4 more", "3 more", "2 more", "1 more try", "used up"):
            with pytest.raises(CodeRefused, match=left):
                access_devices.use_code(conn, "000000", "tablet-1", now)
        with pytest.raises(CodeRefused, match="No code is good"):
            access_devices.use_code(conn, "482913", "tablet-1", now)
        access_devices.make_code(conn, "577003", now)
        access_devices.use_code(conn, "577003", "tablet-1", now)

    def test_without_one_nothing_is_good(self, conn: sqlite3.Connection, now: datetime) -> None:
        for code in ("", "000000"):
            with pytest.raises(CodeRefused):
                access_devices.use_code(conn, code, "tablet-1", now)


class TestDevice:
    """Known by its token until it is revoked."""

    def test_it_is_known_seen_and_revoked(self, conn: sqlite3.Connection, now: datetime) -> None:
        access_devices.add_device(conn, "tablet-1", "Kitchen", TOKEN, now)
        known = access_devices.device_of(conn, TOKEN)
        assert known is not None
        access_devices.note_seen(conn, known, now + timedelta(seconds=30))
        assert access_devices.devices(conn)[0].seen == "2026-03-03T14:15:00Z"
        access_devices.note_seen(conn, known, now + timedelta(minutes=2))
        assert access_devices.devices(conn)[0].seen == "2026-03-03T14:17:00Z"
        assert access_devices.revoke(conn, "tablet-1", now)
        assert not access_devices.revoke(conn, "tablet-1", now)
        assert access_devices.device_of(conn, TOKEN) is None
        assert access_devices.device_of(conn, "") is None

    def test_passed_it_comes_back_by_its_number_or_at_the_machine(
        self, conn: sqlite3.Connection, now: datetime
    ) -> None:
        access_devices.add_device(conn, "tablet-1", "Kitchen", TOKEN, now)
        access_devices.pass_to(conn, "tablet-1", "stair", "7391")
        for _ in range(5):
            with pytest.raises(CodeRefused):
                access_devices.take_back(conn, "tablet-1", "1111")
        with pytest.raises(CodeRefused, match="at the machine"):
            access_devices.take_back(conn, "tablet-1", "7391")
        access_devices.give_back(conn, "tablet-1")
        access_devices.pass_to(conn, "tablet-1", "stair", "7391")
        access_devices.take_back(conn, "tablet-1", "7391")
        found = access_devices.device_of(conn, TOKEN)
        assert found is not None
        assert found.trade == ""
        # Nothing is passed any more, so no number takes it back, an empty one neither.
        with pytest.raises(CodeRefused):
            access_devices.take_back(conn, "tablet-1", "")


class TestLink:
    """One for each crew, for sixty days, and what came in by it ends with it."""

    def made(self, conn: sqlite3.Connection, now: datetime, name: str = "1") -> bool:
        return access_links.make_link(
            conn, f"link-{name}", "crew", "stair", secret=SECRET + name, code=f"code{name}", now=now
        )

    def test_secret_and_code_both_let_in(self, conn: sqlite3.Connection, now: datetime) -> None:
        assert self.made(conn, now)
        for n, shown in enumerate((f"{SECRET}1", "code1")):
            link = access_links.come_in(conn, "crew", shown, f"token{n}", now)
            assert link is not None
            found = access_links.link_of(conn, f"token{n}", now)
            assert found is not None
            assert found.trade == "stair"
        for shown in ("", "code2", SECRET, "CODE1"):
            assert access_links.come_in(conn, "crew", shown, "token", now) is None
        assert access_links.come_in(conn, "letter", "code1", "token", now) is None

    def test_it_ends_by_time_by_hand_and_by_a_new_one(
        self, conn: sqlite3.Connection, now: datetime
    ) -> None:
        self.made(conn, now)
        access_links.come_in(conn, "crew", "code1", "token", now)
        assert access_links.link_of(conn, "token", now + 59 * DAY)
        assert access_links.link_of(conn, "token", now + 60 * DAY) is None
        assert access_links.come_in(conn, "crew", "code1", "t2", now + 60 * DAY) is None
        assert self.made(conn, now, "2")
        assert access_links.link_of(conn, "token", now) is None
        access_links.come_in(conn, "crew", "code2", "token2", now)
        assert access_links.revoke_links(conn, "crew", "stair", now) == 1
        assert access_links.link_of(conn, "token2", now) is None
        assert access_links.live_link(conn, "crew", "stair", now) is None

    def test_the_same_form_twice_does_not_end_what_was_printed(
        self, conn: sqlite3.Connection, now: datetime
    ) -> None:
        assert self.made(conn, now)
        assert not self.made(conn, now)
        assert access_links.come_in(conn, "crew", "code1", "token", now)
