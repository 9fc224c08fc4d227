"""Named calculations: solve a problem on the spot, and show the math.

`run(name, raw, system, reference)` is all that a command or a page needs; `REGISTRY` says
what each asks for. To add one, write a module with `CALCULATIONS` and name it in `registry`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.calc.calculations.inputs import parse_inputs
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Reference,
    Result,
    Rows,
    Series,
    Words,
)
from fieldlog.calc.calculations.refusing import InputsRefused, refused
from fieldlog.calc.calculations.registry import REGISTRY
from fieldlog.calc.calculations.running import run_one
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.typed import short

__all__ = [
    "REGISTRY",
    "Answer",
    "Calculation",
    "Given",
    "Input",
    "InputsRefused",
    "Length",
    "Number",
    "Reference",
    "Result",
    "Rows",
    "Series",
    "Words",
    "calculation",
    "parse_inputs",
    "refused",
    "run",
]


def calculation(name: str) -> Calculation:
    """The calculation of that name. Raises UnknownSource."""
    if name not in REGISTRY:
        known = ", ".join(REGISTRY)
        raise UnknownSource(f'There is no calculation "{short(name)}". There are: {known}.')
    return REGISTRY[name]


def run(
    name: str, raw: Mapping[str, str], system: str = "us", reference: Reference | None = None
) -> dict[str, Any]:
    """Run a calculation; see `running.run_one` for what comes out.

    `reference` may be left out only where a calculation looks nothing up. Raises
    UnknownSource, and InputsRefused with an error for each input that can't be used.
    """
    return run_one(calculation(name), raw, system, reference or _NOTHING)


_NOTHING = Reference.empty()
