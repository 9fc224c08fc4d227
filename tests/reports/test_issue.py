"""An issued report stays as it was issued; what comes in later is told apart."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

from msgspec import structs

from fieldlog.reports import daily
from fieldlog.reports.facts import Daily
from fieldlog.store import journal
from tests.reports.site import TUESDAY, WEDNESDAY, Site


def told(site: Site, day: str = TUESDAY) -> str:
    return daily.text(daily.gather(site.conn, site.house, day))


def facts_of(site: Site, day: str = TUESDAY) -> Daily:
    return daily.gather(site.conn, site.house, day)


def test_what_comes_after_issue_is_told_apart(site: Site) -> None:
    site.walks()
    item = site.opens("study", "paint", "Door scratched")
    body = site.issues()
    before = told(site)
    assert "Issued Tue Mar 3, 8:13 am by Ada Quill" in before
    assert "Added after issue" not in before
    site.does(item, "corrected", author="crew/paint")
    site.opens("kitchen", "paint", "Drip", day=TUESDAY)
    site.photographs("kitchen", "drip", day=TUESDAY)
    site.looks_at("kitchen", "Counter", good=False, day=TUESDAY)
    site.types_the_day(weather="rain")
    site.opens("kitchen", "paint", "Of the next day", day=WEDNESDAY)
    facts = facts_of(site)
    assert [a.says for a in facts.added] == [
        "P-1: corrected.",
        "P-2 opened for Paint crew: Drip",
        "Photo. drip. Kitchen, 1st floor.",
        "Look, Counter, Kitchen, 1st floor: Fail.",
        "The day's facts were changed.",
    ]
    assert facts.head.seq == body.head_seq
    assert told(site).startswith(before.rstrip("\n"))
    head = journal.head(site.conn)
    assert told(site).rstrip().endswith(head.chain)


def test_the_issued_text_is_reproduced_whatever_comes_later(site: Site) -> None:
    check = site.measures_stair()
    item = site.opens("hall", "stair", "Open gaps", check=check, rules=site.failing(check))
    act = site.does(item, "corrected", author="crew/stair")
    site.photographs("study", "closet")
    body = site.issues()
    site.strikes(check, "check:hall/stair/first-flight", "wrong flight")
    site.strikes(act, f"item:{item}", "it was another item")
    site.does(item, "passed_on", trade="paint")
    facts = facts_of(site)
    text = daily.text(daily.as_issued(facts))
    assert hashlib.sha256(text.encode()).hexdigest() == body.text_sha256
    assert facts.reworded == ""
    assert facts.count("fail") == 1
    assert [a.says.partition(":")[0] for a in facts.added] == [
        "Struck through",
        "Struck through",
        "P-1",
    ]
    assert facts.added[0].says.endswith("“wrong flight”")


def test_a_strike_after_issue_shows_on_the_struck_entrys_own_day(site: Site) -> None:
    item = site.opens("study", "paint", "Door scratched")
    site.issues()
    site.at = datetime(2026, 3, 5, 15, 0, tzinfo=UTC)
    site.strikes(item, f"item:{item}", "wrong room")
    assert [a.says for a in facts_of(site).added] == [
        "Struck through: P-1 opened for Paint crew: Door scratched “wrong room”"
    ]
    assert facts_of(site, "2026-03-05").added == ()


def test_another_issue_takes_in_what_came_since(site: Site) -> None:
    site.walks()
    site.issues()
    site.opens("study", "paint", "Door scratched")
    site.issues()
    facts = facts_of(site)
    assert facts.issue is not None
    assert facts.issue.number == 2
    assert facts.added == ()
    assert "issue 2" in told(site)
    assert "Door scratched" in told(site)


def test_another_wording_than_the_issued_one_is_admitted(site: Site) -> None:
    site.walks()
    body = site.issues()
    site.house = structs.replace(site.house, name="Another name")
    facts = facts_of(site)
    assert facts.reworded == body.text_sha256
    assert body.text_sha256 in daily.text(facts)
