"""Raw inputs of a calculation, parsed once: exact values, with every error at its own input."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.calc.calculations.kinds import KINDS
from fieldlog.calc.calculations.model import Calculation, Input
from fieldlog.calc.calculations.numbers import NotUnderstood
from fieldlog.calc.calculations.refusing import InputsRefused
from fieldlog.calc.lengths import LengthNotUnderstood
from fieldlog.calc.readings import SlotError
from fieldlog.calc.typed import short


def parse_inputs(
    calculation: Calculation, raw: Mapping[str, str], system: str = "us"
) -> dict[str, Any]:
    """The value of every input, None for one left out that has no default.

    Raises InputsRefused with every error found, not just the first.
    """
    errors = [_unknown(calculation, name) for name in raw if calculation.input(name) is None]
    values: dict[str, Any] = {}
    for spec in calculation.inputs:
        text = raw.get(spec.name, "")
        try:
            values[spec.name] = _value(spec, text, system)
        except InputsRefused as err:
            errors += err.errors
        except LengthNotUnderstood as err:
            errors.append(SlotError(spec.name, None, str(err), err.suggestions))
    if errors:
        raise InputsRefused(errors)
    return values


def _unknown(calculation: Calculation, name: str) -> SlotError:
    known = ", ".join(i.name for i in calculation.inputs)
    return SlotError(short(name), None, f'"{calculation.name}" takes {known}.')


def _value(spec: Input, text: str, system: str) -> Any:
    if not text.strip():
        if spec.required:
            raise NotUnderstood(f"{spec.label} is missing.")
        # defaults are written on the US system, whatever the house's own
        return KINDS[spec.kind].read(spec.default, spec, "us") if spec.default else None
    value = KINDS[spec.kind].read(text, spec, system)
    for place, one in enumerate(value) if isinstance(value, tuple) else [(None, value)]:
        if why := _out_of_range(spec, one, system):
            raise InputsRefused([SlotError(spec.name, place, why)])
    return value


def _out_of_range(spec: Input, value: Any, system: str) -> str:
    """Why a value is outside what its input allows, or ""."""
    if (spec.low, spec.high, spec.positive) == (None, None, False):
        return ""

    def say(bound: Any) -> str:
        return KINDS[spec.kind.removesuffix("s")].say(bound, system)

    if spec.positive and value <= 0:
        return f"{say(value)} is not possible: more than zero is."
    if spec.low is not None and value < spec.low:
        return f"{say(value)} is not possible: {say(spec.low)} or more is."
    if spec.high is not None and value > spec.high:
        return f"{say(value)} is not possible: {say(spec.high)} or less is."
    return ""
