"""A doorway between two floors: each step as it is today, and when both floors are in."""

from __future__ import annotations

from itertools import zip_longest

from fieldlog.drawings.figures import FILL, Shown, key_of, strip, twin_of, whole_lines
from fieldlog.drawings.figures import shown as values_of
from fieldlog.drawings.judged import NO_FINDING, Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.svg import PAD, PENCIL, Box, Sheet

_FULL = 1.0  # inches that fill a figure


def draw_threshold(judged: Judged, width: float) -> str:
    """Today's steps and the foretold ones in pairs; "" where no step was measured."""
    today, then = values_of(judged, "step"), values_of(judged, "step_then")
    if not any(v.text for v in today):
        return ""
    sheet = Sheet(width=width)
    pairs = [v for i, pair in enumerate(zip_longest(today, then)) for v in _pair(judged, i, pair)]
    title = "Step up to the next room: today, and when both floors are in"
    bottom = strip(sheet, PAD, title, pairs, _step, _FULL, pairs=True)
    key = key_of(judged, "This room is on the left. Steps drawn large.")
    lines = [*whole_lines(judged), *_coming(judged), key]
    height = notes(sheet, bottom + 4.0, lines)
    return sheet.finish(height + PAD, "Threshold", twin_of("Step", pairs))


def _pair(judged: Judged, index: int, pair: tuple[Shown | None, Shown | None]) -> list[Shown]:
    places = judged.places("step")
    place = places[index] if index < len(places) else str(index + 1)
    words = ("today", "then")
    return [
        Shown(f"{place}, {word}", one.text if one else "", one.size if one else None,
              one.finding if one else NO_FINDING)
        for word, one in zip(words, pair, strict=True)
    ]  # fmt: skip


def _coming(judged: Judged) -> list[Label]:
    """What was reckoned with on either side, and where it was read."""
    lines: list[Label] = []
    for side, name, typed in (
        ("this side", "comes_here", "here_to_come"), ("the other side", "comes_there",
                                                      "there_to_come"),
    ):  # fmt: skip
        text = judged.full_text(name)
        read = "as typed" if judged.full_text(typed) else "by the room's layers"
        said = f"{text} still comes, {read}" if text else "what still comes is not known"
        lines.append((Piece(f"On {side}: {said}."),))
    run = judged.full_text("bevel_run")
    if run:
        lines.append((Piece(f"A bevel of 1 to 2 over the largest step runs {run}."),))
    return lines


def _step(sheet: Sheet, box: Box, part: float) -> None:
    """This floor on the left, the next one higher or lower by the share."""
    middle, reach = (box.left + box.right) / 2, (box.bottom - box.top) / 2 - 4.0
    level = (box.top + box.bottom) / 2
    other = level - reach * max(min(part, 1.0), -1.0)
    for left, right, top in ((box.left, middle, level), (middle, box.right, other)):
        corners = [(left, top), (right, top), (right, box.bottom + 2.0), (left, box.bottom + 2.0)]
        sheet.shape(corners, width=1.6, fill=FILL)
    sheet.line([(box.left, level), (box.right, level)], width=1.0, stroke=PENCIL, dash="4 3")
