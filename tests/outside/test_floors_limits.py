"""Floor limits against published values: DIN 18202 by distance, BS 8204, tile, resilient.

Sources: `tests/vectors/din-18202.json` names its own; the rest beside each row. Values are
written from what was published, not from our files.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

from fieldlog.calc.floors_limits import LimitTable, limits_of, load_limit_table
from fieldlog.store.files import load_library

ROOT = Path(__file__).parent.parent.parent
DIN = json.loads((ROOT / "tests" / "vectors" / "din-18202.json").read_text())
MM, M, IN, FT = 1_000_000, 1_000_000_000, 25_400_000, 304_800_000


@pytest.fixture(scope="module")
def table() -> LimitTable:
    path = ROOT / "fieldlog" / "limits" / "din-18202.toml"
    return load_limit_table(path.read_text(), path.name)


def meters(text: str) -> int:
    return int(Fraction(text) * M)


def cells(rows: str, at: str) -> list[tuple[str, str, int]]:
    return [
        (row, distance, mm)
        for row, published in DIN[rows].items()
        for distance, mm in zip(DIN[at], published, strict=True)
        if mm is not None
    ]


def test_the_vector_file_counts_itself() -> None:
    assert len(cells("given", "distances_m")) == DIN["count"]["given"]
    assert len(cells("between", "between_m")) == DIN["count"]["between"]
    assert len(DIN["exceptions"]) == DIN["count"]["exceptions"]


@pytest.mark.parametrize(("row", "at", "mm"), cells("given", "distances_m"))
def test_each_given_limit(table: LimitTable, row: str, at: str, mm: int) -> None:
    assert table.limit_at(row, meters(at)) == mm * MM


@pytest.mark.parametrize(("row", "at", "mm"), cells("between", "between_m"))
def test_each_published_limit_in_between(table: LimitTable, row: str, at: str, mm: int) -> None:
    assert table.limit_at(row, meters(at)) == mm * MM


@pytest.mark.parametrize("case", DIN["exceptions"], ids=lambda case: case["id"])
def test_what_the_line_gives_where_the_published_table_differs(
    table: LimitTable, case: dict[str, object]
) -> None:
    assert table.limit_at(str(case["row"]), meters(str(case["at_m"]))) == case["line"] * MM  # type: ignore[operator]


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(c, id=c["id"], marks=pytest.mark.xfail(reason=c["reason"], strict=True))
        for c in DIN["exceptions"]
    ],
)
def test_the_published_exceptions(table: LimitTable, case: dict[str, object]) -> None:
    assert table.limit_at(str(case["row"]), meters(str(case["at_m"]))) == case["published"] * MM  # type: ignore[operator]


# book, edge, limit, source
PUBLISHED = [
    ("din-18202-row-1", 4 * M, 20 * MM, "Table 3 row 1, two public copies"),
    ("din-18202-row-2", 10 * M, 15 * MM, "Table 3 row 2, two public copies"),
    ("din-18202", 1 * M, 4 * MM, "Table 3 row 3, two public copies"),
    ("din-18202", 6 * M, 11 * MM, "row 3 at 6 m, German trade handbook"),
    ("din-18202", 2 * M, 6 * MM, "row 3 at 2 m, German trade handbook"),
    ("din-18202", 4 * M, 10 * MM, "Table 3 row 3, two public copies"),
    ("din-18202-row-4", 1 * M, 3 * MM, "Table 3 row 4, two public copies"),
    ("din-18202-row-4", 2 * M, 5 * MM, "row 4 at 2 m, German trade handbook"),
    ("din-18202-row-4", 4 * M, 9 * MM, "Table 3 row 4, two public copies"),
    ("bs-8204", 2 * M, 3 * MM, "BS 8204 SR1, concrete trade body's notes"),
    ("bs-8204-sr2", 2 * M, 5 * MM, "BS 8204 SR2, the same"),
    ("bs-8204-sr3", 2 * M, 10 * MM, "BS 8204 SR3, the same"),
    ("tile-flatness", 10 * FT, IN // 8, "ANSI A108.02, two public pages"),
    ("tile-flatness", 2 * FT, IN // 16, "ANSI A108.02, two public pages"),
    ("tile-flatness-small", 10 * FT, IN // 4, "ANSI A108.01 and A108.02, public page"),
    ("tile-flatness-small", 1 * FT, IN // 16, "ANSI A108.01 and A108.02, public page"),
    ("resilient-floor", 10 * FT, 3 * IN // 16, "quoted as the standard, public page"),
    ("resilient-floor", 1 * FT, IN // 32, "plank installation guide, public page"),
    ("plank-floor", 10 * FT, 3 * IN // 16, "wood-floor association guide ch.4 III"),
    ("plank-floor", 6 * FT, IN // 8, "wood-floor association guide ch.4 III"),
]


@pytest.mark.parametrize(("book", "edge", "limit", "source"), PUBLISHED)
def test_each_books_limit_for_hollows_and_for_humps(
    book: str, edge: int, limit: int, source: str
) -> None:
    found = limits_of(load_library(None).bound[book])
    kinds = {one.kind for one in found if (one.edge, one.limit) == (edge, limit)}
    assert kinds == {"hollow", "hump"}, source
    edges = {row[1] for row in PUBLISHED if row[0] == book}
    by_distance = book.startswith("din-18202")  # one for each edge of the table
    assert len({one.edge for one in found}) == (10 if by_distance else len(edges))


@pytest.mark.parametrize("row", ["1", "2", "3", "4"])
def test_a_book_by_distance_has_the_tables_limit_at_each_of_its_edges(
    table: LimitTable, row: str
) -> None:
    book = "din-18202" if row == "3" else f"din-18202-row-{row}"
    found = limits_of(load_library(None).bound[book])
    assert [one.limit for one in found] == [table.limit_at(row, one.edge) for one in found]
    assert {one.edge for one in found} == set(table.edges_judged)


def test_edges_for_every_distance_that_stations_can_see(table: LimitTable) -> None:
    edges = table.edges("3", 500 * MM, 2 * M)
    assert [(e.edge // MM, e.limit // MM, e.kind) for e in edges] == [
        (1000, 4, "hollow"), (1000, 4, "hump"), (1500, 5, "hollow"), (1500, 5, "hump"),
        (2000, 6, "hollow"), (2000, 6, "hump"),
    ]  # fmt: skip


def test_below_the_first_distance_there_is_no_limit_and_beyond_the_last_its_own(
    table: LimitTable,
) -> None:
    assert table.limit_at("3", 99 * MM) is None
    assert table.limit_at("3", 40 * M) == 15 * MM
