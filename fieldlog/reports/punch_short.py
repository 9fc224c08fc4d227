"""A crew's list as a message: short lines, and how to answer it."""

from __future__ import annotations

from fieldlog.reports.facts_punch import PunchItem, PunchList
from fieldlog.reports.phrases import punch_counts
from fieldlog.reports.words import Words, words


def message(facts: PunchList, w: Words | None = None) -> str:
    """The open items, a paragraph each, and how to say which are done. Ends with a line end."""
    w = w or words()
    head = w.say("punch.short_head", house=facts.house, day=w.short_day(facts.day), crew=facts.crew)
    said = [head, punch_counts(facts, w), *(_item(item, w) for item in facts.open)]
    if facts.open:
        said.append(w.say("punch.short_reply", example=_example(facts)))
    return "\n\n".join(said) + "\n"


def _item(item: PunchItem, w: Words) -> str:
    said = [w.say("punch.short_item", number=item.number, words=item.words, where=item.where)]
    said += [
        w.say("punch.short_measured", measured=found.measured, needs=found.needs)
        for found in item.findings
        if found.measured
    ]
    if item.needs_by:
        said.append(w.say("punch.needs_by", day=item.needs_by))
    return " ".join(said)


def _example(facts: PunchList) -> str:
    """Two numbers as they may be answered: bare where no other of the list has the same digits."""
    counts = [item.number.partition("-")[2] for item in facts.open]
    both = zip(facts.open, counts, strict=True)
    return ", ".join([n if counts.count(n) == 1 else item.number for item, n in both][:2])
