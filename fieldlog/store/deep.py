"""Whether the record reproduces what is shown: every check judged again, every fold rebuilt."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from fieldlog.calc.bodies import CheckEntry, Layers, Strike
from fieldlog.calc.checking import encode_judgement, judge_check
from fieldlog.calc.entries import parse_body
from fieldlog.calc.house import House, house_from_body
from fieldlog.calc.layers import LayersOf
from fieldlog.calc.library import Library, UnknownSource
from fieldlog.calc.looks import Look, LooksOf
from fieldlog.calc.readings import ReadingsRefused
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store import folds, journal, sources


def rejudge(conn: sqlite3.Connection, library: Library | None) -> list[str]:
    """A sentence for each check whose stored judgement its sources do not reproduce."""
    faults: list[str] = []
    houses, layers, looks = _Houses(), _LayersSoFar(), _LooksSoFar()
    libraries = _Libraries(conn, library)
    for row in journal.rows(conn):
        if row.refused:
            continue
        houses.follow(row)
        layers.follow(row)
        if row.entry.type == "check/1":
            why = _why_not_reproduced(row, houses.now, libraries.at, layers.of, looks.of)
            faults += [f"Entry {row.seq}: {why}"] if why else []
        looks.follow(row)
    return faults


def compare_folds(conn: sqlite3.Connection) -> list[str]:
    """A sentence for each fold that differs from what the journal gives when folded anew."""
    anew = sqlite3.connect(":memory:", isolation_level=None)
    conn.backup(anew)
    folds.rebuild(anew)
    live, rebuilt = folds.dump(conn), folds.dump(anew)
    anew.close()
    return [
        f"The table {table} is not what the journal gives. `fieldlog serve` can rebuild it."
        for table in live
        if live[table] != rebuilt[table]
    ]


class _Houses:
    """The house as it was, while the journal is walked."""

    def __init__(self) -> None:
        self._known: list[tuple[str, House]] = []

    @property
    def now(self) -> House:
        """The house at this place of the journal."""
        return self._known[-1][1]

    def follow(self, row: journal.Row) -> None:
        """Take in the next row."""
        if row.entry.type == "house/1":
            self._known.append((row.entry.id, house_from_body(row.entry.body)))
        elif row.entry.type == "strike/1" and row.entry.subject == "house":
            strike = parse_body("strike/1", row.entry.body)
            assert isinstance(strike, Strike)
            first, *later = self._known
            self._known = [first, *((i, h) for i, h in later if i != strike.entry)]


class _LayersSoFar:
    """The layers of every room as they were, while the journal is walked."""

    def __init__(self) -> None:
        self._known: dict[str, list[tuple[str, Layers]]] = {}

    def of(self, room: str) -> Layers | None:
        """The room's layers at this place of the journal, or None."""
        known = self._known.get(f"layers:{room}")
        return known[-1][1] if known else None

    def follow(self, row: journal.Row) -> None:
        """Take in the next row."""
        known = self._known.setdefault(row.entry.subject, [])
        if row.entry.type == "layers/1":
            body = parse_body("layers/1", row.entry.body)
            assert isinstance(body, Layers)
            known.append((row.entry.id, body))
        elif row.entry.type == "strike/1" and known:
            strike = parse_body("strike/1", row.entry.body)
            assert isinstance(strike, Strike)
            known[:] = [(i, one) for i, one in known if i != strike.entry]


class _LooksSoFar:
    """The checks as judged so far, while the journal is walked."""

    def __init__(self) -> None:
        self._known: dict[str, tuple[str, Look]] = {}

    def of(self, sheet: str) -> list[Look]:
        """Every check of a sheet up to this place of the journal that is not struck through."""
        return [look for of_sheet, look in self._known.values() if of_sheet == sheet]

    def follow(self, row: journal.Row) -> None:
        """Take in the next row."""
        body = parse_body(row.entry.type, row.entry.body)
        if isinstance(body, CheckEntry):
            look = Look(row.entry.subject, body.day, row.seq, row.judgement)
            self._known[row.entry.id] = (body.sheet, look)
        elif isinstance(body, Strike):
            self._known.pop(body.entry, None)


class _Libraries:
    """Libraries by their shelf; the one at hand saves building it when nothing changed since."""

    def __init__(self, conn: sqlite3.Connection, library: Library | None) -> None:
        self._conn = conn
        self._built = {"\n".join(library.sources): library} if library else {}

    def at(self, seq: int) -> Library:
        """The library the house had at entry `seq`. Raises KeyError, DataFileError."""
        shelf = sources.shelf_at(self._conn, seq)
        if shelf not in self._built:
            self._built[shelf] = sources.library_of(self._conn, shelf)
        return self._built[shelf]


def _why_not_reproduced(
    row: journal.Row,
    house: House,
    library_at: Callable[[int], Library],
    layers_of: LayersOf,
    looks_of: LooksOf,
) -> str:
    check = parse_body("check/1", row.entry.body)
    assert isinstance(check, CheckEntry)
    try:
        judged = encode_judgement(
            judge_check(library_at(row.seq), house, check, layers_of, looks_of)
        )
    except KeyError as err:
        return f"the source {err.args[0]} it was judged by is not kept."
    except (DataFileError, UnknownSource) as err:
        return f"it cannot be judged again: {err}"
    except ReadingsRefused as err:
        return f"its readings are not accepted any more: {err}"
    return "" if judged == row.judgement else "judged again it gives another judgement."
