"""The seed files: a house, and its days of walks as TOML in the order they were entered."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

from fieldlog.calc.house import House, parse_house
from fieldlog.calc.shape import Strict
from fieldlog.config import asset_folder

KINDS = ("walk", "day", "check", "item", "act", "letter", "strike", "issue", "sum")


class SeedNotUnderstood(ValueError):
    """A seed file is malformed: the message says which and where."""


class SeedPhoto(Strict, frozen=True):
    """A photo to draw: a scene of `photos.SCENES`, and its caption."""

    scene: str
    caption: str = ""


class SeedEntry(Strict, frozen=True):
    """One thing entered at a time of day; exactly one of `KINDS` is there.

    `ref` is how later entries name this one; `by` is `crew/<trade>`, or "" for the
    superintendent. The tables are bodies of journal entries without what the loader adds: day,
    ids in place of refs, digests of photos. TOML has no null: "" is a reading not taken.
    """

    at: str
    ref: str = ""
    by: str = ""
    photos: tuple[SeedPhoto, ...] = ()
    walk: dict[str, Any] | None = None
    day: dict[str, Any] | None = None
    check: dict[str, Any] | None = None
    item: dict[str, Any] | None = None
    act: dict[str, Any] | None = None
    letter: dict[str, Any] | None = None
    strike: dict[str, Any] | None = None
    issue: str | None = None
    sum: dict[str, Any] | None = None

    @property
    def kind(self) -> str:
        """Which of `KINDS` this is."""
        return next(kind for kind in KINDS if getattr(self, kind) is not None)


class SeedDay(Strict, frozen=True):
    """One walk: its date in the seed, and its entries in order."""

    day: str
    entry: tuple[SeedEntry, ...]


@dataclass(frozen=True, slots=True)
class Seed:
    """The house, its days, and its own data files by path in the data folder."""

    house: House
    days: tuple[SeedDay, ...]
    files: dict[str, str]


def read_seed(folder: Path | None = None) -> Seed:
    """The seed in `folder`, or the one that ships. Raises SeedNotUnderstood, HouseNotUnderstood."""
    at = folder or asset_folder("seed_data")
    days = tuple(_day(path) for path in sorted((at / "walks").glob("*.toml")))
    own = [at / "overrides.toml", *sorted((at / "books").glob("*.toml"))]
    return Seed(
        house=parse_house(_text(at / "house.toml")),
        days=days,
        files={path.relative_to(at).as_posix(): _text(path) for path in own if path.is_file()},
    )


def _day(path: Path) -> SeedDay:
    try:
        day = msgspec.convert(tomllib.loads(_text(path)), SeedDay)
    except (tomllib.TOMLDecodeError, msgspec.ValidationError) as err:
        raise SeedNotUnderstood(f"{path.name}: {err}") from err
    for entry in day.entry:
        there = [kind for kind in KINDS if getattr(entry, kind) is not None]
        if len(there) != 1:
            found = ", ".join(there) or "none"
            raise SeedNotUnderstood(f"{path.name}, {entry.at}: one of {', '.join(KINDS)}: {found}")
    return day


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")
