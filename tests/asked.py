"""Named calculations as they are asked for by key and text, with the files that ship."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from fieldlog.calc.calculations import InputsRefused, Reference, run
from fieldlog.calc.calculations.practice import load_practice
from fieldlog.calc.calculations.species import load_lifting, load_wood
from fieldlog.calc.library import build_library
from fieldlog.store.files import PACKAGE

INCH = 25_400_000


@cache
def reference() -> Reference:
    """Species, lifting and practice as they ship, with no book: these look no limit up."""
    texts = {
        name: (PACKAGE / name).read_text(encoding="utf-8")
        for name in ("species/wood.toml", "species/lifting.toml", "practice/finish.toml")
    }
    return Reference(
        build_library(()),
        load_wood(texts["species/wood.toml"], "wood.toml"),
        load_lifting(texts["species/lifting.toml"], "lifting.toml"),
        load_practice(texts["practice/finish.toml"], "finish.toml"),
    )


def ask(asked: str, system: str = "us", /, **inputs: Any) -> dict[str, Any]:
    """Run one; `from_` and `wet_bulb` stand for the keys "from" and "wet-bulb"."""
    raw = {key.rstrip("_").replace("_", "-"): str(value) for key, value in inputs.items()}
    return run(asked, raw, system, reference())


def answer(asked: str, system: str = "us", /, **inputs: Any) -> dict[str, Any]:
    """Its results by name."""
    found: dict[str, Any] = ask(asked, system, **inputs)["answer"]
    return found


def exact(result: dict[str, Any]) -> Fraction:
    """The exact text of a result, its unit left off."""
    number = result["exact"].split()[0]
    return Fraction(number) if "/" in number else Fraction(Decimal(number))


def sentence(asked: str, system: str = "us", /, **inputs: Any) -> tuple[str, str]:
    """The input that is refused, and why: always a sentence."""
    with pytest.raises(InputsRefused) as caught:
        ask(asked, system, **inputs)
    (error,) = caught.value.errors
    assert error.message[-1] in ".?", error.message
    return error.field, error.message
