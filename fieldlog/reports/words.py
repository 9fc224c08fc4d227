"""The reports' sentences, kept as templates in `fieldlog/words/<language>-reports.toml`.

A template is text with `{named}` gaps. One that counts is a table with `one` and `other`
(and, if it reads better, `none`), chosen by its gap `n`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import date, datetime
from functools import cache
from importlib.resources import files
from typing import Any
from zoneinfo import ZoneInfo


class WordsMissing(LookupError):
    """A report asks for a sentence that the language's file does not have."""


class Words:
    """The sentences of one language."""

    def __init__(self, table: dict[str, Any]) -> None:
        self._table = table

    def say(self, key: str, **gaps: object) -> str:
        """The sentence of a dotted key with its gaps filled. Raises WordsMissing."""
        found = self._find(key)
        if isinstance(found, dict):
            found = _counted(found, gaps.get("n"))
        if not isinstance(found, str):
            raise WordsMissing(f"no sentence {key!r}")
        return found.format_map(gaps)

    def has(self, key: str) -> bool:
        """Whether there is a sentence of that key."""
        try:
            self._find(key)
        except WordsMissing:
            return False
        return True

    def list(self, key: str) -> tuple[str, ...]:
        """A list of words, such as the months."""
        return tuple(self._find(key))

    def join(self, names: Sequence[str]) -> str:
        """ "a", "a and b", "a, b and c"."""
        if len(names) < 2:
            return "".join(names)
        return self.say("list.last", rest=self.say("list.comma").join(names[:-1]), last=names[-1])

    def long_day(self, day: str) -> str:
        """ "Tuesday, March 3, 2026" of an ISO date."""
        return self.say("date.long", **self._parts(date.fromisoformat(day)))

    def letter_day(self, day: str) -> str:
        """ "March 3, 2026" of an ISO date."""
        return self.say("date.letter", **self._parts(date.fromisoformat(day)))

    def letter_weekday(self, day: str) -> str:
        """ "Friday, March 6" of an ISO date."""
        return self.say("date.letter_weekday", **self._parts(date.fromisoformat(day)))

    def short_day(self, day: str) -> str:
        """ "Tue Mar 3" of an ISO date."""
        return self.say("date.short", **self._parts(date.fromisoformat(day)))

    def clock(self, received: str, zone: str) -> str:
        """ "8:12 am", in the house's zone, of a UTC time in ISO 8601."""
        at = _local(received, zone)
        half = self.list("date.halves")[at.hour // 12]
        return self.say("date.clock", hour=at.hour % 12 or 12, minute=f"{at.minute:02}", half=half)

    def when(self, received: str, zone: str) -> str:
        """ "Tue Mar 3, 8:12 am", in the house's zone, of a UTC time in ISO 8601."""
        day = self.short_day(_local(received, zone).date().isoformat())
        return self.say("date.when", day=day, clock=self.clock(received, zone))

    def _find(self, key: str) -> Any:
        found: Any = self._table
        for part in key.split("."):
            if not isinstance(found, dict) or part not in found:
                raise WordsMissing(f"no sentence {key!r}")
            found = found[part]
        return found

    def _parts(self, day: date) -> dict[str, object]:
        weekday, month = self.list("date.weekdays"), self.list("date.months")
        return {
            "weekday": weekday[day.weekday()],
            "month": month[day.month - 1],
            "short_weekday": weekday[day.weekday()][:3],
            "short_month": month[day.month - 1][:3],
            "day": day.day,
            "year": day.year,
        }


def _counted(table: dict[str, Any], n: object) -> object:
    if n == 0 and "none" in table:
        return table["none"]
    return table.get("one" if n == 1 else "other")


def _local(received: str, zone: str) -> datetime:
    return datetime.fromisoformat(received).astimezone(ZoneInfo(zone))


@cache
def words(language: str = "en") -> Words:
    """The reports' sentences of a language, read once from the package."""
    text = (files("fieldlog") / "words" / f"{language}-reports.toml").read_text(encoding="utf-8")
    return Words(tomllib.loads(text))
