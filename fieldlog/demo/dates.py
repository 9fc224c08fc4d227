"""The seed's days moved, so that the last walk is today and the others the working days before."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fieldlog.calc.shape import is_day
from fieldlog.reports.weekly import friday_of

WORK_STARTS = time(7, 0)
WALK_IS_OVER = time(8, 0)
"""Before this a day has no walk to show yet: the last walk is the working day before."""

_DAY_ENDS = time(20, 0)
_SATURDAY = 5
_IN_TEXT = re.compile(r"\{(\d{4}-\d{2}-\d{2})\}")


class WrongDay(ValueError):
    """The day asked for can't be the demo's last walk; the message says why."""


def asked(day: str, now: datetime, zone: str) -> tuple[date, datetime]:
    """The last walk's date for `day` (ISO, or "" for today), and the time it is seen from.

    A day asked for is seen from its end, so that the same day gives the same demo. Raises
    WrongDay for what is no day, or is not over yet.
    """
    if not day:
        return last_walk(now, zone), now
    if not is_day(day):
        raise WrongDay(f'"{day}" is not a day such as 2026-03-05.')
    wanted = date.fromisoformat(day)
    if wanted >= now.astimezone(ZoneInfo(zone)).date():
        raise WrongDay(f"{day} is not over yet: leave --date out for a walk of today.")
    return wanted, datetime.combine(wanted, _DAY_ENDS, ZoneInfo(zone))


def last_walk(now: datetime, zone: str) -> date:
    """The day of the demo's last walk: today, or early in the morning the working day before."""
    there = now.astimezone(ZoneInfo(zone))
    if there.time() >= WALK_IS_OVER:
        return there.date()
    return workdays_from(there.date(), -1)


def workdays_from(day: date, count: int) -> date:
    """The working day `count` after (or before, when negative) `day`."""
    step = timedelta(days=1 if count > 0 else -1)
    while count:
        day += step
        if day.weekday() < _SATURDAY:
            count -= 1 if count > 0 else -1
    return day


@dataclass(frozen=True)
class Calendar:
    """Seed dates to demo dates: working days are counted from the last walk."""

    seed_last: date
    last: date
    zone: ZoneInfo
    now: datetime

    @classmethod
    def of(cls, days: Sequence[str], last: date, zone: str, now: datetime) -> Calendar:
        """A calendar for the seed's `days`, the last of which becomes `last`."""
        return cls(max(date.fromisoformat(d) for d in days), last, ZoneInfo(zone), now)

    def day(self, seed_day: str) -> str:
        """The ISO date that takes a seed date's place."""
        return workdays_from(self.last, self._workdays_to(seed_day)).isoformat()

    def week(self) -> str:
        """The Friday that the weekly letter is for."""
        return friday_of(self.last.isoformat())

    def told(self, text: str) -> str:
        """`text` with each `{2026-03-09}` as "Monday, March 9" of the demo."""
        return _IN_TEXT.sub(lambda found: _in_words(self.day(found[1])), text)

    def moment(self, seed_day: str, at: str, day_ends: str) -> datetime:
        """When a thing entered at `at` happened, never after `now`.

        On a day that is not over yet, the time from start of work until `day_ends` is squeezed
        into the time that has passed.
        """
        day = date.fromisoformat(self.day(seed_day))
        start = datetime.combine(day, WORK_STARTS, self.zone)
        moment, end = (datetime.combine(day, _clock(t), self.zone) for t in (at, day_ends))
        if end > self.now > start:
            moment = start + (moment - start) * ((self.now - start) / (end - start))
        return moment

    def _workdays_to(self, seed_day: str) -> int:
        wanted = date.fromisoformat(seed_day)
        count, day = 0, self.seed_last
        while day != wanted:
            back = wanted < day
            day += timedelta(days=-1 if back else 1)
            if day.weekday() < _SATURDAY:
                count += -1 if back else 1
        return count


def _clock(text: str) -> time:
    hour, minute = text.split(":")
    return time(int(hour), int(minute))


def _in_words(day: str) -> str:
    on = date.fromisoformat(day)
    return f"{on:%A}, {on:%B} {on.day}"
