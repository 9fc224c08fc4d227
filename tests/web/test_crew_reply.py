"""A crew's list to send, and its answer by text ticked off on one screen."""

from __future__ import annotations

import re

import pytest
from web_cast import OPEN_STAIR, Page, Person, SmallHouse

from fieldlog.calc.bodies import Act, ItemEntry
from fieldlog.store import journal, reading

OF_A_TABLET = (("TS-1", "Nick"), ("TS-9", "Run"))


@pytest.fixture
def items(small_house: SmallHouse) -> list[str]:
    """Three of the painters and one of the trim crew."""
    words = (("paint", "Scratch"), ("paint", "Drip"), ("trim", "Gap"), ("paint", "Holiday"))
    return [small_house.opens_item("closet", trade, said) for trade, said in words]


def ticks(page: Page) -> list[str]:
    """The items that are ticked."""
    return page.fields.getlist("ticked")


def states(house: SmallHouse, items: list[str]) -> list[str]:
    with house.conn() as conn:
        found = [reading.item(conn, item) for item in items]
    return [one.state for one in found if one]


def test_a_plain_reply_is_shown_ticked_and_put_down_as_told_by_text(
    small_house: SmallHouse, superintendent: Person, items: list[str]
) -> None:
    read = superintendent.fills("/crews/paint/told", reply="1, 2 done", do="read")
    assert "P-1 Scratch" in read.text
    assert ticks(read) == items[:2]
    assert states(small_house, items) == ["open"] * 4
    fields = read.fields
    fields["do"] = "tick"
    for _ in range(2):  # a double tap changes nothing more
        done = superintendent.sends("/crews/paint/told", fields)
        assert done.status == 200
    assert "2 put down as corrected" in done.text
    assert states(small_house, items) == ["corrected", "corrected", "open", "open"]
    with small_house.conn() as conn:
        acts = journal.entries(conn, type="act/1")
    assert len(acts) == 2
    assert all('"how":"text"' in a.body and "1, 2 done" in a.body for a in acts)
    assert {a.author for a in acts} == {"superintendent/Ines"}


@pytest.mark.parametrize("reply", ["1 not done, 2 done", "1-2", "2 guys, 1"])
def test_a_reply_that_says_more_ticks_nothing(
    superintendent: Person, items: list[str], reply: str
) -> None:
    read = superintendent.fills("/crews/paint/told", reply=reply, do="read")
    assert items
    assert ticks(read) == []
    assert "It says more than numbers" in read.text


def test_what_is_not_theirs_or_not_open_can_not_be_ticked(
    small_house: SmallHouse, superintendent: Person, items: list[str]
) -> None:
    small_house.enters("act/1", Act("corrected", how="call"), subject=f"item:{items[0]}")
    read = superintendent.fills("/crews/paint/told", reply="1 2 3 99 done", do="read")
    assert ticks(read) == [items[1]]
    assert "It is corrected already." in read.text
    assert read.text.count("Not on the Paint crew's list.") == 2
    assert "Gap" not in read.text
    fields = read.fields
    fields.setlist("ticked", [items[2], "x"])
    fields["do"] = "tick"
    page = superintendent.sends("/crews/paint/told", fields)
    assert page.status == 422
    assert states(small_house, items)[2] == "open"


def test_an_item_with_readings_is_ticked_as_well_and_once(
    small_house: SmallHouse, superintendent: Person
) -> None:
    """An item given from a measured check carries its readings."""
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    given = superintendent.fills(f"/checks/{check}", trade="stair", to=f"/checks/{check}/give")
    assert given.status == 200
    read = superintendent.fills("/crews/stair/told", reply="1, 30, P-1 done", do="read")
    assert read.status == 200
    assert read.html.count('name="ticked"') == len(ticks(read)) == 1
    assert "Not on the Stair crew's list." in read.text


def test_a_tablets_numbers_are_read_with_and_without_their_letters(
    small_house: SmallHouse, superintendent: Person, items: list[str]
) -> None:
    """A tablet numbers with letters of its own: `1` is P-1 and TS-1 where both are theirs."""
    made = [ItemEntry(number, "closet", "paint", words) for number, words in OF_A_TABLET]
    own = [small_house.enters("item/1", one) for one in made]
    for reply, ticked in (
        ("TS-1 done", [own[0]]), ("ts1, p-1 ok", [own[0], items[0]]), ("9 done", [own[1]]),
        ("1 done", []), ("2", [items[1]]),
    ):  # fmt: skip
        read = superintendent.fills("/crews/paint/told", reply=reply, do="read")
        assert (reply, ticks(read)) == (reply, ticked)
        assert ("several items of theirs" in read.text) == (reply == "1 done")
    offered = superintendent.fills("/crews/paint/told", reply="1 done", do="read").text
    assert "TS-1 Nick" in offered
    assert "P-1 Scratch" in offered
    assert "such as: P-1, 2 done" in superintendent.opens("/crews/paint/list.txt").html


@pytest.mark.parametrize("reply", ["", "done", "thanks!"])
def test_a_reply_without_a_number_asks_for_one(
    superintendent: Person, items: list[str], reply: str
) -> None:
    page = superintendent.fills("/crews/paint/told", reply=reply, do="read")
    assert items
    assert page.status == 422
    assert "There is no number in this" in page.text


def test_the_list_leaves_as_one_file_that_needs_no_other(
    small_house: SmallHouse, superintendent: Person
) -> None:
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    small_house.opens_item("boat-room", "stair", "Gaps", check=check, rules=("stair.open-gap",))
    small_house.opens_item("closet", "trim", "Somebody else's")
    page = superintendent.opens("/crews/stair/list.html")
    assert 'attachment; filename="punch-stair-2026-03-03.html"' in page.response.headers.values()
    assert "Gaps" in page.text
    assert "Somebody" not in page.text
    addresses = re.findall(r'(?:src|href)="([^"]*)"', page.html)
    assert [a for a in addresses if not a.startswith("data:image/")] == []
    message = superintendent.opens("/crews/stair/list.txt").html
    assert "P-1 Gaps. Boat room, Slip level." in message
    assert "Measured 4 1/2 in, needs" in message
    assert message.rstrip().endswith("such as: 1 done")


def test_an_empty_list_and_no_such_crew(superintendent: Person) -> None:
    assert "Nothing to do" in superintendent.opens("/crews/paint/list.txt").html
    for path in ("told", "list.html", "list.txt"):
        assert superintendent.opens(f"/crews/nobody/{path}").status == 404
