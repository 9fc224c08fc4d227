"""Dates as numbers: the days that paint went on, boards were read, a slab was closed in.

A date is kept in seconds from the start of year 1, so that two of them are a time apart.
Typed as 2026-03-04 or, as on site, 3/4/2026. A year is written with four digits: 3/4/26 could
be two dates.
"""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction

DAY = 86_400
_ISO = re.compile(r"(?P<year>[0-9]{4})-(?P<month>[0-9]{1,2})-(?P<day>[0-9]{1,2})")
_SITE = re.compile(r"(?P<month>[0-9]{1,2})/(?P<day>[0-9]{1,2})/(?P<year>[0-9]{4})")


def seconds_of(text: str) -> Fraction | None:
    """Seconds from the start of year 1 to the day named; None where the text names no day."""
    found = _ISO.fullmatch(text.strip()) or _SITE.fullmatch(text.strip())
    if found is None:
        return None
    try:
        day = date(*(int(found[part]) for part in ("year", "month", "day")))
    except ValueError:
        return None
    return Fraction(day.toordinal() * DAY)


def say_date(seconds: Fraction) -> str:
    """2026-03-04; "about" where a middle of dates is no whole day."""
    day = max(1, min(int(seconds // DAY), date.max.toordinal()))
    about = "" if seconds == day * DAY else "about "
    return about + date.fromordinal(day).isoformat()
