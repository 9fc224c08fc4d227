"""Inputs that the calculations on a flight share, and the flight made of them, checked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from fieldlog.calc.calculations.model import Given, Input
from fieldlog.calc.calculations.refusing import InputsRefused, refused
from fieldlog.calc.calculations.running import length_text
from fieldlog.calc.calculations.stairs_flight import SHEET, Court, Flight, exact_text, heads
from fieldlog.calc.calculations.stairs_local import Local
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM, format_plain
from fieldlog.calc.uncertainty import too_close, variance
from fieldlog.calc.values import ReadingKey

MOST_RISERS = 30
FINEST = NM_PER_INCH // 64

RISERS = Input(
    "risers", "Risers", "lengths", "From the lowest up, with commas between.", required=True,
    positive=True, most=MOST_RISERS,
)  # fmt: skip
THICKNESS = Input(
    "tread-thickness", "Tread thickness", "lengths", "One, or one of each tread.", positive=True,
    most=MOST_RISERS,
)  # fmt: skip
EDGE = Input(
    "edge", "Upper floor's edge, thickness", "length", "The top opening is under it.", positive=True
)
TOTAL_RISE = Input("total-rise", "Total rise", "length", "Finish to finish.", positive=True)
BOOKS = Input("books", "Books", "names", default="irc-2021")
TOOL = Input("tool", "Measured with", "text", default="tape")
CAUTION = (
    "The local code and its inspector decide, and a licensed designer decides what a {} tread and "
    "its fixing carry."
)


@dataclass(frozen=True, slots=True)
class Asked:
    """A flight that was typed, the judge it is held to, and its judgement as it is."""

    flight: Flight
    court: Court
    now: dict[str, Any]

    @property
    def local(self) -> Local:
        """The limits on single risers and openings of the flight."""
        return Local(self.court, self.flight)

    def fails(self, flight: Flight) -> tuple[str, ...]:
        """What another flight would not pass, of the limits that treads can change."""
        return heads(self.court.judged(flight), Local(self.court, flight).changing)


def asked_of(given: Given, open_riser: bool | None) -> Asked:
    """The flight, the judge and what it says now. Raises InputsRefused, UnknownSource."""
    flight, court = flight_of(given, open_riser), court_of(given)
    return Asked(flight, court, judged_now(court, flight))


def step_input(default_us: int = NM_PER_INCH // 16) -> Input:
    """The step of shims and thicknesses; on the metric system 1 mm where it is left out."""
    how = f"Left out: {format_plain(default_us)} in, or 1 mm."
    return Input("step", "In steps of", "length", how, positive=True, low=FINEST)


def step_of(given: Given) -> int:
    """The step asked for, nm, or a sixteenth, or a millimeter."""
    step: int | None = given["step"]
    return step or (NM_PER_MM if given.system == "metric" else NM_PER_INCH // 16)


def court_of(given: Given) -> Court:
    """The judge with the books and the tool that were named. Raises UnknownSource."""
    for book in given["books"]:
        given.library.book(book)
    if given.library.instrument(given["tool"]).kind != "length":
        raise refused("tool", "It reads no lengths. Name a tape, a rule or a story pole.")
    return Court(given.library, tuple(given["books"]), given["tool"], given.system)


_INPUT = {
    "riser": RISERS.name, "tread_thickness": THICKNESS.name, "total_rise": TOTAL_RISE.name,
    "floor_edge_thickness": EDGE.name, "tread": "treads",
}  # fmt: skip


def judged_now(court: Court, flight: Flight) -> dict[str, Any]:
    """The judgement of the flight as it is. Raises InputsRefused, at the inputs, where the sheet
    takes what was typed for impossible.
    """
    try:
        return court.judged(flight)
    except ReadingsRefused as err:
        raise InputsRefused(
            [replace(e, field=_INPUT.get(e.field, e.field)) for e in err.errors]
        ) from err


def flight_of(given: Given, open_riser: bool | None) -> Flight:
    """The flight that was typed. Raises InputsRefused for what can't be one flight."""
    risers: tuple[int, ...] = given["risers"]
    if len(risers) < 2:
        raise refused("risers", "One riser is no flight. Type them all, with commas between.")
    for place, riser in enumerate(risers):
        plausible(given, "risers", "riser", riser, place)
    thickness = _thickness(given, risers)
    others: dict[str, Any] = {}
    if total := given.values.get("total-rise"):
        _agrees(given, total, risers)
        others["total_rise"] = exact_text(total)
    if treads := given.values.get("treads"):
        others["tread"] = _treads(given, treads, len(risers) - 1)
    headroom = given.values.get("headroom")
    if headroom:
        plausible(given, "headroom", "headroom", headroom)
    own_edge = given["edge"] is not None and bool(thickness)
    return Flight(risers, thickness, own_edge, open_riser, headroom, others)


def _treads(given: Given, treads: tuple[int, ...], count: int) -> list[str]:
    for place, tread in enumerate(treads):
        plausible(given, "treads", "tread", tread, place)
    if len(treads) not in (1, count):
        why = f"{len(treads)} treads for {count + 1} risers: there is one tread less than risers."
        raise refused("treads", why)
    return [exact_text(tread) for tread in (treads * count if len(treads) == 1 else treads)]


def _thickness(given: Given, risers: tuple[int, ...]) -> tuple[int | None, ...]:
    """One of each riser: given once it is of all, the upper floor's edge with them unless that
    is given by itself.
    """
    typed: tuple[int, ...] = given["tread-thickness"] or ()
    if not typed:
        return ()
    count = len(risers)
    if len(typed) not in (1, count - 1, count):
        why = f"{len(typed)} thicknesses for {count} risers. Type one, or one of each tread."
        raise refused("tread-thickness", why)
    for place, thick in enumerate(typed):
        plausible(given, "tread-thickness", "tread_thickness", thick, place)
    each = typed * count if len(typed) == 1 else typed
    for place, (thick, riser) in enumerate(zip(each, risers, strict=False)):
        if thick >= riser:
            why = (
                f"tread {place + 1} would be {_say(given, thick)} thick over a riser of "
                f"{_say(given, riser)}: a tread is thinner than its riser. Measure both again."
            )
            raise refused("tread-thickness", why, (), place if len(typed) > 1 else None)
    edge: int | None = given["edge"]
    if edge is not None:
        plausible(given, "edge", "floor_edge_thickness", edge)
        return (*each[: count - 1], edge)
    return (*each, *([None] * (count - len(each))))


def plausible(given: Given, name: str, field_name: str, nm: int, place: int | None = None) -> None:
    """Raises InputsRefused for a length that the sheet does not take for possible."""
    field = given.library.sheet(SHEET).field(field_name)
    if field is None or field.low is None or field.high is None:
        return
    if not field.low <= nm <= field.high:
        why = (
            f"{_say(given, nm)} is outside what this can be, {_say(given, field.low)} to "
            f"{_say(given, field.high)}. Check the number and the unit."
        )
        raise refused(name, why, (), place)


def _agrees(given: Given, total: int, risers: tuple[int, ...]) -> None:
    """Raises InputsRefused where the tool does not explain the difference to the risers' sum."""
    apart = total - sum(risers)
    sens: dict[ReadingKey, Fraction] = {("total_rise", 0, -1): Fraction(1)}
    sens |= {("riser", place, -1): Fraction(-1) for place in range(len(risers))}
    read = {("total_rise", 0, -1): Fraction(total)}
    u2 = variance(sens, lambda _key: given["tool"], given.library.errors, read)
    if apart and not too_close(Fraction(apart), u2):
        why = (
            f"{_say(given, total)} is not what the risers add up to, {_say(given, sum(risers))}: "
            f"a difference of {_say(given, abs(apart))}. Measure both again."
        )
        raise refused("total-rise", why)


def _say(given: Given, nm: int | Fraction) -> str:
    return length_text(nm, given.system)
