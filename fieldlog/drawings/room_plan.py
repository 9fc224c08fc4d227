"""A room's walls to scale with the stations laid in it and the way through them."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.drawings.svg import INK, PAD, PENCIL, WIDTH, Point, Sheet

_TALLEST = 460.0
_SIZE = 14.0
Ring = Sequence[tuple[int, int]]


def draw_room(
    rings: Sequence[Ring], stations: Sequence[tuple[int, int]], across: str, down: str
) -> str:
    """The plan as SVG. Lengths in nm; `stations` in walking order; the overall sizes as texts."""
    xs, ys = [x for x, _ in rings[0]], [y for _, y in rings[0]]
    wide, deep = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((WIDTH - 2 * PAD - 76.0) / wide, _TALLEST / deep)

    def at(place: tuple[int, int]) -> Point:
        return (PAD + 3.0 + (place[0] - min(xs)) * scale, 26.0 + (place[1] - min(ys)) * scale)

    sheet = Sheet()
    sheet.shape([at(corner) for corner in rings[0]], width=2.5)
    for hole in rings[1:]:
        sheet.shape([at(c) for c in hole], width=2.0)
        sheet.line([at(hole[0]), at(hole[len(hole) // 2])], width=1.0, stroke=PENCIL)
    path = [at(s) for s in stations]
    if len(path) > 1:
        sheet.line(path, width=1.0, stroke=PENCIL, dash="4 4")
    for n, place in enumerate(path):
        sheet.circle(place, 5.0 if n == 0 else 3.0, width=1.0, stroke=INK, fill=INK)
    middle, right = at(((min(xs) + max(xs)) // 2, 0))[0], at((max(xs), 0))[0]
    sheet.text(middle, 18.0, across, _SIZE, anchor="middle")
    half = at((0, (min(ys) + max(ys)) // 2))[1]
    sheet.text(right + 8.0, half, down, _SIZE)
    bottom = at((0, max(ys)))[1]
    told = [f"{across} across, {down} down, {len(stations)} stations."]
    return sheet.finish(bottom + 8.0, "The room and its stations", told)
