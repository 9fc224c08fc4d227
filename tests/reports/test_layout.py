"""Plain text stays within 80 columns, aligned, and what is typed cannot steer a terminal."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fieldlog.reports.layout import WIDTH, Page, sentences, stopped

words = st.lists(st.text(st.characters(codec="ascii", categories=["L", "N", "P"]), max_size=20))


@given(words, st.text(st.characters(codec="ascii", categories=["L", "N"]), max_size=15))
def test_no_line_is_longer_than_the_page(parts: list[str], right: str) -> None:
    page = Page()
    page.ends(" ".join(parts), right, under="    ")
    page.wrap(" ".join(parts), first="[X] ")
    page.pairs([("Weather", " ".join(parts)), ("A name that is rather long", right)])
    assert all(len(line) <= WIDTH for line in page.text().splitlines())


def test_the_right_end_stands_at_the_margin_and_the_left_hangs() -> None:
    page = Page()
    page.ends("P-31   " + "scratch " * 12, "[OPEN]", under="       ")
    first, second = page.text().splitlines()
    assert len(first) == WIDTH
    assert first.endswith("[OPEN]")
    assert second.startswith("       scratch")


def test_pairs_stand_in_two_columns() -> None:
    page = Page()
    page.pairs([("Weather", "36 F, " + "rain " * 20), ("Crews", "none")])
    lines = page.text().splitlines()
    assert lines[0].startswith("Weather  36 F")
    assert lines[1].startswith("         rain")
    assert lines[-1] == "Crews    none"


def test_a_paragraph_keeps_its_own_line_breaks() -> None:
    page = Page()
    page.wrap("one\ntwo", first="- ")
    assert page.text() == "- one\n  two\n"


def test_control_characters_become_blanks() -> None:
    page = Page()
    page.wrap("red \x1b[31m bell \x07")
    page.ends("\x1b]0;title", "\x9b1m")
    assert not set(page.text()) & set("\x1b\x07\x9b")


def test_sentences_get_their_full_stop_once() -> None:
    assert sentences(("still wide", "", "Seen by eye.", "why?")) == "still wide. Seen by eye. why?"
    assert stopped("  ") == ""
