"""The daily report tells what was entered that day, as of its head, and nothing else."""

from __future__ import annotations

from datetime import UTC, datetime

from fieldlog import intake
from fieldlog.calc.bodies import CrewToday
from fieldlog.reports import daily
from fieldlog.reports.facts import Daily
from fieldlog.store import journal
from fieldlog.store.files import load_library
from tests.reports import sample
from tests.reports.site import AUTHOR, CLOSED, FULL, TUESDAY, WEDNESDAY, Site

OVERRIDE = """
[[override]]
rule = "stair.riser-height"
limit = "8 1/4 in"
reason = "It allows more."
by = "the county"
"""


def told(site: Site, day: str = TUESDAY) -> str:
    return daily.text(daily.gather(site.conn, site.house, day))


def facts_of(site: Site, day: str = TUESDAY) -> Daily:
    return daily.gather(site.conn, site.house, day)


def acts(facts: Daily) -> dict[str, list[str]]:
    return {a.act: [line.number for line in a.lines] for a in facts.acts}


def test_an_empty_day_says_so_and_still_names_its_head(site: Site) -> None:
    text = told(site, "2026-03-05")
    assert "Nothing was entered for this day." in text
    assert f"Journal head 1, {journal.head(site.conn).chain[:12]}" in text
    assert "Rooms walked" not in text


def test_a_failing_stair_stands_first_with_clause_tool_and_what_would_help(site: Site) -> None:
    site.looks_at("kitchen", "Counter", good=True)
    site.measures_stair()
    facts = facts_of(site)
    assert (facts.count("fail"), facts.count("pass")) == (1, 1)
    text = told(site)
    assert text.index("FAILS") < text.index("PASSES")
    for piece in (
        "[X] Stair, First flight. Mezzanine hall, 2nd floor",
        "Open gaps 4 1/2 in. Needs less than 4 in.",
        "Over by 1/2 in.",
        "IRC 2021 R311.7.5.1. Safety and code.",
        "Steel tape",
        "Headroom: not measured. Needs 6 ft 8 in or more. IRC 2021 R311.7.2.",
        "Stair: The local code",
        "[v] Look, 1 check, 1 limit: Kitchen, 1st floor (Counter)",
        "IRC 2021: Stairs, guards and handrails",
    ):
        assert piece in " ".join(text.split()), piece


def test_a_close_call_says_its_side_and_what_would_settle_it(site: Site) -> None:
    site.measures_stair({**CLOSED, **FULL, "riser": ["7 23/32"] * 6})
    facts = facts_of(site)
    (group,) = facts.outcomes["too_close"]
    assert group.checks[0].plain == "pass"
    text = " ".join(told(site).split())
    assert "1 too close to call" in text
    assert "Passes, too close to call." in text
    assert "would settle it." in text


def test_a_thing_measured_twice_says_how_it_came_out(site: Site) -> None:
    site.measures_stair()
    site.measures_stair({**CLOSED, **FULL})
    facts = facts_of(site)
    (failed,) = facts.outcomes["fail"]
    assert failed.checks[0].again == "Measured again at 8:12 am: pass."
    assert facts.outcomes["pass"][0].checks[0].again == ""


def test_an_items_whole_way_is_told_act_by_act(site: Site) -> None:
    check = site.measures_stair()
    item = site.opens("hall", "stair", "Open gaps", check=check, rules=site.failing(check))
    site.does(item, "corrected", author="crew/stair")
    site.does(item, "sent_back", reason="still wide at the top")
    site.does(item, "corrected", how="text")
    passes = site.measures_stair({**CLOSED, **FULL})
    site.does(item, "accepted", how="measured", check=passes)
    facts = facts_of(site)
    assert acts(facts) == {
        "opened": ["P-1"],
        "corrected": ["P-1", "P-1"],
        "sent_back": ["P-1"],
        "accepted": ["P-1"],
    }
    text = " ".join(told(site).split())
    assert "“still wide at the top” Stair crew. Mezzanine hall, 2nd floor. By Ada Quill." in text
    assert "By Stair crew." in text
    assert "The crew said so by text." in text
    assert "Measured again: pass." in text


def test_items_of_every_kind_of_act(site: Site) -> None:
    kept = site.opens("study", "paint", "Door scratched", wall="B", needs_by="2026-03-06")
    site.does(kept, "accepted_as_is", agreed_by="the owner", reason="behind the sofa")
    gone = site.opens("study", "paint", "Sill", damaged_by_other=True)
    site.does(gone, "not_ours", author="crew/paint", reason="it is the sill itself")
    site.does(gone, "passed_on", trade="stair", reason="theirs")
    site.does(gone, "withdrawn", reason="opened twice")
    text = " ".join(told(site).split())
    for piece in (
        "Needed by Fri Mar 6. Paint crew. Study, 2nd floor, wall B. By Ada Quill.",
        "Damaged by another trade.",
        "ACCEPTED AS IS P-1 Door scratched",
        "“behind the sofa” Agreed by the owner.",
        "SAID TO BE ANOTHER CREW'S P-2",
        "To Stair crew. “theirs” Paint crew.",
        "WITHDRAWN P-2 Sill",
    ):
        assert piece in text, piece


def test_an_act_without_effect_is_told_with_its_reason(site: Site) -> None:
    item = site.opens("study", "paint", "Door scratched")
    site.does(item, "accepted", author="crew/paint", how="eye")
    assert "Without effect: a crew cannot enter accepted." in told(site)


def test_the_days_own_facts_are_told_as_typed(site: Site) -> None:
    site.types_the_day(weather="36 F", note="Owner: choose the light\nQuiet day")
    site.types_the_day(
        weather="40 F, clear",
        deliveries="Treads",
        crews=[CrewToday("stair", 3, "second flight"), CrewToday("paint", 1)],
    )
    text = told(site)
    assert "Weather     40 F, clear" in text
    assert (
        "Crews       Stair crew, 3 people: second flight\n            Paint crew, 1 person" in text
    )
    assert "Delays      Not entered" in text
    assert "36 F" not in text


def test_rooms_walked_are_those_where_the_superintendent_entered_something(site: Site) -> None:
    item = site.opens("study", "paint", "Scratch", day="2026-03-02")
    site.looks_at("kitchen", "Counter", good=True)
    site.photographs("kitchen", "range wall")
    site.does(item, "corrected", author="crew/paint")
    assert [(r.name, r.checks, r.photos) for r in facts_of(site).rooms] == [
        ("Kitchen, 1st floor", 1, 1)
    ]
    site.does(item, "accepted", how="eye")
    assert [r.name for r in facts_of(site).rooms] == ["Kitchen, 1st floor", "Study, 2nd floor"]


def test_a_photo_says_what_it_shows(site: Site) -> None:
    item = site.opens("study", "paint", "Door scratched")
    site.photographs("study", of=f"item:{item}")
    site.photographs("kitchen", "range wall")
    assert [p.says for p in facts_of(site).pictures] == [
        "P-1, Door scratched. Study, 2nd floor.",
        "range wall. Kitchen, 1st floor.",
    ]


def test_a_struck_check_stays_legible_with_the_reason(site: Site) -> None:
    check = site.measures_stair()
    site.strikes(check, "check:hall/stair/first-flight", "wrong flight")
    facts = facts_of(site)
    assert facts.count("fail") == 0
    assert "STRUCK THROUGH\n[X] Stair, First flight" in told(site)
    assert "Struck through: wrong flight" in told(site)


def test_a_refused_entry_is_counted(site: Site) -> None:
    site.at = site.at.replace(minute=50)
    intake.take(site.conn, site.folder, site.library, {"id": "x", "body": "nonsense"}, site.at)
    assert "1 entry of this day was refused" in told(site)


def test_an_entry_without_a_day_belongs_to_the_day_at_the_house(site: Site) -> None:
    site.at = datetime(2026, 3, 4, 5, 30, tzinfo=UTC)  # 10:30 in the evening of the day before
    site.opens("study", "paint", "Late in the evening")
    site.at = datetime(2026, 3, 4, 7, 30, tzinfo=UTC)  # half past midnight
    site.opens("study", "paint", "After midnight")
    assert acts(facts_of(site, TUESDAY)) == {"opened": ["P-1"]}
    assert acts(facts_of(site, WEDNESDAY)) == {"opened": ["P-2"]}
    assert "10:31 pm" in told(site, TUESDAY)
    assert "12:31 am" in told(site, WEDNESDAY)


def test_the_same_journal_gives_the_same_text(site: Site) -> None:
    site.measures_stair()
    site.opens("study", "paint", "Door scratched")
    assert told(site) == told(site)
    body = daily.issue_daily(site.conn, site.house, TUESDAY, now=site.at, author=AUTHOR)
    again = daily.issue_daily(site.conn, site.house, TUESDAY, now=site.at, author=AUTHOR)
    assert body == again


def test_an_override_names_who_said_so(site: Site) -> None:
    (site.folder / "overrides.toml").write_text(OVERRIDE)
    site.library = load_library(site.folder)
    site.measures_stair({**CLOSED, **FULL, "riser": ["8"] * 6, "total_rise": "48"})
    text = " ".join(told(site).split())
    assert "Riser height: 8 1/4 in in this house, by word of the county. It allows more." in text
    assert facts_of(site).count("fail") == 0


def test_every_line_of_a_full_day_fits_the_page() -> None:
    assert max(map(len, daily.text(sample.daily()).splitlines())) <= 80
