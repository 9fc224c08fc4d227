"""The tests of levels, read from the journal."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from fractions import Fraction

import msgspec

from fieldlog.calc.bodies import InstrumentTest
from fieldlog.calc.instrument_tests import TestNotUsable, outcome_of
from fieldlog.store.views import EntryView

_ALL = """
    SELECT j.id, j.author, j.received, f.day, j.body, f.struck
    FROM journal j JOIN fold_entry f USING (seq)
    WHERE j.subject = ? AND j.type = 'instrument/1' AND j.refused = '' ORDER BY j.seq DESC
"""
_decode = msgspec.json.Decoder(InstrumentTest).decode


@dataclass(frozen=True, slots=True)
class TestView:
    """A test of a level as one entry says it."""

    __test__ = False  # no test of ours

    id: str
    author: str
    received: str
    day: str
    test: InstrumentTest
    struck: str

    @property
    def tilt(self) -> Fraction:
        """Rise over run, without a sign."""
        return Fraction(self.test.tilt)

    @property
    def within(self) -> bool:
        """Whether it was as good as it was allowed to be."""
        return self.tilt <= Fraction(self.test.allowed)

    @property
    def up(self) -> bool | None:
        """Whether its line of sight rises; None where it is level, or where the light leans."""
        try:
            return outcome_of(self.test.how, self.test.inputs).up
        except TestNotUsable:  # an older program took it
            return None


def tool_test(entry: EntryView) -> TestView:
    """The test that an `instrument/1` entry says."""
    return TestView(
        entry.id, entry.author, entry.received, entry.day, _decode(entry.body), entry.struck
    )


def tests_of(conn: sqlite3.Connection, tool: str) -> list[TestView]:
    """Every test of a tool, the latest first, those struck through among them."""
    return [
        TestView(entry_id, author, received, day, _decode(body), struck)
        for entry_id, author, received, day, body, struck in conn.execute(
            _ALL, (f"instrument:{tool}",)
        )
    ]


def last_tests(conn: sqlite3.Connection, tool: str) -> tuple[TestView, ...]:
    """The last test of each kind that stands, the latest first."""
    last: dict[str, TestView] = {}
    for view in tests_of(conn, tool):
        if not view.struck:
            last.setdefault(view.test.how, view)
    return tuple(last.values())
