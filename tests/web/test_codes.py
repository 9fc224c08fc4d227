"""Codes & tolerances: every limit, its clause, how sure it is, what the house changed."""

from __future__ import annotations

import pytest

from fieldlog.store.files import load_library
from fieldlog.web.codes import COMPARES, DISTRIBUTIONS, SCOPES, VERIFIED


def test_every_limit_of_every_book_of_the_house(superintendent):
    page = superintendent.opens("/codes")
    library = load_library()
    for book in ("irc-2021", "our-standard", "plank-floor"):
        for rule in library.books[book].rules:
            assert f'id="{rule.id}"' in page.html
            assert rule.clause in page.text
    assert page.inline == []
    assert page.headings == 1


def test_how_sure_it_is_and_where_seen(superintendent):
    text = superintendent.opens("/codes").text
    assert "Riser height 7 3/4 in or less R311.7.5.1 Safety and code" in text
    assert "Seen quoted elsewhere, not in the document itself." in text
    assert "Common practice. No document behind it." in text
    assert "The local code and the inspector decide." in text


def test_a_book_of_one_room_says_which(superintendent):
    assert "Only for: Boat room" in superintendent.opens("/codes").text


def test_an_override_strikes_the_old_limit_and_says_who_and_why(small_house, superintendent):
    (small_house.folder / "overrides.toml").write_text(
        '[[override]]\nrule = "stair.riser-height"\nlimit = "8 1/4 in"\n'
        'reason = "local amendment"\nby = "town building office"\ndated = "2026-02-12"\n'
    )
    page = superintendent.opens("/codes")
    assert "Changed for this house" in page.text
    assert "Riser height Was: 7 3/4 in or less 8 1/4 in or less" in page.text
    assert "town building office: local amendment" in page.text
    assert '<s class="struck"><span class="vh">Was: </span>7 3/4 in or less</s>' in page.html


def test_tools_say_what_they_may_be_off_by(superintendent):
    text = superintendent.opens("/codes").text
    assert "Steel tape" in text
    assert "1/32 in either way" in text


def test_every_word_that_the_files_may_use_is_known():
    library = load_library()
    rules = [rule for book in library.books.values() for rule in book.rules]
    parts = [part for tool in library.instruments.values() for part in tool.parts]
    assert {r.compare for r in rules} <= set(COMPARES)
    assert {r.verified for r in rules} <= set(VERIFIED)
    assert {p.distribution for p in parts} <= set(DISTRIBUTIONS)
    assert {p.scope for p in parts} <= set(SCOPES)


@pytest.mark.parametrize("book", ["no-such-book"])
def test_a_book_without_a_file_is_named(small_house, superintendent, book):
    import msgspec

    small_house.enters("house/1", msgspec.structs.replace(small_house.house, books=(book,)))
    page = superintendent.opens("/codes")
    assert page.status == 200
    assert book in page.text
