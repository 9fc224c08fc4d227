"""Punch: every item, filtered, serious first then oldest, and still quick with 300."""

from __future__ import annotations

import json
import re
import sqlite3
from html import unescape

import pytest

from fieldlog import intake
from fieldlog.calc.entries import Act, ItemEntry
from fieldlog.store import db
from fieldlog.web import request as at

OPEN_STAIR = {
    "open_riser": "yes", "riser": ["7 1/2"] * 9, "tread": ["10 1/2"] * 8,
    "tread_thickness": "3", "headroom": "7 ft", "width_above_rail": "38",
    "width_at_rail": "33", "landing_depth": "38",
}  # fmt: skip


@pytest.fixture
def three(small_house):
    """A scratch, a serious one, and one that is corrected."""
    scratch = small_house.opens_item("closet", "paint", "Scratch on the door")
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    gap = small_house.opens_item(
        "boat-room", "stair", "Open gaps", check=check, rules=("stair.open-gap",)
    )
    plate = small_house.opens_item("gallery", "electric", "Missing cover plate")
    small_house.enters("act/1", Act(act="corrected"), subject=f"item:{plate}", by="crew/electric")
    return scratch, gap, plate


def shown(page):
    """The items' numbers, in the page's order."""
    return [n for n in page.text.split() if n.startswith("P-")]


def others(page):
    """How many items the page counts and does not list, by state, crew and room."""
    [told] = re.findall(r'data-others="([^"]*)"', page.html)
    return json.loads(unescape(told))


@pytest.mark.usefixtures("three")
def test_serious_first_then_oldest(superintendent):
    page = superintendent.opens("/punch")
    assert shown(page) == ["P-2", "P-1", "P-3"]
    assert "Boat room, Stair crew, today. Safety and code" in page.text
    assert "3 of 3" in page.text
    assert "2 open 1 corrected" in " ".join(page.text.split())
    assert page.inline == []


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        ("trade=paint", ["P-1"]),
        ("story=upper", ["P-1", "P-3"]),
        ("state=corrected", ["P-3"]),
        ("state=open&story=upper", ["P-1"]),
        ("state=done", []),
        ("state=all", ["P-2", "P-1", "P-3"]),
        ("trade=nobody&story=cellar&state=lost", ["P-2", "P-1", "P-3"]),
    ],
)
@pytest.mark.usefixtures("three")
def test_filters(superintendent, query, numbers):
    assert shown(superintendent.opens(f"/punch?{query}")) == numbers


@pytest.mark.usefixtures("three")
def test_the_filters_stay_as_chosen(superintendent):
    page = superintendent.opens("/punch?trade=paint&story=upper&state=open")
    assert page.fields["trade"] == "paint"
    assert page.fields["story"] == "upper"
    assert page.fields["state"] == "open"


def test_what_a_filter_leaves_out_is_counted_on_the_page(small_house, superintendent, three):
    """By state, crew and room: with no signal the tablet counts by them."""
    scratch, *_ = three
    small_house.enters("act/1", Act(act="accepted", how="eye"), subject=f"item:{scratch}")
    assert others(superintendent.opens("/punch")) == [["accepted", "paint", "closet", 1]]
    assert others(superintendent.opens("/punch?state=corrected")) == [
        ["accepted", "paint", "closet", 1],
        ["open", "stair", "boat-room", 1],
    ]


@pytest.mark.usefixtures("three")
def test_the_age_is_counted_in_days(small_house, superintendent):
    small_house.clock.passes(days=2)
    assert "Paint crew, 2 days" in superintendent.opens("/punch").text


def test_nothing_on_any_list(superintendent):
    assert "Nothing is on any list." in superintendent.opens("/punch").text


@pytest.mark.usefixtures("three")
def test_a_filter_that_finds_nothing_says_what_to_do(superintendent):
    assert "Pick another crew, story or state" in superintendent.opens("/punch?trade=trim").text


def test_words_of_people_are_never_markup(small_house, superintendent):
    small_house.opens_item("closet", "paint", "<script>alert(1)</script> & <b>")
    page = superintendent.opens("/punch")
    assert "<script>alert" not in page.html
    assert "<script>alert(1)</script> & <b>" in page.text


def test_300_items_take_no_more_queries_than_three(small_house, superintendent, monkeypatch):
    _many(small_house, 300)
    asked = []
    opened = db.open_reader

    def counted(folder) -> sqlite3.Connection:
        conn = opened(folder)
        conn.set_trace_callback(asked.append)
        return conn

    monkeypatch.setattr(at.db, "open_reader", counted)
    page = superintendent.opens("/punch?state=all")
    assert len(shown(page)) == 300
    assert len(asked) < 20


def _many(house, count):
    held = house.app.extensions[at.KEY]
    trades = [t.id for t in house.house.trades]
    with held.writing() as w, db.transaction(w):
        for n in range(count):
            entry_id = house.new_id()
            intake.record(
                w, house.folder, held.library(), id=entry_id, type="item/1",
                subject=f"item:{entry_id}", author="superintendent/Ines",
                body=ItemEntry("", "closet", trades[n % len(trades)], f"Scratch number {n}"),
                now=house.clock(),
            )  # fmt: skip
