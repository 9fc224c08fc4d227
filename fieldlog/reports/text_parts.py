"""Parts that the text reports share: a finding, what was held against, the journal's head."""

from __future__ import annotations

from fieldlog.reports.facts import Finding, FloorWork, Limits
from fieldlog.reports.layout import Page, sentences
from fieldlog.reports.phrases import head_line, source_line
from fieldlog.reports.stations import stations_in_full
from fieldlog.reports.words import Words
from fieldlog.store.views import Head

SIGNS = {
    "fail": "[X]",
    "too_close": "[~]",
    "not_measured": "[ ]",
    "pass": "[v]",
    "does_not_apply": "[-]",
}
"""Marks in plain text; each stands beside its word or sentence."""


def put_finding(page: Page, found: Finding, w: Words, indent: str) -> None:
    """A finding: what it is and needs, what would help, then its clause and kind.

    One that was not measured is a single paragraph: a stair has many of them.
    """
    blank = found.mark == "not_measured"
    source = source_line(found, w)
    told = sentences((found.head, stations_in_full(found.body), source if blank else ""))
    page.wrap(told, first=f"{indent}{SIGNS[found.mark]} ")
    for line in (sentences((found.fix, found.settle)), "" if blank else source):
        if line:
            page.wrap(line, first=f"{indent}    ")


def put_floor(page: Page, work: FloorWork | None, indent: str) -> None:
    """The plan of a floor: what it is, then the work step by step."""
    if work is None or not work.plan:
        return
    page.wrap(f"{work.plan}:", first=indent)
    for number, step in enumerate(work.steps, 1):
        page.wrap(step, first=f"{indent}{number}. ")


def put_limits(page: Page, limits: Limits, w: Words) -> None:
    """The documents that applied, and the house's overrides, each with who said so."""
    if not limits.books and not limits.overrides:
        return
    page.heading(w.say("common.limits"))
    for line in (*limits.books, *limits.overrides):
        page.wrap(line, first="- ")


def put_head(page: Page, head: Head, w: Words) -> None:
    """The foot: sequence and hash of the journal's head, and why they are there."""
    page.gap()
    page.rule()
    page.line(head_line(head, w))
    if head.seq:
        page.line(head.chain)
        page.line(w.say("common.head_why"))
