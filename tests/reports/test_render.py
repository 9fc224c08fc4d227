"""HTML of a report: the same words as its text, escaped, and whole by itself as a file."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

from fieldlog.calc.bodies import CrewToday, Letter
from fieldlog.reports import daily, punch, render, weekly
from fieldlog.reports.facts import Issue
from fieldlog.reports.render import Facts, Name
from tests.reports import sample
from tests.reports.site import TUESDAY, Site

BAD = '<script>alert("x")</script> & </style>'
ALL: list[tuple[Name, Facts]] = [
    ("daily", sample.daily()),
    ("daily", sample.daily(issued=False)),
    ("punch", sample.punch()),
    ("weekly", sample.letter()),
    ("weekly", sample.letter(fixed=False)),
]


def photo_url(sha256: str, side: int) -> str:
    return f"photos/{sha256}-{side}.jpg"


def page(name: Name, facts: Facts, standalone: bool = True) -> str:
    return render.html(name, facts, photo_url=photo_url, standalone=standalone)


def said(html: str) -> str:
    return " ".join(unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", html, flags=re.S)).split())


@pytest.mark.parametrize(("name", "facts"), ALL)
def test_a_linked_page_has_no_inline_style_and_no_script(name: Name, facts: Facts) -> None:
    html = page(name, facts, standalone=False)
    assert "<style" not in html
    assert "style=" not in html
    assert "<script" not in html
    assert '<link rel="stylesheet" href="/static/css/report.css">' in html
    assert '<link rel="stylesheet" href="/static/css/print.css" media="print">' in html


@pytest.mark.parametrize(("name", "facts"), ALL)
def test_a_standalone_page_needs_nothing_but_its_photos(name: Name, facts: Facts) -> None:
    html = page(name, facts)
    assert "<link" not in html
    assert html.count("<style>") == 1
    assert "url(" not in html
    sources = re.findall(r'(?:src|href)="([^"]+)"', html)
    assert all(source.startswith("photos/") for source in sources)


@pytest.mark.parametrize(("name", "facts"), ALL)
def test_one_heading_of_the_first_order_and_every_image_described(name: Name, facts: Facts) -> None:
    html = page(name, facts)
    assert html.count("<h1>") == 1
    assert all(re.search(r'alt="[^"]+"', tag) for tag in re.findall(r"<img[^>]*>", html))
    assert '<html lang="en">' in html


def test_the_daily_page_says_what_the_text_says() -> None:
    told = said(page("daily", sample.daily()))
    for piece in (
        "Issued Tue Mar 3, 5:10 pm by Ada Quill",
        "Open gaps 4 7/16 in to 4 7/8 in. Needs less than 4 in.",
        "IRC 2021 R311.7.5.1. Safety and code.",
        "Passes, too close to call.",
        "Stair and Handrail: The local code and the inspector decide.",
        "P-24 Threshold step at the door",
        "1 entry of this day was refused",
        f"Journal head 412, 9f3c51a0b2d4 {sample.HEAD.chain}",
        "Added after issue",
        f"Journal head 431, 77aa77aa77aa {sample.NOW.chain}",
    ):
        assert piece in told, piece


def test_marks_differ_in_shape_and_stand_beside_words() -> None:
    html = page("daily", sample.daily())
    for shape in ("M2 2h20v20H2z", "M12 1.5L22.5 12 12 22.5 1.5 12z", 'circle cx="12"'):
        assert shape in html
    assert "not measured" in said(html)


def test_what_is_typed_is_escaped_in_every_report(site: Site) -> None:
    item = site.opens("study", "paint", BAD)
    site.does(item, "corrected", author="crew/paint")
    site.does(item, "sent_back", reason=BAD)
    site.photographs("study", BAD)
    site.looks_at("kitchen", "Counter", good=False, note=BAD)
    crews = [CrewToday("stair", 1, BAD)]
    site.types_the_day(crews=crews, weather=BAD, deliveries=BAD, delays=BAD, note=BAD)
    body = Letter("2026-03-06", BAD, BAD, BAD, BAD, BAD, fixed=True)
    site.enters(body, "letter/1")
    facts: list[tuple[Name, Facts]] = [
        ("daily", daily.gather(site.conn, site.house, TUESDAY)),
        ("punch", punch.gather(site.conn, site.house, "paint", TUESDAY)),
        ("weekly", weekly.gather(site.conn, site.house, "2026-03-06")),
    ]
    for name, one in facts:
        html = page(name, one)
        assert "<script" not in html
        assert html.count("</style>") == 1
        assert BAD in said(html)


def test_a_hostile_name_of_the_house_is_escaped_in_the_frame() -> None:
    html = page("daily", replace(sample.daily(), house=BAD))
    assert "<script" not in html


def test_the_head_of_a_page_says_what_whose_and_when() -> None:
    head = render.heading(sample.daily(issued=False))
    assert head.what == "Daily report"
    assert head.where == "Orchard Row cider mill"
    assert head.right == ("Tuesday, March 3, 2026", "Walked by Ada Quill", "Draft, not issued")
    second = replace(sample.daily(), issue=Issue(2, "Wed Mar 4, 7:00 am", "Bo", sample.HEAD))
    assert render.heading(second).right[2] == "Issued Wed Mar 4, 7:00 am by Bo, issue 2"
    assert render.heading(sample.punch()).what == "Punch list, Stair crew"


def test_a_fixed_letter_shows_no_draft_and_no_blank_line() -> None:
    assert "letter-blank" in page("weekly", sample.letter(fixed=False)).partition("<body")[2]
    assert "letter-blank" not in page("weekly", sample.letter()).partition("<body")[2]
