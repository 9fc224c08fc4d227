"""The daily report as plain text, 80 columns."""

from __future__ import annotations

from fieldlog.reports.facts import Acts, Check, Checks, CrewLine, Daily
from fieldlog.reports.layout import Page
from fieldlog.reports.phrases import (
    OUTCOMES,
    act_remarks,
    act_where,
    cautions,
    check_remarks,
    counts,
    head_line,
    mark_word,
    passed,
    room_counts,
    status,
)
from fieldlog.reports.sums import put_sums
from fieldlog.reports.text_parts import SIGNS, put_finding, put_floor, put_head, put_limits
from fieldlog.reports.tools import put_tests
from fieldlog.reports.words import Words, words


def text(facts: Daily, w: Words | None = None) -> str:
    """The report as text. What came in after issue stands after the head it was issued from."""
    w = w or words()
    page = Page()
    _head(page, facts, w)
    if facts.empty:
        page.gap()
        page.line(w.say("daily.empty"))
    else:
        _day(page, facts, w)
        _rooms(page, facts, w)
        _checks(page, facts, w)
        put_tests(page, facts.tests, w)
        _items(page, facts, w)
        put_sums(page, facts.sums, w)
        _photos(page, facts, w)
        put_limits(page, facts.limits, w)
    if facts.refused:
        page.gap()
        page.wrap(w.say("daily.refused", n=facts.refused))
    if facts.reworded:
        page.gap()
        page.wrap(w.say("daily.reworded", sha256=facts.reworded))
    put_head(page, facts.head, w)
    _added(page, facts, w)
    return page.text()


def _head(page: Page, facts: Daily, w: Words) -> None:
    page.ends(w.say("daily.title").upper(), w.long_day(facts.day))
    page.ends(facts.house, status(facts, w))
    page.line(w.say("daily.by", by=facts.by))
    page.rule("=")


def _day(page: Page, facts: Daily, w: Words) -> None:
    blank = w.say("daily.blank")
    crews = [_crew(crew, w) for crew in facts.crews] or [blank]
    rows = [(w.say("daily.weather"), facts.weather or blank), (w.say("daily.crews"), crews[0])]
    rows += [("", crew) for crew in crews[1:]]
    rows += [
        (w.say("daily.deliveries"), facts.deliveries or blank),
        (w.say("daily.delays"), facts.delays or blank),
    ]
    if facts.note:
        rows.append((w.say("daily.note"), facts.note))
    page.pairs(rows)


def _crew(crew: CrewLine, w: Words) -> str:
    told = f"{crew.name}, {w.say('daily.people', n=crew.people)}"
    return f"{told}: {crew.did}" if crew.did else told


def _rooms(page: Page, facts: Daily, w: Words) -> None:
    page.heading(w.say("daily.rooms"))
    if not facts.rooms:
        page.line(w.say("daily.no_rooms"))
    page.pairs((room.name, room_counts(room, w)) for room in facts.rooms)


def _checks(page: Page, facts: Daily, w: Words) -> None:
    page.heading(w.say("daily.checks_heading"))
    page.line(counts(facts, w) or w.say("daily.no_checks"))
    for mark in OUTCOMES:
        groups = facts.outcomes.get(mark, ())
        if not groups:
            continue
        page.gap()
        page.line(w.say(f"daily.{mark}_heading").upper())
        for group in groups:
            _passed(page, group, w) if mark == "pass" else _group(page, group, w)
    for caution in cautions(facts, w):
        page.gap()
        page.wrap(caution)
    if facts.struck:
        page.gap()
        page.line(w.say("daily.struck_heading").upper())
        for check in facts.struck:
            _check_head(page, check, w)
            page.wrap(w.say("common.struck", reason=check.struck), first="    ")


def _group(page: Page, group: Checks, w: Words) -> None:
    for check in group.checks:
        _check_head(page, check, w)
        for found in check.findings:
            put_finding(page, found, w, indent="    ")
        put_floor(page, check.floor, "    ")
        for note in check_remarks(check, w):
            page.wrap(note, first="    ")
        page.gap()


def _check_head(page: Page, check: Check, w: Words) -> None:
    page.ends(f"{SIGNS[check.mark]} {check.title}. {check.room}", check.at, under="    ")
    page.wrap(f"{mark_word(check.mark, check.plain, w)}. {check.tool}.", first="    ")


def _passed(page: Page, group: Checks, w: Words) -> None:
    page.wrap(passed(group, w), first=f"{SIGNS['pass']} ")


def _items(page: Page, facts: Daily, w: Words) -> None:
    page.heading(w.say("daily.items_heading"))
    if not facts.acts:
        page.line(w.say("daily.no_items"))
    for acts in facts.acts:
        page.gap()
        page.line(w.say(f"act.{acts.act}").upper())
        _acts(page, acts, w)


def _acts(page: Page, acts: Acts, w: Words) -> None:
    for line in acts.lines:
        hang = f"{line.number:<6} "
        under = " " * len(hang)
        page.ends(f"{hang}{line.words}", line.at, under)
        if line.says:
            page.wrap(line.says, first=under)
        page.wrap(act_where(line, w), first=under)
        for found in line.findings:
            put_finding(page, found, w, indent=under)
        for remark in act_remarks(line, w):
            page.wrap(remark, first=under)


def _photos(page: Page, facts: Daily, w: Words) -> None:
    page.heading(w.say("daily.photos_heading"))
    if not facts.pictures:
        page.line(w.say("daily.no_photos"))
    for number, picture in enumerate(facts.pictures, 1):
        page.wrap(picture.says, first=f"{number:>2}. ")


def _added(page: Page, facts: Daily, w: Words) -> None:
    if not facts.added:
        return
    page.heading(w.say("daily.added_heading"))
    for one in facts.added:
        page.wrap(f"{one.when}, {one.by}: {one.says}", first="- ")
    page.line(w.say("daily.added_head", head=head_line(facts.now, w)))
    page.line(facts.now.chain)
