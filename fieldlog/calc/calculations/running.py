"""A calculation run by its name, and its answer as plain JSON values.

Numbers in it are text: "nm" is the nearest nanometer, "exact" a whole number, a fraction, a
decimal that ends, or (irrational) a decimal to 15 figures.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Context, Decimal
from fractions import Fraction
from typing import Any

from fieldlog.calc.calculations.inputs import parse_inputs
from fieldlog.calc.calculations.kinds import KINDS
from fieldlog.calc.calculations.model import (
    Calculation,
    Exact,
    Given,
    Length,
    Number,
    Reference,
    Result,
    Rows,
    Series,
    Value,
    Words,
)
from fieldlog.calc.calculations.numbers import decimal_or_fraction
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM, format_fine, format_length

Json = dict[str, Any]

_SHOWN = Context(prec=15)
_TIDY = {"us": NM_PER_INCH // 64, "metric": NM_PER_MM // 10}
_SMALL = {"us": NM_PER_INCH // 8, "metric": 3 * NM_PER_MM}
_ROOM = {"us": NM_PER_INCH // 32, "metric": NM_PER_MM // 2}
_STEP = {"us": NM_PER_INCH // 16, "metric": NM_PER_MM}


def run_one(
    calculation: Calculation, raw: Mapping[str, str], system: str, reference: Reference
) -> Json:
    """Compute, and tell inputs, formula, source, answer and the steps between.

    Raises InputsRefused where an input can't be used, UnknownSource for a book or a tool that
    is not there.
    """
    if system not in _STEP:
        raise UnknownSource(f'There is no system "{system}". There are: metric, us.')
    values = parse_inputs(calculation, raw, system)
    answer = calculation.compute(Given(values, reference, system))
    return {
        "calculation": calculation.name,
        "title": calculation.title,
        "system": system,
        "inputs": _inputs(calculation, values, raw, system),
        "formula": calculation.formula,
        "source": calculation.source,
        "answer": _results(answer.results, system),
        "steps": list(answer.steps),
        "notes": list(answer.notes),
        "caution": calculation.caution,
        "drawing": answer.drawing,
    }


def length_text(nm: Exact, system: str, feet: bool = False) -> str:
    """A length for a person: as it is on a 1/64 in (0.1 mm) mark, else about so many 16ths."""
    whole = _fraction(nm)
    if not whole % _TIDY[system]:
        return format_length(whole, system, feet)
    step = _STEP[system]
    return f"about {format_length(round(whole / step) * step, system, feet)}"


def small_length_text(nm: Exact, system: str) -> str:
    """The same, but below 1/8 in to 0.001 in, below 3 mm to 0.1 mm."""
    whole = _fraction(nm)
    if abs(whole) >= _SMALL[system] or not whole % _TIDY[system]:
        return length_text(nm, system)
    if system == "us":
        return format_fine(whole)
    return f"about {format_length(round(whole / _TIDY[system]) * _TIDY[system], system)}"


def room_text(nm: Exact, system: str) -> str:
    """Room to leave: up to the next 1/32 in or half a millimeter, never less than is needed."""
    step = _ROOM[system]
    return format_length(-(-_fraction(nm) // step) * step, system)


def number_text(value: Exact, places: int) -> str:
    """A number rounded to so many decimals, half to even."""
    scaled = round(_fraction(value) * 10**places)
    whole, rest = divmod(abs(scaled), 10**places)
    decimals = f".{rest:0{places}d}" if places else ""
    return f"{'-' if scaled < 0 else ''}{whole}{decimals}"


def _inputs(
    calculation: Calculation, values: Mapping[str, Any], raw: Mapping[str, str], system: str
) -> Json:
    told: Json = {}
    for spec in calculation.inputs:
        value = values[spec.name]
        if value is None:
            continue
        told[spec.name] = {
            "label": spec.label,
            "typed": raw.get(spec.name, "").strip(),
            "text": KINDS[spec.kind].say(value, system),
            "nm": str(value) if spec.kind == "length" else None,
        }
    return told


def _results(results: tuple[Result, ...], system: str) -> Json:
    return {one.name: {"label": one.label} | _value(one.value, system) for one in results}


def _value(value: Value, system: str) -> Json:
    if isinstance(value, Length):
        return _length(value, system)
    if isinstance(value, Number):
        unit = f" {value.unit}" if value.unit else ""
        text = number_text(value.value, value.places) + unit
        return {"text": text, "nm": None, "exact": exact_text(value.value) + unit}
    if isinstance(value, Words):
        return {"text": value.text, "nm": None, "exact": value.text}
    if isinstance(value, Series):
        each = [_value(one, system) for one in value.items]
        return {"text": ", ".join(one["text"] for one in each), "values": each}
    return _rows(value, system)


def _length(value: Length, system: str) -> Json:
    nm = _fraction(value.nm)
    unit, size = ("mm", NM_PER_MM) if system == "metric" else ("in", NM_PER_INCH)
    in_unit = value.nm / size if isinstance(value.nm, Decimal) else nm / size
    return {
        "text": _TEXTS[value.shown](value, system),
        "nm": str(round(nm)),
        "exact": f"{exact_text(in_unit)} {unit}",
    }


_TEXTS: dict[str, Callable[[Length, str], str]] = {
    "": lambda value, system: length_text(value.nm, system, value.feet),
    "small": lambda value, system: small_length_text(value.nm, system),
    "room": lambda value, system: room_text(value.nm, system),
}


def _rows(table: Rows, system: str) -> Json:
    rows = [_results(row, system) for row in table.rows]
    lines = ("; ".join(f"{c['label']} {c['text']}" for c in row.values()) for row in rows)
    return {"text": " ".join(f"{line.rstrip('.')}." for line in lines), "rows": rows}


def exact_text(value: Exact) -> str:
    """A rational number in full, an irrational one to 15 figures."""
    if isinstance(value, Decimal):
        return f"{value.normalize(_SHOWN):f}"
    return decimal_or_fraction(value)


def _fraction(value: Exact) -> Fraction:
    return Fraction(value)
