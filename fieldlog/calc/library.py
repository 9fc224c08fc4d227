"""A house's library: the sheets, books, instruments and overrides it judges by, all bound.

Loaders take text; which files there are is the store's business.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from fieldlog.calc.books import Book, BoundRule, Override, bind, load_book, load_overrides
from fieldlog.calc.instruments import Instrument, load_instrument
from fieldlog.calc.sheets import Sheet, load_sheet
from fieldlog.calc.toml_text import DataFileError, line_of, sha256_of
from fieldlog.calc.uncertainty import ToolError, tool_error
from fieldlog.calc.words import load_words

T = TypeVar("T")


class UnknownSource(ValueError):
    """A sheet, book or instrument is named that the house does not have."""


@dataclass(frozen=True, slots=True)
class SourceText:
    """A data file as it was read: kept by its SHA-256, named by it in every judgement."""

    kind: str  # sheet, book, instrument, overrides, words
    file: str
    text: str

    @property
    def sha256(self) -> str:
        """SHA-256 of the text."""
        return sha256_of(self.text)


@dataclass(frozen=True, slots=True)
class Library:
    """Everything that is judged by; `sources` has each file's text by its SHA-256."""

    sheets: Mapping[str, Sheet]
    books: Mapping[str, Book]
    instruments: Mapping[str, Instrument]
    overrides: tuple[Override, ...]
    sources: Mapping[str, SourceText]
    bound: Mapping[str, tuple[BoundRule, ...]]  # by book
    errors: Mapping[str, ToolError]  # by instrument
    words: Mapping[str, str]
    words_sha256: str

    def sheet(self, sheet_id: str) -> Sheet:
        """The sheet of that id. Raises UnknownSource."""
        return _one(self.sheets, sheet_id, "sheet")

    def book(self, book_id: str) -> Book:
        """The book of that id. Raises UnknownSource."""
        return _one(self.books, book_id, "book")

    def instrument(self, instrument_id: str) -> Instrument:
        """The instrument of that id. Raises UnknownSource."""
        return _one(self.instruments, instrument_id, "instrument")

    def rules(self, sheet_id: str, book_ids: Sequence[str]) -> tuple[BoundRule, ...]:
        """The rules of the chosen books on a sheet, in book order.

        Raises UnknownSource for an unknown book, or two chosen books with one rule id.
        """
        chosen: dict[str, BoundRule] = {}
        for book_id in dict.fromkeys(book_ids):
            self.book(book_id)
            for rule in self.bound[book_id]:
                if rule.rule.sheet != sheet_id:
                    continue
                if rule.rule.id in chosen:
                    other = chosen[rule.rule.id].book
                    raise UnknownSource(
                        f'books "{other}" and "{book_id}" both have the limit "{rule.rule.id}": '
                        "choose one of them"
                    )
                chosen[rule.rule.id] = rule
        return tuple(chosen.values())


def _one(found: Mapping[str, T], name: str, what: str) -> T:
    if name not in found:
        raise UnknownSource(f'There is no {what} "{name}". There are: {", ".join(sorted(found))}.')
    return found[name]


def build_library(sources: Iterable[SourceText]) -> Library:
    """Load and bind data files. A later file of the same kind and id takes the earlier's place.

    Raises DataFileError, naming file and line.
    """
    files = tuple(sources)
    tools = [load_instrument(f.text, f.file) for f in files if f.kind == "instrument"]
    named = (load_sheet(f.text, f.file) for f in files if f.kind == "sheet")
    sheets = {s.id: _with_stand_ins(s, tools) for s in named}
    books: dict[str, tuple[Book, str]] = {}
    for f in files:
        if f.kind == "book":
            book = load_book(f.text, f.file)
            books[book.id] = (book, f.file)
    overrides = tuple(
        o for f in files if f.kind == "overrides" for o in load_overrides(f.text, f.file)
    )
    words = next((f for f in reversed(files) if f.kind == "words"), SourceText("words", "", ""))
    return Library(
        sheets=sheets,
        books={book_id: book for book_id, (book, _) in books.items()},
        instruments={i.id: i for i in tools},
        overrides=overrides,
        sources={f.sha256: f for f in files},
        bound=_bound(books, sheets, overrides),
        errors={i.id: tool_error(i.parts) for i in tools},
        words=load_words(words.text, words.file),
        words_sha256=words.sha256,
    )


def _with_stand_ins(sheet: Sheet, tools: Sequence[Instrument]) -> Sheet:
    """The sheet with every tool that stands for one that its fields name."""
    fields = tuple(replace(f, tools=_and_stand_ins(f.tools, tools)) for f in sheet.fields)
    return replace(sheet, fields=fields)


def _and_stand_ins(named: tuple[str, ...], tools: Sequence[Instrument]) -> tuple[str, ...]:
    others = (t.id for t in tools if t.stands_for in named and t.id not in named)
    return tuple(dict.fromkeys((*named, *others)))


def _bound(
    books: Mapping[str, tuple[Book, str]],
    sheets: Mapping[str, Sheet],
    overrides: Sequence[Override],
) -> dict[str, tuple[BoundRule, ...]]:
    by_rule = {o.rule: o for o in overrides}
    known = {rule.id for book, _ in books.values() for rule in book.rules}
    for rule_id in by_rule:
        if rule_id not in known:
            raise DataFileError("overrides.toml", 1, f'no book has a limit "{rule_id}"')
    bound: dict[str, tuple[BoundRule, ...]] = {}
    for book, file in books.values():
        rules = []
        for nth, rule in enumerate(book.rules):
            if rule.sheet not in sheets:
                why = f'there is no sheet "{rule.sheet}"'
                raise DataFileError(file, line_of(book.text, "rule", nth, "sheet"), why)
            override = by_rule.get(rule.id) or by_rule.get(rule.limit_of)
            rules.append(bind(book, nth, sheets[rule.sheet], override, file))
        bound[book.id] = tuple(rules)
    return bound
