"""What the folds hand to pages and reports: frozen facts, no SQL, no Flask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class EntryView:
    """One stored entry as read back; `received` is UTC ISO 8601 with seconds."""

    seq: int
    received: str
    chain: str
    id: str
    device: str
    device_seq: int
    author: str
    type: str
    subject: str
    body: str
    judgement: str
    refused: str  # the reason, or ""
    struck: str  # the reason of a later strike, or ""
    day: str


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A judged check as a list needs it.

    `judgement` has `verdict`, `sheet`, `counts` and layers as stored, of the `findings` their
    `mark`, `head` and `plain`, and of the `rules` those that are over, by `rule`, `quantity`,
    `verdict`, `plain`, `kind` and `trade`. Nothing else of it is read: most of a judgement is
    limits that hold.
    """

    id: str
    seq: int
    subject: str
    room: str
    sheet: str
    place: str
    key: str
    author: str
    instrument: str
    day: str
    received: str
    verdict: str
    judgement: dict[str, Any]
    readings: dict[str, Any]
    note: str
    photos: tuple[str, ...]
    struck: str
    clash: bool  # its author had not seen the entry before it


@dataclass(frozen=True, slots=True)
class CheckView(CheckLine):
    """A judged check. `judgement` is the stored one (see calc/judging.py), never recomputed."""


@dataclass(frozen=True, slots=True)
class ItemAct:
    """One line of an item's history, the opening included (`act == "opened"`)."""

    id: str
    seq: int
    act: str
    author: str
    day: str
    received: str
    how: str
    reason: str
    agreed_by: str
    trade: str
    check: str
    photos: tuple[str, ...]
    effect: bool
    why_no_effect: str
    struck: str
    clash: bool
    item: str = ""  # the item's id


@dataclass(frozen=True, slots=True)
class ItemView:
    """A punch item as it stands. `state`: open, corrected, accepted, accepted_as_is, withdrawn.

    `sent_back` is true while an open item was last sent back; `kind` orders lists (safety,
    holds, contract, ours, or "" where nothing was measured); `findings` are the failing
    sentences of the check that opened it.
    """

    id: str
    subject: str
    number: str
    seq: int
    room: str
    trade: str
    words: str
    wall: str
    state: str
    sent_back: bool
    not_ours: str  # the crew's reason, or ""
    kind: str
    needs_by: str
    damaged_by_other: bool
    check: str
    rules: tuple[str, ...]
    findings: tuple[dict[str, Any], ...]
    photos: tuple[str, ...]
    opened_day: str
    opened_by: str
    state_day: str  # when it came into its present state
    last_reason: str
    head: str  # id of the last entry of this subject
    struck: str

    @property
    def stamp(self) -> str:
        """What its stamp says: its state, or that an open item was sent back."""
        return "sent_back" if self.state == "open" and self.sent_back else self.state


@dataclass(frozen=True, slots=True)
class PhotoView:
    """A kept photo."""

    sha256: str
    seq: int
    media: str
    width: int
    height: int
    room: str
    of: str
    caption: str
    day: str
    author: str


@dataclass(frozen=True, slots=True)
class SumView:
    """A kept sum. `answer` is the stored one (see calc/calculations/running.py)."""

    id: str
    seq: int
    name: str
    room: str
    of: str
    inputs: dict[str, str]  # as typed
    answer: dict[str, Any]
    author: str
    day: str
    received: str
    struck: str

    @property
    def title(self) -> str:
        """What the calculation is called."""
        return str(self.answer["title"])


@dataclass(frozen=True, slots=True)
class ReportView:
    """A report that was issued; `head_seq` is the journal's last entry that is in it."""

    id: str
    seq: int
    kind: str
    day: str
    trade: str
    author: str
    received: str
    head_seq: int
    head_chain: str
    text_sha256: str
    struck: str


@dataclass(frozen=True, slots=True)
class Head:
    """Head of the journal: printed on every report, so that a cut tail is noticed."""

    seq: int
    chain: str
