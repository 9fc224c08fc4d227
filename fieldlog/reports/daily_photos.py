"""The day's photos: what each shows, and which check it stands beside."""

from __future__ import annotations

import sqlite3

from fieldlog.calc.bodies import PhotoEntry
from fieldlog.calc.house import House
from fieldlog.reports.asof import DayAsOf
from fieldlog.reports.daily_acts import item_words
from fieldlog.reports.facts import Picture
from fieldlog.reports.findings import room_name, title_of
from fieldlog.reports.layout import sentences
from fieldlog.reports.words import Words
from fieldlog.store import reading
from fieldlog.store.views import CheckView


def pictures_of(
    conn: sqlite3.Connection, house: House, known: DayAsOf, w: Words
) -> tuple[Picture, ...]:
    """Every photo of the day, in the order they came, each with its line."""
    return tuple(_picture(conn, house, photo, known, w) for photo in known.photos)


def _picture(
    conn: sqlite3.Connection, house: House, photo: PhotoEntry, known: DayAsOf, w: Words
) -> Picture:
    check = _check_of(photo, known)
    caption = photo.caption
    if photo.of.startswith("item:"):
        caption = _of_item(conn, photo, w)
    elif photo.of.startswith("check:"):
        looks = [check] if check else reading.checks_of_subject(conn, photo.of)
        caption = sentences((title_of(looks[-1]) if looks else "", caption))
    where = room_name(house, photo.room, w) if photo.room else ""
    says = sentences((caption, where)) or w.say("daily.photo")
    return Picture(photo.sha256, says, photo.width, photo.height, check.id if check else "")


def _of_item(conn: sqlite3.Connection, photo: PhotoEntry, w: Words) -> str:
    item = reading.item(conn, photo.of.partition(":")[2])
    if item is None:
        return photo.caption
    caption = photo.caption or item_words(item, w) or w.say("daily.photo")
    return w.say("daily.photo_of", number=item.number, caption=caption)


def _check_of(photo: PhotoEntry, known: DayAsOf) -> CheckView | None:
    """The look that it was taken with; else the day's last one at the same thing."""
    looks = [c for c in known.checks if c.subject == photo.of and not c.struck]
    taken = [c for c in looks if photo.sha256 in c.photos]
    return next(iter(taken), looks[-1] if looks else None)
