"""Lengths too small for a tape's mark, in sentences."""

from __future__ import annotations

from fieldlog.calc.calculations.model import Exact
from fieldlog.calc.calculations.running import length_text
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM, format_length

_HALF_A_MARK = {"us": NM_PER_INCH // 32, "metric": NM_PER_MM // 2}


def small_text(nm: Exact, system: str) -> str:
    """A length, nm, for a sentence; one that would round to nothing is "under 1/32 in"."""
    half = _HALF_A_MARK[system]
    if nm and -half < nm < half:
        return f"under {format_length(half, system)}"
    return length_text(nm, system)
