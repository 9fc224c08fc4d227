"""The laser was moved: its set-ups on the survey's page, what joins them, how they close.

Plain fields, all of them kept as typed: `set-ups` how many there are, `set-2-from` the station
("3,4") that set-up 2 begins at, `set-2-at-1` and `set-2-reads-1` a station read again from it,
`set-1-mark-A` a mark read from set-up 1, `spread` what is accepted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from fieldlog.calc.lengths import format_length
from fieldlog.store.files import load_closings
from fieldlog.web import request as at
from fieldlog.web.room_outline import exact_text

if TYPE_CHECKING:
    from fieldlog.calc.levelling import Allowance

Cell = tuple[int, int]
MOST, AGAIN, LONGEST = 6, 3, 30
MARKS = ("A", "B")
ALLOWANCE = "building-loop"
LABEL = "Set-ups of the laser"
NOT_READ = (
    "Nothing was read from set-up {m} before set-up {n} begins: say at which station it does."
)
ORDER = "Set-up {n} begins at a station before set-up {m} does."


@dataclass(frozen=True, slots=True)
class Slot:
    """One more reading on the page: its form name, label, value and place on the walk."""

    name: str
    label: str
    value: str
    walk: str


@dataclass(frozen=True, slots=True)
class ReadAgain:
    """A station read again from a later set-up; `at` is the station's form value."""

    name: str
    at: str
    slot: Slot


@dataclass(frozen=True, slots=True)
class Shown:
    """One set-up as the page shows it, from the second on."""

    number: int
    begins: str
    again: tuple[ReadAgain, ...]


@dataclass
class Moved:
    """The set-ups of one form."""

    texts: Mapping[str, str]
    order: Sequence[Cell]
    """The stations in walking order."""
    count: int = 1
    error: str = ""
    closing: list[str] = field(default_factory=list)

    @classmethod
    def of(cls, data: Mapping[str, str], order: Sequence[Cell]) -> Moved:
        """As posted, or none."""
        said = data.get("set-ups", "")
        count = int(said) if said.isascii() and said.isdigit() and len(said) == 1 else 1
        return cls(dict(data), order, min(max(count, 1), MOST))

    def text(self, name: str) -> str:
        """What stands in a field."""
        return str(self.texts.get(name, "")).strip()[:LONGEST]

    def moves_at(self, cell: Cell) -> None:
        """One set-up more, beginning at a station; two stations to read again are proposed."""
        if self.count >= MOST:
            self.error = f"{MOST} set-ups are the most. Survey the room in two halves."
            return
        self.count += 1
        n, before = self.count, self._walk(cell) - 1
        proposed = [self.order[i] for i in (before - 1, 0) if 0 <= i < len(self.order)]
        more = {f"set-{n}-from": _value(cell)}
        for k, one in enumerate(dict.fromkeys(proposed), start=1):
            more[f"set-{n}-at-{k}"] = _value(one)
        self.texts = {**self.texts, **more}

    def drops_last(self) -> None:
        """The last set-up was none."""
        self.count = max(self.count - 1, 1)

    @property
    def stations(self) -> list[tuple[str, str]]:
        """Every station as a choice: its form value, and its words."""
        return [(_value(cell), f"row {cell[0] + 1}, {cell[1] + 1}") for cell in self.order]

    @property
    def shown(self) -> list[Shown]:
        """The set-ups after the first."""
        return [
            Shown(n, self.text(f"set-{n}-from"), tuple(self._again(n)))
            for n in range(2, self.count + 1)
        ]

    @property
    def marks(self) -> list[tuple[str, list[Slot]]]:
        """Each mark with a reading from every set-up."""
        return [
            (mark, [self._slot(n, f"mark-{mark}", f"Mark {mark}") for n in self.numbers])
            for mark in MARKS
        ]

    @property
    def numbers(self) -> range:
        """The set-ups' numbers."""
        return range(1, self.count + 1)

    @property
    def marked(self) -> bool:
        """Whether a mark was read."""
        return any(slot.value for _, slots in self.marks for slot in slots)

    @property
    def accepted(self) -> bool:
        """Whether the misclosure may be spread."""
        return bool(self.text("spread"))

    @property
    def allowance(self) -> Allowance:
        """How far the loop may miss."""
        return load_closings(at.folder())[ALLOWANCE]

    @property
    def allowed_text(self) -> str:
        """The same in words."""
        return format_length(self.allowance.value, at.house().system)

    def reading(self, shape: Cell, accepted: bool | None = None) -> dict[str, Any] | None:
        """What a grid's readings carry of it; None for one set-up, or where it can't be said."""
        self.error = self.error or self._wrong_order()
        if self.count == 1 or self.error:
            return None
        of = [[1] * shape[1] for _ in range(shape[0])]
        starts = [self._walk(self._cell(f"set-{n}-from")) for n in range(2, self.count + 1)]
        for walk, (r, c) in enumerate(self.order, start=1):
            of[r][c] = 1 + sum(walk >= start for start in starts)
        return {
            "of": of, "again": self._read_again(),
            "allowed": exact_text(self.allowance.value, at.house().system),
            "accepted": self.accepted if accepted is None else accepted,
        }  # fmt: skip

    def _read_again(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = []
        for one in self.shown:
            for again in one.again:
                cell = _cell_of(again.at)
                if again.slot.value and cell in self.order:
                    where = [cell[0] + 1, cell[1] + 1]
                    found.append({"set_up": one.number, "at": where, "reads": again.slot.value})
        for mark, slots in self.marks:
            for n, slot in zip(self.numbers, slots, strict=True):
                if slot.value:
                    found.append({"set_up": n, "mark": mark, "reads": slot.value})
        return found

    def _wrong_order(self) -> str:
        starts = [self._walk(self._cell(f"set-{n}-from")) for n in range(2, self.count + 1)]
        for n, start in enumerate(starts, start=2):
            if start < 2:
                return NOT_READ.format(n=n, m=n - 1)
            if n > 2 and start <= starts[n - 3]:
                return ORDER.format(n=n, m=n - 1)
        return ""

    def _again(self, n: int) -> list[ReadAgain]:
        return [
            ReadAgain(
                f"set-{n}-at-{k}", self.text(f"set-{n}-at-{k}"),
                self._slot(n, f"reads-{k}", self._said(f"set-{n}-at-{k}"), k),
            )
            for k in range(1, AGAIN + 1)
        ]  # fmt: skip

    def _said(self, name: str) -> str:
        cell = self._cell(name)
        return f"Row {cell[0] + 1}, {cell[1] + 1} again" if cell in self.order else "One more again"

    def _slot(self, n: int, what: str, label: str, k: int = 9) -> Slot:
        """Read just before the set-up's first station; what the first one reads, at its end."""
        start = self._walk(self._cell(f"set-{max(n, 2)}-from"))
        walk = f"{start - 1}.{k if n > 1 else 0}{n}"
        return Slot(f"set-{n}-{what}", f"{label}, set-up {n}", self.text(f"set-{n}-{what}"), walk)

    def _cell(self, name: str) -> Cell:
        return _cell_of(self.text(name))

    def _walk(self, cell: Cell) -> int:
        """The how-manieth of the walk a station is; 0 for none."""
        return self.order.index(cell) + 1 if cell in self.order else 0


def _cell_of(text: str) -> Cell:
    row, _, column = text.partition(",")
    sound = all(part.isascii() and part.isdigit() and len(part) < 5 for part in (row, column))
    return (int(row) - 1, int(column) - 1) if sound else (-1, -1)


def _value(cell: Cell) -> str:
    return f"{cell[0] + 1},{cell[1] + 1}"
