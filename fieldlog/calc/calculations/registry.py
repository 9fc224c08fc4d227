"""Every named calculation. A new one is a module with `CALCULATIONS`, and its lines here."""

from __future__ import annotations

from fieldlog.calc.calculations.model import Calculation
from fieldlog.calc.calculations.piece_weight import CALCULATIONS as PIECE_WEIGHT
from fieldlog.calc.calculations.spaces import CALCULATIONS as SPACES
from fieldlog.calc.calculations.stairs_even import CALCULATIONS as STAIRS_EVEN
from fieldlog.calc.calculations.stairs_layout import CALCULATIONS as STAIRS_LAYOUT
from fieldlog.calc.calculations.stairs_open import CALCULATIONS as STAIRS_OPEN

_ALL: tuple[Calculation, ...] = (
    *STAIRS_EVEN,
    *STAIRS_OPEN,
    *STAIRS_LAYOUT,
    *SPACES,
    *PIECE_WEIGHT,
)


def by_name(calculations: tuple[Calculation, ...]) -> dict[str, Calculation]:
    """Calculations by name. Raises ValueError where two have one name."""
    found: dict[str, Calculation] = {}
    for one in calculations:
        if one.name in found:
            raise ValueError(f'two calculations are named "{one.name}"')
        found[one.name] = one
    return found


REGISTRY: dict[str, Calculation] = by_name(_ALL)
"""Calculations by name, in the order they are listed."""
