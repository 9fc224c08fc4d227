"""Every named calculation. A new one is a module with `CALCULATIONS`, and its lines here."""

from __future__ import annotations

from fieldlog.calc.calculations.air import CALCULATIONS as AIR
from fieldlog.calc.calculations.arcs import CALCULATIONS as ARCS
from fieldlog.calc.calculations.crown import CALCULATIONS as CROWN
from fieldlog.calc.calculations.model import Calculation
from fieldlog.calc.calculations.openings import CALCULATIONS as OPENINGS
from fieldlog.calc.calculations.piece_weight import CALCULATIONS as PIECE_WEIGHT
from fieldlog.calc.calculations.rip_casing import CALCULATIONS as RIP_CASING
from fieldlog.calc.calculations.self_level import CALCULATIONS as SELF_LEVEL
from fieldlog.calc.calculations.slope import CALCULATIONS as SLOPE
from fieldlog.calc.calculations.spaces import CALCULATIONS as SPACES
from fieldlog.calc.calculations.stairs_even import CALCULATIONS as STAIRS_EVEN
from fieldlog.calc.calculations.stairs_layout import CALCULATIONS as STAIRS_LAYOUT
from fieldlog.calc.calculations.stairs_open import CALCULATIONS as STAIRS_OPEN
from fieldlog.calc.calculations.stock_list import CALCULATIONS as STOCK_LIST
from fieldlog.calc.calculations.tile_arch import CALCULATIONS as TILE_ARCH
from fieldlog.calc.calculations.wood import CALCULATIONS as WOOD

_ALL: tuple[Calculation, ...] = (
    *STAIRS_EVEN,
    *STAIRS_OPEN,
    *STAIRS_LAYOUT,
    *SPACES,
    *PIECE_WEIGHT,
    *RIP_CASING,
    *CROWN,
    *ARCS,
    *TILE_ARCH,
    *OPENINGS,
    *STOCK_LIST,
    *WOOD,
    *AIR,
    *SLOPE,
    *SELF_LEVEL,
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
