"""A plan in words for the crew: what to do in which order, where, how much; why there is none."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from fieldlog.calc.floors_plan import NotOffered, Plan, Site
from fieldlog.calc.floors_plan_materials import Material
from fieldlog.calc.floors_plan_patches import Patch
from fieldlog.calc.floors_survey import Cell, Stations
from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_MM, format_length

_THIRDS = (("top left", "top", "top right"), ("left", "middle", "right"),
           ("bottom left", "bottom", "bottom right"))  # fmt: skip
_SIXTEENTHS_OF_A_FOOT = 192
NO_POUR = "Never pour under a floor that is nailed down: nails crack the pour, and it comes loose."
CHECK = "When it is done, lay the straightedge again: a plan is only as good as its stations."


def title(plan: Plan) -> str:
    """What the plan is called."""
    if plan.nothing:
        return "Nothing to do"
    parts = [f"{_DOES[plan.takes_off.kind].lower()} the high places"] if plan.takes_off else []
    if plan.pools:
        parts.append("pour the low places level")
    elif plan.materials:
        felt = any(one.layers for one in plan.materials)
        parts.append("build the low places up with felt" if felt else "trowel the low places")
    told = ", ".join(parts)
    return told[:1].upper() + told[1:]


def steps(plan: Plan, stations: Stations, system: str = "us") -> tuple[str, ...]:
    """The work in order, a sentence each."""
    if plan.nothing:
        return ("The floor passes as it is: nothing has to be done.",)
    return tuple(_steps(plan, stations, system))


def cautions(plan: Plan, site: Site) -> tuple[str, ...]:
    """What to know before anything is done, each once."""
    used = [one.product for one in plan.materials]
    used += [plan.takes_off] if plan.takes_off else []
    used += [plan.primer.product] if plan.primer else []
    told = [caution for product in used for caution in product.cautions]
    told += [NO_POUR] if site.floor == "wood-nail-down" else []
    return tuple(dict.fromkeys((*told, CHECK))) if used else ()


def why_not(refused: NotOffered, site: Site, system: str = "us") -> str:
    """Why there is no plan of a kind, in a sentence."""
    if refused.why == "kept":
        names = _listed(refused.names)
        return f"The floor can't be made to pass this way while {names} must stay as it is."
    if refused.why == "thin":
        product = site.product("pour")
        least = format_length(product.least_lift, system) if product else "its least lift"
        return f"No low place needs as much as the self-leveller's least lift ({least}): trowel it."
    if refused.why == "nail_down":
        return NO_POUR
    if refused.why == "product":
        return f"There is no product for this on {_FLOOR_WORDS[site.floor]}."
    if refused.why == "prices":
        return "The cheapest mix needs two prices: of a bag, and of a square foot ground."
    if refused.why == "stopped":
        return _stopped(refused, system)
    return f"The plan that was found does not pass{_failing(refused, system)}: it is not offered."


def place(patch: Patch, stations: Stations, system: str = "us") -> str:
    """Where a patch is: the part of the floor, and how far across and down it goes."""
    top, left, bottom, right = patch.box
    rows, columns = stations.shape
    part = _THIRDS[_third(top + bottom, rows)][_third(left + right, columns)]
    (x0, y0), (x1, y1) = stations.xy((top, left)), stations.xy((bottom, right))
    return f"{part}, {_span(x0, x1, system)} across, {_span(y0, y1, system)} down"


def spot(cell: Cell, stations: Stations, system: str = "us") -> str:
    """Where a station is."""
    x, y = stations.xy(cell)
    return f"{_far(x, system)} across, {_far(y, system)} down"


def area_text(nm2: int, system: str = "us") -> str:
    """An area to a tenth: "12.5 sq ft", "1.2 m2"."""
    if system == "metric":
        return f"{_tenths(Fraction(nm2, (1000 * NM_PER_MM) ** 2))} m2"
    return f"{_tenths(Fraction(nm2, NM_PER_FOOT**2))} sq ft"


def volume_text(nm3: int | Fraction, system: str = "us") -> str:
    """A volume to a tenth: "1.2 cu ft", "34 l"."""
    if system == "metric":
        return f"{_tenths(Fraction(nm3, (100 * NM_PER_MM) ** 3))} l"
    return f"{_tenths(Fraction(nm3, NM_PER_FOOT**3))} cu ft"


def depth_text(nm: int, system: str = "us") -> str:
    """A depth as a crew works it: up to the next 1/16 in, or half a millimeter; a hair more than
    a mark is that mark."""
    step = NM_PER_MM // 2 if system == "metric" else NM_PER_FOOT // _SIXTEENTHS_OF_A_FOOT
    return format_length(-(-(nm - NM_PER_MM // 100) // step) * step, system)


def patch_name(number: int) -> str:
    """A, B, ... Z, A2, B2: what a patch is called on the map and in the steps."""
    turn, letter = divmod(number, 26)
    return chr(ord("A") + letter) + (str(turn + 1) if turn else "")


def stair_texts(plan: Plan, system: str = "us") -> tuple[str, ...]:
    """What the plan does to the risers that start or end on this floor."""
    told = []
    for stair in plan.stairs:
        change, riser = stair.change(plan.depths), stair.after(plan.depths)
        end, which = ("foot", "first") if stair.foot else ("head", "last")
        moves = "comes up" if change > 0 else "goes down"
        if change:
            told.append(
                f"The floor {moves} {format_length(abs(change), system)} at the {end} of the "
                f"stair: its {which} riser becomes {format_length(riser, system)} "
                f"(now {format_length(stair.riser, system)})."
            )
        else:
            told.append(f"The floor stays as it is at the {end} of the stair.")
    return tuple(told)


_FLOOR_WORDS = {
    "slab": "a slab",
    "wood-nail-down": "wood under a floor that is nailed down",
    "wood-glue-down": "wood under a floor that is glued down",
}
_DOES = {"grind": "Grind", "plane": "Plane"}


def _steps(plan: Plan, stations: Stations, system: str) -> Iterator[str]:
    if plan.takes_off:
        does = _DOES[plan.takes_off.kind]
        deep = depth_text(plan.most_off, system)
        yield f"{does} {area_text(plan.ground, system)}, at most {deep} deep."
    if plan.primer:
        name, units = plan.primer.product.unit, plan.primer.most_units
        yield f"Clean and prime {area_text(plan.primer.area, system)}: {_units(units, name)}."
    for pool in plan.pools:
        dam = f"set {_far(pool.dam, system)} of dam, " if pool.dam else ""
        yield (
            f"Pool {pool.number}: {dam}pour level to {format_length(pool.level, system)} on the "
            f"survey's heights, {depth_text(pool.deepest, system)} at its deepest."
        )
    for one in plan.materials:
        yield _material(one)
    for number, patch in enumerate(plan.patches):
        yield f"{patch_name(number)}: {_patch(patch, plan, stations, system)}"
    yield from stair_texts(plan, system)


def _material(one: Material) -> str:
    if one.layers:
        return f"{one.product.name}: {_units(one.layers, 'layer')} at most, each fastened."
    spare = f", and {one.spare} to spare" if one.spare else ""
    lifts = f", in {one.lifts} lifts" if one.lifts > 1 else ""
    return f"{one.product.name}: {_units(one.units, one.product.unit)}{spare}{lifts}."


def _patch(patch: Patch, plan: Plan, stations: Stations, system: str) -> str:
    if not patch.fills:
        does = _DOES[plan.takes_off.kind] if plan.takes_off else "Take off"
    else:
        does = "Build up" if any(one.layers for one in plan.materials) else "Fill"
    return (
        f"{does} {area_text(patch.area, system)}, {depth_text(patch.deepest, system)} at most "
        f"({spot(patch.at, stations, system)}); {place(patch, stations, system)}."
    )


def _units(count: int, unit: str) -> str:
    name, *rest = unit.split(" ", 1)
    return " ".join([str(count), name if count == 1 else f"{name}s", *rest])


def _third(twice_middle: int, size: int) -> int:
    return min(3 * twice_middle // (2 * size), 2) if size > 2 else min(twice_middle // 2, 2)


def _far(nm: int, system: str) -> str:
    if nm == 0 and system != "metric":
        return "0 ft"
    return format_length(nm, system, feet=True)


def _span(low: int, high: int, system: str) -> str:
    if low == high:
        return _far(low, system)
    return f"{_far(low, system)} to {_far(high, system)}"


def _tenths(value: Fraction) -> str:
    tenths = int(value * 10 + Fraction(1, 2))
    whole, part = divmod(tenths, 10)
    if not tenths and value:
        return "less than 0.1"
    return f"{whole}.{part}" if part else str(whole)


def _listed(names: tuple[str, ...]) -> str:
    *first, last = names or ("something",)
    return f"{', '.join(first)} and {last}" if first else last


def _stopped(refused: NotOffered, system: str) -> str:
    progress = refused.progress
    if progress is None or not (progress.done or refused.bound):
        return "Stopped before the plan was finished: there is nothing to show of it yet."
    said = [f"Stopped with {progress.done} of {progress.of} parts of the floor finished."]
    if refused.kind == "mix":
        said.append(f"What is left costs {_tenths(refused.left)} at least.")
    else:
        said.append(f"What is left takes {volume_text(refused.left, system)} at least.")
    return " ".join(said)


def _failing(refused: NotOffered, system: str) -> str:
    one = refused.failing
    left = one.gap if one else None
    if one is None or left is None:
        return ""
    gap, edge = format_length(left, system), format_length(one.limit.edge, system, feet=True)
    return f" (a {one.limit.kind} of {gap} under {edge} would be left)"
