"""A sunken floor in section, to scale: its steps, the ceiling over each level, rail and guard."""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.drawings.figures import FILL, Shown, key_of, shown, whole_lines
from fieldlog.drawings.judged import NO_FINDING, Judged
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.spots import Spot, annotate, twin
from fieldlog.drawings.svg import PAD, PENCIL, Point, Sheet

_TALL, _TOP = 250.0, 16.0
_OPEN = 96.0  # inches of height that are drawn where no ceiling was measured
_NONE = Shown("", "", None, NO_FINDING)


@dataclass(frozen=True)
class _At:
    """Units an inch, the two floors, the steps' corners from the upper floor down, the edges."""

    scale: float
    upper: float
    lower: float
    left: float
    right: float
    steps: list[Point]


def draw_sunken(judged: Judged, width: float) -> str:
    """The section; "" where neither drop nor risers were measured."""
    drop = _one(judged, "drop").size or _one(judged, "riser_sum").size
    if not drop:
        return ""
    sheet = Sheet(width=width)
    edge = 92.0 if sheet.narrow else 146.0
    at = _placed(judged, drop, edge + 14.0, width - edge - 14.0)
    spots = [s for s in _spots(judged, at) if s.value.text or s.value.finding.verdict == "fail"]
    _paint(sheet, judged, at)
    low = annotate(sheet, spots, edge, 6.0)
    key = key_of(judged, "Heights to scale; the treads are not.")
    lines = [*whole_lines(judged), *_counted(judged), key]
    height = notes(sheet, max(low, at.lower + 12.0) + 4.0, lines)
    told = [f"A sunken floor, in {judged.unit}.", *twin(spots)]
    return sheet.finish(height + PAD, "Sunken floor", told)


def _one(judged: Judged, name: str) -> Shown:
    values = shown(judged, name)
    return values[0] if values else _NONE


def _placed(judged: Judged, drop: float, left: float, right: float) -> _At:
    """Where things stand: the highest ceiling at the top, the sunken floor at the bottom."""
    above = _one(judged, "ceiling_high").size or 0.0
    below = _one(judged, "ceiling_low").size or 0.0
    scale = _TALL / max(above + drop, below, _OPEN)
    lower = _TOP + _TALL
    risers = [v.size for v in shown(judged, "riser") if v.size] or [drop]
    run = (right - left) * 0.4 / len(risers)
    x, y, steps = left + (right - left) * 0.32, lower - drop * scale, []
    upper = y
    for n, rise in enumerate(risers[::-1]):
        y = lower if n == len(risers) - 1 else y + rise * scale
        steps += [(x, y - rise * scale if n else upper), (x, y)]
        x += run
    return _At(scale, upper, lower, left, right, steps)


def _paint(sheet: Sheet, judged: Judged, at: _At) -> None:
    below = at.lower + 8.0
    outline = [(at.left, at.upper), *at.steps, (at.right, at.lower), (at.right, below),
               (at.left, below)]  # fmt: skip
    sheet.shape(outline, width=1.8, fill=FILL)
    split = at.steps[0][0]
    for name, base, ends in (
        ("ceiling_high", at.upper, (at.left, split)), ("ceiling_low", at.lower, (split, at.right)),
    ):  # fmt: skip
        size = _one(judged, name).size
        if size is not None:
            y = base - size * at.scale
            sheet.line([(ends[0], y), (ends[1], y)], width=3.0)
            x = at.left + 44.0 if name == "ceiling_high" else at.right - 12.0
            sheet.line([(x, base), (x, y)], width=1.0, stroke=PENCIL)
    top, foot = at.steps[0], at.steps[-1]
    if _yes(judged, "rail_there"):
        rail = 36.0 * at.scale
        sheet.line([(top[0], top[1] - rail), (foot[0], foot[1] - rail)], width=3.0)
        for x, y in (top, foot):
            sheet.line([(x, y), (x, y - rail)], width=1.2, stroke=PENCIL)
    if _yes(judged, "guard_there"):
        high = (_one(judged, "guard_height").size or 36.0) * at.scale
        for n in range(5):
            x = at.left + 6.0 + n * 6.0
            sheet.line([(x, at.upper), (x, at.upper - high)], width=1.2)
        guard = [(at.left + 4.0, at.upper - high), (at.left + 32.0, at.upper - high)]
        sheet.line(guard, width=3.0)


def _yes(judged: Judged, name: str) -> bool:
    return judged.value(name).yes is True


def _spots(judged: Judged, at: _At) -> list[Spot]:
    top, foot = at.steps[0], at.steps[-1]
    ceiling = max(_TOP, at.upper - (_one(judged, "ceiling_high").size or 40.0) * at.scale)
    low = max(_TOP, at.lower - (_one(judged, "ceiling_low").size or 40.0) * at.scale)
    spots = [
        Spot("ceiling over the upper floor", _one(judged, "ceiling_high"),
             (at.left + 44.0, (ceiling + at.upper) / 2), right=False),
        Spot("ceiling over the sunken floor", _one(judged, "ceiling_low"),
             (at.right - 12.0, (low + at.lower) / 2), right=True),
        Spot("drop", _one(judged, "drop"), (at.left + 1.0, at.upper + 3.0), right=False),
    ]  # fmt: skip
    if _yes(judged, "guard_there") and (height := _one(judged, "guard_height")).text:
        spots.append(Spot("guard", height, (at.left + 5.0, at.upper - 8.0), right=False))
    risers = shown(judged, "riser")
    named = [v for v in risers if v.text]
    for n, value in enumerate(named):
        nth = len(named) - 1 - n
        x, y = at.steps[2 * nth + 1] if 2 * nth + 1 < len(at.steps) else foot
        spots.append(Spot(f"riser {n + 1}", value, (x, (y + at.steps[2 * nth][1]) / 2), right=True))
    return [s for s in spots if s.target[1] >= 0 and top]


def _counted(judged: Judged) -> list[Label]:
    """Risers there against those that the drop needs, and what is at the steps and the edge."""
    there, needed = (_one(judged, name).text for name in ("risers", "risers_needed"))
    told = f"Risers: {there}." if there else ""
    told += f" The drop needs {needed} or more." if needed else ""
    for name, words in (("rail_there", "handrail at the steps"), ("guard_there", "guard along it")):
        yes = judged.value(name).yes
        told += "" if yes is None else f" {'A' if yes else 'No'} {words}."
    return [(Piece(told.strip()),)] if told.strip() else []
