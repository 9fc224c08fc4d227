"""The owner's letter: plain words, no list of what is wrong, and fixed once it is issued."""

from __future__ import annotations

import re

import pytest
from msgspec import structs

from fieldlog.calc.bodies import CrewToday, Letter
from fieldlog.calc.trade_order import parse_sequence
from fieldlog.reports import render, weekly
from fieldlog.reports.words import words
from fieldlog.store import reading
from tests.reports import sample
from tests.reports.site import CLOSED, FULL, Site

FRIDAY = "2026-03-06"
# What an owner should not have to look up; kept apart from the letter's own list.
JARGON = (
    "punch", "rfi", "mitre", "miter", "substrate", "riser", "nosing", "irc", "r311", "clause",
    "too close", "not measured", "defect", "verdict", "tolerance", "journal", "p-1", "p-2", " in.",
)  # fmt: skip
SEQUENCE = parse_sequence(
    """
id = "finish"
title = "Order"
source = "common practice"
verified = "common practice"

[[step]]
trade = "paint"
needs = ["visual"]
why = "Paint is last."
"""
)


def letter(site: Site) -> str:
    return weekly.text(weekly.gather(site.conn, site.house, FRIDAY))


def busy_week(site: Site) -> None:
    """A week with a fail, a close call, items in several states, and jargon in the notes."""
    check = site.measures_stair({**CLOSED, "headroom": "80 1/16", "riser": ["7 7/8"] * 6})
    item = site.opens("hall", "stair", "Riser 7 over", check=check, rules=site.failing(check))
    site.does(item, "corrected", how="text")
    site.does(item, "accepted", how="eye")
    site.opens("study", "paint", "Open miter, paint holiday", needs_by="2026-03-10")
    site.looks_at("kitchen", "Counter", good=True)
    site.photographs("kitchen", "Counter is in")
    site.photographs("study", "RFI 12, substrate")
    site.types_the_day(
        crews=[
            CrewToday("stair", 3, "set the second flight"),
            CrewToday("stair", 2, "rebuilt risers 5 to 9 per IRC"),
            CrewToday("paint", 1, "Second coat upstairs."),
        ],
        note="owner: Choose the hall light by Wednesday.\nSent RFI 12.",
    )


def test_a_draft_tells_rooms_and_crews_in_plain_words(site: Site) -> None:
    busy_week(site)
    text = " ".join(letter(site).split())
    for piece in (
        "Dear owners of the cider mill,",
        "We finished looking over the kitchen, and everything we looked at there is as it",
        "The stair crew: set the second flight.",
        "The paint crew: Second coat upstairs.",
        "The stair crew put right what we had asked for in the mezzanine hall.",
        "Choose the hall light by Wednesday.",
        "The paint crew will be back in the study, and should be done by Tuesday, March 10.",
        "With kind regards, Ada Quill Superintendent, Cider mill on Orchard Row",
    ):
        assert piece in text, piece


def test_a_draft_holds_no_jargon_and_no_list_of_what_is_wrong(site: Site) -> None:
    busy_week(site)
    facts = weekly.gather(site.conn, site.house, FRIDAY)
    page = render.body("weekly", facts, photo_url="{}-{}".format)
    for told in (weekly.text(facts), re.sub(r"<[^>]+>", " ", page)):
        assert [word for word in JARGON if word in told.lower()] == []


def test_the_letters_own_list_covers_the_same_words() -> None:
    known = [word for word in JARGON if word.isalpha()]
    assert [word for word in known if weekly.is_plain(f"The {word}s.", words())] == []
    assert weekly.is_plain("second coat in the guest room", words())
    assert not weekly.is_plain("Risers 5 to 9", words())


def test_where_nothing_is_known_a_line_is_left_to_write_on(site: Site) -> None:
    text = letter(site)
    assert "Write it in, with the day it is needed by." in text
    assert "_" * 20 in text
    assert "[Draft." in text


def test_a_room_with_something_open_or_unmeasured_is_not_told_as_right(site: Site) -> None:
    site.measures_stair({**CLOSED, **FULL})  # the ceiling there was not looked at
    site.looks_at("kitchen", "Counter", good=True)
    site.opens("kitchen", "paint", "Drip")
    assert "as it should be" not in letter(site)


def test_a_crew_can_start_where_what_it_needs_is_right(site: Site) -> None:
    site.looks_at("kitchen", "Counter", good=True)
    assert "can start" not in letter(site)
    facts = weekly.gather(site.conn, site.house, FRIDAY, SEQUENCE)
    assert facts.next_up == ("The paint crew can start in the kitchen.",)


def test_photos_of_items_stay_out_and_captions_are_plain(site: Site) -> None:
    item = site.opens("study", "paint", "Door scratched")
    site.photographs("study", "scratch", of=f"item:{item}")
    site.photographs("study", "RFI 12")
    site.photographs("kitchen", "Counter is in")
    site.photographs("kitchen", "Sink is in")
    site.photographs("hall", "Stair from below")
    facts = weekly.gather(site.conn, site.house, FRIDAY)
    assert [p.says for p in facts.pictures] == [
        "Mezzanine hall: Stair from below",
        "Kitchen: Sink is in",
        "Study",
    ]


def test_a_photo_of_a_check_says_where_and_what(site: Site) -> None:
    check = site.looks_at("hall", "Ceiling", good=True)
    site.photographs("hall", "Patched and sanded", of="check:hall/visual/ceiling")
    facts = weekly.gather(site.conn, site.house, FRIDAY)
    assert check
    assert [p.says for p in facts.pictures] == ["Mezzanine hall, ceiling: Patched and sanded"]
    item = site.opens("study", "paint", "Door scratched")
    site.photographs("study", "Painted over", of=f"item:{item}")
    (photo,) = reading.photos(site.conn, of=f"item:{item}")
    assert weekly.photo_says(site.conn, site.house, photo) == "Study: Painted over"
    site.does(item, "accepted", how="eye")
    said = "Study, door scratched: Painted over"
    assert weekly.photo_says(site.conn, site.house, photo) == said


def test_other_weeks_stay_out(site: Site) -> None:
    site.looks_at("kitchen", "Counter", good=True, day="2026-02-27")
    site.types_the_day("2026-03-07", crews=[CrewToday("stair", 1, "next week's work")])
    text = letter(site)
    assert "kitchen" not in text
    assert "next week's work" not in text


@pytest.mark.parametrize(
    ("day", "friday"),
    [("2026-02-28", "2026-03-06"), ("2026-03-02", "2026-03-06"), ("2026-03-06", "2026-03-06")],
)
def test_a_week_ends_with_its_friday(day: str, friday: str) -> None:
    assert weekly.friday_of(day) == friday


def test_a_written_letter_is_told_from_its_entry_alone(site: Site) -> None:
    busy_week(site)
    mine = Letter(
        week=FRIDAY,
        greeting="Dear Jo and Sam,",
        finished="The kitchen is done.\n\nSo is the hall.",
        need_from_you="",
        next_up="Floors.",
        closing="Call me.",
        fixed=True,
    )
    site.enters(mine, "letter/1")
    fixed = letter(site)
    assert "Week to March 6, 2026" in fixed
    assert "Issued Tue Mar 3, 8:2" in fixed
    assert "Draft" not in fixed
    assert "What we need from you" not in fixed
    assert "paint crew" not in fixed
    site.opens("kitchen", "paint", "Drip")
    assert letter(site) == fixed
    facts = weekly.gather(site.conn, site.house, FRIDAY)
    assert facts.finished == ("The kitchen is done.", "So is the hall.")


def test_a_house_without_an_owners_name_is_greeted_all_the_same(site: Site) -> None:
    site.house = structs.replace(site.house, owner="")
    assert "Hello," in letter(site)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("Mezzanine hall", "the mezzanine hall"),
        ("Kitchen", "the kitchen"),
        ("Room 3", "Room 3"),
        ("Ana's room", "Ana's room"),
        ("Smith Tile", "Smith Tile"),
    ],
)
def test_names_in_a_sentence(name: str, said: str) -> None:
    assert weekly.in_sentence(name) == said


def test_every_line_of_a_letter_fits_the_page() -> None:
    assert max(map(len, weekly.text(sample.letter()).splitlines())) <= 80
