"""A calculation's answer as a drawing reads it: texts, and sizes for scale only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fieldlog.drawings.labels import Label, Piece
from fieldlog.drawings.svg import PENCIL


@dataclass(frozen=True, slots=True)
class Told:
    """One answer, as `calc/calculations/running.py` gives it. Sizes are nm, as floats."""

    raw: Mapping[str, Any]

    def has(self, name: str) -> bool:
        """Whether the answer has a result of that name."""
        return name in self.raw["answer"]

    def text(self, name: str) -> str:
        """A result's text."""
        return str(self.raw["answer"][name]["text"])

    def size(self, name: str) -> float:
        """A length in nm, or the number of a result without a unit or in degrees."""
        return size_of(self.raw["answer"][name])

    def sizes(self, name: str) -> list[float]:
        """The lengths of a series, nm."""
        return [size_of(one) for one in self.raw["answer"][name]["values"]]

    def rows(self, name: str) -> Sequence[Mapping[str, Any]]:
        """The rows of a table."""
        rows: Sequence[Mapping[str, Any]] = self.raw["answer"][name]["rows"]
        return rows

    def input_size(self, name: str) -> float:
        """An input that is a length, nm."""
        return float(self.raw["inputs"][name]["nm"])

    def input_text(self, name: str) -> str:
        """An input as it was understood."""
        return str(self.raw["inputs"][name]["text"])


def size_of(result: Mapping[str, Any]) -> float:
    """A result's size for scale: nm of a length, else the number before its unit."""
    if result["nm"] is not None:
        return float(result["nm"])
    number = str(result["exact"]).split()[0]
    top, _, bottom = number.partition("/")
    return float(top) / float(bottom or 1)


def said(words: str) -> Label:
    """A note under a drawing."""
    return (Piece(words),)


def hint(words: str) -> Label:
    """A note about the drawing itself."""
    return (Piece(words, fill=PENCIL),)
