"""A guard's parts, the notes under its elevation, and its twin in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fieldlog.drawings.judged import Judged, finding_of
from fieldlog.drawings.labels import Label, Piece, valued
from fieldlog.drawings.marks import WORDS
from fieldlog.drawings.svg import PENCIL

MOST = 4
"""Openings drawn of one part; further ones are told."""

POSTS, UNDER_RAIL, TRIANGLE = "post_spacing", "under_rail", "triangle"
_RISE = 0.42  # of the run, for the raked part
_MARKED = ("fail", "too_close")


@dataclass(frozen=True)
class Side:
    """One part of the guard: its quantities ("" for no opening), what fills it, how steep it is
    drawn."""

    height: str
    opening: str
    name: str
    rake: float = 0.0
    infill: str = "balusters"

    def measured(self, judged: Judged) -> bool:
        """Whether anything of it was measured."""
        names = (self.height, self.opening, *(() if self.rake else (UNDER_RAIL, POSTS)))
        return any(v.known for name in names for v in judged.values(name))

    def count(self, judged: Judged) -> int:
        """How many openings are drawn."""
        return min(max(len(judged.values(self.opening)), 1), MOST)


STAIR = Side("height_stair", "opening_stair", "Open side of the stair", _RISE)


def level_of(judged: Judged) -> Side:
    """The level part, with what fills it as it was answered, or as its readings show."""
    infill = _answer(judged, "infill")
    if not infill and any(v.known for v in judged.values("cable_gap")):
        infill = "cable"
    opening = {"cable": "cable_gap", "glass": "", "solid": ""}.get(infill, "opening_level")
    return Side("height_level", opening, "Level", infill=infill or "balusters")


def says(judged: Judged, sides: Sequence[Side]) -> list[Label]:
    """The notes: what has no place in the elevation, and how to read it."""
    lines = [*_more_of(judged, sides), *_facts(judged), *_marked_elsewhere(judged, sides)]
    verdicts = [r["verdict"] for n in _in_place(sides) for r in judged.rules(n)]
    if "too_close" in verdicts:
        words = "too close to call with this tool"
        lines.append((Piece(verdict="too_close"), Piece(words, fill=PENCIL)))
    key = [f"In {judged.unit}, not to scale. An empty box is not measured."]
    balls = [s for s in sides if s.infill == "balusters"]
    limits = dict.fromkeys(
        r["limit"]["text"] for s in balls for r in judged.rules(s.opening) if r["verdict"] == "fail"
    )
    if limits:
        key.append(f"Dashed circle: a {' or '.join(limits)} ball, where it passes.")
    return [*lines, (Piece(" ".join(key), fill=PENCIL),)]


def _in_place(sides: Sequence[Side]) -> set[str]:
    """Quantities that have their number in the elevation."""
    names = {n for s in sides for n in (s.height, s.opening)} | {"drop"}
    rakes = {bool(s.rake) for s in sides}
    names |= {TRIANGLE} if True in rakes else set()
    return names | ({UNDER_RAIL} if False in rakes else set())


def _more_of(judged: Judged, sides: Sequence[Side]) -> Iterator[Label]:
    """Openings beyond those that are drawn, and lists that have no part of their own."""
    drawn = {s.opening: MOST for s in sides}
    for name in ("opening_level", "cable_gap", "opening_stair"):
        for i, reading in enumerate(judged.values(name)):
            if i >= drawn.get(name, 0) and (reading.known or name in drawn):
                named = f"{judged.label(name)} {i + 1}"
                yield valued(named, reading.text, judged.finding(name, i))
    lone = judged.value(TRIANGLE)
    if STAIR not in sides and lone.known:
        yield valued(judged.label(TRIANGLE), lone.text, judged.finding(TRIANGLE))


def _facts(judged: Judged) -> Iterator[Label]:
    """The posts one by one, and the push that the cables were read under."""
    posts = [v.text or "not measured" for v in judged.values(POSTS)]
    if any(v.known for v in judged.values(POSTS)):
        yield (Piece("Posts, center to center", fill=PENCIL), Piece(", ".join(posts), bold=True))
    if push := _answer(judged, "push"):
        yield (Piece("Cables read under a push of", fill=PENCIL), Piece(push, bold=True))


def _marked_elsewhere(judged: Judged, sides: Sequence[Side]) -> Iterator[Label]:
    """Failing and too close limits on what has no place: posts that move, glass without a mark."""
    told = _in_place(sides) | {"opening_level", "cable_gap", "opening_stair", TRIANGLE}
    for verdict in _MARKED:
        for rule in judged.raw["rules"]:
            if rule["verdict"] == verdict and rule["quantity"] not in told:
                text = (rule["value"] or {"text": ""})["text"]
                yield valued(rule["name"], text or "–", finding_of(rule))


def twin(judged: Judged, sides: Sequence[Side]) -> list[str]:
    """The elevation in sentences, for who cannot see it."""
    told = [f"A guard, in {judged.unit}.", f"Drop {judged.full_text('drop') or 'not measured'}."]
    for side in sides:
        told.append(_one(f"{side.name}, height", judged, side.height))
        if not side.rake and side.infill != "balusters":
            told.append(f"Infill: {side.infill}.")
        name = "Opening" if side.opening != "cable_gap" else "Gap between cables"
        openings = range(max(len(judged.values(side.opening)), 1)) if side.opening else ()
        told += [_one(f"{name} {i + 1}", judged, side.opening, i) for i in openings]
        if not side.rake and judged.value(UNDER_RAIL).known:
            told.append(_one("Under the bottom rail", judged, UNDER_RAIL))
    if STAIR in sides:
        told.append(_one("Triangle at the tread", judged, TRIANGLE))
    notes = [*_facts(judged), *_marked_elsewhere(judged, sides)]
    return [*told, *(" ".join(p.words for p in label if p.words) + "." for label in notes)]


def _one(name: str, judged: Judged, quantity: str, index: int | None = None) -> str:
    reading, verdict = judged.value(quantity, index or 0), judged.finding(quantity, index).verdict
    marked = f", {WORDS[verdict]}" if verdict in _MARKED else ""
    return f"{name}: {reading.text or 'not measured'}{marked}."


def _answer(judged: Judged, name: str) -> str:
    """A choice, or a number that is no length, as the judgement writes it."""
    values = judged.raw["quantities"].get(name, {}).get("values", ())
    return str(values[0].get("text") or "") if values else ""
