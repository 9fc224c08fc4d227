"""A crew's list: its own unfinished items, the serious ones first, with numbers and clause."""

from __future__ import annotations

from fieldlog.reports import punch
from fieldlog.store import journal
from tests.reports import sample
from tests.reports.site import Site

FRIDAY = "2026-03-06"


def told(site: Site, trade: str, day: str = FRIDAY) -> str:
    return punch.text(punch.gather(site.conn, site.house, trade, day))


def test_serious_items_come_first_and_then_the_oldest(site: Site) -> None:
    site.opens("study", "stair", "Tread creaks")
    site.opens("study", "stair", "Baluster loose")
    check = site.measures_stair()
    site.opens("hall", "stair", "Open gaps", check=check, rules=site.failing(check))
    facts = punch.gather(site.conn, site.house, "stair", FRIDAY)
    assert [i.number for i in facts.open] == ["P-3", "P-1", "P-2"]
    assert facts.serious == 1
    assert told(site, "stair").splitlines()[3] == "3 to do, 1 of them is about safety and code"


def test_a_measured_item_has_its_numbers_limit_clause_tool_and_caution(site: Site) -> None:
    check = site.measures_stair()
    site.opens("hall", "stair", "Open gaps", check=check, rules=site.failing(check))
    (item,) = punch.gather(site.conn, site.house, "stair", FRIDAY).open
    assert (item.findings[0].measured, item.findings[0].needs) == ("4 1/2 in", "less than 4 in")
    text = " ".join(told(site, "stair").split())
    for piece in (
        "Open gaps 4 1/2 in. Needs less than 4 in.",
        "IRC 2021 R311.7.5.1. Safety and code.",
        "Measured with: Steel tape",
        "Stair: The local code",
        "IRC 2021: Stairs, guards and handrails",
        "Opened Tue Mar 3, 3 days.",
    ):
        assert piece in text, piece


def test_a_crew_sees_its_own_items_only(site: Site) -> None:
    site.opens("study", "paint", "Door scratched")
    site.opens("study", "stair", "Tread creaks")
    assert "Door scratched" not in told(site, "stair")
    assert "Tread creaks" not in told(site, "paint")


def test_accepted_and_withdrawn_items_are_off_the_list(site: Site) -> None:
    one = site.opens("study", "paint", "Door scratched")
    other = site.opens("study", "paint", "Drip")
    site.does(one, "accepted", how="eye")
    site.does(other, "withdrawn", reason="twice")
    assert "Nothing to do" in told(site, "paint")
    assert f"Journal head {journal.head(site.conn).seq}" in told(site, "paint")


def test_corrected_items_wait_apart_and_a_sent_back_one_says_why(site: Site) -> None:
    back = site.opens("study", "paint", "Door scratched", wall="C", needs_by="2026-03-05")
    site.does(back, "corrected", author="crew/paint")
    site.does(back, "sent_back", reason="still shows from the side")
    done = site.opens("study", "paint", "Drip", damaged_by_other=True)
    site.does(done, "corrected", how="call")
    text = told(site, "paint")
    assert text.index("P-1 ") < text.index("Corrected, waiting for our look") < text.index("P-2 ")
    assert "[SENT BACK]" in text
    assert "[CORRECTED]" in text
    flat = " ".join(text.split())
    assert "Late: needed by Thu Mar 5. Sent back: still shows from the side." in flat
    assert "Study, 2nd floor, wall C." in flat
    assert "Damaged by another trade." in flat
    assert "1 to do, 1 waiting for our look" in flat


def test_an_item_that_is_only_a_photo_says_so_and_shows_it(site: Site) -> None:
    sha256 = site.photographs("study")
    site.opens("study", "paint", "", photos=(sha256,))
    (item,) = punch.gather(site.conn, site.house, "paint", FRIDAY).open
    assert item.words == "See the photo"
    assert item.picture is not None
    assert item.picture.sha256 == sha256


def test_every_line_fits_the_page() -> None:
    assert max(map(len, punch.text(sample.punch()).splitlines())) <= 80
