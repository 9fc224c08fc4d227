"""Enter the seed's walks through the intake, as a tablet's entries would come."""

from __future__ import annotations

import dataclasses
import json
import shutil
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from fieldlog import intake
from fieldlog.calc.calculations import Reference, run
from fieldlog.calc.entries import (
    Act,
    CheckEntry,
    Day,
    ItemEntry,
    KeptSum,
    Letter,
    PhotoEntry,
    Strike,
    Walk,
    subject_of,
)
from fieldlog.calc.ids import new_id
from fieldlog.calc.judged import failing_rules
from fieldlog.calc.library import Library
from fieldlog.calc.shape import Strict
from fieldlog.demo.dates import Calendar
from fieldlog.demo.photos import drawn
from fieldlog.demo.seed import Seed, SeedDay, SeedEntry
from fieldlog.reports import daily
from fieldlog.store import photos, reading
from fieldlog.store.calc_files import load_reference
from fieldlog.store.db import HouseFolder, open_writer, transaction
from fieldlog.store.files import load_library
from fieldlog.store.lock import Lock

T = TypeVar("T", bound=Strict)

MARK = "made-by-fieldlog-demo"
"""A file that says the folder was made by a demo, and may be thrown away by the next one."""


class FolderTaken(Exception):
    """The folder holds something that no demo made; the message says so."""


class DemoRefused(RuntimeError):
    """The intake refused an entry of the seed, or stored it without effect: the seed is wrong."""


def load(folder: Path, seed: Seed, now: datetime, last: date) -> None:
    """Make the demo's house in `folder`; its last walk is on `last`.

    The same seed, `now` and `last` give the same journal, to the last byte. Raises FolderTaken,
    HouseBusy, DemoRefused, or OSError for a folder that can't be written.
    """
    claim(folder)
    calendar = Calendar.of([day.day for day in seed.days], last, seed.house.zone, now)
    for name, text in seed.files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    first = seed.days[0]
    start = calendar.moment(first.day, "7:00", first.entry[-1].at)
    intake.start_house(folder, seed.house, start, new_id(start, bytes(10)))
    with closing(open_writer(folder)) as conn:
        at = _Entering(conn, folder, load_library(folder), calendar, seed, load_reference(folder))
        for day in seed.days:
            with transaction(conn):
                at.day(day)


def claim(folder: Path) -> None:
    """Make sure `folder` is the demo's: new, empty, or an earlier demo's, which is removed.

    Raises FolderTaken for any other, HouseBusy while an earlier demo is still served.
    """
    if folder.exists() and not folder.is_dir():
        raise FolderTaken(f"{folder} is a file, not a folder.")
    if folder.is_dir() and any(folder.iterdir()):
        if not (folder / MARK).is_file():
            raise FolderTaken(
                f"{folder} is not empty and was not made by a demo. Give an empty folder."
            )
        _clear(folder)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / MARK).write_text("Made by `fieldlog demo`; the next one here starts over.\n")


def _clear(folder: Path) -> None:
    held = Lock(HouseFolder(folder).lock)
    try:
        for path in folder.iterdir():
            if path.name in (MARK, HouseFolder(folder).lock.name):
                continue
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path)
            else:
                path.unlink()
    finally:
        held.release()


@dataclass
class _Entering:
    """Entering the seed: the ids given so far, and what they were given to."""

    conn: sqlite3.Connection
    folder: Path
    library: Library
    calendar: Calendar
    seed: Seed
    reference: Reference
    ids: dict[str, str] = field(default_factory=dict)
    subjects: dict[str, str] = field(default_factory=dict)
    digests: dict[str, str] = field(default_factory=dict)
    count: int = 0

    def day(self, day: SeedDay) -> None:
        """Enter one day's entries in order."""
        ends = day.entry[-1].at
        for entry in day.entry:
            now = self.calendar.moment(day.day, entry.at, ends)
            self._enter(entry, self.calendar.day(day.day), now)

    def _enter(self, entry: SeedEntry, day: str, now: datetime) -> None:
        made = self._new_id(now)
        body, subject = self._body(entry, made, day, now)
        author = entry.by or f"superintendent/{self.seed.house.superintendent}"
        for photo in entry.photos:
            self._photo(photo.scene, photo.caption, body, subject, day, now, author)
        if entry.photos and "photos" in body.__struct_fields__:
            shown = tuple(self.digests[photo.scene] for photo in entry.photos)
            body = msgspec.structs.replace(body, photos=shown)
        self._record(made, _TYPES[entry.kind], subject, author, body, now)
        if entry.ref:
            self.ids[entry.ref], self.subjects[entry.ref] = made, subject

    def _body(self, entry: SeedEntry, made: str, day: str, now: datetime) -> tuple[Strict, str]:
        """The entry's body and subject."""
        body: Strict
        match entry.kind:
            case "walk":
                body = _as(Walk, entry.walk, day=day)
            case "day":
                body = _as(Day, entry.day, day=day)
            case "check":
                body = self._check(entry.check or {}, day)
            case "item":
                body = self._item(entry.item or {}, day)
            case "sum":
                body = self._sum(entry.sum or {}, day)
            case "letter":
                body = self._letter(entry.letter or {})
            case "issue":
                author = f"superintendent/{self.seed.house.superintendent}"
                body = daily.issue_daily(self.conn, self.seed.house, day, now=now, author=author)
            case "act":
                return self._act(entry.act or {}, day)
            case _:
                return self._strike(entry.strike or {})
        return body, subject_of(made, body)

    def _check(self, table: Mapping[str, Any], day: str) -> CheckEntry:
        readings = {name: _blanks(value) for name, value in table["readings"].items()}
        sheet = self.library.sheet(table["sheet"])
        return _as(CheckEntry, table, readings=readings, day=day, sheet_sha256=sheet.sha256)

    def _item(self, table: Mapping[str, Any], day: str) -> ItemEntry:
        needs_by = table.get("needs_by", "")
        check = self.ids[table["check"]] if "check" in table else ""
        return _as(
            ItemEntry,
            table,
            number="",
            day=day,
            check=check,
            needs_by=self.calendar.day(needs_by) if needs_by else "",
            rules=self._failing(check, table["trade"]),
        )

    def _failing(self, check_id: str, trade: str) -> tuple[str, ...]:
        """The limits of a check that this crew is given: those that fail and are its own."""
        check = reading.check(self.conn, check_id)
        return failing_rules(check.judgement, trade) if check else ()

    def _sum(self, table: Mapping[str, Any], day: str) -> KeptSum:
        told = run(table["name"], table["inputs"], self.seed.house.system, self.reference)
        of = self.subjects[table["of"]] if "of" in table else ""
        return _as(KeptSum, table, of=of, day=day, answer=json.dumps(told, ensure_ascii=False))

    def _act(self, table: Mapping[str, Any], day: str) -> tuple[Act, str]:
        check = self.ids[table["check"]] if "check" in table else ""
        rest = {key: value for key, value in table.items() if key != "item"}
        return _as(Act, rest, day=day, check=check), self.subjects[table["item"]]

    def _strike(self, table: Mapping[str, Any]) -> tuple[Strike, str]:
        ref = table["entry"]
        return Strike(self.ids[ref], table["reason"]), self.subjects[ref]

    def _letter(self, table: Mapping[str, Any]) -> Letter:
        told = {k: self.calendar.told(v).strip() for k, v in table.items() if isinstance(v, str)}
        shown = tuple(self.digests[scene] for scene in table.get("photos", ()))
        return _as(Letter, told, week=self.calendar.week(), photos=shown)

    def _photo(
        self, scene: str, caption: str, of: Strict, subject: str, day: str, now: datetime, by: str
    ) -> None:
        kept = photos.keep(self.folder, drawn(scene))
        self.digests[scene] = kept.sha256
        about = {"room": self._room(of, subject), "of": subject, "caption": caption, "day": day}
        body = _as(PhotoEntry, dataclasses.asdict(kept), **about)
        made = self._new_id(now)
        self._record(made, "photo/1", subject_of(made, body), by, body, now)

    def _room(self, of: Strict, subject: str) -> str:
        if isinstance(of, CheckEntry | ItemEntry):
            return of.room
        item = reading.item(self.conn, subject.removeprefix("item:"))
        return item.room if item else ""

    def _record(
        self, made: str, kind: str, subject: str, author: str, body: Strict, now: datetime
    ) -> None:
        answer = intake.record(
            self.conn,
            self.folder,
            self.library,
            id=made,
            type=kind,
            subject=subject,
            author=author,
            body=body,
            now=now,
            seen=reading.head_of(self.conn, subject),
        )
        if answer.status != "stored":
            raise DemoRefused(f"{kind} of {now}: {answer.status}: {answer.reason}")

    def _new_id(self, now: datetime) -> str:
        self.count += 1
        return new_id(now, self.count.to_bytes(10, "big"))


_TYPES = {
    "walk": "walk/1",
    "day": "day/1",
    "check": "check/1",
    "item": "item/1",
    "act": "act/1",
    "letter": "letter/1",
    "strike": "strike/1",
    "issue": "report/1",
    "sum": "calculation/1",
}


def _as(kind: type[T], table: Mapping[str, Any] | None, **more: Any) -> T:
    return msgspec.convert({**(table or {}), **more}, kind)


def _blanks(value: Any) -> Any:
    """A reading or list of them with None in place of "" ."""
    if isinstance(value, list):
        return [_blanks(one) for one in value]
    if isinstance(value, dict):
        return {key: _blanks(one) for key, one in value.items()}
    return None if value == "" else value
