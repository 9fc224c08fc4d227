"""What the weekly letter says, as plain frozen facts."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.reports.facts import Picture


@dataclass(frozen=True, slots=True)
class WeeklyLetter:
    """The weekly letter as sections of paragraphs; `fixed` once the superintendent issued it.

    `issued` says when that was, in the house's time; "" for a draft.
    """

    house: str
    owner: str
    by: str
    day: str
    greeting: str
    finished: tuple[str, ...]
    need_from_you: tuple[str, ...]
    next_up: tuple[str, ...]
    closing: tuple[str, ...]
    pictures: tuple[Picture, ...]
    fixed: bool
    issued: str = ""
