"""The house is changed by another while a page is being made: nothing old is kept as new."""

from __future__ import annotations

import sqlite3

import pytest
from msgspec.structs import replace
from web_cast import Person, SmallHouse

from fieldlog.store import journal, reading
from fieldlog.store.views import Head


def adds_a_room_at_the_head(small_house: SmallHouse, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever next asks for the journal's head is told of a room that came just before."""
    asked, new = journal.head, replace(small_house.house.rooms[0], id="new-room", name="New room")
    house = replace(small_house.house, rooms=(*small_house.house.rooms, new))

    def head(conn: sqlite3.Connection) -> Head:
        monkeypatch.undo()
        small_house.enters("house/1", house)
        return asked(conn)

    for module in (journal, reading):
        monkeypatch.setattr(module, "head", head)


def test_gates_of_the_house_as_it_was_are_not_kept_under_the_new_head(
    small_house: SmallHouse, superintendent: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    adds_a_room_at_the_head(small_house, monkeypatch)
    assert superintendent.opens("/crews/stair").status == 200
    assert superintendent.opens("/rooms/new-room").status == 200, "it did come meanwhile"
    for path in ("/crews/stair", "/next"):
        page = superintendent.opens(path)
        assert (path, page.status) == (path, 200)
    assert "New room" in page.text


def test_a_tablets_list_of_pages_is_not_older_than_the_entry_it_names(
    small_house: SmallHouse, superintendent: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    adds_a_room_at_the_head(small_house, monkeypatch)
    listed = superintendent.client.get("/tablet/pages").get_json()
    assert listed["head"] == 2
    assert "/rooms/new-room" in listed["pages"]
