"""A sheet to draw on: SVG by presentation attributes only, and every text's box remembered.

A strict content policy drops `style`, `<style>` and classes, and so does a PDF; so there are
none. A sheet is `WIDTH` units wide, `NARROW` for a phone, `LETTER` for a page of paper, and
drawn as wide as its place, so that a unit is about a pixel and no text is under `SMALL` units.
No font can be asked how wide a text is, so every text is set to the width that is reckoned here
(`textLength`; it comes out a hair wider or narrower than the font's own): what does not collide
here collides nowhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape

WIDTH, NARROW, LETTER = 500.0, 350.0, 720.0
PAD = 4.0
SMALL = 14.0
"""The smallest text: 14 px at the sheet's own width, 13 px or more where it is a bit less."""

INK, PENCIL, RULE, PAPER = "#17202a", "#3f4a56", "#c9d3d6", "#fffdf5"
FONT = "system-ui, sans-serif"

_HALO = f' stroke="{PAPER}" stroke-width="3" stroke-linejoin="round" paint-order="stroke"'

Point = tuple[float, float]


@dataclass(frozen=True)
class Box:
    """A rectangle on the sheet, in units."""

    left: float
    top: float
    right: float
    bottom: float

    def hits(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two come nearer than `gap`."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


# Widths of characters over the text size, about those of common system fonts.
_NARROW, _WIDE = frozenset("ijlftrI.,:;'!|()-"), frozenset("mwMWQ@%–—")
_BOLD = 1.07


def _character(one: str) -> float:
    if one in _NARROW:
        return 0.34
    if one in _WIDE:
        return 0.88
    if one.isdigit():
        return 0.6
    return {" ": 0.3, "/": 0.38}.get(one, 0.68 if one.isupper() else 0.57)


@lru_cache(maxsize=4096)
def text_width(words: str, size: float, bold: bool = False) -> float:
    """The width a text is set to, in units."""
    return sum(map(_character, words)) * size * (_BOLD if bold else 1.0)


def text_box(
    x: float, y: float, words: str, size: float, *, bold: bool = False, anchor: str = "start"
) -> Box:
    """Where a text with its baseline at `y` would stand."""
    width = text_width(words, size, bold)
    left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
    return Box(left, y - 0.78 * size, left + width, y + 0.22 * size)


@dataclass
class Sheet:
    """What is drawn so far, in order, and the boxes of all texts and marks."""

    parts: list[str] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    width: float = WIDTH

    @property
    def narrow(self) -> bool:
        """Whether it is for a phone."""
        return self.width < WIDTH

    @property
    def right(self) -> float:
        """The right edge of what may be written on."""
        return self.width - PAD

    def free(self, box: Box, gap: float = 2.0) -> bool:
        """Whether a box is on the sheet and clear of every text and mark."""
        inside = box.left >= PAD - 0.01 and box.right <= self.right + 0.01
        return inside and box.top >= 0.0 and not any(box.hits(other, gap) for other in self.taken)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 15.0,
        *,
        bold: bool = False,
        anchor: str = "start",
        fill: str = INK,
        halo: bool = False,
    ) -> Box:
        """Write a text; gives its box, which is taken from now on.

        `halo` leaves paper around the letters where they stand on lines.
        """
        box = text_box(x, y, words, size, bold=bold, anchor=anchor)
        self.taken.append(box)
        weight = ' font-weight="700"' if bold else ""
        placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self.parts.append(
            f'<text x="{num(x)}" y="{num(y)}" font-size="{num(size)}"{weight}{placed} '
            f'textLength="{num(box.right - box.left)}" lengthAdjust="spacingAndGlyphs" '
            f'fill="{fill}"{_HALO if halo else ""}>{escape(words)}</text>'
        )
        return box

    def line(
        self, points: Sequence[Point], *, width: float = 1.5, stroke: str = INK, dash: str = ""
    ) -> None:
        """An open line through the points."""
        self.path(_through(points), width=width, stroke=stroke, dash=dash)

    def shape(
        self,
        points: Sequence[Point],
        *,
        width: float = 1.5,
        stroke: str = INK,
        fill: str = "none",
        dash: str = "",
    ) -> None:
        """A closed outline through the points."""
        self.path(_through(points) + "z", width=width, stroke=stroke, fill=fill, dash=dash)

    def path(
        self, d: str, *, width: float = 1.5, stroke: str = INK, fill: str = "none", dash: str = ""
    ) -> None:
        """Any path; `width` 0 leaves the stroke out."""
        line = f' stroke="{stroke}" stroke-width="{num(width)}"' if width else ""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(f'<path d="{d}" fill="{fill}"{line}{dashes}/>')

    def circle(
        self,
        center: Point,
        radius: float,
        *,
        width: float = 1.5,
        stroke: str = INK,
        fill: str = "none",
        dash: str = "",
    ) -> None:
        """A circle; dashed where `dash` says so."""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<circle cx="{num(center[0])}" cy="{num(center[1])}" r="{num(radius)}" '
            f'fill="{fill}" stroke="{stroke}" stroke-width="{num(width)}"{dashes}/>'
        )

    def finish(self, height: float, title: str, twin: Iterable[str]) -> str:
        """The SVG; `twin` are the sentences that say the same as the drawing."""
        says = " ".join(twin)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" font-family="{FONT}" '
            f'viewBox="0 0 {num(self.width)} {num(height)}">'
            f"<title>{escape(title)}</title><desc>{escape(says)}</desc>"
            f"{''.join(self.parts)}</svg>"
        )


def num(value: float) -> str:
    """A coordinate with at most one decimal, the same everywhere."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def dots(points: Iterable[Point]) -> str:
    """`x,y` pairs for a path."""
    return " ".join(f"{num(x)},{num(y)}" for x, y in points)


def _through(points: Sequence[Point]) -> str:
    return f"M{dots(points)}"


def wrapped(
    words: str, size: float, width: float, bold: bool = False, first: float | None = None
) -> list[str]:
    """Words in lines no wider than `width`; a single longer word stands alone.

    Where `first` is given, so much is left on the first line, which is "" when no word fits.
    """
    lines, room = [""], width if first is None else first
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if text_width(longer, size, bold) <= room or (not lines[-1] and room == width):
            lines[-1] = longer
        else:
            lines.append(word)
            room = width
    return lines
