"""Every count of risers for a total rise, each laid out and put before the real judge.

A design has no tool error, so it is judged with the exact instrument: at a limit that may be
reached it passes. The rise is split into whole nanometers that add up to it (`even_split`), so
no rounding can turn a verdict; the headroom is rounded down to a whole nanometer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from fieldlog.calc.calculations.running import length_text
from fieldlog.calc.calculations.stairs_flight import (
    Court,
    even_split,
    exact_text,
    off,
)
from fieldlog.calc.calculations.stairs_trees import HEADROOM, hangs_on, tree_of
from fieldlog.calc.tape import NM_PER_INCH

MOST_COUNT = 30
# Rules of thumb of a US Army carpentry course (EN5156): 2 R + G = 25, R + G = 17 to 19. They
# choose and order; no layout is refused by them.
COMFORT = 25 * NM_PER_INCH
STRIDE = 35 * NM_PER_INCH // 2


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a stair is laid out for, nm; 0 or None where it was not said."""

    rise: int
    step: int
    going: int | None = None
    space: int | None = None
    opening: int | None = None
    floor: int | None = None
    nosing: int = 0
    tread: int = 0
    open_riser: bool | None = None
    least_riser: int = 0


@dataclass(frozen=True, slots=True)
class Layout:
    """One count of risers with its going, nm."""

    wanted: Wanted
    count: int
    going: int

    @property
    def riser(self) -> Fraction:
        """The unit rise, exact."""
        return Fraction(self.wanted.rise, self.count)

    @property
    def run(self) -> int:
        """The total run: one tread less than risers, for the last riser ends at the floor."""
        return (self.count - 1) * self.going

    @property
    def stride(self) -> Fraction:
        """2 R + G."""
        return 2 * self.riser + self.going

    @property
    def under_edge(self) -> Fraction | None:
        """How far the line of the nosings lies below the upper floor, under the edge of the
        opening. The opening is measured from the last riser; nosings stand out over it.
        """
        if self.wanted.opening is None:
            return None
        below = (self.wanted.opening - self.wanted.nosing) * self.riser / self.going
        return min(below, Fraction(self.wanted.rise))  # past the foot it is the floor

    @property
    def headroom(self) -> Fraction | None:
        """At the edge of the opening: from the line of the nosings to the ceiling there."""
        if self.under_edge is None or self.wanted.floor is None:
            return None
        return self.under_edge - self.wanted.floor

    def readings(self) -> dict[str, Any]:
        """Readings of the sheet "stair", exact."""
        wanted = self.wanted
        told: dict[str, Any] = {
            "riser": [exact_text(riser) for riser in even_split(wanted.rise, self.count)],
            "total_rise": exact_text(wanted.rise),
        }
        if wanted.open_riser is not None:
            told["open_riser"] = wanted.open_riser
        if wanted.tread:
            told["tread_thickness"] = exact_text(wanted.tread)
        told["tread"] = [exact_text(self.going)] * (self.count - 1)
        if wanted.nosing:
            told["nosing"] = [exact_text(wanted.nosing)] * (self.count - 1)
        if self.headroom is not None:
            told["headroom"] = exact_text(int(self.headroom // 1))
        return told


@dataclass(frozen=True, slots=True)
class Tried:
    """A count, the layout that satisfies the books, or why there is none."""

    count: int
    layout: Layout | None
    why: tuple[str, ...]


def tried(wanted: Wanted, court: Court) -> Iterator[Tried]:
    """Every count whose riser the sheet takes for possible and a person would build, in order."""
    field = court.sheet.field("riser")
    for count in range(2, MOST_COUNT + 1):
        riser = Fraction(wanted.rise, count)
        if riser < wanted.least_riser:
            return
        if field and field.low is not None and field.high is not None:
            if riser < field.low:
                return
            if riser > field.high:
                continue
        yield _try(wanted, court, count)


def _try(wanted: Wanted, court: Court, count: int) -> Tried:
    why: tuple[str, ...] = ()
    too_long: int | None = None
    for going in goings(wanted, court, count):
        if too_long is not None and going >= too_long:
            continue
        layout = Layout(wanted, count, going)
        fails = _fails(layout, court)
        if not fails:
            return Tried(count, layout, ())
        why = why or tuple(fails.values())
        if not all(_hangs_on(rule, court, "tread", HEADROOM) for rule in fails):
            break  # no other going mends it
        if any(_hangs_on(rule, court, HEADROOM) for rule in fails if rule):
            too_long = going  # a longer one lies lower under the edge of the opening
    return Tried(count, None, why)


def _hangs_on(rule: str, court: Court, *fields: str) -> bool:
    """Whether a limit ("" for what is none) hangs on one of these fields."""
    rules = court.library.rules(court.sheet.id, court.books)
    trees = [tree_of(court.sheet, b.rule.quantity) for b in rules if b.rule.id == rule]
    return not trees or any(hangs_on(tree, name) for tree in trees for name in fields)


def goings(wanted: Wanted, court: Court, count: int) -> Iterator[int]:
    """Goings to try, the most comfortable first: the one wished; or the rule of thumb's, the
    limits of the books by how near they are to it, and up from there by half inches. None is
    longer than the space allows.
    """
    if wanted.going is not None:
        yield wanted.going
        return
    step = wanted.step
    thumb = max(step, round((COMFORT - 2 * Fraction(wanted.rise, count)) / step) * step)
    limits = sorted(tread_limits(court, step), key=lambda going: abs(going - thumb))
    up = (max([thumb, *limits]) + n * (NM_PER_INCH // 2) // step * step for n in range(1, 9))
    most = wanted.space // (count - 1) // step * step if wanted.space else None
    seen: set[int] = set()
    for going in (thumb, *limits, *up):
        fitting = going if most is None else min(going, most)
        if fitting > 0 and fitting not in seen:
            seen.add(fitting)
            yield fitting


def tread_limits(court: Court, step: int) -> list[int]:
    """Tread depths at the limits of the books, nm, on the step inside each."""
    found: list[int] = []
    for bound in court.library.rules(court.sheet.id, court.books):
        if bound.limit_nm and bound.rule.quantity in ("tread", "going"):
            least = bound.rule.compare.startswith(">")
            found.append((-(-bound.limit_nm // step) if least else bound.limit_nm // step) * step)
    return found


def least_run(wanted: Wanted, court: Court) -> Layout | None:
    """The shortest flight that the books allow, whatever the space and the opening."""
    free = replace(wanted, space=None, opening=None)
    least_tread = min(tread_limits(court, wanted.step), default=wanted.step)
    best: Layout | None = None
    for one in tried(free, court):
        if one.layout and (best is None or (one.count - 1) * least_tread < best.run):
            shortest = one.layout if wanted.going else _shortest(one.layout, court)
            best = min(best or shortest, shortest, key=lambda layout: layout.run)
    return best


def _shortest(layout: Layout, court: Court) -> Layout:
    """The same count with the least going that still passes, on the step, by halving."""
    step = layout.wanted.step
    low, high = 0, layout.going // step
    while high - low > 1:
        middle = (low + high) // 2
        fits = not _fails(replace(layout, going=middle * step), court)
        low, high = (low, middle) if fits else (middle, high)
    return replace(layout, going=high * step)


def _fails(layout: Layout, court: Court) -> dict[str, str]:
    """Why a layout won't do, by limit ("" for what is no limit); nothing where it will."""
    wanted, system = layout.wanted, court.system
    if wanted.space is not None and layout.run > wanted.space:
        run, space = (length_text(n, system, feet=True) for n in (layout.run, wanted.space))
        going = length_text(layout.going, system)
        return {"": f"{layout.count - 1} treads of {going} take {run}; the space is {space}."}
    for name, value in (("tread", Fraction(layout.going)), ("headroom", layout.headroom)):
        field = court.sheet.field(name)
        if value is not None and field and field.low is not None and value < field.low:
            least = length_text(field.low, system)
            return {"": f"{field.label} would be {length_text(value, system)}, under {least}."}
    fails = _reasons(court.judge(layout.readings()), court)
    if fails and wanted.space is not None and wanted.going is None:
        treads, space = layout.count - 1, length_text(wanted.space, system, feet=True)
        each = length_text(layout.going, system)
        return {"": f"{treads} treads in {space} are {each} each."} | fails
    return fails


def _reasons(judgement: dict[str, Any], court: Court) -> dict[str, str]:
    """The limits that a judgement finds broken, a sentence each."""
    rules = {bound.rule.id: bound for bound in court.library.rules(court.sheet.id, court.books)}
    needs = {finding["rule"]: finding["needs"] for finding in judgement["findings"]}
    said: dict[str, str] = {}
    for line in off(judgement):
        value = line["value"]["text"]
        if rules[line["rule"]].measure == "length":
            value = length_text(Fraction(line["value"]["nm"]), court.system)
        said[line["rule"]] = f"{line['label']} {value}: needs {needs[line['rule']]}."
    return said


def discomfort(layout: Layout) -> Fraction:
    """How far a layout is from the rules of thumb, nm: the nearest is the most comfortable."""
    return abs(layout.stride - COMFORT) + abs(layout.riser + layout.going - STRIDE)
