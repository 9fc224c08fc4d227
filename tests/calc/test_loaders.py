"""Strict loaders: a data file with a fault refuses to load and names file and line."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from fieldlog.calc.books import load_book, load_overrides
from fieldlog.calc.instruments import load_instrument
from fieldlog.calc.judging import judge
from fieldlog.calc.library import SourceText, UnknownSource, build_library
from fieldlog.calc.sheets import load_sheet
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.files import PACKAGE, load_library

SHEET = """id = "shelf"
title = "Shelf"
trade = "trim"
caution = "It measures."
source = "common practice"

[[field]]
name = "depth"
label = "Depth"
kind = "length"
how = "Front to back."

[[derived]]
name = "twice"
label = "Twice"
formula = "depth * 2"
"""

BOOK = """id = "shelves"
title = "Shelves"
document = "Shelf book"
edition = "1"
dated = "2026"
source = "common practice"

[[rule]]
id = "shelf.depth"
sheet = "shelf"
quantity = "depth"
label = "Depth"
compare = "<="
limit = "12 in"
kind = "ours"
clause = "1"
verified = "common practice"
seen = "common practice"
"""

INSTRUMENT = """id = "stick"
name = "Stick"
says = "good to 1/8 in"
kind = "length"
effort = 1
source = "common practice"

[[error]]
name = "reading"
half_width = "1/8 in"
distribution = "rectangular"
scope = "each"
source = "common practice"
"""


def line(text: str, start: str, nth: int = 1) -> int:
    """Number of the nth line that starts so."""
    hits = [n for n, t in enumerate(text.splitlines(), 1) if t.startswith(start)]
    return hits[nth - 1]


@pytest.mark.parametrize(
    ("old", "new", "at", "says"),
    [
        ('how = "Front', 'hwo = "Front', "[[field]]", '"how" is missing|unknown key "hwo"'),
        ('title = "Shelf"\n', 'title = "Shelf"\ncolor = "red"\n', "color", 'unknown key "color"'),
        ('source = "common practice"\n', "", "", '"source" is missing'),
        ('source = "common practice"', 'source = ""', "source", "source is empty"),
        ('caution = "It measures."', 'caution = " "', "caution", "caution is empty"),
        ('name = "twice"', 'name = "depth"', 'name = "depth"', "there twice"),
        ('kind = "length"', 'kind = "color"', "kind", "kind is one of"),
        ('kind = "length"', 'kind = "choice"', "name", "without choices"),
        ('formula = "depth * 2"', 'formula = "depth * 2.5"', "formula", "whole numbers"),
        ('formula = "depth * 2"', 'formula = "height * 2"', "formula", 'no quantity "height"'),
        ('how = "Front', 'slots = 2.5\nhow = "Front', "slots", "2.5 is a float"),
        ('how = "Front', 'low = "1"\nhow = "Front', "low", "has no unit"),
        ('how = "Front', 'follows = "width"\nhow = "Front', "follows", "no list here"),
        ('id = "shelf"', 'id = "The Shelf"', "id", "a-z, 0-9"),
        ('name = "depth"', 'name = "Depth"', "name", "a-z, 0-9"),
    ],
)
def test_a_faulty_sheet(old: str, new: str, at: str, says: str) -> None:
    text = SHEET.replace(old, new, 1)
    nth = 2 if at == 'name = "depth"' else 1
    with pytest.raises(DataFileError, match=says) as caught:
        load_sheet(text, "shelf.toml")
    assert caught.value.file == "shelf.toml"
    if at and at != "[[field]]":
        assert caught.value.line == line(text, at, nth)


@pytest.mark.parametrize(
    ("old", "new", "at", "says"),
    [
        ('clause = "1"\n', "", "", '"clause" is missing'),
        ('seen = "common practice"', 'seen = ""', "seen", "seen is empty"),
        ('limit = "12 in"', "limit = 12.5", "limit", "12.5 is a float"),
        ('limit = "12 in"', "limit = 12", "limit", "Expected"),
        ('limit = "12 in"', 'limit = "yes"', "limit", "a limit is"),
        ('compare = "<="', 'compare = "=="', "compare", "compare is one of"),
        ('limit = "12 in"', 'limit = "12 in"\nlimit_of = "shelf.width"', "limit_of", "same number"),
        ('kind = "ours"', 'kind = "theirs"', "kind", "kind is one of"),
        ('verified = "common practice"', 'verified = "sure"', "verified", "verified is one of"),
    ],
)
def test_a_faulty_book(old: str, new: str, at: str, says: str) -> None:
    text = BOOK.replace(old, new, 1)
    with pytest.raises(DataFileError, match=says) as caught:
        load_book(text, "shelves.toml")
    if at:
        assert caught.value.line == line(text, at)


def test_two_rules_of_one_id_refuse_to_load_at_the_second() -> None:
    rule = BOOK[BOOK.index("[[rule]]") :]
    text = BOOK + "\n" + rule
    with pytest.raises(DataFileError, match="there twice") as caught:
        load_book(text, "shelves.toml")
    assert caught.value.line == line(text, 'id = "shelf.depth"', 2)


@pytest.mark.parametrize(
    ("old", "new", "at", "says"),
    [
        ('scope = "each"', 'scope = "some"', "scope", "scope is one of"),
        ('distribution = "rectangular"', 'distribution = "flat"', "distribution", "one of"),
        ('half_width = "1/8 in"', 'half_width = "0 in"', "half_width", "more than zero"),
        ('half_width = "1/8 in"', "half_width = 0.125", "half_width", "float"),
        ('kind = "length"', 'kind = "color"', "kind", "kind is"),
    ],
)
def test_a_faulty_instrument(old: str, new: str, at: str, says: str) -> None:
    text = INSTRUMENT.replace(old, new, 1)
    with pytest.raises(DataFileError, match=says) as caught:
        load_instrument(text, "stick.toml")
    assert caught.value.line == line(text, at)


def sources(**more: str) -> list[SourceText]:
    files = {"sheet": SHEET, "book": BOOK, "instrument": INSTRUMENT} | more
    return [SourceText(kind, f"{kind}.toml", text) for kind, text in files.items()]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('sheet = "shelf"', 'sheet = "shelves"', 'no sheet "shelves"'),
        ('quantity = "depth"', 'quantity = "height"', 'no quantity "height"'),
        ('seen = "', 'when = "depth > 3"\nseen = "', "compares"),
        ('seen = "', 'when = "depth"\nseen = "', "when is a condition"),
        ('seen = "', 'give = { edge = "1 ft" }\nseen = "', "takes nothing"),
    ],
)
def test_a_rule_that_does_not_fit_its_sheet(old: str, new: str, says: str) -> None:
    with pytest.raises(DataFileError, match=says):
        build_library(sources(book=BOOK.replace(old, new, 1)))


@pytest.mark.parametrize(
    ("limit", "says"),
    [
        ("12", 'limit: "12" has no unit: write "12 in"'),
        ("twelve in", "is not a length|has no number"),
        ("42 deg", "is not a length|units"),
        ("12 %", "."),
    ],
)
def test_a_limit_that_is_not_a_length_on_a_length(limit: str, says: str) -> None:
    text = BOOK.replace('limit = "12 in"', f'limit = "{limit}"')
    with pytest.raises(DataFileError, match=says) as caught:
        build_library(sources(book=text))
    assert (caught.value.file, caught.value.line) == ("book.toml", line(text, "limit"))
    own = OVERRIDE.replace('limit = "14 in"', f'limit = "{limit}"')
    with pytest.raises(DataFileError, match=r"shelf\.depth") as caught:
        build_library(sources(overrides=own))
    assert (caught.value.file, caught.value.line) == ("overrides.toml", line(own, "limit"))


def test_two_chosen_books_with_one_rule_are_refused_by_name() -> None:
    second = BOOK.replace('id = "shelves"', 'id = "shelves-2"')
    files = [*sources(), SourceText("book", "second.toml", second)]
    library = build_library(files)
    with pytest.raises(UnknownSource, match='"shelves" and "shelves-2"'):
        library.rules("shelf", ["shelves", "shelves-2"])


OVERRIDE = """[[override]]
rule = "shelf.depth"
limit = "14 in"
reason = "local amendment"
by = "building department"
"""


def test_an_override_takes_the_limits_place_and_says_why() -> None:
    library = build_library(sources(overrides=OVERRIDE))
    (bound,) = library.rules("shelf", ["shelves"])
    assert bound.limit_nm == 14 * 25_400_000
    assert bound.override is not None
    assert bound.override.by == "building department"


def test_an_override_holds_for_the_clauses_other_rules_and_is_named_once() -> None:
    """R311.7.5.1 is one clause: risers at either end, and those of a sunken floor."""
    text = OVERRIDE.replace("shelf.depth", "stair.riser-height").replace("14 in", "8 1/4 in")
    own = SourceText("overrides", "overrides.toml", text)
    library = build_library([*load_library().sources.values(), own])
    bound = {b.rule.id: b for sheet in ("stair", "sunken-floor")
             for b in library.rules(sheet, ["irc-2021"])}  # fmt: skip
    for rule in ("stair.riser-height", "stair.riser-height-other-end", "sunken.riser"):
        assert bound[rule].limit == Fraction(33, 4) * 25_400_000
    assert bound["stair.tread-depth"].override is None
    readings = {"riser": ["8"] * 3, "riser_other_end": ["8"] * 3}
    judged = judge(library, "stair", ["irc-2021"], readings, "tape")
    assert [o["rule"] for o in judged["overrides"]] == ["stair.riser-height"]
    (said,) = (f for f in judged["findings"] if f["rule"] == "stair.riser-height")
    in_place = "(in place of IRC 2021 R311.7.5.1, 7 3/4 in from memory)"
    assert said["source"] == f"building department: local amendment {in_place}"
    assert said["verified"] == ""  # that the book's is from memory is said of the book's


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('reason = "local amendment"\n', "", '"reason" is missing'),
        ('by = "building department"', 'by = ""', "by is empty"),
    ],
)
def test_a_faulty_override(old: str, new: str, says: str) -> None:
    with pytest.raises(DataFileError, match=says):
        load_overrides(OVERRIDE.replace(old, new, 1), "overrides.toml")


def test_an_override_of_no_rule_is_refused() -> None:
    text = OVERRIDE.replace("shelf.depth", "shelf.height")
    with pytest.raises(DataFileError, match=r'no book has a limit "shelf\.height"'):
        build_library(sources(overrides=text))


def test_the_files_that_ship_load_and_name_a_source_for_everything() -> None:
    library = load_library()
    assert {"stair", "guard", "handrail", "trim", "floor", "visual"} <= set(library.sheets)
    assert {"irc-2021", "our-standard", "plank-floor"} <= set(library.books)
    for book in library.books.values():
        for rule in book.rules:
            assert rule.seen.strip(), rule.id
            if "common practice" in rule.seen:
                assert rule.verified in ("common practice", "memory"), rule.id


def test_a_houses_own_sheet_takes_the_place_of_its_namesake(tmp_path: Path) -> None:
    own = (PACKAGE / "sheets" / "visual.toml").read_text(encoding="utf-8")
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "look.toml").write_text(own.replace('title = "Look"', 'title = "See"'))
    assert load_library(tmp_path).sheets["visual"].title == "See"


def test_a_list_may_name_its_places_and_only_a_list_may() -> None:
    named = SHEET.replace('how = "Front', 'places = ["left", "right"]\nhow = "Front')
    many = named.replace('kind = "length"', 'kind = "length"\nmany = true')
    depth = load_sheet(many, "s.toml").fields[0]
    assert [depth.place(n) for n in range(3)] == ["left", "right", ""]
    with pytest.raises(DataFileError, match="places are for a list"):
        load_sheet(named, "s.toml")


def test_what_is_seldom_measured_is_not_required() -> None:
    seldom = SHEET.replace('how = "Front', 'required = false\nseldom = true\nhow = "Front')
    assert load_sheet(seldom, "shelf.toml").fields[0].seldom
    with pytest.raises(DataFileError, match="seldom measured: say required = false as well"):
        load_sheet(seldom.replace("required = false\n", ""), "shelf.toml")
