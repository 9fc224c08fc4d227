"""The weekly letter as plain text, 80 columns: a letter, not a form."""

from __future__ import annotations

from fieldlog.reports.facts_letter import WeeklyLetter
from fieldlog.reports.layout import Page
from fieldlog.reports.words import Words, words


def text(facts: WeeklyLetter, w: Words | None = None) -> str:
    """The letter as text. A draft says so, and leaves a line where something is to be written."""
    w = w or words()
    page = Page()
    page.ends(facts.house, w.say("letter.week", day=w.letter_day(facts.day)))
    if facts.issued:
        page.ends("", w.say("letter.issued", when=facts.issued))
    if not facts.fixed:
        page.line(f"[{w.say('letter.draft')}]")
    page.gap()
    page.line(facts.greeting)
    for name in ("finished", "need_from_you", "next_up"):
        _section(page, name, getattr(facts, name), facts.fixed, w)
    page.gap()
    _paragraphs(page, facts.closing)
    page.gap()
    page.wrap(w.say("letter.regards"))
    page.line(facts.by)
    page.wrap(w.say("letter.role", house=facts.house))
    page.gap()
    for picture in facts.pictures:
        page.wrap(w.say("letter.picture", says=picture.says))
    return page.text()


def _section(page: Page, name: str, paragraphs: tuple[str, ...], fixed: bool, w: Words) -> None:
    if not paragraphs and fixed:
        return
    page.heading(w.say(f"letter.{name}_heading"))
    _paragraphs(page, paragraphs)
    if not paragraphs:
        page.line(f"[{w.say('letter.blank')}]")
        page.line("_" * 60)


def _paragraphs(page: Page, paragraphs: tuple[str, ...]) -> None:
    for number, paragraph in enumerate(paragraphs):
        if number:
            page.gap()
        page.wrap(paragraph)
