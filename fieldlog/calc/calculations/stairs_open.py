"""Open risers: what closes each opening that counts, and what that does to the risers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Rows,
    Words,
)
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text
from fieldlog.calc.calculations.stairs_flight import Court, Flight, heads, off
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


@dataclass(frozen=True, slots=True)
class Gap:
    """An opening that counts and is not clear of its limit: riser (from 1), nm."""

    riser: int
    gap: int
    thickness: int
    needs: int  # the least thickness on a mark that closes it

    @property
    def added(self) -> int:
        """What has to be added to the tread."""
        return self.needs - self.thickness


def gaps_to_close(flight: Flight, court: Court, step: int) -> tuple[Gap, ...]:
    """The openings that the judge finds too wide or too close, each with the thickness that
    closes it, a multiple of `step`, clear of the tool's band.
    """
    local = Local(court, flight)
    rules = [bound.rule.id for bound in local.gaps]
    places = sorted({line["index"] for line in off(court.judged(flight), rules)})
    return tuple(_gap(flight, local, place, step) for place in places)


def _gap(flight: Flight, local: Local, place: int, step: int) -> Gap:
    thickness, riser = flight.thickness[place], flight.risers[place]
    if thickness is None:
        raise refused("tread-thickness", f"The thickness at riser {place + 1} is missing.")
    needs = (thickness // step + 1) * step
    while needs < riser and not closed(local, place, riser - needs):
        needs += step
    return Gap(place + 1, riser - thickness, thickness, needs)


def closed(local: Local, place: int, gap: int) -> bool:
    """Whether an opening is narrow enough for every limit that applies to it, clear of the band."""
    flight = local.flight
    top = sum(flight.risers[:place]) + flight.risers[place] - (flight.thickness[place] or 0)
    return all(
        local.gap_ok(bound, place, gap) or not local.gap_counts(bound, place, top)
        for bound in local.gaps
    )


def _compute(given: Given) -> Answer:
    asked, step = asked_of(given, True), step_of(given)
    flight, local = asked.flight, asked.local
    if not local.gaps:
        raise refused("books", "None of these books has a limit for open risers.")
    gaps = gaps_to_close(flight, asked.court, step)
    if not gaps:
        none = Result("says", "Openings", Words("Every opening that counts is closed enough."))
        return Answer((none,), ("No opening that counts is at its limit.",), ())
    treads = [gap for gap in gaps if gap.riser < len(flight.risers)]
    added = max((gap.added for gap in treads), default=0)
    edge = max((gap.added for gap in gaps if gap not in treads), default=0)
    below, above = _below(flight, added, edge), _above(flight, added, edge)
    rows = tuple(_row(gap, flight, local, given, step) for gap in gaps)
    return Answer(
        (
            Result("says", "What to do", Words(_which(asked, below, above, added, given))),
            Result("openings", "Openings to close", Number(len(gaps))),
            Result("added", "Add to every tread", Length(added)),
            Result("thickness", "Treads of at least", Length(max(g.needs for g in treads or gaps))),
            Result("edge_strip", "Strip under the upper floor's edge", Length(edge)),
            _way("below", "Added below", asked, below, "no riser changes"),
            _way("above", "Added above", asked, above, "the first riser grows, the last shrinks"),
            Result("gaps", "Each opening", Rows(rows)),
        ),
        heads(asked.now, [bound.rule.id for bound in local.gaps]),
        _notes(),
    )


def _below(flight: Flight, added: int, edge: int) -> Flight:
    """Every tread made thicker from underneath: nothing but the openings changes.

    `edge` is what a strip adds to the upper floor's edge, which is no tread.
    """
    treads = len(flight.risers) - 1
    thickness = tuple(
        None if thick is None else thick + (added if place < treads else edge)
        for place, thick in enumerate(flight.thickness)
    )
    return replace(flight, thickness=thickness)


def _above(flight: Flight, added: int, edge: int) -> Flight:
    """A layer on top of every tread: the first riser grows by it and the last one shrinks."""
    first, *middle, last = flight.risers
    headroom = None if flight.headroom is None else flight.headroom - added
    thicker = _below(flight, added, max(0, edge - added))
    return replace(thicker, risers=(first + added, *middle, last - added), headroom=headroom)


def _way(name: str, label: str, asked: Asked, flight: Flight, does: str) -> Result:
    fails = _fails(asked, flight)
    says = f"Passes; {does}." if not fails else f"Does not pass; {does}: {' '.join(fails)}"
    return Result(name, label, Words(says))


def _fails(asked: Asked, flight: Flight) -> tuple[str, ...]:
    if min(flight.risers) <= 0:
        return ("The last riser would be gone.",)
    return asked.fails(flight)


def _which(asked: Asked, below: Flight, above: Flight, added: int, given: Given) -> str:
    """Below where it passes: it leaves the risers alone; else above; else neither."""
    more = f"Add {length_text(added, given.system)}" if added else "Add the strip"
    if not _fails(asked, below):
        return f"{more} below: every opening passes, and no riser changes."
    if not _fails(asked, above):
        first, last = (length_text(above.risers[n], given.system) for n in (0, -1))
        return f"{more} above: the first riser becomes {first} and the last {last}, and all pass."
    return "Neither alone: the risers are off as well. Even them out (even-risers) as well."


def _row(gap: Gap, flight: Flight, local: Local, given: Given, step: int) -> tuple[Result, ...]:
    strip = _strip(gap, local, step)
    rod: int | None = given["rod"]
    row = [
        Result("riser", "Under tread", Number(gap.riser)),
        Result("gap", "Gap", Length(gap.gap)),
        Result("thickness", "Tread of at least", Length(gap.needs)),
        Result("strip", "Or a strip under it of at least", Length(strip)),
        Result("strip_leaves", "which leaves", Length(gap.gap - strip)),
    ]
    if gap.riser == len(flight.risers):
        row[0] = Result("riser", "Under the floor, riser", Number(gap.riser))
    if rod is not None:
        left = Fraction(gap.gap - rod, 2)
        row.append(Result("rod_leaves", "A rod half way leaves, above and below", Length(left)))
        fits = left > 0 and closed(local, gap.riser - 1, -(-(gap.gap - rod) // 2))
        row.append(Result("rod", "The rod", Words("passes" if fits else "does not pass")))
    return tuple(row)


def _strip(gap: Gap, local: Local, step: int) -> int:
    """The least strip, in steps, that leaves an opening clear of the limit."""
    strip = step
    while strip < gap.gap and not closed(local, gap.riser - 1, gap.gap - strip):
        strip += step
    return strip


def _notes() -> tuple[str, ...]:
    return (
        "Thickness added above also raises the treads: headroom, guards and handrail are measured "
        "from them. Measure them again.",
        "Try a ball of the limit's size in every opening when it is done.",
    )


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        name="open-risers",
        title="Close the open risers",
        says="What thickness, strip or rod closes each opening of an open stair that counts.",
        inputs=(
            RISERS,
            replace(THICKNESS, required=True),
            EDGE,
            TOTAL_RISE,
            BOOKS,
            TOOL,
            step_input(),
            Input("rod", "A rod half way up", "length", "Its diameter.", positive=True),
        ),
        formula=(
            "Opening = riser - tread thickness. Added below, a thickness takes that much off it "
            "and changes no riser; added above, on every tread, the first riser grows by it and "
            "the last shrinks."
        ),
        source="Geometry; limits from the books named, each way judged against all of them",
        caution=CAUTION.format("built-up"),
        compute=_compute,
    ),
)
