"""A page of plain text, 80 columns wide: heads, wrapped paragraphs, hanging marks, columns."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Sequence

WIDTH = 80


class Page:
    """Lines of a text report, written from the top down."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def line(self, text: str = "") -> None:
        """One line as it is, without blanks at its end."""
        self._lines.append(printable(text).rstrip())

    def gap(self) -> None:
        """One empty line, never two."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def ends(self, left: str, right: str, under: str = "") -> None:
        """`left` at the margin, wrapped where it would meet `right` at the other margin."""
        if not right:
            self.wrap(left, indent=under)
            return
        room = max(WIDTH - len(right) - 2, WIDTH // 2)
        first, *more = _wrapped(left, "", under, room)
        self.line(first.ljust(WIDTH - len(right)) + right)
        for part in more:
            self.line(part)

    def rule(self, stroke: str = "-") -> None:
        """A rule across the page."""
        self.line(stroke * WIDTH)

    def heading(self, text: str) -> None:
        """A heading with a rule under it, as long as the words."""
        self.gap()
        self.line(text)
        self.line("-" * len(text))

    def wrap(self, text: str, first: str = "", indent: str | None = None) -> None:
        """A paragraph; `first` hangs at its beginning and `indent` stands before later lines."""
        rest = " " * len(first) if indent is None else indent
        for number, part in enumerate(text.splitlines() or [""]):
            self._lines += _wrapped(part, first if number == 0 else rest, rest)

    def pairs(self, rows: Iterable[tuple[str, str]], least: int = 0) -> None:
        """Names in a column of their own, and what belongs to each wrapped beside it."""
        kept = list(rows)
        wide = min(max([len(name) for name, _ in kept] + [least]), WIDTH // 2)
        for name, text in kept:
            if len(name) > wide:
                self.wrap(name)
                name = ""
            self.wrap(text, first=name.ljust(wide + 2))

    def text(self) -> str:
        """The whole page, with one newline at its end."""
        return "\n".join(self._lines).rstrip() + "\n"


def printable(text: str) -> str:
    """`text` with a blank for every control character: typed words must not steer a terminal."""
    return "".join(" " if unicodedata.category(c) == "Cc" else c for c in text)


def sentences(parts: Sequence[str]) -> str:
    """Sentences one after the other, each with its full stop; the empty ones are left out."""
    return " ".join(stopped(part) for part in parts if part.strip())


def stopped(text: str) -> str:
    """`text` with a full stop where it ends without a mark: typed words often do."""
    text = text.strip()
    return text if not text or text[-1] in ".!?:…”" else f"{text}."


def _wrapped(text: str, first: str, rest: str, width: int = WIDTH) -> list[str]:
    lines = textwrap.wrap(
        printable(text),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return [line.rstrip() for line in lines] or [first.rstrip()]
