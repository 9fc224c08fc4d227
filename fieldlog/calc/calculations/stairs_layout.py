"""Lay out a stair: every count of risers that the books allow, with all that a crew cuts by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from fieldlog.calc.calculations.decimals import atan, degrees, root
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Exact,
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
from fieldlog.calc.calculations.running import length_text, number_text
from fieldlog.calc.calculations.stairs_counts import (
    COMFORT,
    STRIDE,
    Layout,
    Tried,
    Wanted,
    discomfort,
    least_run,
    tried,
)
from fieldlog.calc.calculations.stairs_flight import Court
from fieldlog.calc.calculations.stairs_inputs import BOOKS, plausible, step_input, step_of
from fieldlog.calc.calculations.stairs_trees import tree_of
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM

EXACT = "exact"
MOST_REJECTED = 6


def _compute(given: Given) -> Answer:
    wanted, court = _wanted(given), _court(given)
    all_tried = tuple(tried(wanted, court))
    layouts = [one.layout for one in all_tried if one.layout]
    rejected = Result("rejected", "Counts that do not fit", Rows(_rejected(all_tried, given)))
    if not layouts:
        none = Result("says", "Layout", Words("No count of risers fits."))
        return Answer((none, rejected), tuple(_why_nothing(wanted, court, all_tried, given)))
    best = min(layouts, key=discomfort)
    rows = Rows(tuple(_row(layout, given) for layout in layouts))
    return Answer(
        (
            *_row(best, given),
            *_marks(best, given),
            Result("layouts", "Every count", rows),
            rejected,
        ),
        tuple(_steps(best, given)),
        tuple(_notes(best, given)),
    )


def _wanted(given: Given) -> Wanted:
    rise: int = given["rise"]
    least = given.reference.practice.values.get("riser-least")  # a house's own file may lack it
    plausible(given, "rise", "total_rise", rise)
    if given["floor"] is not None and given["opening"] is None:
        raise refused("opening", "Type the length of the opening as well.")
    return Wanted(
        rise,
        step_of(given),
        given["going"],
        given["space"],
        given["opening"],
        given["floor"],
        given["nosing"] or 0,
        given["tread-thickness"] or 0,
        given["open"],
        least.nm if least else 0,
    )


def _court(given: Given) -> Court:
    for book in given["books"]:
        given.library.book(book)
    return Court(given.library, tuple(given["books"]), EXACT, given.system)


def _row(layout: Layout, given: Given) -> tuple[Result, ...]:
    """All that there is to say of one count."""
    riser, going = layout.riser, layout.going
    line = root(Fraction(layout.wanted.rise) ** 2 + layout.run**2)
    row = [
        Result("count", "Risers", Number(layout.count)),
        Result("riser", "Unit rise", Length(riser)),
        Result("treads", "Treads", Number(layout.count - 1)),
        Result("going", "Unit run", Length(going)),
        Result("pitch", "Pitch", Number(degrees(atan(riser / going)), "deg", 2)),
        Result("two_r_plus_g", "2 R + G", Length(layout.stride)),
        Result("total_run", "Total run", Length(layout.run, feet=True)),
        Result("stringer_length", "Stringer, slant of rise and run", Length(line, feet=True)),
        *_cuts(layout, given),
    ]
    if layout.under_edge is not None:
        label = "Nosings below the upper floor, under the opening's edge"
        row.append(Result("under_edge", label, Length(layout.under_edge, feet=True)))
    if layout.headroom is not None:
        label = "Headroom at the opening's edge"
        row.append(Result("headroom", label, Length(layout.headroom, feet=True)))
    return tuple(row)


def _cuts(layout: Layout, given: Given) -> Iterator[Result]:
    """The stringer stands on the rough floor, and its seats lie under the treads."""
    lower, upper, tread = _finishes(given)
    drop = tread - lower
    first, last = layout.riser - drop, layout.riser + tread - upper
    if first <= 0 or last <= 0:
        raise refused("tread-thickness", "With these thicknesses an end riser would be gone.")
    yield Result("drop", "Drop of the stringer", Length(drop))
    yield Result("first_cut", "First riser, as cut", Length(first))
    yield Result("last_cut", "Last riser, as cut", Length(last))


def _finishes(given: Given) -> tuple[int, int, int]:
    """Finish still to come on the lower and on the upper floor, and tread thickness, nm."""
    return given["lower-finish"] or 0, given["upper-finish"] or 0, given["tread-thickness"] or 0


def _marks(layout: Layout, given: Given) -> Iterator[Result]:
    step = NM_PER_MM if given.system == "metric" else NM_PER_INCH // 16
    marks = (round(n * layout.riser / step) * step for n in range(1, layout.count + 1))
    label = "Story pole, from the finished lower floor"
    yield Result("story_pole", label, Series(tuple(Length(mark) for mark in marks)))
    lower, upper, _ = _finishes(given)
    rough = layout.wanted.rise + lower - upper
    yield Result("rough_rise", "Rise between the rough floors", Length(rough, feet=True))


def _rejected(all_tried: tuple[Tried, ...], given: Given) -> tuple[tuple[Result, ...], ...]:
    """The counts that were refused, those nearest to a comfortable riser."""
    refused_ = [one for one in all_tried if not one.layout]
    rise = given["rise"]
    near = sorted(refused_, key=lambda one: abs(Fraction(rise, one.count) - (COMFORT - STRIDE)))
    return tuple(
        (
            Result("count", "Risers", Number(one.count)),
            Result("riser", "Unit rise", Length(Fraction(rise, one.count))),
            Result("why", "Why not", Words(" ".join(one.why))),
        )
        for one in sorted(near[:MOST_REJECTED], key=lambda one: one.count)
    )


def _steps(layout: Layout, given: Given) -> Iterator[str]:
    rise, riser = _say(layout.wanted.rise, given), _say(layout.riser, given)
    unit, size = ("mm", NM_PER_MM) if given.system == "metric" else ("in", NM_PER_INCH)
    yield f"{rise} / {layout.count} = {riser}, {number_text(layout.riser / size, 3)} {unit}."
    yield (
        f"{layout.count - 1} treads x {_say(layout.going, given)} = {_say(layout.run, given)}. "
        f"2 x {riser} + {_say(layout.going, given)} = {_say(layout.stride, given)}."
    )
    yield from _rounding(layout, given)


def _rounding(layout: Layout, given: Given) -> Iterator[str]:
    """What becomes of the last riser where each is cut to the nearest mark."""
    step = NM_PER_MM if given.system == "metric" else NM_PER_INCH // 16
    rounded = round(layout.riser / step) * step
    over = rounded * layout.count - layout.wanted.rise
    if over:
        more = "more" if over > 0 else "less"
        yield (
            f"{layout.count} risers of {_say(rounded, given)} would come to "
            f"{_say(rounded * layout.count, given)}, {_say(abs(over), given)} {more} than the "
            "rise, all of it in the last riser: mark them from the story pole."
        )


def _notes(layout: Layout, given: Given) -> Iterator[str]:
    yield (
        "The suggested count is the one nearest to two rules of thumb: 2 R + G = "
        f"{_say(COMFORT, given)}, R + G = {_say(STRIDE, given)}. Any of the others satisfies the "
        "books as well."
    )
    if not given["tread-thickness"]:
        yield "Without a tread thickness the cuts are those of the tread's tops."
    if layout.under_edge is not None and layout.headroom is None:
        yield "For the headroom type the upper floor's whole thickness, ceiling included (floor)."
    if given["books"]:
        yield "Width, landings, handrails and guards have limits of their own."


def _why_nothing(
    wanted: Wanted, court: Court, all_tried: tuple[Tried, ...], given: Given
) -> Iterator[str]:
    """What stands in the way, and what would have to give."""
    for row in _rejected(all_tried, given):
        count, riser, why = (result.value for result in row)
        if isinstance(count, Number) and isinstance(riser, Length) and isinstance(why, Words):
            yield f"{count.value} risers of {_say(riser.nm, given)}: {why.text}"
    if wanted.opening is not None:
        yield from _needed_opening(wanted, court, given)
    if wanted.space is not None:
        least = least_run(wanted, court)
        if least is not None:
            yield f"The least run is {_say(least.run, given)}, with {least.count} risers."


def _needed_opening(wanted: Wanted, court: Court, given: Given) -> Iterator[str]:
    """How long the opening would have to be for the headroom that the books want."""
    found = [one.layout for one in tried(replace(wanted, opening=None), court) if one.layout]
    limits = [
        bound.limit_nm
        for bound in court.library.rules(court.sheet.id, court.books)
        if bound.limit_nm and tree_of(court.sheet, bound.rule.quantity) == ["q", "headroom"]
    ]
    if not found or not limits or wanted.floor is None:
        return
    best = min(found, key=discomfort)
    needs = (max(limits) + wanted.floor) * best.going / best.riser + wanted.nosing
    opening = -(-needs // wanted.step) * wanted.step
    yield f"With {best.count} risers the opening has to be {_say(opening, given)} or longer."


def _say(nm: Exact, given: Given) -> str:
    return length_text(nm, given.system)


def _length(name: str, label: str, how: str = "", required: bool = False) -> Input:
    return Input(name, label, "length", how, required=required, positive=True)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        name="stair-layout",
        title="Lay out a stair",
        says="Every count of risers that the books allow for a rise, and what to cut.",
        inputs=(
            _length("rise", "Total rise", "Finished floor to finished floor, plumb.", True),
            _length("going", "Going wished", "Nosing to nosing; left out: by the rule of thumb."),
            BOOKS,
            _length("space", "Space for the run", "Level, as far as the last riser."),
            _length("opening", "Opening's length", "Level, from the last riser to its far edge."),
            _length("floor", "Upper floor's thickness", "Finish to ceiling, at that edge."),
            _length("lower-finish", "Finish to come below", "On the rough floor, at the foot."),
            _length("upper-finish", "Finish to come above", "On the rough floor, at the head."),
            _length("tread-thickness", "Tread thickness", "With its own finish."),
            _length("nosing", "Nosing", "How far it stands out over the riser below."),
            Input("open", "Open risers", "yes_no"),
            step_input(),
        ),
        formula=(
            "R = rise / n; run = (n - 1) G; pitch = atan(R / G); stringer = root of rise squared "
            "and run squared. First cut = R - (tread - lower finish); last cut = R + tread - "
            "upper finish. Headroom = (opening - nosing) R / G - floor."
        ),
        source=(
            "Geometry; US Army subcourse EN5156 (count, run, rules of thumb); limits from the "
            "books named, each layout judged against all of them"
        ),
        caution=(
            "The local code and its inspector decide, and a licensed designer decides what "
            "carries the stair. Measure the rise again where the flight will stand."
        ),
        compute=_compute,
    ),
)
