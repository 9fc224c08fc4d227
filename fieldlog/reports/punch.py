"""A crew's punch list: its unfinished items, the most serious first, then the oldest."""

from __future__ import annotations

import sqlite3
from datetime import date

from fieldlog.calc.house import House
from fieldlog.calc.items import UNFINISHED
from fieldlog.reports.daily_acts import item_where, item_words, name_of
from fieldlog.reports.facts import Picture
from fieldlog.reports.facts_punch import PunchItem, PunchList
from fieldlog.reports.findings import finding, limits_of, sheet_title, tool_of
from fieldlog.reports.floor import floor_work
from fieldlog.reports.phrases import caution_lines
from fieldlog.reports.punch_text import text
from fieldlog.reports.words import Words, words
from fieldlog.store import journal, reading
from fieldlog.store.views import CheckView, ItemView

__all__ = ["gather", "text"]


def gather(
    conn: sqlite3.Connection, house: House, trade: str, day: str, w: Words | None = None
) -> PunchList:
    """The list of a trade id as it stands; ages are counted to `day`, an ISO date."""
    w = w or words()
    items = reading.items(conn, trade=trade, states=UNFINISHED)
    checks = {i.check: c for i in items if i.check and (c := reading.check(conn, i.check))}
    told = {i.id: _item(conn, house, i, checks.get(i.check), day, w) for i in items}
    return PunchList(
        house=house.name,
        by=house.superintendent,
        trade=trade,
        crew=name_of(house, f"crew/{trade}"),
        day=day,
        head=journal.head(conn),
        open=tuple(told[i.id] for i in items if i.state == "open"),
        waiting=tuple(told[i.id] for i in items if i.state == "corrected"),
        cautions=caution_lines(
            ((sheet_title(c), str(c.judgement.get("caution", ""))) for c in checks.values()), w
        ),
        limits=limits_of([c.judgement for c in checks.values()], w),
    )


def _item(
    conn: sqlite3.Connection,
    house: House,
    item: ItemView,
    check: CheckView | None,
    day: str,
    w: Words,
) -> PunchItem:
    where = item_where(house, item, w)
    return PunchItem(
        number=item.number,
        where=where,
        words=item_words(item, w),
        state=item.state,
        sent_back=item.sent_back,
        reason=item.last_reason if item.sent_back else "",
        age=w.say("punch.age", n=max(_days(item.opened_day, day), 0)),
        opened=w.short_day(item.opened_day),
        needs_by=w.short_day(item.needs_by) if item.needs_by else "",
        late=bool(item.needs_by) and _days(item.needs_by, day) > 0,
        kind=item.kind,
        tool=tool_of(check.judgement, check.instrument, w) if check else "",
        findings=tuple(map(finding, item.findings)),
        damaged_by_other=item.damaged_by_other,
        not_ours=item.not_ours,
        picture=_picture(conn, item, where, w),
        floor=floor_work(conn, check) if check else None,
    )


def _picture(conn: sqlite3.Connection, item: ItemView, where: str, w: Words) -> Picture | None:
    photo = next((p for sha in item.photos if (p := reading.photo(conn, sha))), None)
    if photo is None:
        return None
    says = w.say("punch.photo_of", number=item.number, where=where)
    return Picture(photo.sha256, says, photo.width, photo.height)


def _days(since: str, until: str) -> int:
    """Whole days from one ISO date to another."""
    return (date.fromisoformat(until) - date.fromisoformat(since)).days
