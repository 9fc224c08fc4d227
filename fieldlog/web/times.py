"""Days and times as a page says them: "Tue Mar 3", "8:12 am". Pure; English site usage."""

from __future__ import annotations

from datetime import date, datetime, tzinfo
from functools import lru_cache

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
LONG_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEK = 7


def local(received: str, zone: tzinfo) -> datetime:
    """A stored UTC time (ISO 8601) in the house's zone."""
    return datetime.fromisoformat(received).astimezone(zone)


def clock_time(moment: datetime) -> str:
    """`8:12 am`."""
    half = "am" if moment.hour < 12 else "pm"
    return f"{moment.hour % 12 or 12}:{moment.minute:02} {half}"


def day_name(day: date | str) -> str:
    """`Tue Mar 3`. Text that is no ISO date comes back as it is."""
    try:
        on = day if isinstance(day, date) else date.fromisoformat(day)
    except ValueError:
        return str(day)
    return f"{DAYS[on.weekday()]} {MONTHS[on.month - 1]} {on.day}"


def long_day_name(day: date | str) -> str:
    """`Tuesday, Mar 3, 2026`."""
    try:
        on = day if isinstance(day, date) else date.fromisoformat(day)
    except ValueError:
        return str(day)
    return f"{LONG_DAYS[on.weekday()]}, {MONTHS[on.month - 1]} {on.day}, {on.year}"


def full(moment: datetime) -> str:
    """`Tue Mar 3, 8:12 am`."""
    return f"{day_name(moment.date())}, {clock_time(moment)}"


def short(moment: datetime, today: date) -> str:
    """As short as stays clear: `8:12 am` today, `Mon` this week, else `Mar 3`."""
    age = (today - moment.date()).days
    if age == 0:
        return clock_time(moment)
    if 0 < age < WEEK:
        return DAYS[moment.weekday()]
    return f"{MONTHS[moment.month - 1]} {moment.day}"


@lru_cache(maxsize=1024)  # a list asks for the same few days hundreds of times
def days_ago(day: str, today: date) -> str:
    """`today`, `1 day`, `12 days`: how long something has stood."""
    try:
        age = (today - date.fromisoformat(day)).days
    except ValueError:
        return ""
    if age <= 0:
        return "today"
    return "1 day" if age == 1 else f"{age} days"


def lower_first(text: str) -> str:
    """A name inside a sentence: "Stair crew" is "stair crew", "HVAC crew" stays."""
    if text[1:2].isupper() or not text[:1].isalpha():
        return text
    return text[:1].lower() + text[1:]
