"""What a drawing reads from a judgement: sizes to draw, texts to write, the verdict of each.

A drawing never works a number out: what it writes is the judgement's own text, and the sizes in
nanometres only place lines.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from fieldlog.calc.lengths import NM_PER_INCH

WORSE = ("fail", "too_close", "not_measured", "pass", "does_not_apply")


@dataclass(frozen=True)
class Reading:
    """One value: its text without unit ("" where not measured) and its size in inches."""

    text: str
    size: float | None
    yes: bool | None = None

    @property
    def known(self) -> bool:
        """Whether it was measured."""
        return self.size is not None


NOTHING = Reading("", None)


@dataclass(frozen=True)
class Finding:
    """The worst verdict on one element: its rule's sides as the judgement says them."""

    verdict: str
    plain: str
    compare: str
    limit: str = ""

    @property
    def word(self) -> str:
        """Which way it is off, in a word: "over", "under", "fails", "too close", ..."""
        if self.verdict == "fail":
            return {"<": "over", "<=": "over", ">": "under", ">=": "under"}.get(
                self.compare, "fails"
            )
        return {"too_close": "too close", "not_measured": "not measured"}.get(self.verdict, "")


NO_FINDING = Finding("pass", "pass", "")


def finding_of(rule: Mapping[str, Any]) -> Finding:
    """What a rule's result of the judgement says."""
    return Finding(rule["verdict"], rule["plain"] or "", rule["compare"], rule["limit"]["text"])


@dataclass(frozen=True)
class Judged:
    """A judgement, read for drawing."""

    raw: Mapping[str, Any]

    def values(self, name: str) -> list[Reading]:
        """All values of a quantity; [] where the judgement has none of that name."""
        quantity = self.raw["quantities"].get(name)
        return [_reading(v) for v in quantity["values"]] if quantity else []

    def value(self, name: str, index: int = 0) -> Reading:
        """One value; a single value stands for every index, a missing one is not measured."""
        values = self.values(name)
        if len(values) == 1 and not self.raw["quantities"][name]["many"]:
            return values[0]
        return values[index] if index < len(values) else NOTHING

    def full_text(self, name: str) -> str:
        """The text of a single value with its unit, "" where not measured."""
        quantity = self.raw["quantities"].get(name)
        values = quantity["values"] if quantity else []
        return str(values[0]["text"]) if values and _measured(values[0]) else ""

    def label(self, name: str) -> str:
        """What a quantity is called."""
        return str(self.raw["quantities"][name]["label"])

    def places(self, name: str) -> list[str]:
        """What a list's places are called; [] where they are numbered."""
        return list(self.raw["quantities"].get(name, {}).get("places", ()))

    def rules(self, quantity: str) -> list[Mapping[str, Any]]:
        """The results of every rule on a quantity, in the judgement's order."""
        return [r for r in self.raw["rules"] if r["quantity"] == quantity]

    def finding(self, quantity: str, index: int | None = None) -> Finding:
        """The worst verdict on an element of a quantity (`index` None: on the whole)."""
        hits = [r for r in self.rules(quantity) if r["index"] == index]
        if not hits:
            return NO_FINDING
        worst = min(hits, key=lambda r: WORSE.index(r["verdict"]))
        return finding_of(worst)

    @property
    def unit(self) -> str:
        """What a text without unit is in."""
        return "inches" if self.raw["system"] == "us" else "millimeters"


def inches(nm: str | None) -> float | None:
    """A length of the judgement ("n" or "n/d" nm) in inches."""
    return None if nm is None else float(Fraction(nm) / NM_PER_INCH)


def bare(text: str) -> str:
    """A length's text without its unit where that is told once for all; feet keep theirs."""
    return text if " ft" in text else text.removesuffix(" in").removesuffix(" mm")


def _reading(value: Mapping[str, Any]) -> Reading:
    yes = value.get("yes")
    if not _measured(value):
        return Reading("", None, yes)
    return Reading(bare(str(value["text"])), inches(value.get("nm")), yes)


def _measured(value: Mapping[str, Any]) -> bool:
    return value.get("nm") is not None or value.get("yes") is not None
