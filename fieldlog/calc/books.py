"""Books: dated files of limits, each with its document, edition, clause and how it was verified.

Rule ids stay the same across editions, so that a house that changes its code edition keeps
its history readable. An override is a house's own change of one limit: what a local code
allows, or what was agreed, with the reason and who said so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import msgspec

from fieldlog.calc.expressions import ExpressionError, Tree, parse
from fieldlog.calc.functions import Kind
from fieldlog.calc.instruments import length_in, measure_in
from fieldlog.calc.shape import Strict
from fieldlog.calc.sheets import Sheet
from fieldlog.calc.starts import Start, starts_of
from fieldlog.calc.toml_text import DataFileError, line_of, load_strict, sha256_of

Refusal = Callable[[str, str], DataFileError]

COMPARES = ("<", "<=", ">", ">=", "is")
KINDS = ("safety", "holds", "contract", "ours")
"""Safety and code, holds the next trade, contract, our standard: most serious first."""
VERIFIED = ("primary", "secondary", "memory", "common practice")


class Gauge(Strict, frozen=True):
    """A yes/no quantity that stands above the arithmetic while the limit is the gauge's size."""

    quantity: str
    instrument: str
    size: str


class Rule(Strict, frozen=True):
    """A limit on a quantity. `limit` is a number with its unit ("7 3/4 in", "42 deg", "1:48";
    a count has none), or "yes" / "no".

    `when` is a condition in the sheet's quantities ("" always); `give` are lengths given to a
    derived quantity that takes them; `fix` and `fails` are sentences with {quantity} in them.
    `limit_of` is a rule of the same book whose limit this one is: its override holds here too.
    """

    id: str
    sheet: str
    quantity: str
    label: str
    compare: str
    limit: str
    kind: str
    clause: str
    verified: str
    seen: str
    when: str = ""
    trade: str = ""
    give: dict[str, str] = msgspec.field(default_factory=dict)
    gauge: Gauge | None = None
    fix: str = ""
    fails: str = ""
    passes: str = ""
    limit_of: str = ""


@dataclass(frozen=True, slots=True)
class Book:
    """A loaded book."""

    id: str
    title: str
    document: str
    edition: str
    dated: str
    source: str
    rules: tuple[Rule, ...]
    sha256: str
    text: str = field(repr=False)


class _File(Strict, frozen=True):
    id: str
    title: str
    document: str
    edition: str
    dated: str
    source: str
    rule: tuple[Rule, ...]


class Override(Strict, frozen=True):
    """A house's own limit for a rule: the new limit, the reason, who said so, and when."""

    rule: str
    limit: str
    reason: str
    by: str
    dated: str = ""
    sha256: str = ""
    line: int = 1


class _Overrides(Strict, frozen=True):
    override: tuple[Override, ...] = ()


def load_book(text: str, file: str) -> Book:
    """A book file; its rules are bound to sheets by `bind`. Raises DataFileError."""
    raw = load_strict(text, file, _File)
    for key in ("document", "source", "title"):
        if not getattr(raw, key).strip():
            raise DataFileError(file, line_of(text, key=key), f"{key} is empty")
    seen: set[str] = set()
    for n, rule in enumerate(raw.rule):
        _sound(rule, n, text, file)
        if rule.id in seen:
            raise DataFileError(file, line_of(text, "rule", n, "id"), f'"{rule.id}" is there twice')
        seen.add(rule.id)
        if rule.limit_of and not _is_limit_of(rule, raw.rule):
            why = f'"{rule.limit_of}" is no limit of this book with the same number'
            raise DataFileError(file, line_of(text, "rule", n, "limit_of"), why)
    return Book(
        raw.id, raw.title, raw.document, raw.edition, raw.dated, raw.source, raw.rule,
        sha256_of(text), text,
    )  # fmt: skip


def _is_limit_of(rule: Rule, rules: Sequence[Rule]) -> bool:
    """Whether the rule that one takes its limit from is there, of its own, and has that limit."""
    wanted = (rule.limit_of, rule.compare, rule.limit, "")
    return any((one.id, one.compare, one.limit, one.limit_of) == wanted for one in rules)


def load_overrides(text: str, file: str) -> tuple[Override, ...]:
    """A house's overrides. Raises DataFileError."""
    raw = load_strict(text, file, _Overrides)
    digest = sha256_of(text)
    out: list[Override] = []
    for n, one in enumerate(raw.override):
        for key in ("rule", "limit", "reason", "by"):
            if not getattr(one, key).strip():
                raise DataFileError(file, line_of(text, "override", n, key), f"{key} is empty")
        if one.rule in {o.rule for o in out}:
            why = f'"{one.rule}" is overridden twice'
            raise DataFileError(file, line_of(text, "override", n, "rule"), why)
        line = line_of(text, "override", n, "limit")
        out.append(Override(one.rule, one.limit, one.reason, one.by, one.dated, digest, line))
    return tuple(out)


def _sound(rule: Rule, nth: int, text: str, file: str) -> None:
    for key, value, known in (
        ("compare", rule.compare, COMPARES),
        ("kind", rule.kind, KINDS),
        ("verified", rule.verified, VERIFIED),
    ):
        if value not in known:
            why = f'{key} is one of {", ".join(known)}, not "{value}"'
            raise DataFileError(file, line_of(text, "rule", nth, key), why)
    for key in ("id", "label", "clause", "seen"):
        if not getattr(rule, key).strip():
            raise DataFileError(file, line_of(text, "rule", nth, key), f"{key} is empty")
    if (rule.compare == "is") != (rule.limit in ("yes", "no")):
        why = 'a limit is "yes" or "no" with compare "is", else a number with its unit'
        raise DataFileError(file, line_of(text, "rule", nth, "limit"), why)


@dataclass(frozen=True, slots=True)
class BoundRule:
    """A rule bound to its sheet: condition parsed, limit in the base unit of its `measure`
    (`units.py`; None for a yes or no), given lengths in nm.
    """

    rule: Rule
    book: str
    when: Tree | None
    measure: str
    limit: Fraction | None
    wants_yes: bool
    given: dict[str, int]
    gauge_nm: int | None
    override: Override | None
    starts: tuple[Start, ...] = ()
    """Where its condition begins to apply (`starts.py`)."""

    @property
    def limit_nm(self) -> int | None:
        """The limit in nm where it is a length."""
        return None if self.limit is None or self.measure != "length" else int(self.limit)


def bind(book: Book, nth: int, sheet: Sheet, override: Override | None, file: str) -> BoundRule:
    """Rule `nth` of a book on its sheet. Raises DataFileError where they do not fit."""
    rule = book.rules[nth]

    def refuse(key: str, why: str) -> DataFileError:
        return DataFileError(file, line_of(book.text, "rule", nth, key), why)

    derived = sheet.derived_of(rule.quantity)
    kind: Kind | None = derived.kind if derived else sheet.kinds.get(rule.quantity)
    if kind is None:
        raise refuse("quantity", f'sheet "{sheet.id}" has no quantity "{rule.quantity}"')
    limit = override.limit if override else rule.limit
    measure = sheet.measure(rule.quantity)
    if (kind == "truth") != (limit in ("yes", "no")) or not (measure or kind == "truth"):
        raise refuse("limit", f'"{limit}" is no limit for "{rule.quantity}"')
    takes = derived.takes if derived else ()
    if set(takes) != set(rule.give):
        raise refuse("give", f'"{rule.quantity}" takes {", ".join(takes) or "nothing"}')
    when = _condition(rule, sheet, refuse)
    return BoundRule(
        rule=rule,
        book=book.id,
        when=when,
        measure=measure,
        limit=_limit(measure, limit, book, nth, override, file) if measure else None,
        wants_yes=limit == "yes",
        given={k: length_in(v, book.text, file, "rule", nth, "give") for k, v in rule.give.items()},
        gauge_nm=_gauge(rule, sheet, book, nth, file),
        override=override,
        starts=starts_of(when),
    )


def _limit(
    measure: str, limit: str, book: Book, nth: int, override: Override | None, file: str
) -> Fraction:  # fmt: skip
    if override is None:
        return measure_in(measure, limit, book.text, file, "rule", nth, "limit")
    try:
        return measure_in(measure, limit, "", "", "", 0, "limit")
    except DataFileError as err:
        why = f'{err.why} (the limit of "{override.rule}")'
        raise DataFileError("overrides.toml", override.line, why) from err


def _condition(rule: Rule, sheet: Sheet, refuse: Refusal) -> Tree | None:
    if not rule.when:
        return None
    try:
        tree, kind = parse(rule.when, sheet.kinds)
    except ExpressionError as err:
        raise refuse("when", f"when: {err}") from err
    if kind != "truth":
        raise refuse("when", "when is a condition")
    return tree


def _gauge(rule: Rule, sheet: Sheet, book: Book, nth: int, file: str) -> int | None:
    if rule.gauge is None:
        return None
    if sheet.kinds.get(rule.gauge.quantity) != "truth":
        why = f'gauge: "{rule.gauge.quantity}" is no yes/no field'
        raise DataFileError(file, line_of(book.text, "rule", nth, "gauge"), why)
    return length_in(rule.gauge.size, book.text, file, "rule", nth, "gauge")
