"""What `fieldlog floor` answers: a floor's verdict, its worst straightedge, and plans, as JSON.

Points come as readings (x, y, z in nm); nothing is kept. The verdict is that of the numbers as
they stand, as if they had no error: the command is not told which tool they came from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from fieldlog.calc.floors import Kind
from fieldlog.calc.floors_edge import EdgeWorst, look_under
from fieldlog.calc.floors_fnumbers import FNumbers, f_numbers_of
from fieldlog.calc.floors_grid import survey_from_points
from fieldlog.calc.floors_limits import EdgeLimit
from fieldlog.calc.floors_plan import PLANS, Plan, PlanKind, Site
from fieldlog.calc.floors_plan_json import length, number, per_reading, told
from fieldlog.calc.floors_plan_maker import Planner
from fieldlog.calc.floors_plan_task import FloorTask
from fieldlog.calc.floors_plan_watch import Watch
from fieldlog.calc.floors_plan_words import PlanSpeaker
from fieldlog.calc.floors_plane import Lie, lie_of
from fieldlog.calc.floors_survey import Cell, Ints, Stations, survey_of
from fieldlog.calc.judging import judge
from fieldlog.calc.lengths import NM_PER_FOOT, NM_PER_MM, format_beside, format_length, parse_length
from fieldlog.calc.library import Library, SourceText, build_library

Json = dict[str, Any]
KINDS: tuple[Kind, ...] = ("hollow", "hump")
UNASKED_UP_TO = 2_500
"""Stations up to which every plan is made when none is asked for by name."""
MAPPED_UP_TO = 2_500
"""Places of the grid up to which a map is legible."""


class NotAsked(ValueError):
    """What is asked of the floor makes no sense; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class Asked:
    """An edge and its limit (nm), what is looked for, and the plans that are wanted.

    `plans` empty: all that can be made, on a floor of up to UNASKED_UP_TO stations. With
    `level` (nm) the whole floor has to be level within that as well.
    """

    edge: int
    limit: int
    site: Site
    method: str = "both"
    plans: tuple[PlanKind, ...] = ()
    system: str = "us"
    rod: bool = False
    level: int | None = None

    @property
    def limits(self) -> tuple[EdgeLimit, ...]:
        """The limit, for hollows, humps or both."""
        kinds = [kind for kind in KINDS if self.method in (kind, "both")]
        return tuple(EdgeLimit(self.edge, self.limit, kind, "", "") for kind in kinds)


def asked(edge: str, limit: str, site: Site, level: str | None = None, **rest: Any) -> Asked:
    """A question from texts such as "10 ft" and "3/16 in".

    Raises LengthNotUnderstood, or NotAsked for an edge of no length or a limit below zero.
    """
    edge_nm, limit_nm = parse_length(edge), parse_length(limit)
    if edge_nm <= 0:
        raise NotAsked(f'"{edge}" is no length for a straightedge. Give one such as 10 ft.')
    if limit_nm < 0:
        raise NotAsked(f'"{limit}" is below zero. A limit is 0 or more, as in 3/16 in.')
    if limit_nm >= edge_nm:
        raise NotAsked(f'A limit of "{limit}" under an edge of "{edge}": are they swapped?')
    level_nm = None if level is None else parse_length(level)
    if level_nm is not None and level_nm < 0:
        raise NotAsked(f'"{level}" is below zero. Level within what?')
    return Asked(edge_nm, limit_nm, site, level=level_nm, **rest)


@dataclass(frozen=True, eq=False, slots=True)
class Answer:
    """The floor, what is found of it, and its plans."""

    stations: Stations
    verdict: str
    lie: Lie
    worst: Mapping[Kind, EdgeWorst | None]
    numbers: FNumbers
    plans: Mapping[PlanKind, Any] = field(default_factory=dict)


def answer(points: Ints, question: Asked, watch: Watch | None = None) -> Answer:
    """Judge the points and make the plans. Raises SurveyNotUsable."""
    readings = points.copy()
    if question.rod:
        readings[:, 2] *= -1
    stations = survey_from_points(survey_of(readings), system=question.system)
    under = look_under(stations, question.edge)
    worst = {kind: under.worst(kind) for kind in KINDS}
    lie = lie_of(stations)
    verdict = _verdict(question, worst, lie)
    found = Answer(stations, verdict, lie, worst, f_numbers_of(stations))
    return replace(found, plans=dict(_plans(found, question, watch)))


def as_json(found: Answer, question: Asked, words: Mapping[str, str]) -> Json:
    """The answer as plain JSON values: every length as {"text", "nm"}; plans in these words."""
    system, stations = question.system, found.stations
    speaker = PlanSpeaker(words, stations, question.site, system)
    return {
        "verdict": found.verdict,
        "edge": length(question.edge, system, feet=True),
        "limit": length(question.limit, system),
        "level": None if question.level is None else length(question.level, system),
        "method": question.method,
        "stations": stations.known,
        "spacing": length(stations.spacing, system, feet=True),
        "gridded": stations.gridded,
        "range": length(found.lie.range, system)
        | {
            "high": _at(stations, found.lie.high, system),
            "low": _at(stations, found.lie.low, system),
        },
        "slope": _slope(found.lie, system),
        **{kind: _worst(stations, found.worst[kind], question) for kind in KINDS},
        "ff": _f(found.numbers.ff),
        "fl": _f(found.numbers.fl),
        "q": [[length(q, system) for q in line.q] for line in found.numbers.lines],
        "f_why_not": list(found.numbers.why_not),
        "plans": {
            kind: told(plan, speaker)
            | ({"depths": per_reading(plan.depths, stations, system)} if _offered(plan) else {})
            for kind, plan in found.plans.items()
        },
    }


def as_text(found: Answer, question: Asked, words: Mapping[str, str]) -> list[str]:
    """The answer for a person at a terminal, a line each."""
    said = as_json(found, question, words)
    edge, limit = said["edge"]["text"], said["limit"]["text"]
    lines = [
        f"{_VERDICTS[found.verdict]} {limit} under {edge}, as far as stations "
        f"{said['spacing']['text']} apart can see.",
        f"High to low {said['range']['text']}; {said['slope']['text']}.",
    ]
    for kind in KINDS:
        worst = said[kind]
        lines.append(
            f"Worst {kind}: {worst['gap']['text']} at {_spot(worst['at'])}, the edge from "
            f"{_spot(worst['from'])} to {_spot(worst['to'])}."
            if worst
            else f"Worst {kind}: not measured."
        )
    if said["ff"] is not None or said["fl"] is not None:
        doubt = "" if found.numbers.qualifies else " (not after E1155: see --json)"
        lines.append(f"FF {said['ff']}, FL {said['fl']}{doubt}.")
    for plan in said["plans"].values():
        lines += ["", *_plan_lines(plan)]
    return lines


def judgement(library: Library, found: Answer, question: Asked) -> Json:
    """The floor as a check of the floor sheet, judged by the one limit: what a map is drawn of."""
    book = SourceText("book", "asked.toml", _book(question))
    stations = found.stations
    rows = [
        [_millimeters(int(z)) if known else None for z, known in zip(*row, strict=True)]
        for row in zip(stations.z, stations.mask, strict=True)
    ]
    levels = {"spacing": f"{_millimeters(stations.spacing)} mm", "unit": "mm", "rows": rows}
    both = build_library([*library.sources.values(), book])
    return judge(both, "floor", ["asked"], {"levels": levels}, "exact", question.system)


def _book(question: Asked) -> str:
    edge, limit = (f"{_millimeters(nm)} mm" for nm in (question.edge, question.limit))
    head = 'id = "asked"\ntitle = "Asked"\ndocument = "asked"\nedition = ""\ndated = ""\n'
    rules = "".join(
        f'[[rule]]\nid = "asked.{one.kind}"\nsheet = "floor"\nquantity = "{one.kind}"\n'
        f'give = {{ edge = "{edge}" }}\nlabel = "{one.kind.capitalize()}"\ncompare = "<="\n'
        f'limit = "{limit}"\nkind = "ours"\nclause = "as asked"\n'
        'verified = "common practice"\nseen = "as asked"\n'
        for one in question.limits
    )
    return f'{head}source = "as asked"\n{rules}'


def _millimeters(nm: int) -> str:
    whole, part = divmod(abs(nm), NM_PER_MM)
    return f"{'-' if nm < 0 else ''}{whole}.{part:06d}"


_VERDICTS = {
    "pass": "Passes",
    "fail": "Fails",
    "not_measured": "Not measured:",
}


def _verdict(question: Asked, worst: Mapping[Kind, EdgeWorst | None], lie: Lie) -> str:
    gaps = [worst[limit.kind] for limit in question.limits]
    if question.level is not None and lie.range > question.level:
        return "fail"
    if any(one is not None and one.gap > question.limit for one in gaps):
        return "fail"
    return "not_measured" if any(one is None for one in gaps) else "pass"


def _plans(found: Answer, question: Asked, watch: Watch | None) -> list[tuple[PlanKind, Any]]:
    if found.verdict == "not_measured":
        return []
    wanted = question.plans
    if not wanted and found.verdict == "fail" and found.stations.known <= UNASKED_UP_TO:
        prices = question.site.prices
        priced = prices.bag is not None and prices.grind is not None
        wanted = tuple(kind for kind in PLANS if kind != "mix" or priced)
    planner = Planner(
        FloorTask(found.stations, question.limits, question.level), question.site, watch
    )
    return [(kind, planner.offer(kind)) for kind in wanted]


def _offered(plan: Any) -> bool:
    return isinstance(plan, Plan)


def _worst(stations: Stations, worst: EdgeWorst | None, question: Asked) -> Json | None:
    if worst is None:
        return None
    system = question.system
    beside = format_beside(worst.gap, question.limit, system)
    return {
        "gap": {"text": beside, "nm": str(worst.gap)},
        "from": _at(stations, worst.start, system),
        "to": _at(stations, worst.end, system),
        "at": _at(stations, worst.at, system),
        "direction": worst.direction,
    }


def _at(stations: Stations, cell: Cell, system: str) -> Json:
    x, y = stations.xy(cell)
    return {"x": length(x, system, feet=True), "y": length(y, system, feet=True)}


def _slope(lie: Lie, system: str) -> Json:
    run = 1000 * NM_PER_MM if system == "metric" else 10 * NM_PER_FOOT
    rise = lie.rise_over(run)
    if rise is None:
        return {"text": "no plane fits", "x": None, "y": None, "rise": None, "run": None}
    way = f", down toward {lie.downhill}" if lie.downhill else ""
    over = format_length(run, system, feet=True)
    return {
        "text": f"slope {format_length(rise, system)} in {over}{way}",
        "x": str(lie.slope_x),
        "y": str(lie.slope_y),
        "rise": length(rise, system),
        "run": length(run, system, feet=True),
        "downhill": lie.downhill,
    }


def _f(value: Fraction | None) -> Any:
    return None if value is None else number(value, 2)


def _spot(at: Json) -> str:
    return f"x {at['x']['text']}, y {at['y']['text']}"


def _plan_lines(plan: Json) -> list[str]:
    if not plan["offered"]:
        return [f"{plan['kind']}: {plan['why']}"]
    above = plan["above_bound"]
    cost = "" if plan["cost"] is None else f", cost {plan['cost']}"
    return [
        f"{plan['kind']}: {plan['title']}. {plan['area']}, {plan['bags']} bags{cost}; "
        f"{number(Fraction(str(above)) * 100, 1)} % above the least there could be.",
        *(f"  {step}" for step in plan["steps"]),
        *(f"  ! {caution}" for caution in plan["cautions"]),
    ]
