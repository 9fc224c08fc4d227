"""How calculations are grouped, and what leads from a check to them: `words/en-math.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import msgspec

from fieldlog.calc.calculations import REGISTRY, Calculation
from fieldlog.calc.judged import is_over
from fieldlog.calc.shape import Strict
from fieldlog.store.views import CheckView

OTHERS = "More"


class Subject(Strict, frozen=True):
    """Calculations about one thing, in a superintendent's words."""

    title: str
    names: tuple[str, ...]


class Prefill(Strict, frozen=True):
    """What of a sheet's quantities goes into which inputs."""

    sheet: str
    calculations: tuple[str, ...]
    inputs: dict[str, str]


class Fix(Strict, frozen=True):
    """Limits on these quantities, and the calculation that mends them."""

    sheet: str
    quantities: tuple[str, ...]
    calculation: str


class MathWords(Strict, frozen=True):
    """The whole file."""

    subject: tuple[Subject, ...]
    prefill: tuple[Prefill, ...]
    fix: tuple[Fix, ...]


@cache
def math_words() -> MathWords:
    """The file, read once."""
    text = (files("fieldlog") / "words" / "en-math.toml").read_text(encoding="utf-8")
    return msgspec.convert(tomllib.loads(text), MathWords)


def by_subject() -> list[tuple[str, list[Calculation]]]:
    """Every calculation there is, under its subject."""
    listed = [(s.title, [REGISTRY[n] for n in s.names if n in REGISTRY]) for s in _subjects()]
    known = {n for s in _subjects() for n in s.names}
    others = [c for name, c in REGISTRY.items() if name not in known]
    return [(title, found) for title, found in [*listed, (OTHERS, others)] if found]


def fixes_of(check: CheckView) -> list[Calculation]:
    """Calculations that mend what is over in a check, the one for the gravest first."""
    over = {r["quantity"] for r in check.judgement.get("rules", ()) if is_over(r)}
    return _mending(check, over)


def _mending(check: CheckView, over: Collection[str]) -> list[Calculation]:
    rows = [f for f in math_words().fix if f.sheet == check.sheet and f.calculation in REGISTRY]
    names = (f.calculation for f in rows if any(q in f.quantities for q in over))
    return [REGISTRY[name] for name in dict.fromkeys(names)]


def finish_fixes_of(check: CheckView) -> list[Calculation]:
    """Calculations that mend what will be over in a check when the finishes are on."""
    found = (check.judgement.get("finished") or {}).get("findings", ())
    over = {f["rule"] for f in found if f["mark"] in ("fail", "too_close") and f["plain"] != "pass"}
    quantities = {r["quantity"] for r in check.judgement["rules"] if r["rule"] in over}
    return [] if check.struck else _mending(check, quantities)


def from_check(
    calculation: Calculation, check: CheckView, system: str, finished: bool = False
) -> dict[str, str]:
    """Inputs of a calculation as a check has them, or as the finishes will make them: texts, as
    a person would type them."""
    filled: dict[str, str] = {}
    told = dict(check.judgement["quantities"])
    if finished:
        told |= (check.judgement.get("finished") or {}).get("quantities", {})
    for row in math_words().prefill:
        if row.sheet == check.sheet and calculation.name in row.calculations:
            filled |= _quantities(calculation, told, row, system)
    judged = check.judgement
    if filled:
        filled |= {"books": ", ".join(b["id"] for b in judged["books"]), "tool": check.instrument}
    return {name: text for name, text in filled.items() if text and calculation.input(name)}


def _quantities(
    calculation: Calculation, told: Mapping[str, Any], row: Prefill, system: str
) -> dict[str, str]:
    found = {}
    for name, quantity in row.inputs.items():
        spec = calculation.input(name)
        values = told.get(quantity, {}).get("values", ())
        if spec is not None:
            bare = " in" if system == "us" and spec.unit == "in" else ""
            found[name] = _joined(_typed(value, bare) for value in values)
    return found


def _joined(texts: Iterable[str]) -> str:
    """A list as typed; one that is the same all along is said in full, blanks keep their place."""
    return ", ".join(texts).strip(", ")


def _typed(value: dict[str, Any], unit: str) -> str:
    """A value as it would be typed: what the page shows, unless that is rounded."""
    if value.get("yes") is not None:
        return "yes" if value["yes"] else "no"
    text = str(value.get("text") or "")
    if text.startswith("about"):
        text = str(value.get("typed") or "")
    return text.removesuffix(unit)


def _subjects() -> tuple[Subject, ...]:
    return math_words().subject
