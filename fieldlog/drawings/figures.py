"""Readings drawn small, side by side: each its own figure from its number, its label under it.

A list of steps, gaps or grooves is judged by eye in a row: what is unlike the others is seen.
Sizes in a row are drawn to one scale, larger than they are; the texts are the judgement's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from fieldlog.drawings.judged import NO_FINDING, WORSE, Finding, Judged, bare
from fieldlog.drawings.labels import Label, Piece, label_width, notes, valued, write
from fieldlog.drawings.marks import COLORS, WORDS
from fieldlog.drawings.svg import PAD, PENCIL, SMALL, Box, Sheet, wrapped

FILL = "#e9e3d2"
"""A body cut through; light enough to print, and always outlined."""

MOST = 12
"""Figures of one list that are drawn; the others are noted by their numbers alone."""

_LEAST_WIDE, _SIZE = 78.0, 15.0
_ROW, _LEAD, _TALL = 18.0, 22.0, 52.0

Paint = Callable[[Sheet, Box, float], None]
"""Paints a figure into a box; the number is the reading's share of the row's scale, signed."""


@dataclass(frozen=True)
class Shown:
    """One value: what its place is called, its text ("" where not measured), size, verdict."""

    name: str
    text: str
    size: float | None
    finding: Finding

    @property
    def said(self) -> str:
        """The value in words, with what it fails."""
        marked = self.finding.verdict in ("fail", "too_close")
        after = f", {WORDS[self.finding.verdict]}" if marked else ""
        return f"{self.text or 'not measured'}{after}"


def worst_of(judged: Judged, quantities: Iterable[str], index: int | None) -> Finding:
    """The gravest verdict that any of the quantities has at a place."""
    found = [judged.finding(q, index) for q in quantities]
    return min(found, key=lambda f: WORSE.index(f.verdict), default=NO_FINDING)


def shown(judged: Judged, quantity: str, by: Sequence[str] = ()) -> list[Shown]:
    """All values of a quantity; `by` are what is derived of it and judged in its stead."""
    raw = judged.raw["quantities"].get(quantity)
    if raw is None:
        return []
    places, many = judged.places(quantity), raw["many"]
    return [
        Shown(
            places[i] if i < len(places) else str(i + 1) if many else "",
            bare(str(v["text"])) if _measured(v) else "",
            _size(v),
            worst_of(judged, (quantity, *by), i if many else None),
        )
        for i, v in enumerate(raw["values"])
    ]


def known(values: Iterable[Shown]) -> list[Shown]:
    """Those that were measured."""
    return [v for v in values if v.text]


@dataclass(frozen=True)
class Place:
    """Where a row of figures stands: its left and right edge."""

    left: float
    right: float


def strip(
    sheet: Sheet, top: float, title: str, values: Sequence[Shown], paint: Paint, full: float,
    at: Place | None = None, pairs: bool = False,
) -> float:  # fmt: skip
    """Draw a row of figures, more rows where they do not fit; gives the height reached.

    `full` is the size, in the base unit or inches, that fills a figure unless one is larger;
    `pairs` keeps every two of them in one row.
    """
    if not values:
        return top
    at = at or Place(PAD, sheet.right)
    for words in wrapped(title, SMALL, at.right - at.left):
        sheet.text(at.left, top + SMALL, words, SMALL, fill=PENCIL)
        top += _ROW
    drawn = values[:MOST]
    labels = [_label(v) for v in drawn]
    wide = _cell(drawn)
    fit = max(1, int((at.right - at.left) // wide))
    fit = max(2, fit - fit % 2) if pairs else fit
    scale = max([full, *(abs(v.size) for v in drawn if v.size is not None)])
    for first in range(0, len(drawn), fit):
        row = range(first, min(first + fit, len(drawn)))
        for nth in row:
            left = at.left + (nth - first) * wide
            box = Box(left + 6.0, top + 6.0, left + wide - 6.0, top + 6.0 + _TALL)
            if (size := drawn[nth].size) is not None:  # what is not known has no shape
                paint(sheet, box, size / scale)
            _write_rows(sheet, labels[nth], left + wide / 2, box.bottom + 12.0)
        top += _TALL + 12.0 + max(len(labels[n]) for n in row) * _ROW
    return top + _LEAD / 2


def _cell(values: Sequence[Shown]) -> float:
    """How wide each figure of a row has to be for every label of it."""
    rows = (one for v in values for one in _label(v))
    return max(_LEAST_WIDE, *(label_width(one, _SIZE) + 10.0 for one in rows))


def over(values: Sequence[Shown], name: str) -> list[Label]:
    """A note for each value past those drawn."""
    return [valued(f"{name} {v.name}", v.text, v.finding) for v in values[MOST:]]


def whole_lines(judged: Judged) -> list[Label]:
    """A note for each limit on the whole of a list that does not pass."""
    lines = []
    for r in judged.raw["rules"]:
        if r["index"] is None and r["verdict"] in ("fail", "too_close"):
            text = (r["value"] or {"text": ""})["text"]
            line = valued(r["name"], text, judged.finding(r["quantity"]))
            plain = text in ("yes", "no") or text.startswith("-")
            lines.append(line[:3] if plain else line)  # "no" and "-1" say it themselves
    return lines


def key_of(judged: Judged, words: str) -> Label:
    """The last note: in what the numbers are, and how it is drawn."""
    return (Piece(f"In {judged.unit}. {words}", fill=PENCIL),)


def twin_of(name: str, values: Sequence[Shown]) -> list[str]:
    """The same in sentences."""
    return [f"{name}{', ' + v.name if v.name else ''}: {v.said}." for v in values]


@dataclass(frozen=True)
class Row:
    """A list of a sheet drawn as figures: its title, what judges it, and the size that is full."""

    quantity: str
    title: str
    paint: Paint
    full: float
    by: tuple[str, ...] = ()
    either_way: bool = False
    """What it is judged by has no over and under: too deep fails as too shallow does."""


@dataclass(frozen=True)
class Told:
    """What rows came to: the height reached, notes on what is not drawn, the text twin."""

    bottom: float
    more: list[Label]
    twin: list[str]


def paint_rows(sheet: Sheet, judged: Judged, rows: Sequence[Row], top: float) -> Told:
    """Draw the rows of which something was measured: two beside each other where both are short."""
    some = [(row, known(_of_row(judged, row))) for row in rows]
    some = [(row, values) for row, values in some if values]
    middle = sheet.width / 2
    halves = Place(PAD, middle - 6.0), Place(middle + 6.0, sheet.right)
    bottom, nth = top, 0
    while nth < len(some):
        pair = some[nth : nth + 2]
        short = [_cell(v[:MOST]) * len(v[:MOST]) <= middle - PAD - 6.0 for _, v in pair]
        beside = len(pair) == 2 and all(short)
        group = pair if beside else pair[:1]
        places = halves if beside else (None,)
        bottom = max(
            strip(sheet, bottom, row.title, values, row.paint, row.full, at)
            for (row, values), at in zip(group, places, strict=True)
        )
        nth += len(group)
    more = [line for row, values in some for line in over(values, judged.label(row.quantity))]
    return Told(bottom, more, [line for row, values in some for line in twin_of(row.title, values)])


def _of_row(judged: Judged, row: Row) -> list[Shown]:
    values = shown(judged, row.quantity, row.by)
    if not row.either_way:
        return values
    return [replace(v, finding=replace(v.finding, compare="is")) for v in values]


def draw_rows(
    judged: Judged, width: float, title: str, rows: Sequence[Row], words: str,
    lines: Sequence[Label] = (),
) -> str:  # fmt: skip
    """A drawing of rows of figures; "" where nothing of them was measured."""
    sheet = Sheet(width=width)
    told = paint_rows(sheet, judged, rows, PAD)
    if not told.twin:
        return ""
    said = [*whole_lines(judged), *told.more, *lines, key_of(judged, words)]
    height = notes(sheet, told.bottom + 4.0, said)
    return sheet.finish(height + PAD, title, [f"{title}, in {judged.unit}.", *told.twin])


def _measured(value: dict[str, object]) -> bool:
    return any(value.get(k) is not None for k in ("nm", "value", "yes")) or bool(value["text"])


def _size(value: dict[str, object]) -> float | None:
    nm, other = value.get("nm"), value.get("value")
    if nm is not None:
        return float(Fraction(str(nm)) / 25_400_000)
    return None if other is None else float(Fraction(str(other)))


def _label(value: Shown) -> list[Label]:
    rows: list[Label] = [(Piece(row, fill=PENCIL),) for row in wrapped(value.name, SMALL, 88.0)]
    rows = rows if value.name else []
    verdict = value.finding.verdict
    if not value.text:
        return [*rows, (Piece(verdict="not_measured"),)]
    if verdict not in ("fail", "too_close"):
        return [*rows, (Piece(value.text, bold=True),)]
    color = COLORS[verdict]
    marked: Label = (Piece(verdict=verdict), Piece(value.text, bold=True, fill=color))
    return [*rows, marked, (Piece(value.finding.word, bold=True, fill=color),)]


def _write_rows(sheet: Sheet, rows: Sequence[Label], middle: float, top: float) -> None:
    for nth, row in enumerate(rows):
        at = middle - label_width(row, _SIZE) / 2
        write(sheet, row, max(at, PAD), top + nth * _ROW, _SIZE)
