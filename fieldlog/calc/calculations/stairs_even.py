"""Even out a flight: the least that makes every riser and opening right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Rows,
    Series,
    Words,
)
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text
from fieldlog.calc.calculations.stairs_flight import (
    Court,
    Flight,
    Plan,
    even_split,
    heads,
    mean,
    off,
)
from fieldlog.calc.calculations.stairs_inputs import (
    BOOKS,
    CAUTION,
    EDGE,
    RISERS,
    THICKNESS,
    TOOL,
    TOTAL_RISE,
    Asked,
    asked_of,
    step_input,
    step_of,
)
from fieldlog.calc.calculations.stairs_local import Local
from fieldlog.calc.calculations.stairs_search import STAGES, plans
from fieldlog.calc.calculations.stairs_tables import Options, Stage
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM

MOST_JUDGED = 100
"""Plans of a stage that are put before the judge."""
MOST_STEPS = 64
"""Steps in the largest shim or cut that can be asked for."""


@dataclass(frozen=True, slots=True)
class Found:
    """The cheapest plan of the first stage that has one, and the judgement of the flight then."""

    stage: str
    plan: Plan
    flight: Flight
    judgement: dict[str, Any]


def even_out(flight: Flight, court: Court, options: Options) -> Found | None:
    """The plan to even out a flight, or None where there is none.

    Stages in order: nothing, move the flight, shim as well, plane as well. In a stage the
    fewest treads touched, then the least shims and shavings together. Every plan is judged by
    `judging.judge` against every limit of the books that treads can change, and passes only
    where none of them fails or is too close to call with the tool.
    """
    local = Local(court, flight)
    for stage in STAGES:
        if found := cheapest(flight, local, options, stage):
            return found
    return None


def cheapest(flight: Flight, local: Local, options: Options, stage: Stage) -> Found | None:
    """The cheapest plan of one stage that the judge lets through."""
    for plan in islice(plans(flight, local, options, stage), MOST_JUDGED):
        after = flight.after(plan)
        judgement = local.court.judged(after)
        if not off(judgement, local.held):
            return Found(stage.name, plan, after, judgement)
    return None


def _compute(given: Given) -> Answer:
    asked = asked_of(given, given["open"])
    flight, court, now = asked.flight, asked.court, asked.now
    if flight.open_riser and not flight.thickness:
        raise refused("tread-thickness", "Tread thickness is missing: an open gap hangs on it.")
    options, changing = _options(given, len(flight.risers) - 1), asked.local.changing
    found = even_out(flight, court, options)
    steps = heads(now, changing) or ("Every riser and opening is right as it is.",)
    if found is None:
        none = Result("plan", "Plan", Words("No plan makes every riser and opening right."))
        why = tuple(_why_not(asked, options, given))
        return Answer(
            (none, *_flight_results("before", flight)), (*steps, *why), _left(now, changing)
        )
    fewer, held = _fewer(flight, court, options, found), asked.local.held
    results = (*_results(flight, found, held, given), *_with_planing(fewer, given))
    return Answer(results, (*steps, *_said(found)), _notes(found, held, options, given))


def _fewer(flight: Flight, court: Court, options: Options, found: Found) -> Found | None:
    """A plan with planing that touches fewer treads than shims alone have to."""
    if found.stage != "shim":
        return None
    other = cheapest(flight, Local(court, flight), options, STAGES[-1])
    return other if other and other.plan.pieces < found.plan.pieces else None


def _with_planing(fewer: Found | None, given: Given) -> tuple[Result, ...]:
    if fewer is None:
        return ()
    says = " ".join(_sentences(fewer.plan, given.system))
    return (
        Result("with_planing", "With planing, fewer treads", Words(says)),
        Result("with_planing_pieces", "Treads touched with planing", Number(fewer.plan.pieces)),
    )


def _options(given: Given, treads: int) -> Options:
    step = step_of(given)
    most = given["most"] or (25 * NM_PER_MM if given.system == "metric" else NM_PER_INCH)
    if most // step > MOST_STEPS:
        why = f"More than {MOST_STEPS} steps. Take a coarser step, or less at most."
        raise refused("most", why)
    locked = given["locked"] or ()
    for place, tread in enumerate(locked):
        if not 1 <= tread <= treads:
            raise refused("locked", f"There are treads 1 to {treads}, no {tread}.", (), place)
    return Options(step, most // step, frozenset(t - 1 for t in locked), bool(given["locked-ends"]))


def _results(flight: Flight, found: Found, changing: list[str], given: Given) -> tuple[Result, ...]:
    plan = found.plan
    return (
        Result("plan", "Plan", Words(" ".join(_sentences(plan, given.system)))),
        Result("stage", "What it takes", Words(found.stage)),
        Result("move", "Move of the whole flight (+ up)", Length(plan.move)),
        Result("pieces", "Treads touched", Number(plan.pieces)),
        Result("total", "Shims and shavings together", Length(plan.total)),
        Result("treads", "Treads", Rows(tuple(_tread_row(n, c) for n, c in _changed(plan)))),
        *_flight_results("before", flight),
        *_flight_results("after", found.flight),
        Result("judged", "Judged then", Words(_judged(found, changing))),
    )


def _judged(found: Found, changing: list[str]) -> str:
    """How many limits that treads can change the flight was held to, place by place."""
    lines = [line for line in found.judgement["rules"] if line["rule"] in changing]
    verdicts = [line["verdict"] for line in lines]
    passed, waiting = verdicts.count("pass"), verdicts.count("not_measured")
    rest = f"; {waiting} not measured" if waiting else ""
    return f"{passed} limits on risers and openings pass, none too close to call{rest}."


def _flight_results(when: str, flight: Flight) -> tuple[Result, ...]:
    spread = max(flight.risers) - min(flight.risers)
    series = Series(tuple(Length(riser) for riser in flight.risers))
    return (
        Result(f"risers_{when}", f"Risers {when}", series),
        Result(f"spread_{when}", f"Riser difference {when}", Length(spread)),
    )


def _changed(plan: Plan) -> Iterator[tuple[int, int]]:
    return ((n, change) for n, change in enumerate(plan.changes, 1) if change)


def _tread_row(number: int, change: int) -> tuple[Result, ...]:
    return (
        Result("tread", "Tread", Number(number)),
        Result("act", "Do", Words("shim" if change > 0 else "plane")),
        Result("by", "By", Length(abs(change))),
    )


def _sentences(plan: Plan, system: str) -> Iterator[str]:
    """The plan in words, an order a sentence."""
    if not plan.move and not plan.pieces:
        yield "Nothing to do."
    if plan.move:
        way = "up" if plan.move > 0 else "down"
        yield f"Move the whole flight {way} by {length_text(abs(plan.move), system)}."
    for act, sign in (("Shim", 1), ("Plane", -1)):
        for number, change in _changed(plan):
            if change * sign > 0:
                yield f"{act} tread {number} by {length_text(abs(change), system)}."


def _said(found: Found) -> tuple[str, ...]:
    after = found.judgement["quantities"]["riser"]["values"]
    return (f"Risers then: {', '.join(value['text'] for value in after)}.",)


def _notes(found: Found, changing: list[str], options: Options, given: Given) -> tuple[str, ...]:
    plan, notes = found.plan, []
    most = length_text(options.most * options.step, given.system)
    if plan.move:
        notes.append("Moving the flight changes the first and the last riser only; the headroom, "
                     "the guards and the landings move with it: measure them again.")  # fmt: skip
    if plan.pieces:
        notes.append(f"A shim or a cut of {most} at most was looked at; shim the full bearing.")
    if any(change < 0 for change in plan.changes):
        notes.append("A planed tread is thinner, and the gap above it wider; both are judged. "
                     "Whether it still carries is a licensed designer's question.")  # fmt: skip
    waiting = [
        finding["head"]
        for finding in found.judgement["findings"]
        if finding["mark"] == "not_measured" and finding["rule"] in changing
    ]
    notes += dict.fromkeys(waiting)
    notes += found.judgement["questions"]
    return (*notes, *_left(found.judgement, changing))


def _left(judgement: dict[str, Any], changing: list[str]) -> tuple[str, ...]:
    """What no change of the treads will put right."""
    rules = [line["rule"] for line in off(judgement) if line["rule"] not in changing]
    return tuple(f"Evening out does not change this: {head}" for head in heads(judgement, rules))


def _why_not(asked: Asked, options: Options, given: Given) -> Iterator[str]:
    """Why there is no plan: what would have to be let go for there to be one."""
    flight, court = asked.flight, asked.court
    count, even = len(flight.risers), replace(flight, open_riser=False)
    even = replace(even, risers=even_split(flight.rise, count))
    average = length_text(mean(flight), given.system)
    yield f"Even, every riser would be {average}."
    local = asked.local
    if fails := heads(court.judged(even), local.held):
        yield from fails
        yield "No evening out helps: the flight needs another count of risers."
        return
    if local.stuck and (found := even_out(replace(flight, headroom=None), court, options)):
        says = " ".join(_sentences(found.plan, given.system))
        yield from heads(asked.now, local.stuck)
        yield f"That stands in its way, because this lifts a tread under it: {says}"
        return
    free = replace(options, locked=frozenset(), locked_ends=False)
    if free != options and even_out(flight, court, free):
        yield "Without the locks there is a plan: what is locked stands in its way."
        return
    solid = replace(flight, open_riser=False)
    if flight.open_riser and even_out(solid, court, options):
        yield "The risers could be made right, but not the open gaps: the treads are too thin."
        yield "See what closes the openings (open-risers) first."
        return
    most = length_text(options.most * options.step, given.system)
    yield f"Not with shims and cuts of {most} or less: the treads have to be set anew."


CALCULATIONS = (
    Calculation(
        name="even-risers",
        title="Even out the risers",
        says="Move, shim or plane as little as makes every riser and opening of a flight right.",
        inputs=(
            RISERS,
            THICKNESS,
            EDGE,
            Input("open", "Open risers", "yes_no"),
            TOTAL_RISE,
            Input("treads", "Tread depth", "lengths", "One, or one of each.", positive=True),
            Input("headroom", "Headroom", "length", positive=True),
            BOOKS,
            TOOL,
            Input("locked-ends", "First and last riser stay", "yes_no", default="no"),
            Input("locked", "Treads that stay", "counts", "By number, as in 1,4.", most=30),
            step_input(),
            Input("most", "Largest shim or cut", "length", "Left out: 1 in, or 25 mm.",
                  positive=True),
        ),
        formula=(
            "Move the flight by d, tread i by x(i): riser i becomes r(i) + x(i) - x(i-1), with d "
            "added to the first and taken from the last. In this order: nothing, move, shim, "
            "plane; then the fewest treads touched; then the least of |x(1)| + |x(2)| + ..."
        ),
        source="Geometry; limits from the books named, each plan judged against all of them",
        caution=CAUTION.format("planed or shimmed"),
        compute=_compute,
    ),
)  # fmt: skip
