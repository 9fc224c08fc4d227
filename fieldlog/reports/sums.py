"""A kept sum as a report tells it: read back from its stored answer."""

from __future__ import annotations

from typing import Any

from fieldlog.calc.house import House
from fieldlog.reports.facts import SumLine
from fieldlog.reports.findings import room_name
from fieldlog.reports.layout import Page
from fieldlog.reports.phrases import sum_given
from fieldlog.reports.words import Words
from fieldlog.store.views import SumView

LONGEST = 300
"""Characters of a list in a report; the sum's own page has all of it."""


def sum_line(kept: SumView, house: House, w: Words) -> SumLine:
    """Its inputs as typed and every line of its answer."""
    told = kept.answer
    given = told["inputs"].values()
    return SumLine(
        title=kept.title,
        room=room_name(house, kept.room, w),
        at=w.clock(kept.received, house.zone),
        given=tuple((i["label"], i["text"]) for i in given if i.get("typed")),
        answers=tuple((a["label"], _short(a)) for a in told["answer"].values() if a["text"]),
        source=told["source"],
        caution=told["caution"],
        struck=kept.struck,
    )


def put_sums(page: Page, sums: tuple[SumLine, ...], w: Words) -> None:
    """The sums of a day as text; nothing where there are none."""
    if not sums:
        return
    page.heading(w.say("daily.sums_heading"))
    for one in sums:
        page.ends(f"{one.title}. {one.room}", one.at, under="    ")
        if one.struck:
            page.wrap(w.say("common.struck", reason=one.struck), first="    ")
            continue
        page.wrap(sum_given(one, w), first="    ")
        for label, text in one.answers:
            page.wrap(f"{label}: {text}", first="    ")
        page.wrap(w.say("daily.sum_source", source=one.source, caution=one.caution), first="    ")


def _short(answer: dict[str, Any]) -> str:
    text = str(answer["text"])
    return text if len(text) <= LONGEST else text[: LONGEST - 1].rstrip() + "…"
