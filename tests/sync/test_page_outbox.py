"""The page's own outbox where a day goes wrong: an older house, another one, one that fails at an
entry. The rules are those of DEVELOPERS.md, "Handing over"."""

from __future__ import annotations

import pytest
from page_tablet import Node, PageTablet
from twin import OutOfReach, Site, jpeg

from fieldlog.calc.bodies import ItemEntry, Walk
from fieldlog.store.backup import backup
from fieldlog.store.photos import original

FEW = 20
"""Requests; one that went in circles would ask hundreds of times."""


@pytest.fixture
def page(site: Site, pages: list[Node]) -> PageTablet:
    """A tablet in reach."""
    made = PageTablet(site.wire(), pages[0])
    made.greet()
    return made


def opens(page: PageTablet, *words: str) -> list[str]:
    return [page.enters("item/1", ItemEntry("", "hall", "stairs", said)) for said in words]


def follows(page: PageTablet, site: Site) -> None:
    """The house is there again under its name; the tablet has the pairing that it had."""
    cookie = page.wire.client.get_cookie("fieldlog", domain="127.0.0.1")
    page.wire = site.wire()
    assert cookie is not None
    page.wire.client.set_cookie("fieldlog", cookie.value, domain="127.0.0.1")


def kept_by(site: Site) -> list[str]:
    return [entry_id for entry_id, _ in site.tablets_entries()]


def states(page: PageTablet) -> dict[str, str]:
    return {entry_id: one.state for entry_id, one in page.entries.items()}


def test_paired_anew_after_a_restore_it_offers_all_that_is_lost(
    site: Site, page: PageTablet
) -> None:
    before = opens(page, "Drip")
    page.sends()
    site.backs_up()
    since = opens(page, "Squeak", "Gap")
    page.sends()
    site.restores()
    page.wire = site.wire()  # no pairing comes along: a new device
    page.posts = 0
    page.sends()
    assert sorted(kept_by(site)) == sorted(before + since)
    assert set(states(page).values()) == {"sent"}
    assert page.posts < FEW


def test_a_photo_that_the_restored_house_lacks_is_sent_again(site: Site, page: PageTablet) -> None:
    site.backs_up()
    sha256 = page.keeps_photo(jpeg(7))
    page.sends_photos()
    assert original(site.folder, sha256) is not None
    site.restores()
    follows(page, site)
    assert original(site.folder, sha256) is None
    page.sends_photos()
    assert original(site.folder, sha256) is not None


def test_nothing_is_let_go_for_an_older_copy_with_a_backup_of_its_own(
    site: Site, page: PageTablet
) -> None:
    site.copies()
    opens(page, "Drip")
    page.sends()
    site.backs_up()
    page.sends()
    assert states(page) == {}, "backed up, and let go"
    site.swaps()
    follows(page, site)
    [late] = opens(page, "Squeak")
    page.sends()
    backup(site.folder, site.root / "of-the-copy", site.now)
    page.sends()
    page.sends()
    assert page.missing_there
    assert states(page) == {late: "sent"}


def test_what_is_backed_up_is_let_go_once_the_house_is_known(site: Site, page: PageTablet) -> None:
    [good] = opens(page, "Drip")
    wrong = page.enters("walk/1", Walk("2026-03-03"), subject="walk:2026-03-04")
    sha256 = page.keeps_photo(jpeg(8))
    page.sends_photos()
    assert states(page) == {good: "sent", wrong: "refused"}
    site.backs_up()
    page.sends_photos()
    assert states(page) == {wrong: "refused"}, "its person has not seen why"
    assert page.photos == []
    page.is_looked_at(wrong)
    page.sends()
    assert sha256 not in page.photos
    assert states(page) == {}


def test_what_was_refused_and_looked_at_is_offered_to_a_restored_house_too(
    site: Site, page: PageTablet
) -> None:
    site.backs_up()
    wrong = page.enters("walk/1", Walk("2026-03-03"), subject="walk:2026-03-04")
    page.sends()
    page.is_looked_at(wrong)
    site.restores()
    follows(page, site)
    page.sends()
    assert states(page) == {wrong: "refused"}
    assert page.entries[wrong].answer["seq"]
    site.backs_up()
    page.sends()
    assert states(page) == {}


def test_an_entry_of_another_house_is_refused_with_its_reason_and_asked_of_once(
    site: Site, page: PageTablet
) -> None:
    page.job, ours = "0000000000000000000000000A", page.job
    [stranger] = opens(page, "Drip")
    page.job = ours
    [own] = opens(page, "Squeak")
    page.posts = 0
    page.sends()
    page.sends()
    assert states(page) == {stranger: "refused", own: "sent"}
    assert "house" in page.entries[stranger].answer["reason"]
    site.backs_up()
    page.is_looked_at(stranger)
    page.sends()
    assert states(page) == {stranger: "refused"}, "no backup of this house has it"
    assert page.posts < FEW
    assert kept_by(site) == [own]


def test_one_entry_that_the_house_fails_at_holds_up_nothing(site: Site, page: PageTablet) -> None:
    made = opens(page, *(f"Number {n}" for n in range(60)))
    poison = made[17]
    page.fails = lambda batch: any(one["id"] == poison for one in batch["entries"])
    page.posts = 0
    page.sends()
    assert page.posts < FEW
    assert sorted(kept_by(site)) == sorted(set(made) - {poison})
    assert states(page)[poison] == "waiting"
    page.fails = lambda _batch: False  # the house was mended
    page.sends()
    assert sorted(kept_by(site)) == sorted(made)


def test_a_house_that_fails_at_everything_is_asked_a_few_times_only(page: PageTablet) -> None:
    opens(page, *(f"Number {n}" for n in range(60)))
    page.fails = lambda _batch: True
    page.posts = 0
    with pytest.raises(OutOfReach):
        page.sends()
    assert page.posts <= FEW + 1
    assert set(states(page).values()) == {"waiting"}


def test_paired_anew_between_the_greeting_and_the_batch(site: Site, page: PageTablet) -> None:
    """The answers say that the numbers are another device's: greeted again, it goes on."""
    made = opens(page, "Drip", "Squeak")
    first = page.wire
    greeted = first.get("/sync/hello")
    page.wire = site.wire()
    page.wire.get("/sync/hello")
    real, page.wire.get = page.wire.get, lambda _path: greeted  # type: ignore[method-assign]
    page.posts = 0
    with pytest.raises(OutOfReach):
        page.sends()
    assert page.posts == 1
    page.wire.get = real  # type: ignore[method-assign]
    page.sends()
    assert kept_by(site) == made
