"""Refusals of inputs, each at its own place."""

from __future__ import annotations

from fieldlog.calc.readings import ReadingsRefused, SlotError


class InputsRefused(ReadingsRefused):
    """Some inputs can't be used; nothing was computed. `errors` says which and why.

    `SlotError.field` is the input's name, `.index` its place in a list (from 0) or None.
    """


def refused(
    name: str, message: str, suggestions: tuple[str, ...] = (), index: int | None = None
) -> InputsRefused:
    """The refusal of one input, to be raised: by a parser, or by a calculation itself."""
    return InputsRefused([SlotError(name, index, message, suggestions)])
