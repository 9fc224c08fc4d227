"""Short phrases that the text and the HTML of a report share."""

from __future__ import annotations

from collections.abc import Iterable

from fieldlog.reports.facts import (
    ActLine,
    Check,
    Checks,
    Daily,
    Finding,
    RoomLine,
    SumLine,
    ToolTest,
)
from fieldlog.reports.facts_punch import PunchItem, PunchList
from fieldlog.reports.layout import sentences, stopped
from fieldlog.reports.stations import stations_in_full
from fieldlog.reports.words import Words
from fieldlog.store.views import Head

__all__ = [
    "OUTCOMES",
    "act_remarks",
    "act_where",
    "caution_lines",
    "cautions",
    "check_remarks",
    "counts",
    "head_line",
    "mark_word",
    "passed",
    "punch_counts",
    "punch_remarks",
    "punch_when",
    "room_counts",
    "source_line",
    "state_word",
    "status",
    "sum_given",
    "tool_lines",
]

OUTCOMES = ("fail", "too_close", "not_measured", "pass")
"""Outcomes of a check in the order a report tells them."""


def mark_word(mark: str, plain: str, w: Words) -> str:
    """ "Fail", "Passes, too close to call"."""
    key = f"mark.{mark}_{plain}" if mark == "too_close" and plain else f"mark.{mark}"
    return w.say(key)


def status(facts: Daily, w: Words) -> str:
    """ "Draft, not issued", or when and by whom it was issued."""
    if facts.issue is None:
        return w.say("daily.draft")
    key = "daily.issued" if facts.issue.number == 1 else "daily.issued_again"
    return w.say(key, when=facts.issue.when, by=facts.issue.by, number=facts.issue.number)


def sum_given(one: SumLine, w: Words) -> str:
    """ "From: Length 96 in; Baluster width 1 1/2 in." """
    told = w.say("list.semicolon").join(f"{label} {text}" for label, text in one.given)
    return w.say("daily.sum_from", given=told)


def tool_lines(one: ToolTest, w: Words) -> tuple[str, ...]:
    """What is said below a test of a level: what to do, and what it measured that day."""
    if one.struck:
        return (stopped(w.say("common.struck", reason=one.struck)),)
    failed = one.mark == "fail"
    checks = w.say("list.semicolon").join(one.measured)
    told = (
        w.say("test.failed") if failed else "",
        w.say("test.measured", checks=checks) if checks else w.say("test.measured_none"),
        w.say("test.again") if failed and checks else "",
    )
    return tuple(line for line in told if line)


def counts(facts: Daily, w: Words) -> str:
    """ "2 fail, 1 too close to call, 4 pass": checks of the day by outcome."""
    told = [(mark, facts.count(mark)) for mark in (*OUTCOMES, "does_not_apply")]
    return w.say("list.comma").join(w.say(f"count.{mark}", n=n) for mark, n in told if n)


def room_counts(room: RoomLine, w: Words) -> str:
    """ "3 checks, 1 item, 2 photos"; "looked at" where nothing but a note was entered."""
    told = (("checks", room.checks), ("items", room.items), ("photos", room.photos))
    parts = [w.say(f"daily.{name}", n=n) for name, n in told if n]
    return w.say("list.comma").join(parts) or w.say("daily.room_none")


def source_line(found: Finding, w: Words) -> str:
    """ "IRC 2021 R311.7.5.1. Safety and code."."""
    kind = w.say(f"kind.{found.kind}") if found.kind else ""
    if found.source and kind:
        return w.say("common.source", source=found.source.rstrip("."), kind=kind)
    return found.source or kind


def check_remarks(check: Check, w: Words) -> tuple[str, ...]:
    """Under a check's findings: notes, what passes, a clash, how a later look came out."""
    told = [stations_in_full(note) for note in check.notes]
    if check.passes and check.mark != "pass":
        told.append(w.say("daily.also_pass", n=check.passes))
    if check.clash:
        told.append(w.say("common.clash"))
    return (*told, check.again) if check.again else tuple(told)


def passed(group: Checks, w: Words) -> str:
    """ "Stair, 2 checks, 24 limits: Hall, 2nd floor (first flight); Cellar"."""
    told = (w.say("daily.checks", n=len(group.checks)), w.say("daily.limits", n=group.limits))
    where = w.say("list.semicolon").join(_passed_where(check) for check in group.checks)
    return f"{w.say('list.comma').join((group.title, *told))}: {where}"


def _passed_where(check: Check) -> str:
    place = check.title.partition(", ")[2]
    return f"{check.room} ({place})" if place else check.room


def cautions(facts: Daily, w: Words) -> tuple[str, ...]:
    """Each caution of the day's checks once, with the sheets it belongs to."""
    groups = [group for mark in OUTCOMES for group in facts.outcomes.get(mark, ())]
    return caution_lines(((group.title, group.caution) for group in groups), w)


def caution_lines(pairs: Iterable[tuple[str, str]], w: Words) -> tuple[str, ...]:
    """Each caution once; `pairs` are sheet titles with their cautions."""
    sheets: dict[str, list[str]] = {}
    for title, caution in pairs:
        if caution and title not in sheets.setdefault(caution, []):
            sheets[caution].append(title)
    return tuple(
        w.say("daily.caution", sheets=w.join(titles), caution=caution)
        for caution, titles in sheets.items()
    )


def act_where(line: ActLine, w: Words) -> str:
    """ "Stair crew. Mezzanine hall, 2nd floor, wall B. By Ada Quill."."""
    return sentences((line.crew, line.where, w.say("says.by", by=line.by)))


def act_remarks(line: ActLine, w: Words) -> tuple[str, ...]:
    """What has to be said besides the act: struck through, without effect, a clash."""
    told = []
    if line.struck:
        told.append(stopped(w.say("common.struck", reason=line.struck)))
    if line.no_effect:
        told.append(stopped(w.say("act.no_effect", reason=line.no_effect)))
    if line.clash:
        told.append(w.say("common.clash"))
    return tuple(told)


def punch_counts(facts: PunchList, w: Words) -> str:
    """ "4 to do, 1 waiting for our look. 2 of them are about safety and code."."""
    told = [w.say("punch.open", n=len(facts.open))]
    if facts.serious:
        told.append(w.say("punch.serious", n=facts.serious))
    if facts.waiting:
        told.append(w.say("punch.waiting", n=len(facts.waiting)))
    return w.say("list.comma").join(told)


def punch_when(item: PunchItem, w: Words) -> str:
    """ "Opened Mon Mar 2, 3 days. Needed by Fri Mar 6."."""
    opened = w.say("punch.opened", day=item.opened, age=item.age)
    if not item.needs_by:
        return opened
    return f"{opened} {w.say('punch.late' if item.late else 'punch.needs_by', day=item.needs_by)}"


def punch_remarks(item: PunchItem, w: Words) -> tuple[str, ...]:
    """Why it was sent back, that it was said to be another's, that another damaged it."""
    told = []
    if item.sent_back and item.reason:
        told.append(stopped(w.say("punch.sent_back", reason=item.reason)))
    if item.not_ours:
        told.append(stopped(w.say("punch.not_ours", reason=item.not_ours)))
    if item.damaged_by_other:
        told.append(w.say("punch.damaged"))
    return tuple(told)


def state_word(item: PunchItem, w: Words) -> str:
    """ "Open", "Sent back", "Corrected"."""
    return w.say("state.sent_back" if item.sent_back else f"state.{item.state}")


def head_line(head: Head, w: Words) -> str:
    """ "Journal head 412, 9f3c51a0b2d4"."""
    if head.seq == 0:
        return w.say("common.head_empty")
    return w.say("common.head", seq=head.seq, short=head.chain[:12])
