"""What holds a trade in a room, in words: a check that is over or missing, an item nobody accepted.

A failing check that somebody agreed to take as it is (its item accepted as is) holds nobody;
an item accepted by eye does not release a check: that takes a new measurement.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from fieldlog.calc.checking import PHOTOS
from fieldlog.calc.house import House, PlannedCheck
from fieldlog.calc.sheets import Sheet

SERIOUS = ("safety", "holds")
"""Kinds of limit whose items hold a later trade."""

NOT_ACCEPTED = "An earlier crew's work is not accepted yet."
"""All that a crew reads of what it neither needs nor owns."""

WAITING = ("open", "corrected")
"""States of an item that nobody has accepted yet."""


class CheckLike(Protocol):
    """What is read of a check: the latest one of its key in its room."""

    @property
    def id(self) -> str: ...
    @property
    def room(self) -> str: ...
    @property
    def sheet(self) -> str: ...
    @property
    def place(self) -> str: ...
    @property
    def key(self) -> str: ...
    @property
    def verdict(self) -> str: ...
    @property
    def judgement(self) -> dict[str, Any]: ...


class ItemLike(Protocol):
    """What is read of a punch item."""

    @property
    def id(self) -> str: ...
    @property
    def number(self) -> str: ...
    @property
    def room(self) -> str: ...
    @property
    def trade(self) -> str: ...
    @property
    def words(self) -> str: ...
    @property
    def state(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def check(self) -> str: ...
    @property
    def rules(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class AboutSheet:
    """A sheet's title, and its quantities that only a named person can make good."""

    title: str
    named: frozenset[str] = frozenset()

    @classmethod
    def of(cls, sheet: Sheet) -> AboutSheet:
        """What is known of a sheet."""
        return cls(sheet.title, frozenset(named_in(sheet).values()))


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a step is held, and what releases it. `check` and `items` are ids for links.

    `short` says the same without another crew's numbers or items: what a crew may read.
    """

    text: str
    short: str
    release: str
    check: str = ""
    key: str = ""
    items: tuple[str, ...] = ()
    by_name: bool = False
    """Whether only the name of who releases it is missing."""


def named_in(sheet: Sheet) -> dict[str, str]:
    """Fields that ask for the name of who releases it, each with the quantity that hangs on it."""
    return {
        d.formula.removeprefix("given(").removesuffix(")"): d.name
        for d in sheet.derived
        if d.formula.startswith("given(")
    }


def missing_reason(
    planned: PlannedCheck, check: CheckLike | None, sheets: Mapping[str, AboutSheet]
) -> Reason | None:
    """Why a planned check holds that was not measured, or not wholly; None where it was."""
    name = _name(sheets, planned.sheet, planned.place)
    if check is None:
        text = f"{name}: not measured yet."
        return Reason(text, text, "Measure it.", key=planned.key)
    if check.judgement.get("counts", {}).get("not_measured", 0):
        head = _first_head(check, ("not_measured",))
        short = f"{name}: not wholly measured."
        release = "Measure what is missing."
        return Reason(f"{name}: {head}", short, release, check.id, planned.key)
    return None


def failing_reason(
    check: CheckLike,
    bad: list[dict[str, Any]],
    items: list[ItemLike],
    sheets: Mapping[str, AboutSheet],
) -> Reason | None:
    """Why a check holds by the limits `bad` that it is over; None where all were agreed to."""
    theirs = [i for i in items if _about(i, check, bad)]
    if not bad or _agreed(bad, theirs):
        return None
    name = _name(sheets, check.sheet, check.place)
    named = sheets[check.sheet].named if check.sheet in sheets else frozenset()
    lacks = {str(r.get("quantity")) for r in bad}
    if lacks & named and lacks <= named | {PHOTOS}:
        return _unreleased(name, check.key, check, theirs, PHOTOS in lacks)
    return _failing(name, check.key, check, theirs)


def _name(sheets: Mapping[str, AboutSheet], sheet: str, place: str) -> str:
    title = sheets[sheet].title if sheet in sheets else sheet
    return f"{title}, {place[:1].lower() + place[1:]}" if place else title


def _failing(name: str, key: str, check: CheckLike, theirs: list[ItemLike]) -> Reason:
    waiting = [i for i in theirs if i.state in WAITING]
    text = f"{name}: {_first_head(check, ('fail', 'too_close'))}"
    if check.verdict == "too_close":
        release = "Too close to call: measure again with a finer tool."
    elif waiting:
        release = f"Correct {_join(i.number for i in waiting)}, then measure again."
    else:
        release = "Correct it, then measure again."
    short = f"{name}: does not pass yet."
    return Reason(text, short, release, check.id, key, tuple(i.id for i in waiting))


def _unreleased(
    name: str, key: str, check: CheckLike, theirs: list[ItemLike], photos: bool
) -> Reason:
    """Only a name is missing, and photos perhaps: nothing is to be measured again."""
    text = f"{name}: {_first_head(check, ('fail',))}"
    short = f"{name}: not released yet."
    release = "Add its photos, then release it." if photos else "Release it."
    waiting = tuple(i.id for i in theirs if i.state in WAITING)
    return Reason(text, short, release, check.id, key, waiting, by_name=True)


def _about(item: ItemLike, check: CheckLike, bad: list[dict[str, Any]]) -> bool:
    """Whether an item is about what this check found: opened by it, or for the same limits."""
    limits = {r.get("rule") for r in bad}
    return item.check == check.id or bool(item.check and limits & set(item.rules))


def _agreed(bad: list[dict[str, Any]], items: list[ItemLike]) -> bool:
    agreed = {r for i in items if i.state == "accepted_as_is" for r in i.rules}
    return all(r.get("rule") in agreed for r in bad)


def _first_head(check: CheckLike, marks: tuple[str, ...]) -> str:
    heads = [
        str(f.get("head", ""))
        for f in check.judgement.get("findings", ())
        if f.get("mark") in marks and not (f["mark"] == "too_close" and f.get("plain") == "pass")
    ]
    if not heads:
        return "not wholly measured." if marks == ("not_measured",) else "does not pass."
    more = f" And {len(heads) - 1} more." if len(heads) > 1 else ""
    return heads[0] + more


def item_reason(item: ItemLike, house: House) -> Reason:
    """Why an item holds that nobody has accepted yet."""
    crew = house.trade(item.trade)
    name = crew.name if crew else item.trade
    if item.state == "corrected":
        release = f"{name} says it is corrected: look at {item.number} and accept it."
    else:
        release = f"{name} corrects {item.number}, then you accept it."
    text = f"{item.number} {item.words.rstrip('.')}."
    return Reason(text, NOT_ACCEPTED, release, item.check, "", (item.id,))


def _join(words: Iterable[str]) -> str:
    return " and ".join(words)
