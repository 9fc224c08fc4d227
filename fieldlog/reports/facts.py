"""What a report says, as plain frozen facts; HTML and text are written from these alone.

Numbers are text with their unit, as the stored judgement gives them; times and days are text
in the house's own zone. `mark` is a verdict's word (`fail`, `too_close`, `not_measured`,
`pass`) and `plain` the side a too-close one lies on (`pass` or `fail`).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fieldlog.store.views import Head


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence of a judgement, with its limit, clause and kind."""

    mark: str
    plain: str
    head: str
    body: str
    measured: str
    needs: str
    where: str
    source: str
    kind: str
    fix: str
    settle: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A kept photo as a report shows it; `says` is the line under it.

    `check` is the id of the day's check that it belongs to and stands beside, or "".
    """

    sha256: str
    says: str
    width: int
    height: int
    check: str = ""


@dataclass(frozen=True, slots=True)
class FloorWork:
    """A floor's map as SVG, and where one was chosen the plan: its title, map and steps.

    The narrow ones are laid out for a phone.
    """

    map: str
    plan: str = ""
    plan_map: str = ""
    steps: tuple[str, ...] = ()
    map_narrow: str = ""
    plan_narrow: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """One measured look. `again` says how a later look that day came out, or ""."""

    id: str
    sheet: str
    title: str
    room: str
    at: str
    tool: str
    mark: str
    plain: str
    findings: tuple[Finding, ...]
    passes: int
    notes: tuple[str, ...]
    caution: str
    again: str = ""
    clash: bool = False
    floor: FloorWork | None = None
    struck: str = ""

    @property
    def rank(self) -> int:
        """How serious its worst finding is; see `KINDS`."""
        return min((kind_rank(f.kind) for f in self.findings), default=len(KINDS))


@dataclass(frozen=True, slots=True)
class Checks:
    """Checks of one outcome and one sheet, with the sheet's caution."""

    sheet: str
    title: str
    caution: str
    checks: tuple[Check, ...]

    @property
    def limits(self) -> int:
        """How many limits passed in them."""
        return sum(c.passes for c in self.checks)


@dataclass(frozen=True, slots=True)
class CrewLine:
    """A crew that was there: how many people, and what they did, as typed."""

    name: str
    people: int
    did: str


@dataclass(frozen=True, slots=True)
class RoomLine:
    """A room walked that day, and how much was entered there."""

    name: str
    checks: int
    items: int
    photos: int


@dataclass(frozen=True, slots=True)
class ActLine:
    """One act on a punch item. `says` holds the reason, who agreed, how it was seen."""

    act: str
    number: str
    crew: str
    where: str
    words: str
    says: str
    by: str
    at: str
    findings: tuple[Finding, ...] = ()
    struck: str = ""
    no_effect: str = ""
    clash: bool = False


@dataclass(frozen=True, slots=True)
class Acts:
    """All acts of one name that day."""

    act: str
    lines: tuple[ActLine, ...]


@dataclass(frozen=True, slots=True)
class SumLine:
    """A kept sum: from which numbers, what came out (label and text), and its caution."""

    title: str
    room: str
    at: str
    given: tuple[tuple[str, str], ...]
    answers: tuple[tuple[str, str], ...]
    source: str
    caution: str
    struck: str = ""


@dataclass(frozen=True, slots=True)
class ToolTest:
    """A level that was tested: what came out (`mark` is pass or fail), what it measured that day.

    `measured` are the day's checks by it, each in a line; they stand as they were judged.
    """

    mark: str
    title: str
    says: str
    at: str
    measured: tuple[str, ...] = ()
    struck: str = ""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the checks were held against: documents, and overrides of the house as sentences."""

    books: tuple[str, ...]
    overrides: tuple[str, ...]


NO_LIMITS = Limits((), ())


@dataclass(frozen=True, slots=True)
class Issue:
    """A report that was issued: the how-manieth, when, by whom, from which head."""

    number: int
    when: str
    by: str
    head: Head
    text_sha256: str = ""


@dataclass(frozen=True, slots=True)
class Added:
    """An entry of the day that came in after the report was issued."""

    when: str
    by: str
    says: str


@dataclass(frozen=True, slots=True)
class Daily:
    """The daily report. `head` is the journal's head it was written from; `now` the present one.

    `outcomes` maps `fail`, `too_close`, `not_measured`, `pass` (and `does_not_apply`) to the
    checks of that outcome, sheet by sheet; `struck` are checks struck through later.
    `reworded` is the SHA-256 of the issued text where the text now is another.
    """

    house: str
    by: str
    day: str
    head: Head
    now: Head
    issue: Issue | None = None
    weather: str = ""
    crews: tuple[CrewLine, ...] = ()
    deliveries: str = ""
    delays: str = ""
    note: str = ""
    rooms: tuple[RoomLine, ...] = ()
    outcomes: dict[str, tuple[Checks, ...]] = field(default_factory=dict)
    struck: tuple[Check, ...] = ()
    acts: tuple[Acts, ...] = ()
    sums: tuple[SumLine, ...] = ()
    tests: tuple[ToolTest, ...] = ()
    pictures: tuple[Picture, ...] = ()
    limits: Limits = NO_LIMITS
    refused: int = 0
    reworded: str = ""
    added: tuple[Added, ...] = ()

    def count(self, mark: str) -> int:
        """How many checks of that outcome the day has."""
        return sum(len(group.checks) for group in self.outcomes.get(mark, ()))

    def photos_of(self, check: Check) -> tuple[Picture, ...]:
        """Photos that stand beside a check which the report tells in full."""
        return tuple(p for p in self.pictures if p.check == check.id)

    @property
    def other_photos(self) -> tuple[Picture, ...]:
        """Photos that stand beside no check: of rooms, of items, of what passed."""
        full = (g for mark, groups in self.outcomes.items() if mark != "pass" for g in groups)
        told = {c.id for group in full for c in group.checks}
        return tuple(p for p in self.pictures if p.check not in told)

    @property
    def empty(self) -> bool:
        """Whether nothing was entered for the day at all."""
        typed = self.weather or self.crews or self.deliveries or self.delays or self.note
        found = self.rooms or self.acts or self.sums or self.pictures or self.struck
        return not (typed or found or self.tests)


KINDS = ("safety", "holds", "contract", "ours")
"""Kinds of limits, the most serious first."""


def kind_rank(kind: str) -> int:
    """0 for the most serious; a thing without a kind comes last."""
    return KINDS.index(kind) if kind in KINDS else len(KINDS)
