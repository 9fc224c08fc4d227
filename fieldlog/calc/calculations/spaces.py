"""Balusters of a guard, and even spaces of anything else: the least count and its gap."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from fieldlog.calc.books import BoundRule
from fieldlog.calc.calculations import spacing
from fieldlog.calc.calculations.decimals import decimal_of
from fieldlog.calc.calculations.model import (
    Answer,
    Calculation,
    Given,
    Input,
    Length,
    Number,
    Result,
    Series,
    Words,
)
from fieldlog.calc.calculations.numbers import Pitch
from fieldlog.calc.calculations.refusing import refused
from fieldlog.calc.calculations.running import length_text
from fieldlog.calc.calculations.spacing import NoCount, Run
from fieldlog.calc.tape import NM_PER_INCH, NM_PER_MM, format_length

_GUARD, _LEVEL, _STAIR = "guard", "opening_level", "opening_stair"


@dataclass(frozen=True, slots=True)
class _Job:
    """What is to be spaced: `width` is where the gap is judged, `block` what is laid out."""

    run: Run
    width: int
    block: int
    limit: int
    may_touch: bool
    system: str

    @property
    def step(self) -> int:
        return NM_PER_MM if self.system == "metric" else NM_PER_INCH // 16

    def say(self, nm: int | Fraction | Decimal) -> str:
        """A length in a sentence."""
        return length_text(nm, self.system)


def _even_spaces(given: Given) -> Answer:
    may_touch = given["at-limit"] == "passes"
    job = _Job(
        Run(given["length"]), given["width"], given["width"], given["gap"], may_touch, given.system
    )
    count, results, steps = _spaced(job)
    return Answer(results, steps, _rounding(job, count))


def _balusters(given: Given) -> Answer:
    pitch: Pitch | None = given["pitch"]
    rule = _rule(given, _STAIR if pitch else _LEVEL)
    limit, may_touch = given["gap"], False
    if limit is None:
        if rule is None or rule.limit_nm is None:
            why = "None of these books has a limit for it. Type the gap that must not be reached."
            raise refused("gap", why)
        limit, may_touch = rule.limit_nm, rule.rule.compare.endswith("=")
    width = given["thinnest"] or given["width"]
    if width > given["width"]:
        raise refused("thinnest", "The thinnest point is thicker than the width.")
    job = _Job(Run(given["length"], pitch), width, given["width"], limit, may_touch, given.system)
    count, results, steps = _spaced(job)
    more, more_steps = _per_tread(job, given)
    notes = (*_of_the_book(job, given, rule), *_rounding(job, count), *_turned(job, count))
    return Answer((*results, *more), (*steps, *more_steps), notes)


def _spaced(job: _Job) -> tuple[int, tuple[Result, ...], tuple[str, ...]]:
    """The least count, its results, and the math in sentences."""
    if job.run.under(job.block, may_touch=True):
        raise refused("width", f"{job.say(job.block)} does not fit in {job.say(job.run.length)}.")
    try:
        count = spacing.least_count(job.run, job.width, job.limit, job.may_touch)
    except NoCount as err:
        raise refused("gap", str(err)) from err
    gap = spacing.gap_of(job.run, job.width, count)
    results = [
        Result("count", "Count", Number(count)),
        Result("spaces", "Spaces", Number(count + 1)),
        Result("gap", "Clear gap", Length(gap)),
        Result("limit", "The gap is at most" if job.may_touch else "The gap stays under",
               Length(job.limit)),
        *_along(job, gap, count),
    ]  # fmt: skip
    steps = [_sentence(job, count, gap)]
    if count:
        wider = spacing.gap_of(job.run, job.width, count - 1)
        results.append(Result("gap_with_one_fewer", "Gap with one fewer", Length(wider)))
        steps.append(f"{count - 1} would leave {job.say(wider)}.")
    return count, tuple(results), tuple(steps)


def _sentence(job: _Job, count: int, gap: Fraction | Decimal) -> str:
    level = job.say(job.run.level)
    on_the_rake = f" ({job.say(job.run.length)} along the rake)" if job.run.pitch else ""
    return (
        f"({level}{on_the_rake} - {count} x {job.say(job.width)}) / ({count} + 1) = {job.say(gap)}."
    )


def _along(job: _Job, gap: Fraction | Decimal, count: int) -> list[Result]:
    """Distances to mark: along the rail, so on the rake they are longer than the gap."""
    cosine = decimal_of(job.run.cosine) if job.run.pitch else Fraction(1)
    along, width = _over(gap, cosine), _over(job.width, cosine)
    center = _over(gap + job.width, cosine)
    marks = spacing.marked(along, width, count, job.step)
    told = [
        Result("on_center", "Center to center", Length(center)),
        Result("marks", "Marks from one end, to where each begins",
               Series(tuple(Length(m) for m in marks))),
    ]  # fmt: skip
    if job.run.pitch:
        told.insert(0, Result("gap_along_rake", "Gap along the rake", Length(along)))
        told.insert(0, Result("cosine", "Cosine of the pitch", Number(cosine, "", 4)))
    return told


def _over(value: int | Fraction | Decimal, cosine: Fraction | Decimal) -> Fraction | Decimal:
    if isinstance(cosine, Decimal):
        return decimal_of(value) / cosine
    return Fraction(value) / cosine


def _per_tread(job: _Job, given: Given) -> tuple[tuple[Result, ...], tuple[str, ...]]:
    """So many to a tread: they repeat with the going, so the gap is going / n less the width."""
    pitch: Pitch | None = given["pitch"]
    going = given["going"] or (pitch.run if pitch else 0)
    asked = given["per-tread"]
    if not going:
        if asked is None:
            return (), ()
        why = "Type the going as well, or the pitch as rise over run (7 1/2 over 10)."
        raise refused("going", why)
    per_tread = asked or _least_per_tread(going, job)
    if going <= per_tread * job.block:
        raise refused("per-tread", f"{per_tread} do not fit on a going of {job.say(going)}.")
    gap = Fraction(going, per_tread) - job.width
    passes = gap < job.limit or (job.may_touch and gap == job.limit)
    says = f"{per_tread} a tread leave {job.say(gap)}: {'pass' if passes else 'fail'}."
    return (
        Result("per_tread", "Each tread", Number(per_tread)),
        Result("gap_per_tread", "Clear gap at that", Length(gap)),
        Result("per_tread_says", "Each tread", Words(says)),
    ), (f"{job.say(going)} / {per_tread} - {job.say(job.width)} = {job.say(gap)}.",)


def _least_per_tread(going: int, job: _Job) -> int:
    count = 1
    while not Run(going).under(count * (job.width + job.limit), job.may_touch):
        count += 1
    return count


def _rule(given: Given, quantity: str) -> BoundRule | None:
    """The tightest limit that the books set on this opening of a guard."""
    rules = [
        r
        for r in given.library.rules(_GUARD, given["books"])
        if r.rule.quantity == quantity and r.rule.compare.startswith("<") and r.limit_nm
    ]
    return min(rules, key=lambda r: (r.limit_nm, r.rule.compare), default=None)


def _of_the_book(job: _Job, given: Given, rule: BoundRule | None) -> tuple[str, ...]:
    if rule is None or rule.limit_nm is None:
        return ()
    book = given.library.book(rule.book)
    source = " ".join(f"{book.document} {book.edition} {rule.rule.clause}".split())
    less = "less than" if rule.rule.compare == "<" else "at most"
    says = f"{source}: {rule.rule.label.lower()}, {less} {job.say(rule.limit_nm)}."
    if job.limit > rule.limit_nm:
        says += f" {job.say(job.limit)} was asked for: that is more than this book allows."
    return (says,)


def _rounding(job: _Job, count: int) -> tuple[str, ...]:
    """Whether marking to the tape's step still keeps the widest gap under the limit."""
    if not count or job.run.pitch:
        return ()
    gap = Fraction(spacing.gap_of(job.run, job.width, count))
    marks = spacing.marked(gap, job.width, count, job.step)
    widest = spacing.widest(marks, job.width, Fraction(job.run.length))
    if widest < job.limit or (job.may_touch and widest == job.limit):
        return ()
    step = format_length(job.step, job.system)
    return (
        f"Marked to the nearest {step} the widest gap would be {job.say(widest)}, which is not "
        f"under {job.say(job.limit)}. Mark finer, or take {count + 1}.",
    )


def _turned(job: _Job, count: int) -> tuple[str, ...]:
    """Where the gap is judged at a thinner point: what is left between the thick parts."""
    if job.block == job.width or not count:
        return ()
    gap = spacing.gap_of(job.run, job.width, count)
    between = gap - (job.block - job.width)
    if between <= 0:
        raise refused("thinnest", "At this spacing the thick parts would overlap.")
    end = gap - Fraction(job.block - job.width, 2) if isinstance(gap, Fraction) else None
    ends = f", and at each end {job.say(end)}" if end is not None else ""
    return (f"Judged at the thinnest point. Between thick parts {job.say(between)} is left{ends}.",)


def _length(name: str, label: str, how: str = "", required: bool = False) -> Input:
    return Input(name, label, "length", how, required=required, positive=True)


_FORMULA = (
    "Least n with L < n x width + (n + 1) x limit; gap = (L - n x width) / (n + 1). "
    "A gap of exactly the limit fails."
)

CALCULATIONS = (
    Calculation(
        name="balusters",
        title="Balusters",
        says="How many balusters, and the even gap between them, under a guard's limit.",
        inputs=(
            _length("length", "Length", "Clear, post to post; on a stair along the rake.", True),
            _length("width", "Baluster width", required=True),
            _length("gap", "Gap that must not be reached", "Left out: the limit of the books."),
            Input("pitch", "Pitch", "pitch", "On a stair: 37 deg, or 7 1/2 over 10."),
            _length("going", "Going", "Nosing to nosing, for balusters on treads."),
            Input("per-tread", "Balusters a tread", "count", positive=True),
            _length("thinnest", "Thinnest point", "Of a turned baluster: where the ball tries."),
            Input("books", "Books", "names", default="irc-2021"),
        ),
        formula=_FORMULA + " On the rake L is the length along it times cos(pitch).",
        source=(
            "Geometry; published baluster examples (2 lengths with their counts and gaps) "
            "reproduced in the tests; limits from the books named"
        ),
        caution=(
            "The local code and its inspector decide, and a licensed designer decides what a "
            "guard can hold. A 4 in ball on the finished guard has the last word."
        ),
        compute=_balusters,
    ),
    Calculation(
        name="even-spaces",
        title="Even spaces",
        says="Slats, battens, mullions: how many, and the even gap, under a limit.",
        inputs=(
            _length("length", "Length", "Clear, from end to end.", True),
            _length("width", "Width of one", required=True),
            _length("gap", "Widest gap", required=True),
            Input("at-limit", "A gap of exactly that", "choice", default="fails",
                  choices=("fails", "passes")),
        ),
        formula=_FORMULA,
        source="Geometry",
        caution="Measure the length where the pieces go, at both ends: it is seldom the same.",
        compute=_even_spaces,
    ),
)  # fmt: skip
