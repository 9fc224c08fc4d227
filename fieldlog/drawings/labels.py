"""Labels made of pieces (marks and words in a row), and the notes under a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fieldlog.drawings.judged import Finding, Reading
from fieldlog.drawings.marks import COLORS, mark
from fieldlog.drawings.svg import INK, PAD, PENCIL, Box, Sheet, text_width, wrapped


@dataclass(frozen=True)
class Piece:
    """Words, or a verdict's mark where `verdict` is given."""

    words: str = ""
    bold: bool = False
    fill: str = INK
    verdict: str = ""

    def width(self, size: float) -> float:
        """Units wide at a text size."""
        return size * 0.92 if self.verdict else text_width(self.words, size, self.bold)


Label = tuple[Piece, ...]


def label_width(label: Label, size: float) -> float:
    """Units wide, the spaces between pieces included."""
    return sum(p.width(size) for p in label) + max(len(label) - 1, 0) * _gap(size)


def write(
    sheet: Sheet, label: Label, x: float, middle: float, size: float, *, end: bool = False
) -> Box:
    """Write a label on a line about the height `middle`; `x` is its left edge, or its right."""
    width = label_width(label, size)
    left = at = x - width if end else x
    for piece in label:
        if piece.verdict:
            mark(sheet, at, middle - size * 0.46, size * 0.92, piece.verdict)
        else:
            sheet.text(at, middle + size * 0.28, piece.words, size, bold=piece.bold,
                       fill=piece.fill)  # fmt: skip
        at += piece.width(size) + _gap(size)
    return Box(left, middle - size / 2, left + width, middle + size / 2)


def valued(name: str, text: str, finding: Finding) -> Label:
    """`name` and a value: with a mark before where it does not pass, a word after where it fails.

    A value that is not measured is an empty box after the name. What the diamond and the box
    mean is told once, under the drawing.
    """
    named = Piece(name, fill=PENCIL)
    if not text:
        return (named, Piece(verdict="not_measured"))
    if finding.verdict in ("pass", "does_not_apply"):
        return (named, Piece(text, bold=True))
    color = COLORS[finding.verdict]
    pieces = (Piece(verdict=finding.verdict), named, Piece(text, bold=True, fill=color))
    if finding.verdict != "fail":
        return pieces
    return (*pieces, Piece(finding.word, bold=True, fill=color))


def stacked(reading: Reading, finding: Finding) -> list[Label]:
    """A value with its mark above and its word below it; an empty box where not measured.

    A gauge can fail an opening that no tape measured: the ball passes, says the word.
    """
    if not reading.known and finding.verdict == "fail":
        words = [(Piece(w, bold=True, fill=COLORS["fail"]),) for w in ("ball", "passes")]
        return [(Piece(verdict="fail"),), *words]
    if not reading.known:
        return [(Piece(verdict="not_measured"),)]
    if finding.verdict not in ("fail", "too_close"):
        return [(Piece(words, bold=True),) for words in _short(reading.text)]
    color = COLORS[finding.verdict]
    words = [(Piece(w, bold=True, fill=color),) for w in _short(reading.text)]
    rows: list[Label] = [(Piece(verdict=finding.verdict),), *words]
    if finding.verdict == "fail":
        rows.append((Piece(finding.word, bold=True, fill=color),))
    return rows


def _short(text: str) -> list[str]:
    """A number in rows: "about" stands above it."""
    return ["about", text[6:]] if text.startswith("about ") else [text]


def notes(sheet: Sheet, top: float, lines: Sequence[Label], size: float = 15.0) -> float:
    """Write notes under a drawing, wrapped, one below the other; gives the height reached."""
    at = top + size * 0.6
    for label in lines:
        at = _flow(sheet, label, at, size) + size * 1.4
    return at - size * 0.6


def _flow(sheet: Sheet, label: Label, middle: float, size: float) -> float:
    """Write one note, its further lines under its words; gives the middle of its last line."""
    x = hang = PAD
    for piece in label:
        if piece.verdict:
            write(sheet, (piece,), x, middle, size)
            x += piece.width(size) + _gap(size)
            hang = x
            continue
        left = sheet.right - x
        rows = wrapped(piece.words, size, sheet.right - hang, piece.bold, left)
        for nth, row in enumerate(rows):
            if nth:
                x, middle = hang, middle + size * 1.3
            if row:
                part = Piece(row, piece.bold, piece.fill)
                write(sheet, (part,), x, middle, size)
                x += part.width(size) + _gap(size)
    return middle


def _gap(size: float) -> float:
    return size * 0.36
