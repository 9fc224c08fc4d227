"""A house as TOML and back, what a change says, and what it may not drop."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.house import House, PlannedCheck, Room, Story, Trade, parse_house
from fieldlog.calc.house_change import Named, differences, dropped_in_use
from fieldlog.calc.house_toml import house_toml

MILL = House(
    name='The "Mill" \\ 2',
    zone="America/Chicago",
    superintendent="Wren",
    stories=(Story("main", "Main floor"), Story("up", "Upper floor")),
    rooms=(
        Room("hall", "Hall", "main", "12 x 9 ft", checks=(PlannedCheck("stair", "First"),)),
        Room("loft", "Loft", "up"),
    ),
    trades=(Trade("trim", "Trim crew"), Trade("paint", "Paint crew")),
    books=("irc-2021",),
    instruments=("tape",),
    phrases=("Scratch",),
)
NAMED = Named(frozenset({"hall"}), frozenset({"trim"}))

texts = st.text(st.characters(exclude_categories=("Cc", "Cs"), exclude_characters="‪‫‬‭‮⁦⁧⁨⁩"), max_size=30)


def with_(**over: object) -> House:
    """The mill with some things otherwise."""
    return msgspec.structs.replace(MILL, **over)


def test_a_house_is_read_back_from_its_toml() -> None:
    assert parse_house(house_toml(MILL)) == MILL


@given(texts, texts, st.lists(texts, max_size=3))
def test_any_words_come_back(owner: str, finish: str, phrases: list[str]) -> None:
    room = msgspec.structs.replace(MILL.rooms[1], finish=finish, door=owner)
    house = with_(owner=owner, rooms=(MILL.rooms[0], room), phrases=tuple(phrases))
    assert parse_house(house_toml(house)) == house


def test_the_same_house_has_no_difference() -> None:
    assert differences(MILL, MILL) == []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"owner": "The Does"}, ["The owner is now The Does."]),
        ({"rooms": (*MILL.rooms, Room("den", "Den", "up"))}, ["Room Den added."]),
        ({"rooms": MILL.rooms[:1]}, ["Room Loft removed."]),
        ({"rooms": MILL.rooms[::-1]}, ["Rooms are in another order."]),
        ({"stories": MILL.stories[::-1]}, ["Stories are in another order."]),
        ({"trades": (Trade("trim", "Finish"), MILL.trades[1])},
         ["Crew Trim crew is now called Finish."]),
        ({"rooms": (Room("hall", "Hall", "main", "12 x 9 ft"), MILL.rooms[1])},
         ["Hall: stair, First, not planned."]),
        ({"rooms": (MILL.rooms[0], Room("loft", "Loft", "main", checks=(PlannedCheck("trim"),)))},
         ["Loft is now on Main floor.", "Loft: trim planned."]),
        ({"books": ("irc-2021", "our-standard"), "phrases": ()},
         ["Book our-standard added.", "Phrase Scratch removed."]),
    ],
)  # fmt: skip
def test_each_change_is_said(change: dict[str, object], says: list[str]) -> None:
    assert differences(MILL, with_(**change)) == says


def test_what_entries_name_may_not_be_dropped() -> None:
    bare = with_(rooms=MILL.rooms[1:], stories=MILL.stories[1:], trades=MILL.trades[1:])
    room, story, crew = dropped_in_use(MILL, bare, NAMED)
    assert 'room "hall" has to stay: Hall was worked in' in room
    assert 'story "main"' in story
    assert 'crew "trim"' in crew


def test_what_nobody_named_may_go() -> None:
    house = with_(rooms=MILL.rooms[:1], stories=MILL.stories[:1], trades=MILL.trades[:1])
    assert dropped_in_use(MILL, house, NAMED) == []
