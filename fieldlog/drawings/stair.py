"""A stair in section, to scale: every riser and tread, what fails, the ball where it passes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldlog.drawings.flight import Flight, Step, flight_of
from fieldlog.drawings.judged import Judged
from fieldlog.drawings.labels import Label, Piece, notes, valued
from fieldlog.drawings.marks import COLORS
from fieldlog.drawings.panels import Fit, Labels, fit
from fieldlog.drawings.stair_finished import draw_finished, finished_of
from fieldlog.drawings.stair_lines import OPEN_GAP, Lines, Start, ball_starts, needed_above
from fieldlog.drawings.stair_part import Balls, DrawnPart, diameter
from fieldlog.drawings.stair_words import Told, says, twin
from fieldlog.drawings.svg import LETTER, PAD, WIDTH, Sheet
from fieldlog.drawings.winders import draw_winders, winders_told

_MOST_ABOVE = 0.7
"""Headroom and handrail may reach so far above the flight, over its rise; else they are noted."""


def draw_stair(judged: Judged, width: float = WIDTH, rail: Judged | None = None) -> str:
    """The section as SVG; "" where there is neither a riser nor a tread.

    `rail` is a check of its handrail, whose line is drawn over the nosings.
    """
    flight = flight_of(judged)
    if flight is None:
        return ""
    sheet = Sheet(width=width)
    balls = passing_balls(judged, len(flight.steps))
    top, told = _section(sheet, judged, flight, balls, rail)
    top = draw_winders(sheet, judged, top)
    height = notes(sheet, top, says(judged, flight, told))
    said = [*twin(judged, flight, balls, rail), *winders_told(judged)]
    return sheet.finish(height + PAD, "Stair in section", said)


def _section(
    sheet: Sheet, judged: Judged, flight: Flight, balls: Balls, rail: Judged | None
) -> tuple[float, Told]:
    """Draw the flight in its parts; gives the height reached and what is told in place."""
    labels, fitted = _fitted(sheet, judged, flight, balls)
    start, rise = ball_starts(judged), flight.heights[-1]
    above = needed_above(judged, rail, flight.heights[1], rise)
    single = len(fitted.parts) == 1 and not sheet.narrow
    reserve = above if single and above <= rise * (1.0 + _MOST_ABOVE) else 0.0
    top, told = PAD, set[str]()
    for part in reversed(fitted.parts):
        drawn = DrawnPart(sheet, judged, flight, fitted, part, balls)
        top = drawn.draw(labels, top, reserve)
        told |= _lines(Lines(drawn), start, rail)
    return top, Told(frozenset(told), len(fitted.parts) > 1, start, rail)


def _fitted(sheet: Sheet, judged: Judged, flight: Flight, balls: Balls) -> tuple[Labels, Fit]:
    """Labels and how the flight is fitted: a gap stands above its riser on a narrow sheet, and on
    a page of paper where the whole flight is then drawn larger; else beside it."""
    ball = max((diameter(r) for r in balls.values()), default=0.0)
    best: tuple[Labels, Fit] | None = None
    for stacked in (True, False) if sheet.width >= LETTER else (sheet.narrow,):
        labels = Labels(
            [_riser_label(judged, s, balls.get(s.number - 1), stacked) for s in flight.steps],
            [_tread_label(judged, s, flight) for s in flight.steps],
        )
        best = labels, fit(flight, labels, ball, sheet.width)
        if len(best[1].parts) == 1:
            break
    assert best is not None
    return best


def _lines(lines: Lines, start: Start | None, rail: Judged | None) -> set[str]:
    lines.total_rise()
    lines.ball(start)
    lines.handrail(rail)
    lines.headroom()
    draw_finished(lines.part, finished_of(lines.judged))
    return lines.told


def passing_balls(judged: Judged, steps: int) -> dict[int, Mapping[str, Any]]:
    """The openings (from 0) through which the ball passes, with the rule that says so."""
    return {
        r["index"]: r
        for r in judged.raw["rules"]
        if r["rule"] == OPEN_GAP
        and r["verdict"] == "fail"
        and r["index"] is not None
        and r["index"] < steps
    }


def _riser_label(
    judged: Judged, step: Step, gap: Mapping[str, Any] | None, stacked: bool
) -> tuple[Label, ...]:
    """The riser's number, and a gap that fails: beside it, or `stacked` above it."""
    finding = judged.finding("riser", step.number - 1)
    label = valued(f"R{step.number}", step.riser.text, finding)
    if gap is None:
        return (label,)
    color = COLORS["fail"]
    opening = judged.value("open_gap", step.number - 1).text
    words = f"gap {opening}" if opening else "ball passes"
    told: Label = (Piece(verdict="fail"), Piece(words, bold=True, fill=color))
    return (told, label) if stacked else ((*told, Piece(), *label),)


def _tread_label(judged: Judged, step: Step, flight: Flight) -> Label:
    if step.number == len(flight.steps) and not flight.top_tread:
        return ()
    i = step.number - 1
    winder = judged.value("winder_walkline", i).known and not judged.value("tread", i).known
    letter, name = ("W", "winder_walkline") if winder else ("T", "tread")
    return valued(f"{letter}{step.number}", step.tread.text, judged.finding(name, i))
