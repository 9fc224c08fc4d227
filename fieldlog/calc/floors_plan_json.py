"""A plan as plain JSON values: every length as {"text", "nm"}, amounts as numbers.

Pages, drawings and reports read a kept plan (`kept`); the command line and a page that is
still choosing read `told` with the depths they need beside it.
"""

from __future__ import annotations

import json
from fractions import Fraction
from typing import Any

from fieldlog.calc.floors_plan import NotOffered, Plan
from fieldlog.calc.floors_plan_materials import Material
from fieldlog.calc.floors_plan_measures import area_text, depth_text, patch_name
from fieldlog.calc.floors_plan_words import PlanSpeaker
from fieldlog.calc.floors_survey import Ints, Stations
from fieldlog.calc.lengths import NM_PER_FOOT, format_length

Json = dict[str, Any]


def told(plan: Plan | NotOffered, speaker: PlanSpeaker) -> Json:
    """Everything about a plan but its depths, or `offered` false and `why` in a sentence."""
    if isinstance(plan, NotOffered):
        return _refused(plan, speaker)
    system = speaker.system
    return {
        "kind": plan.kind,
        "offered": True,
        "title": speaker.title(plan),
        "volume_ft3": number(Fraction(plan.volume, NM_PER_FOOT**3)),
        "area_ft2": _ft2(plan.filled + plan.ground),
        "filled_ft2": _ft2(plan.filled),
        "ground_ft2": _ft2(plan.ground),
        "area": area_text(plan.filled + plan.ground, system),
        "deepest": length(plan.deepest, system),
        "deep": depth_text(plan.deepest, system),
        "most_off": length(plan.most_off, system),
        "bags": plan.bags,
        "spare": sum(one.spare for one in plan.materials),
        "materials": [_material(one) for one in plan.materials],
        "primer": _primer(plan),
        "patches": _patches(plan, speaker),
        "pools": _pools(plan, speaker),
        "cost": None if plan.cost is None else number(plan.cost, 2),
        "above_bound": number(plan.above_bound, 4),
        "range": length(plan.range_after, system),
        "after": _after(plan, system),
        "stairs": list(speaker.stairs(plan)),
        "steps": list(speaker.steps(plan)),
        "before": list(speaker.before(plan)),
        "cautions": list(speaker.cautions(plan)),
    }


def kept(plan: Plan, speaker: PlanSpeaker) -> str:
    """The plan as JSON text for the journal, with `rows`: each station's depth in nm, or null."""
    rows = [
        [str(int(depth)) if known else None for depth, known in zip(*row, strict=True)]
        for row in zip(plan.depths, speaker.stations.mask, strict=True)
    ]
    return json.dumps({**told(plan, speaker), "rows": rows})


def per_reading(depths: Ints, stations: Stations, system: str = "us") -> list[Json]:
    """The depth at each reading, in input order."""
    return [length(int(depth), system) for depth in stations.per_reading(depths)]


def length(nm: int | Fraction, system: str = "us", feet: bool = False) -> Json:
    """A length as {"text", "nm"}."""
    return {"text": format_length(nm, system, feet), "nm": str(nm)}


def number(value: Fraction, places: int = 3) -> int | Any:
    """A number for JSON, rounded to so many decimals; a whole one without a point."""
    scale: int = 10**places
    scaled = round(value * scale)
    return scaled // scale if scaled % scale == 0 else scaled / scale


def _refused(plan: NotOffered, speaker: PlanSpeaker) -> Json:
    said: Json = {
        "kind": plan.kind, "offered": False, "why": speaker.why_not(plan),
        "stopped": plan.why == "stopped",
    }  # fmt: skip
    if plan.progress is not None:
        unit = 1 if plan.kind == "mix" else NM_PER_FOOT**3
        said |= {
            "done": plan.progress.done,
            "of": plan.progress.of,
            "measure": "cost" if plan.kind == "mix" else "volume_ft3",
            "least": number(plan.bound / unit),
            "left": number(plan.left / unit),
        }
    return said


def _ft2(nm2: int) -> int | Any:
    return number(Fraction(nm2, NM_PER_FOOT**2))


def _material(one: Material) -> Json:
    product = one.product
    return {
        "product": product.id,
        "name": product.name,
        "unit": product.unit,
        "volume_ft3": number(Fraction(one.volume, NM_PER_FOOT**3)),
        "bags": one.units,
        "spare": one.spare,
        "lifts": one.lifts,
        "layers": one.layers,
        "source": product.source,
        "verified": product.verified,
        "sha256": product.sha256,
    }


def _primer(plan: Plan) -> Json | None:
    if plan.primer is None:
        return None
    return {
        "name": plan.primer.product.name,
        "unit": plan.primer.product.unit,
        "area_ft2": _ft2(plan.primer.area),
        "least": plan.primer.least_units,
        "most": plan.primer.most_units,
    }


def _patches(plan: Plan, speaker: PlanSpeaker) -> list[Json]:
    return [
        {
            "name": patch_name(number_of),
            "does": "fill" if patch.fills else "grind",
            "where": speaker.place(patch),
            "area_ft2": _ft2(patch.area),
            "volume_ft3": number(Fraction(patch.volume, NM_PER_FOOT**3)),
            "deepest": length(patch.deepest, speaker.system),
            "bags": speaker.patch_bags(patch, plan),
            "at": list(patch.at),
            "stations": len(patch.cells),
        }
        for number_of, patch in enumerate(plan.patches)
    ]


def _pools(plan: Plan, speaker: PlanSpeaker) -> list[Json]:
    system = speaker.system
    return [
        {
            "number": pool.number,
            "level": length(pool.level, system),
            "set": speaker.level(pool, plan),
            "at": list(pool.at),
            "bags": speaker.pool_bags(pool),
            "volume_ft3": number(Fraction(pool.volume, NM_PER_FOOT**3)),
            "deepest": length(pool.deepest, system),
            "dam": length(pool.dam, system, feet=True),
            "stations": pool.stations,
        }
        for pool in plan.pools
    ]


def _after(plan: Plan, system: str) -> list[Json]:
    return [
        {
            "kind": one.limit.kind,
            "edge": length(one.limit.edge, system, feet=True),
            "limit": length(one.limit.limit, system),
            "gap": None if one.gap is None else length(one.gap, system),
        }
        for one in plan.after
    ]
