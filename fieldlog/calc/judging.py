"""One check judged: readings in, the judgement out, as plain JSON values.

The judgement is what the journal stores and what every page, drawing and report reads; it is
never recomputed for showing. Numbers in it are text, "n" or "n/d", so that no reader rounds
them: a length's in `nm`, any other kind's in `value` with its base unit in `unit`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fieldlog.calc.finished import (
    add_layers,
    changed_by_finishes,
    finished_readings,
    foretold,
    layers_read,
    places_of,
    summary,
)
from fieldlog.calc.impossible import refuse_impossible
from fieldlog.calc.layers import ToCome, as_json
from fieldlog.calc.library import Library, UnknownSource
from fieldlog.calc.looks import NOTHING_EARLIER, Earlier, add_looks
from fieldlog.calc.readings import ReadingsRefused, SlotError, parse_readings
from fieldlog.calc.scope import Scope
from fieldlog.calc.told import Told, judgement_of
from fieldlog.calc.verdicts import Judge, Result

__all__ = ["ReadingsRefused", "SlotError", "UnknownSource", "judge"]

Json = dict[str, Any]


def judge(
    library: Library,
    sheet_id: str,
    books: Sequence[str],
    readings: Mapping[str, Any],
    instrument: str,
    system: str = "us",
    house_instruments: Sequence[str] = (),
    finishes: Mapping[str, ToCome] | None = None,
    earlier: Earlier = NOTHING_EARLIER,
) -> Json:
    """Judge readings by a sheet and books.

    `instrument` holds where a reading names none; `house_instruments` are those that could settle
    a close call (all but the exact one, by default); `finishes` is what is still to come by
    place, where layers are known; `earlier` is what was looked at before. Raises ReadingsRefused
    with an error per slot, UnknownSource for a sheet, book or instrument that is not there.
    """
    sheet = library.sheet(sheet_id)
    library.instrument(instrument)
    rules = library.rules(sheet_id, books)
    parsed = parse_readings(sheet, readings, library.instruments, instrument, system)
    add_looks(sheet, parsed, earlier, library.instruments)
    add_layers(sheet, parsed, finishes or {})
    scope = Scope(sheet, rules, parsed)
    refuse_impossible(scope, system)
    tools = tuple(house_instruments or (i for i in library.instruments if i != "exact"))
    job = _Job(library, tuple(books), instrument, system, tools)
    rough = job.results(scope)
    out = job.told(scope, rough) | layers_read(sheet, finishes or {}, system)
    then = finished_readings(scope, finishes or {})
    if finishes and then:
        out["finished"] = _finished(job, scope, rough, Scope(sheet, rules, then), finishes)
    return out


@dataclass(frozen=True)
class _Job:
    """By what a check is judged, now and as it will be when the finishes are on."""

    library: Library
    books: tuple[str, ...]
    instrument: str
    system: str
    tools: tuple[str, ...]

    def results(self, scope: Scope) -> list[Result]:
        return list(Judge(scope, self.library, self.tools).results())

    def told(self, scope: Scope, results: Sequence[Result]) -> Json:
        told = Told(self.library, scope.sheet, scope, tuple(results), self.system)
        return judgement_of(told, self.books, self.instrument)


def _finished(
    job: _Job, scope: Scope, rough: list[Result], after: Scope, finishes: Mapping[str, ToCome]
) -> Json:
    """What changes when the finishes are on: `after` has the readings as they will be then."""
    sheet = scope.sheet
    changed = changed_by_finishes(sheet, rough, job.results(after))
    return summary(job.told(after, changed), sheet) | {
        "layers": as_json(finishes, places_of(sheet), job.system),
        "notes": foretold(scope, after, finishes, job.library.words, job.system),
    }
