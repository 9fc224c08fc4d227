"""Tests of levels as a daily report tells them: how far off, which way, and what it measured."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from fieldlog.calc.house import House
from fieldlog.calc.judge_levelling import off_text
from fieldlog.calc.library import Library
from fieldlog.reports.facts import ToolTest
from fieldlog.reports.findings import idle, room_name, title_of
from fieldlog.reports.layout import Page, sentences
from fieldlog.reports.phrases import tool_lines
from fieldlog.reports.text_parts import SIGNS
from fieldlog.reports.words import Words, words
from fieldlog.store.files import load_library
from fieldlog.store.reading_instruments import TestView
from fieldlog.store.views import CheckView


def tool_tests(
    tests: Iterable[TestView], checks: Sequence[CheckView], house: House, library: Library, w: Words
) -> tuple[ToolTest, ...]:
    """The day's tests, each with the day's checks that its tool measured; struck ones are out.

    `library` is the one of the journal's head that the report is written from.
    """
    standing = [c for c in checks if not c.struck]
    return tuple(_one(view, standing, house, library, w) for view in tests)


def title_of_test(view: TestView, name: str, w: Words) -> str:
    """ "Turning laser and rod, two-peg test"."""
    return w.say("test.title", tool=name, how=w.say(f"test.{view.test.how.replace(' ', '_')}"))


def says_of(view: TestView, house: House, w: Words) -> str:
    """ "19/32 in over 100 ft, aiming high. Allowed: 1/16 in over 100 ft." """
    side, off = side_of(view, w), off_text(view.tilt, house.system)
    allowed = off_text(Fraction(view.test.allowed), house.system)
    told = w.say("list.comma").join((off, side)) if side else off
    return w.say("test.says", off=told, allowed=allowed)


def side_of(view: TestView, w: Words | None = None) -> str:
    """ "aiming high": which way it is off; "" where it is not off at all."""
    w = w or words()
    if not view.tilt:
        return ""
    if view.up is None:
        return w.say("test.leans")
    return w.say("test.high" if view.up else "test.low")


def tool_name(tool: str, library: Library) -> str:
    """A tool's name as the journal keeps it, else (no check was judged yet) as its file has it."""
    known = library.instruments.get(tool) or load_library().instruments.get(tool)
    return known.name if known else tool


def put_tests(page: Page, tests: tuple[ToolTest, ...], w: Words) -> None:
    """The tests of a day as text; nothing where there are none."""
    if not tests:
        return
    page.heading(w.say("test.heading"))
    for one in tests:
        page.ends(f"{SIGNS[one.mark]} {one.title}", one.at, under="    ")
        page.wrap(one.says, first="    ")
        page.wrap(sentences(tool_lines(one, w)), first="    ")


def _one(
    view: TestView, checks: Sequence[CheckView], house: House, library: Library, w: Words
) -> ToolTest:
    by_it = [c for c in checks if _measured(c, view.test.tool)]
    return ToolTest(
        mark="pass" if view.within else "fail",
        title=title_of_test(view, tool_name(view.test.tool, library), w),
        says=says_of(view, house, w),
        at=w.clock(view.received, house.zone),
        measured=tuple(_line(c, house, w) for c in by_it),
        struck=view.struck,
    )


def _measured(check: CheckView, tool: str) -> bool:
    """Whether a reading of the check was taken with the tool."""
    if check.instrument == tool:
        return not idle(check.judgement, tool)
    return any(i.get("id") == tool for i in check.judgement.get("instruments", ()))


def _line(check: CheckView, house: House, w: Words) -> str:
    room, at = room_name(house, check.room, w), w.clock(check.received, house.zone)
    return w.say("test.check", title=title_of(check), room=room, at=at)
