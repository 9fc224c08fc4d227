"""The curve of a cased opening by its measured points, each with how far it is off the circle."""

from __future__ import annotations

from fieldlog.drawings.judged import Judged, Reading
from fieldlog.drawings.labels import Label, Piece, notes
from fieldlog.drawings.svg import INK, PAD, PENCIL, RULE, SMALL, Point, Sheet, text_box

_TOP, _SIDE, _MOST = 30.0, 44.0, 240.0


def draw_arch(judged: Judged, width: float) -> str:
    """The points along the curve, to scale; "" where fewer than three were measured."""
    points = _points(judged)
    if len(points) < 3:
        return ""
    sheet = Sheet(width=width)
    placed, floor = _placed(points, width)
    sheet.line([(PAD, floor), (sheet.right, floor)], width=1.0, stroke=RULE)
    sheet.line([at for _, at in placed], width=1.6, stroke=PENCIL, dash="6 4")
    for nth, (x, y) in placed:
        sheet.circle((x, y), 3.5, width=1.6, fill=INK)
        words = judged.value("departure", nth).text.removeprefix("about ")
        for dy in (-10.0, 22.0):
            box = text_box(x, y + dy, words, SMALL, anchor="middle")
            if words and sheet.free(box) and box.top > 0:
                sheet.text(x, y + dy, words, SMALL, anchor="middle", halo=True)
                break
    height = notes(sheet, floor + 14.0, _says(judged))
    return sheet.finish(height + PAD, "Curve of the opening by points", _twin(judged, points))


def _points(judged: Judged) -> list[tuple[int, Reading, Reading]]:
    across, up = judged.values("across"), judged.values("up")
    rows = zip(range(len(across)), across, up, strict=False)
    known = [(n, x, y) for n, x, y in rows if x.size is not None and y.size is not None]
    return sorted(known, key=lambda row: (row[1].size or 0.0, row[0]))


def _placed(
    points: list[tuple[int, Reading, Reading]], width: float
) -> tuple[list[tuple[int, Point]], float]:
    """Each point on the sheet, and the height of the springing line."""
    xs, ys = [x.size or 0.0 for _, x, _ in points], [y.size or 0.0 for _, _, y in points]
    low, high = min(0.0, *ys), max(0.0, *ys)
    scale = min((width - 2 * _SIDE) / max(max(xs) - min(xs), 0.1), _MOST / max(high - low, 0.1))
    left = (width - (max(xs) - min(xs)) * scale) / 2
    at = [(left + (x - min(xs)) * scale, _TOP + (high - y) * scale)
          for x, y in zip(xs, ys, strict=True)]  # fmt: skip
    floor = _TOP + high * scale
    lowest = max(floor, _TOP + (high - low) * scale) + 26.0
    return [(n, p) for (n, _, _), p in zip(points, at, strict=True)], lowest


def _says(judged: Judged) -> list[Label]:
    radius = judged.full_text("radius")
    worst = judged.full_text("worst_departure")
    lines: list[Label] = []
    if radius:
        lines.append((Piece(f"Circle that fits: radius {radius}.", fill=PENCIL),))
    if worst:
        verdict = judged.finding("worst_departure").verdict
        mark = (Piece(verdict=verdict),) if verdict in ("fail", "too_close") else ()
        lines.append((*mark, Piece(f"Worst point off it: {worst}.")))
    key = f"In {judged.unit}, to scale. At each point: how far outside the circle, or inside (-)."
    return [*lines, (Piece(key, fill=PENCIL),)]


def _twin(judged: Judged, points: list[tuple[int, Reading, Reading]]) -> list[str]:
    told = [f"{len(points)} points along the curve, in {judged.unit}."]
    for n, x, y in points:
        off = judged.value("departure", n).text or "not known"
        told.append(f"Point {n + 1}: {x.text} across, {y.text} up, off the circle {off}.")
    return [*told, *(p.words for line in _says(judged)[:-1] for p in line if p.words)]
