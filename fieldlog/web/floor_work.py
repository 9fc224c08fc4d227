"""What makes a floor pass: a stored survey, what was asked and answered, and the plans."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from fieldlog.calc.lengths import (
    LengthNotUnderstood,
    format_length,
    parse_length,
)
from fieldlog.store.views import CheckView
from fieldlog.web import request as at
from fieldlog.web.floor_jobs import Job, jobs
from fieldlog.web.floor_spare import GRID, aimed, spare_text

if TYPE_CHECKING:
    from fieldlog.calc.floors_limits import EdgeLimit
    from fieldlog.calc.floors_plan import Site
    from fieldlog.calc.floors_plan_task import FloorTask, Keep
    from fieldlog.calc.floors_plan_words import PlanSpeaker
    from fieldlog.calc.floors_survey import Stations

THERE = (
    ("slab", "A slab"),
    ("wood-nail-down", "Wood, the finish is nailed down"),
    ("wood-glue-down", "Wood, the finish is glued down"),
)
FIXED = (("sill", "the door sill"), ("drain", "the drain"), ("foot", "the stair's first riser"))
"""Heights that often stay: an answer's name, and what its sentence calls it."""
NAMES = (
    "there", "spare", "level", "bag_price", "grind_price", "most_grind", "sill", "drain", "foot",
    "keep", "stair",
)  # fmt: skip
LONGEST = 500
PLACE_SAYS = '"{typed}" is no station: write its row, column by the map, such as 9, 4.'


@dataclass
class Wanted:
    """The answers as typed, each with its error if it has one."""

    texts: dict[str, str]
    errors: dict[str, str] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """What was typed."""
        return self.texts.get(name, "").strip()


def start(check: CheckView) -> dict[str, str]:
    """What the page starts with: a slab, and as much better than each limit as the tool hides."""
    return {"there": THERE[0][0], "spare": spare_text(check, limits_as_judged(check))}


def has_survey(check: CheckView) -> bool:
    """Whether the check has stations that plans can be made of."""
    grid = check.judgement.get("grids", {}).get(GRID)
    return bool(grid and grid.get("edges"))


def stations_of(check: CheckView) -> Stations:
    """The stored stations; their places are from the room's first corner where it is known."""
    from fieldlog.calc.floors_survey import stations_of as made

    grid = check.judgement["grids"][GRID]
    rows = [[None if z is None else int(z) for z in row] for row in grid["rows"]]
    stations = made(rows, int(grid["spacing_nm"]))
    if grid.get("rings"):
        corners = grid["rings"][0]
        origin = (-min(int(x) for x, _ in corners), -min(int(y) for _, y in corners))
        return replace(stations, origin=origin)
    return stations


def limits_as_judged(check: CheckView) -> tuple[EdgeLimit, ...]:
    """The limits on edges that the check was judged by, each as it was then."""
    from fieldlog.calc.floors_limits import limits_of

    judged = {r["rule"]: r for r in check.judgement["rules"] if r["verdict"] != "does_not_apply"}
    books = [b["id"] for b in check.judgement["books"] if b["id"] in at.library().books]
    bound = [b for b in at.library().rules(check.sheet, books) if b.rule.id in judged]
    return tuple(
        replace(one, limit=int(judged[one.rule]["limit"]["nm"])) for one in limits_of(bound)
    )


def task_of(check: CheckView, wanted: Wanted) -> FloorTask:
    """What a plan has to do: the check's own limits, less the spare; heights that stay."""
    from fieldlog.calc.floors_plan_task import FloorTask

    stations = stations_of(check)
    spare = _length(wanted, "spare") or 0
    limits = tuple(replace(one, limit=aimed(check, one, spare)) for one in limits_as_judged(check))
    return FloorTask(
        stations, limits, _length(wanted, "level"), tuple(_keeps(wanted, stations)),
        _areas(check, stations),
    )  # fmt: skip


def site_of(wanted: Wanted) -> Site:
    """What is there, the house's products, what work costs, and stairs. Fills in errors."""
    from fieldlog.calc.amounts import AmountNotUnderstood, parse_price
    from fieldlog.calc.floors_plan import Site
    from fieldlog.calc.floors_plan_materials import Prices
    from fieldlog.store.product_files import load_products

    prices = []
    for name in ("bag_price", "grind_price"):
        try:
            prices.append(parse_price(wanted.text(name)) if wanted.text(name) else None)
        except AmountNotUnderstood as err:
            wanted.errors[name] = str(err)
            prices.append(None)
    there = wanted.text("there")
    floor = there if there in dict(THERE) else THERE[0][0]
    return Site(
        floor, load_products(at.folder()), Prices(*prices), tuple(_stairs(wanted)),
        _length(wanted, "most_grind"),
    )  # fmt: skip


def job_of(check: CheckView, wanted: Wanted) -> Job | None:
    """The job that makes the plans for these answers, started if need be; None where an answer
    can't be used (its error is filled in)."""
    from fieldlog.calc.floors_plan import PLANS

    site, task = site_of(wanted), task_of(check, wanted)
    if wanted.errors:
        return None
    told = [check.id, *(wanted.text(name) for name in NAMES)]
    told += [one.sha256 for one in site.products.values()]
    told += [f"{one.kind} {one.edge} {one.limit}" for one in task.limits]
    key = sha256("\0".join(told).encode()).hexdigest()[:32]
    return jobs().start(key, lambda: Job(key, task, site, PLANS))


def speaker_of(job: Job) -> PlanSpeaker:
    """What tells a job's plans in the house's units."""
    from fieldlog.calc.floors_plan_words import PlanSpeaker
    from fieldlog.store.files import load_plan_words

    return PlanSpeaker(load_plan_words(), job.task.stations, job.site, at.house().system)


def bound_words(job: Job) -> str:
    """The least that the plan which is being made can take or cost, as far as is known."""
    from fieldlog.calc.floors_plan_programme import UNIT

    progress, kind = job.progress, job.doing
    if progress is None or not progress.bound or not kind:
        return ""
    unit = 1 if kind == "mix" else UNIT * job.task.stations.spacing**2
    speaker = speaker_of(job)
    return speaker.bound(kind, Fraction(progress.bound) * unit)


def _areas(check: CheckView, stations: Stations) -> Any:
    """nm2 of each station's cell as far as the walls; None without walls."""
    from fieldlog.calc.floors_outline import Outline, cell_area
    from fieldlog.calc.floors_survey import SurveyNotUsable

    rings = check.judgement["grids"][GRID].get("rings")
    if not rings:
        return None
    import numpy as np

    (x0, y0) = stations.origin
    moved = [tuple((int(x) + x0, int(y) + y0) for x, y in ring) for ring in rings]
    try:
        outline = Outline(moved[0], tuple(moved[1:]))
    except SurveyNotUsable:
        return None
    areas = np.zeros(stations.shape, dtype=np.int64)
    for r, c in np.argwhere(stations.mask).tolist():
        areas[r, c] = cell_area(outline, stations.xy((r, c)), stations.spacing)
    return areas


def _keeps(wanted: Wanted, stations: Stations) -> list[Keep]:
    """Heights that stay as they are: of the usual kinds, and `row, column, what`, a line each."""
    from fieldlog.calc.floors_plan_task import Keep

    found = [
        Keep(cell, what)
        for name, what in FIXED
        for cell, _ in _places(wanted, name, stations.shape)
    ]
    for cell, what in _places(wanted, "keep", stations.shape):
        found.append(Keep(cell, what or "a height that stays"))
    return found


def _stairs(wanted: Wanted) -> list[Any]:
    """`row, column, riser`, a line each: stairs that start on this floor."""
    from fieldlog.calc.floors_plan import Stair

    found = []
    for cell, said in _places(wanted, "stair", (10**6, 10**6)):
        try:
            found.append(Stair(cell, parse_length(said, _unit())))
        except LengthNotUnderstood as err:
            wanted.errors["stair"] = str(err)
    return found


def _places(wanted: Wanted, name: str, shape: tuple[int, int]) -> list[tuple[Any, str]]:
    found = []
    for line in wanted.text(name).replace(";", "\n").splitlines():
        parts = [part.strip() for part in line.split(",", 2)]
        numbers = [int(p) for p in parts[:2] if p.isascii() and p.isdigit() and len(p) < 5]
        if len(numbers) == 2 and 1 <= numbers[0] <= shape[0] and 1 <= numbers[1] <= shape[1]:
            found.append(((numbers[0] - 1, numbers[1] - 1), parts[2] if len(parts) > 2 else ""))
        elif line.strip():
            wanted.errors[name] = PLACE_SAYS.format(typed=line.strip()[:40])
    return found


def _length(wanted: Wanted, name: str) -> int | None:
    text = wanted.text(name)
    if not text:
        return None
    try:
        nm = parse_length(text, _unit())
    except LengthNotUnderstood as err:
        wanted.errors[name] = str(err)
        return None
    if nm < 0:
        wanted.errors[name] = "This can't be below zero."
        return None
    return nm


def _unit() -> str:
    return "mm" if at.house().system == "metric" else "in"


def depth(told: Mapping[str, Any]) -> str:
    """How deep a plan's deepest place is, as a crew works it."""
    return format_length(int(told["deepest"]["nm"]), at.house().system)
