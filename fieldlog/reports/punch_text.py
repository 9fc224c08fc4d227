"""A crew's punch list as plain text, 80 columns."""

from __future__ import annotations

from fieldlog.reports.facts import Finding
from fieldlog.reports.facts_punch import PunchItem, PunchList
from fieldlog.reports.layout import Page, sentences
from fieldlog.reports.phrases import (
    punch_counts,
    punch_remarks,
    punch_when,
    source_line,
    state_word,
)
from fieldlog.reports.text_parts import put_floor, put_head, put_limits
from fieldlog.reports.words import Words, words


def text(facts: PunchList, w: Words | None = None) -> str:
    """The list as text: what is to be done, then what waits for a look."""
    w = w or words()
    page = Page()
    page.ends(w.say("punch.title", crew=facts.crew).upper(), w.long_day(facts.day))
    page.ends(facts.house, w.say("punch.by", by=facts.by))
    page.rule("=")
    page.line(punch_counts(facts, w))
    for name, items in (("open", facts.open), ("waiting", facts.waiting)):
        if items:
            page.heading(w.say(f"punch.{name}_heading"))
        for item in items:
            _item(page, item, w)
            page.gap()
    for caution in facts.cautions:
        page.wrap(caution)
    put_limits(page, facts.limits, w)
    put_head(page, facts.head, w)
    return page.text()


def _item(page: Page, item: PunchItem, w: Words) -> None:
    hang = f"{item.number:<6} "
    under = " " * len(hang)
    page.ends(f"{hang}{item.words}", f"[{state_word(item, w).upper()}]", under)
    page.wrap(f"{item.where}.", first=under)
    for found in item.findings:
        _finding(page, found, w, under)
    put_floor(page, item.floor, under)
    if item.tool:
        page.wrap(w.say("punch.tool", tool=item.tool), first=under)
    page.wrap(sentences((punch_when(item, w), *punch_remarks(item, w))), first=under)


def _finding(page: Page, found: Finding, w: Words, under: str) -> None:
    page.wrap(sentences((found.head, found.body)), first=f"{under}- ")
    for line in (found.fix, source_line(found, w)):
        if line:
            page.wrap(line, first=f"{under}  ")
