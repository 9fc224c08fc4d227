"""The words around a stair's section: the notes under it, and its twin in sentences."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from fieldlog.drawings.flight import Flight, tread_of
from fieldlog.drawings.judged import Judged, Reading, finding_of
from fieldlog.drawings.labels import Label, Piece, valued
from fieldlog.drawings.marks import WORDS
from fieldlog.drawings.stair_finished import finished_of, finished_told
from fieldlog.drawings.stair_lines import OPEN_GAP, Start, ball_starts, rise_name
from fieldlog.drawings.svg import PENCIL
from fieldlog.drawings.winders import key as winders_key

_IN_PLACE = ("riser", "tread", "open_gap", "winder_walkline", "winder_least")
_MARKED = ("fail", "too_close")
_MOST_NOTES = 6


@dataclass(frozen=True)
class Told:
    """What the section tells in place: names of quantities, whether in parts, from where on the
    ball counts; and the handrail's own check."""

    names: frozenset[str]
    in_parts: bool
    start: Start | None
    rail: Judged | None = None


def says(judged: Judged, flight: Flight, told: Told) -> list[Label]:
    """The notes under the section: what fails and has no place in it, and how to read it."""
    lines = _marked_elsewhere(judged, told.names)
    marked = {piece.words for label in lines for piece in label}
    for name in (n for n in (rise_name(judged), "headroom") if n not in told.names):
        if name in judged.raw["quantities"] and judged.label(name) not in marked:
            lines.append(valued(judged.label(name), judged.full_text(name),
                                judged.finding(name)))  # fmt: skip
    if told.rail:
        lines += _rail(told.rail, told.names)
    finished = finished_of(judged)
    if finished:
        lines += finished_told(judged, finished)
    if winders := winders_key(judged):
        lines.append(winders)
    return [*lines, *_marks_told(judged), _plain(" ".join(_key(judged, flight, told)))]


def _rail(rail: Judged, in_place: Collection[str]) -> Iterator[Label]:
    """The handrail's heights, where no line has them."""
    places = rail.places("height")
    for i, reading in enumerate(rail.values("height")):
        if reading.known and f"handrail {i}" not in in_place:
            place = f", {places[i]}" if i < len(places) else ""
            yield valued(f"Handrail{place}", reading.text, rail.finding("height", i))


def _marks_told(judged: Judged) -> Iterator[Label]:
    """What the marks in the drawing mean, where they are in it."""
    drawn = [r["verdict"] for r in judged.raw["rules"] if r["quantity"] in _IN_PLACE]
    if "too_close" in drawn:
        yield (Piece(verdict="too_close"), Piece("too close to call with this tool", fill=PENCIL))
    missing = [v for name in ("riser", "tread") for v in _all(judged, name) if not v.known]
    if missing:
        words = "not measured, drawn dashed at an assumed size"
        yield (Piece(verdict="not_measured"), Piece(words, fill=PENCIL))


def _all(judged: Judged, name: str) -> list[Reading]:
    """The readings of a list; a winder's depth stands for its tread."""
    readings = range(len(judged.values(name)))
    return [tread_of(judged, i) if name == "tread" else judged.value(name, i) for i in readings]


def _plain(words: str) -> Label:
    return (Piece(words, fill=PENCIL),)


def _marked_elsewhere(judged: Judged, in_place: Collection[str]) -> list[Label]:
    """Failing and too close limits on what is not drawn with its own number."""
    lines: list[Label] = []
    for verdict in _MARKED:
        for rule in judged.raw["rules"]:
            if rule["verdict"] != verdict or rule["quantity"] in (*_IN_PLACE, *in_place):
                continue
            value = rule["value"] or {"text": ""}
            lines.append(valued(rule["name"], value["text"] or "–", finding_of(rule)))
    if len(lines) > _MOST_NOTES:
        more = len(lines) - _MOST_NOTES
        return [*lines[:_MOST_NOTES], _plain(f"and {more} more, listed with the findings")]
    return lines


def _key(judged: Judged, flight: Flight, told: Told) -> Iterator[str]:
    yield f"R is a riser, T the tread on it, in {judged.unit}, to scale."
    if told.in_parts:
        yield "The upper part stands above the lower."
    openings = [r for r in judged.raw["rules"] if r["quantity"] == "open_gap"]
    failing = [r["limit"]["text"] for r in openings if r["verdict"] == "fail"]
    if failing:
        yield f"Dashed circle: a {failing[0]} ball, where it passes."
    if told.start and OPEN_GAP in told.names and openings:
        limit = openings[0]["limit"]["text"]
        yield f"Dotted line: {told.start.words}."
        yield f"An opening that reaches above it must not let a {limit} ball pass."
    if judged.raw.get("finished"):
        yield "Thin line: with the finishes on."
    if not all(s.thickness_known for s in flight.steps):
        yield "Tread thickness: not measured."
    if not all(s.to_scale for s in flight.steps):
        odd = ", ".join(str(s.number) for s in flight.steps if not s.to_scale)
        yield f"So far off the others that it is not to scale: step {odd}."
    if flight.open is None:
        yield "Open or solid risers: not answered."


def _at_floor(flight: Flight, number: int) -> bool:
    return number == len(flight.steps) and not flight.top_tread


def twin(
    judged: Judged, flight: Flight, balls: Collection[int], rail: Judged | None = None
) -> list[str]:
    """The section in sentences, for who cannot see it."""
    steps = flight.steps
    count = f"{len(steps)} {'riser' if len(steps) == 1 else 'risers'}, in {judged.unit}."
    told = [f"A stair in section with {count}"]
    for step in steps:
        i = step.number - 1
        told.append(_one(f"Riser {step.number}", step.riser, judged.finding("riser", i).verdict))
        if not _at_floor(flight, step.number):
            told.append(_one(f"tread {step.number}", step.tread,
                             judged.finding("tread", i).verdict))  # fmt: skip
        if i in balls:
            told.append(_ball(judged.value("open_gap", i), step.number))
    told += _whole_told(judged)
    return told if rail is None else [*told, *_rail_told(rail)]


def _whole_told(judged: Judged) -> Iterator[str]:
    """What is of the whole flight: its rise, headroom, where the ball counts, the finishes."""
    for name in (rise_name(judged), "headroom"):
        if text := judged.full_text(name):
            verdict = judged.finding(name).verdict
            yield _one(judged.label(name), Reading(text, 0.0), verdict)
    if start := ball_starts(judged):
        yield f"An opening counts where it reaches more than {start.words}."
    if finished := finished_of(judged):
        for label in finished_told(judged, finished):
            marks = [WORDS[p.verdict] for p in label if p.verdict]
            said = " ".join(p.words for p in label if p.words).rstrip(".")
            yield ", ".join([said, *marks]) + "."


def _rail_told(rail: Judged) -> Iterator[str]:
    for i, reading in enumerate(rail.values("height")):
        yield _one(f"Handrail height {i + 1}", reading, rail.finding("height", i).verdict)


def _one(name: str, reading: Reading, verdict: str) -> str:
    if not reading.known:
        return f"{name}: not measured."
    marked = f", {WORDS[verdict]}" if verdict in _MARKED else ""
    return f"{name}: {reading.text}{marked}."


def _ball(gap: Reading, number: int) -> str:
    opening = f" of {gap.text}" if gap.known else ""
    return f"The ball passes the opening{opening} under tread {number}."
