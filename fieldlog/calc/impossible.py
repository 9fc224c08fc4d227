"""Readings that understand each other badly: what no such thing can be is asked about, not judged.

A sheet says what is impossible (a tread thicker than its riser is high); mixed units in one
list are impossible on every sheet. Both are refused at their slot, and nothing is stored.
"""

from __future__ import annotations

import re

from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.readings import Readings, ReadingsRefused, SlotError
from fieldlog.calc.scope import Scope
from fieldlog.calc.sheet_parts import Impossible
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.calc.typed import plain, short
from fieldlog.calc.units import say_measure
from fieldlog.calc.values import Many, Number, Truth, elements

_METRIC = re.compile(r"[0-9 ](?:mm|cm|m)$")


def refuse_impossible(scope: Scope, system: str) -> None:
    """Raises ReadingsRefused where the readings of a check can't all be so."""
    errors = [e for f in scope.sheet.fields if (e := _mixed(f, scope.readings, system))]
    errors += [e for one in scope.sheet.impossible if (e := _broken(one, scope, system))]
    if errors:
        raise ReadingsRefused(errors)


def _mixed(f: Field, readings: Readings, system: str) -> SlotError | None:
    """The first reading of a list that is in other units than the first one."""
    if f.kind != "length" or not f.many:
        return None
    typed = readings.typed.get(f.name, ())
    units = [(n, text, _metric(text, system)) for n, text in enumerate(typed) if text.strip()]
    odd = next(((n, text) for n, text, metric in units if metric != units[0][2]), None)
    if odd is None:
        return None
    n, text = odd
    is_in, others = ("inches", "millimeters") if units[0][2] else ("millimeters", "inches")
    return SlotError(
        f.name, n,
        f"{f.label} {n + 1}, {short(text)}, is in {is_in} and {f.label.lower()} "
        f"{units[0][0] + 1} in {others}: mixed units in one list. Type them all in one.",
    )  # fmt: skip


def _metric(text: str, system: str) -> bool:
    spelled = plain(text)
    if _METRIC.search(spelled):
        return True
    return system == "metric" and spelled[-1:].isdigit() and not re.search("['\"]", spelled)


def _broken(one: Impossible, scope: Scope, system: str) -> SlotError | None:
    found = evaluate(one.tree, scope)
    for n, element in enumerate(elements(found)):
        if isinstance(element, Truth) and element.value:
            f = scope.sheet.field(one.field)
            index = n if f and f.many and isinstance(found, Many) else None
            count = len(scope.readings.typed.get(one.field, ()))
            place = index if index is None or index < count else 0
            return SlotError(one.field, place, _said(one.says, scope, system))
    return None


def _said(says: str, scope: Scope, system: str) -> str:
    """The sentence with the quantities it names."""
    names = re.findall(r"{(\w+)}", says)
    return says.format_map({name: _in_words(scope, name, system) for name in names})


def _in_words(scope: Scope, name: str, system: str) -> str:
    sheet: Sheet = scope.sheet
    value = scope.quantity(name)
    if isinstance(value, Number) and value.value is not None:
        return say_measure(sheet.measure(name), value.value, system)
    return sheet.label(name).lower()
