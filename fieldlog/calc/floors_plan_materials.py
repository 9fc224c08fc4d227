"""What a plan takes: whole bags with a stated spare, lifts, primer, and what it costs. Exact."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from fieldlog.calc.products import Product


@dataclass(frozen=True, slots=True)
class Material:
    """So much of one product: `volume` nm3 in `units` whole bags, and `spare` more to have there.

    `lifts` is in how many goes the deepest place is laid. For felt and shim `units` and `spare`
    are 0 and `layers` is the most that lie on one another.
    """

    product: Product
    volume: int
    units: int
    spare: int
    lifts: int
    layers: int = 0


@dataclass(frozen=True, slots=True)
class Primer:
    """Primer for `area` nm2: whole units where it is thirsty, and where it is tight."""

    product: Product
    area: int
    most_units: int
    least_units: int


@dataclass(frozen=True, slots=True)
class Prices:
    """What the house pays: for a bag, and for a square foot ground or planed; None: not said."""

    bag: Fraction | None = None
    grind: Fraction | None = None


def material(product: Product, volume: int, deepest: int) -> Material:
    """What a volume (nm3) takes whose deepest place is so deep (nm)."""
    if product.kind == "sheet":
        layers = -(-deepest // product.layer)
        return Material(product, volume, 0, 0, layers, layers)
    units = ceil(volume / product.yields)
    lifts = max(-(-deepest // product.most_lift), 1) if volume else 0
    return Material(product, volume, units, ceil(units * product.spare), lifts)


def primer(product: Product, area: int) -> Primer:
    """Primer for an area (nm2)."""
    least, most = product.covers
    return Primer(product, area, ceil(area / least), ceil(area / most))


def cost_of(prices: Prices, units: int, ground: Fraction) -> Fraction | None:
    """What bags and grinding (square feet) cost; None where a price that is needed is not said.

    The spare is not in it: it goes back.
    """
    total = Fraction(0)
    for price, amount in ((prices.bag, Fraction(units)), (prices.grind, ground)):
        if amount and price is None:
            return None
        total += (price or 0) * amount
    return total
