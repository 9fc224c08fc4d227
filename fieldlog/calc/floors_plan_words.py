"""A plan in words for the crew: what to do in which order, where, how deep, how many bags.

The sentences are a data file (`fieldlog/words/en-floor-plans.toml`); its text is handed in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from fieldlog.calc.floors_plan import NotOffered, Plan, PlanKind, Site, Stair
from fieldlog.calc.floors_plan_materials import Material
from fieldlog.calc.floors_plan_measures import (
    area_text,
    depth_text,
    far_text,
    patch_name,
    set_text,
    share_text,
    span_text,
    tenths,
    units_text,
    volume_text,
)
from fieldlog.calc.floors_plan_patches import Patch
from fieldlog.calc.floors_pool import Pool
from fieldlog.calc.floors_survey import Cell, Stations
from fieldlog.calc.lengths import format_beside, format_length

_THIRDS = (("top_left", "top", "top_right"), ("left", "middle", "right"),
           ("bottom_left", "bottom", "bottom_right"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlanSpeaker:
    """Tells plans of one floor: the sentences, its stations, what is there, and the units."""

    words: Mapping[str, str]
    stations: Stations
    site: Site
    system: str = "us"

    def title(self, plan: Plan) -> str:
        """What the plan is called."""
        if plan.nothing:
            return self.words["title_nothing"]
        parts = []
        if plan.takes_off:
            does = self.words[plan.takes_off.kind].lower()
            parts.append(self._say("title_off", does=does))
        if plan.pools:
            parts.append(self.words["title_pour"])
        elif plan.materials:
            felt = any(one.layers for one in plan.materials)
            parts.append(self.words["title_felt" if felt else "title_trowel"])
        told = ", ".join(parts)
        return told[:1].upper() + told[1:]

    def steps(self, plan: Plan) -> tuple[str, ...]:
        """The work in order, a sentence each."""
        return (self.words["nothing"],) if plan.nothing else tuple(self._steps(plan))

    def before(self, plan: Plan) -> tuple[str, ...]:
        """What to know before anything is ground, planed or primed."""
        used = [one for one in (plan.takes_off, plan.primer and plan.primer.product) if one]
        told = [caution for product in used for caution in product.cautions]
        told += [self.words["no_pour"]] if self.site.floor == "wood-nail-down" else []
        return () if plan.nothing else tuple(dict.fromkeys(told))

    def cautions(self, plan: Plan) -> tuple[str, ...]:
        """Everything to know, each once: what comes before the work first."""
        if plan.nothing:
            return ()
        laid = [caution for one in plan.materials for caution in one.product.cautions]
        return tuple(dict.fromkeys((*self.before(plan), *laid, self.words["check"])))

    def place(self, patch: Patch) -> str:
        """Where a patch is: the part of the floor, and how far across and down it goes."""
        top, left, bottom, right = patch.box
        rows, columns = self.stations.shape
        part = _THIRDS[_third(top + bottom, rows)][_third(left + right, columns)]
        (x0, y0), (x1, y1) = self.stations.xy((top, left)), self.stations.xy((bottom, right))
        return self._say(
            "place", part=self.words[part], across=span_text(x0, x1, self.system),
            down=span_text(y0, y1, self.system),
        )  # fmt: skip

    def spot(self, cell: Cell) -> str:
        """Where a station is, by the numbers at the map's edge."""
        return self._say("spot", row=cell[0] + 1, column=cell[1] + 1)

    def level(self, pool: Pool, plan: Plan) -> str:
        """How high a pool stands, from a height that can be found on the floor."""
        mark, height = self._mark(plan)
        off = pool.level - height
        by = set_text(abs(off), self.system)
        if by == set_text(0, self.system):
            return self._say("level", mark=mark)
        return self._say("above" if off > 0 else "below", by=by, mark=mark)

    def pool_bags(self, pool: Pool) -> str:
        """What a pool takes, up to the next half bag."""
        product = self.site.product("pour")
        return share_text(pool.volume, product.yields, product.unit) if product else ""

    def patch_bags(self, patch: Patch, plan: Plan) -> str:
        """What a patch takes of each product, up to the next half bag."""
        took = [
            self._say("layers", units=units_text(-(-deep // product.layer), "layer"),
                      name=product.name.lower())
            if product.kind == "sheet"
            else f"{share_text(nm3, product.yields, product.unit)} of {product.name.lower()}"
            for product, nm3, deep in plan.taken(patch)
        ]  # fmt: skip
        return self.words["and"].join(took)

    def stairs(self, plan: Plan) -> tuple[str, ...]:
        """What the plan does to the risers that start or end on this floor."""
        return tuple(self._stair(stair, plan) for stair in plan.stairs)

    def why_not(self, refused: NotOffered) -> str:
        """Why there is no plan of a kind, in a sentence."""
        if refused.why == "kept":
            return self._say("why_kept", names=self._listed(refused.names))
        if refused.why == "thin":
            product = self.site.product("pour")
            least = format_length(product.least_lift if product else 0, self.system)
            return self._say("why_thin", least=least)
        if refused.why == "product":
            return self._say("why_product", floor=self.words[self.site.floor])
        if refused.why == "stopped":
            return self._stopped(refused)
        if refused.why == "fails":
            return self._say("why_fails", failing=self._failing(refused))
        return self.words[{"nail_down": "no_pour", "prices": "why_prices"}[refused.why]]

    def bound(self, kind: PlanKind, least: Fraction, of: str = "whole") -> str:
        """The least that the whole takes, or what is `left`: nm3, or money for a mix."""
        if kind == "mix":
            return self._say(f"{of}_cost", cost=tenths(least))
        return self._say(f"{of}_volume", volume=volume_text(least, self.system))

    def _say(self, key: str, **parts: object) -> str:
        return self.words[key].format(**parts)

    def _steps(self, plan: Plan) -> Iterator[str]:
        if plan.takes_off:
            yield self._say(
                "off", does=self.words[plan.takes_off.kind], deep=self._deep(plan.most_off),
                area=area_text(plan.ground, self.system),
            )  # fmt: skip
        if plan.primer:
            units = units_text(plan.primer.most_units, plan.primer.product.unit)
            yield self._say("prime", area=area_text(plan.primer.area, self.system), units=units)
        for one in plan.materials:
            yield self._material(one)
        for pool in plan.pools:
            yield self._pool(pool, plan)
        for number, patch in enumerate(plan.patches):
            yield self._patch(patch_name(number), patch, plan)
        yield from self.stairs(plan)

    def _material(self, one: Material) -> str:
        name = one.product.name.lower()
        if one.layers:
            units = units_text(one.layers, "layer")
            return self._say("have_layers", name=name, units=units)
        return self._say(
            "have", name=name, units=units_text(one.units, one.product.unit),
            spare=self._say("spare", count=one.spare) if one.spare else "",
            lifts=self._say("lifts", count=one.lifts) if one.lifts > 1 else "",
        )  # fmt: skip

    def _pool(self, pool: Pool, plan: Plan) -> str:
        dam = self._say("dam", length=far_text(pool.dam, self.system)) if pool.dam else ""
        holds = (n for n, patch in enumerate(plan.patches) if patch.holds(pool.at))
        return self._say(
            "pool", number=pool.number, patch=patch_name(next(holds, 0)), dam=dam,
            level=self.level(pool, plan), deep=self._deep(pool.deepest), spot=self.spot(pool.at),
            bags=self.pool_bags(pool),
        )  # fmt: skip

    def _patch(self, name: str, patch: Patch, plan: Plan) -> str:
        if patch.fills:
            felt = any(one.layers for one in plan.materials)
            does = self.words["build_up" if felt else "fill"]
        else:
            does = self.words[plan.takes_off.kind if plan.takes_off else "take_off"]
        bags = self.patch_bags(patch, plan)
        return self._say(
            "patch", name=name, place=self.place(patch), does=does.lower(),
            area=area_text(patch.area, self.system), deep=self._deep(patch.deepest),
            spot=self.spot(patch.at), takes=self._say("takes", bags=bags) if bags else "",
        )  # fmt: skip

    def _mark(self, plan: Plan) -> tuple[str, int]:
        """What a level is given from: a height that stays and has a name, else the high point."""
        for keep in plan.keeps:
            height = self.stations.height(keep.cell)
            if height is not None and not keep.fill:
                return self._say("kept", what=keep.what, spot=self.spot(keep.cell)), height
        z, mask = self.stations.z, self.stations.mask
        row, column = divmod(int(((z - z.min() + 1) * mask).argmax()), z.shape[1])
        return self._say("high_point", spot=self.spot((row, column))), int(z[row, column])

    def _stair(self, stair: Stair, plan: Plan) -> str:
        change = stair.change(plan.depths)
        end, which = ("foot", "first") if stair.foot else ("head", "last")
        if not change:
            return self._say("stair_same", end=self.words[end])
        return self._say(
            "stair", moves=self.words["comes_up" if change > 0 else "goes_down"],
            by=format_length(abs(change), self.system), end=self.words[end],
            which=self.words[which], now=format_length(stair.riser, self.system),
            riser=format_length(stair.after(plan.depths), self.system),
        )  # fmt: skip

    def _stopped(self, refused: NotOffered) -> str:
        progress = refused.progress
        if progress is None or not (progress.done or refused.bound):
            return self.words["why_nothing_yet"]
        if progress.of == 1:
            return self._say("why_stopped", left=self.bound(refused.kind, refused.bound))
        left = self.bound(refused.kind, refused.left, "left")
        return self._say("why_stopped_parts", done=progress.done, of=progress.of, left=left)

    def _failing(self, refused: NotOffered) -> str:
        one = refused.failing
        if one is None or one.gap is None:
            return ""
        edge = format_length(one.limit.edge, self.system, feet=True)
        gap = format_beside(one.gap, one.limit.limit, self.system)
        return self._say("failing", kind=one.limit.kind, gap=gap, edge=edge)

    def _listed(self, names: tuple[str, ...]) -> str:
        *first, last = names or (self.words["something"],)
        return f"{', '.join(first)}{self.words['and']}{last}" if first else last

    def _deep(self, nm: int) -> str:
        return depth_text(nm, self.system)


def _third(twice_middle: int, size: int) -> int:
    return min(3 * twice_middle // (2 * size), 2) if size > 2 else min(twice_middle // 2, 2)
