"""The order of trades of a house, read from its file (TOML): `fieldlog/sequences/finish.toml`."""

from __future__ import annotations

from fieldlog.calc.shape import Strict
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict


class Step(Strict, frozen=True):
    """One trade's turn, and why, in one sentence.

    `needs` are sheets whose checks have to pass, `heeds` sheets whose checks hold only where they
    fail. Either may name a part of a sheet's limits by how their ids begin: `air.paint`.
    """

    trade: str
    why: str
    needs: tuple[str, ...] = ()
    heeds: tuple[str, ...] = ()


class Sequence(Strict, frozen=True):
    """The order of trades, with the source it is taken from."""

    id: str
    title: str
    source: str
    verified: str
    step: tuple[Step, ...]


def parse_sequence(text: str, source: str = "sequence.toml") -> Sequence:
    """Read a sequence file. Raises DataFileError, naming `source`, the line and why."""
    sequence = load_strict(text, source, Sequence)
    for name in ("id", "title", "source", "verified"):
        if not getattr(sequence, name).strip():
            raise DataFileError(source, line_of(text, key=name), f'"{name}" is empty')
    _steps_are_sound(sequence, text, source)
    return sequence


def _steps_are_sound(sequence: Sequence, text: str, source: str) -> None:
    seen: set[str] = set()
    for number, step in enumerate(sequence.step):
        line = line_of(text, "step", number, "trade")
        if not step.trade or not step.why.strip():
            raise DataFileError(source, line, "a step needs its trade and why")
        if step.trade in seen:
            raise DataFileError(source, line, f'trade "{step.trade}" is there twice')
        seen.add(step.trade)
