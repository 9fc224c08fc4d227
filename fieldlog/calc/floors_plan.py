"""A plan that makes a floor pass: what is done, where and how much; and why there is none.

Kinds: "least" (the least fill), "pool" (a self-leveller) and "mix" (grind and fill). They are
made, and judged before they are offered, by `floors_plan_maker`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_plan_materials import Material, Prices, Primer
from fieldlog.calc.floors_plan_patches import Patch, volume
from fieldlog.calc.floors_plan_task import Keep
from fieldlog.calc.floors_plan_watch import Progress
from fieldlog.calc.floors_pool import Pool
from fieldlog.calc.floors_survey import Cell, Ints
from fieldlog.calc.products import Product

PlanKind = Literal["least", "pool", "mix"]
Parts = tuple[tuple[Product, Ints], ...]
"""Each product with the depths it is laid in."""
PLANS: tuple[PlanKind, ...] = ("least", "pool", "mix")

Why = Literal["kept", "thin", "nail_down", "product", "prices", "stopped", "fails"]
"""Why a plan is not offered; `floors_plan_words.PlanSpeaker` says it in a sentence."""


@dataclass(frozen=True, slots=True)
class Stair:
    """A stair that starts on this floor at `cell` (`foot`), or ends on it, and its riser there.

    `riser` nm, as it is now.
    """

    cell: Cell
    riser: int
    foot: bool = True

    def change(self, depths: Ints) -> int:
        """How much the floor comes up there, nm; 0 where there is no station."""
        row, column = self.cell
        rows, columns = depths.shape
        return int(depths[self.cell]) if 0 <= row < rows and 0 <= column < columns else 0

    def after(self, depths: Ints) -> int:
        """The riser when the floor has been changed, nm: a floor that comes up at the foot
        takes from the first riser, at the head it adds to the last."""
        return self.riser - self.change(depths) if self.foot else self.riser + self.change(depths)


@dataclass(frozen=True, slots=True)
class Site:
    """What is there and what will be used: one product of each kind, prices, stairs.

    `floor` is one of `products.FLOORS`; `most_grind` nm may be less than the product's own.
    """

    floor: str
    products: Mapping[str, Product]
    prices: Prices = field(default_factory=Prices)
    stairs: tuple[Stair, ...] = ()
    most_grind: int | None = None

    def product(self, *kinds: str) -> Product | None:
        """The first product of these kinds that is used on such a floor."""
        found = (self.products.get(kind) for kind in kinds)
        return next((one for one in found if one and one.may_lie_on(self.floor)), None)


@dataclass(frozen=True, slots=True)
class Kept:
    """A limit after the plan: the worst gap left, nm; None where no edge lies anywhere."""

    limit: EdgeLimit
    gap: Fraction | None


@dataclass(frozen=True, eq=False, slots=True)
class Plan:
    """A plan that passes.

    `depths` (rows, columns) nm, negative is taken off; areas nm2; `deepest` and `most_off` nm;
    `above_bound` is how far the volume (for a mix what is paid) is above the
    least that any plan of these means could have, as a part of it. `poured` is what of the
    depths is the self-leveller. `after` has each limit as it will be, `range_after` is high
    less low, nm. `parts` are the products with the depths each is laid in, `areas` nm2 of each
    station, `keeps` the heights that stay.
    """

    kind: PlanKind
    depths: Ints
    filled: int
    ground: int
    deepest: int
    most_off: int
    volume: int
    materials: tuple[Material, ...]
    primer: Primer | None
    takes_off: Product | None
    patches: tuple[Patch, ...]
    cost: Fraction | None
    above_bound: Fraction
    after: tuple[Kept, ...] = ()
    range_after: int = 0
    stairs: tuple[Stair, ...] = ()
    pools: tuple[Pool, ...] = ()
    poured: Ints | None = None
    parts: Parts = ()
    areas: Ints | None = None
    keeps: tuple[Keep, ...] = ()

    @property
    def bags(self) -> int:
        """Whole bags of everything, without the spare."""
        return sum(one.units for one in self.materials)

    def taken(self, patch: Patch) -> list[tuple[Product, int, int]]:
        """What a patch takes of each product: nm3, and how deep it lies there at most, nm."""
        if not patch.fills or self.areas is None:
            return []
        at = (patch.cells[:, 0], patch.cells[:, 1])
        return [
            (product, volume(part[at], self.areas[at]), int(part[at].max()))
            for product, part in self.parts
            if (part[at] > 0).any()
        ]

    @property
    def nothing(self) -> bool:
        """Whether the floor passes as it is."""
        return not self.depths.any()


@dataclass(frozen=True, eq=False, slots=True)
class NotOffered:
    """No plan of that kind, and why.

    `names` are the heights that stand against it; `failing` a limit that would still be broken.
    `progress` is how far a stopped one had come, `bound` the least that the whole takes as far
    as is known by then and `left` the same of what is not finished: nm3, or money for a mix.
    """

    kind: PlanKind
    why: Why
    names: tuple[str, ...] = ()
    progress: Progress | None = None
    bound: Fraction = Fraction(0)
    left: Fraction = Fraction(0)
    failing: Kept | None = None
