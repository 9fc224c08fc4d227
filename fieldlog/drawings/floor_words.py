"""The words around a floor's grid: the notes under it, and its twin in sentences."""

from __future__ import annotations

from fractions import Fraction

from fieldlog.calc.lengths import format_length
from fieldlog.drawings.judged import Judged, finding_of
from fieldlog.drawings.labels import Label, Piece, valued
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.survey import Bar, Survey
from fieldlog.drawings.svg import PENCIL

_ORDER = {"fail": 0, "too_close": 1}


def ink(bar: Bar) -> tuple[str, float]:
    """A verdict's colour and a heavier line for one that does not pass."""
    color = (
        COLORS.get(bar.finding.verdict) if bar.finding.verdict in ("fail", "too_close") else None
    )
    return (color, 4.0) if color else (PENCIL, 2.0)


def says(judged: Judged, survey: Survey, every: int, step: Fraction | None = None) -> list[Label]:
    """The notes under the map; a number is written at every `every`th station, a contour drawn
    every `step` nm (None: there are none)."""
    told = [(bar.finding.verdict, _told(bar)) for bar in survey.bars]
    told += _other_limits(judged, survey)
    told.sort(key=lambda line: _ORDER.get(line[0], len(_ORDER)))
    lines = [label for _, label in told]
    if survey.apart:
        where = (Piece("▲ high, ▼ low", fill=PENCIL), Piece(f"{survey.apart} apart", bold=True))
        lines.append(where)
    return [*lines, (Piece(" ".join(_key(survey, every, step)), fill=PENCIL),)]


def _told(bar: Bar) -> Label:
    color, _ = ink(bar)
    place = Piece(f"under {bar.edge}, {bar.where}", fill=PENCIL)
    gap = f"{bar.kind.capitalize()} {bar.gap}"
    if bar.finding.verdict == "fail":
        gap = f"{gap}, over {bar.finding.limit}"
    elif bar.finding.verdict != "too_close":
        return (Piece(gap, bold=True), place)
    return (Piece(verdict=bar.finding.verdict), Piece(gap, bold=True, fill=color), place)


def _other_limits(judged: Judged, survey: Survey) -> list[tuple[str, Label]]:
    """Failing and close limits that no bar in the drawing shows."""
    shown = {(bar.kind, bar.gap) for bar in survey.bars}
    lines = []
    for rule in judged.raw["rules"]:
        value = rule["value"] or {"text": ""}
        if rule["verdict"] in _ORDER and (rule["quantity"], value["text"]) not in shown:
            lines.append((rule["verdict"], valued(rule["name"], value["text"], finding_of(rule))))
    return lines[:4]


def _key(survey: Survey, every: int, step: Fraction | None = None) -> list[str]:
    unit = "Millimeters" if survey.metric else "Sixteenths of an inch"
    zero = "above and below the best plane" if survey.against_plane else "as measured"
    said = [f"{unit} {zero}, a station every {survey.spacing}.", *survey.even]
    if every > 1:
        said.append(f"Numbers at every {nth(every)} station.")
    if step is not None:
        apart = format_length(step, "metric" if survey.metric else "us")
        said.append(f"Contours every {apart}: whole lines above zero, dashed below.")
    if survey.doubted:
        said.append("Ringed: look at this reading again.")
    if survey.slope:
        said.append(f"The best plane {survey.slope}.")
    unread = {(r, c) for r, row in enumerate(survey.offs) for c, z in enumerate(row) if z is None}
    if unread & survey.blocked:
        said.append("Crossed out: blocked.")
    if unread - survey.blocked:
        said.append("Empty box: not measured.")
    return said


def nth(number: int) -> str:
    """Every how many, in words: "second"."""
    return {2: "second", 3: "third", 4: "fourth"}.get(number, f"{number}th")


def twin(survey: Survey) -> list[str]:
    """The grid in sentences, for who cannot see it."""
    rows, columns = survey.size
    told = [f"{rows} by {columns} stations.", _key(survey, 1)[0], *survey.even]
    for r in range(rows):
        numbers = (survey.written((r, c)) or "not measured" for c in range(columns))
        told.append(f"Row {r + 1}: {', '.join(numbers)}.")
    for bar in survey.bars:
        off = f", {bar.finding.word}" if bar.finding.word else ""
        told.append(f"{bar.kind.capitalize()} {bar.gap} under {bar.edge}, {bar.where}{off}.")
    if survey.apart:
        told.append(f"High to low {survey.apart}.")
    return told
