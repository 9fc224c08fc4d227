"""A sheet and a book put into the house's folder: form, verdict, item, report, and no code."""

from __future__ import annotations

import msgspec
import pytest
from web_cast import Page, Person, SmallHouse

from fieldlog.calc.bodies import Strike
from fieldlog.store import journal, reading

FORM = "/rooms/closet/checks/hearth"

SHEET = """
id = "hearth"
title = "Hearth"
trade = "trim"
source = "our own list"
caution = "The local code decides. This page measures; it does not say that it is safe."

[[field]]
name = "height"
label = "Hearth height"
kind = "length"
many = true
slots = 2
how = "From the finished floor to the top of the hearth, at both ends."
low = "0 in"
high = "24 in"
tools = ["tape", "steel-rule"]

[[field]]
name = "wall_temperature"
label = "Wall temperature"
kind = "temperature"
how = "On the wall above, an hour after the fire is lit."
low = "-20 F"
high = "200 F"
required = false

[[earlier]]
name = "height_then"
label = "Heights of the earlier looks"
of = "height"

[[derived]]
name = "height_spread"
label = "Hearth height difference"
formula = "spread(height)"

[[derived]]
name = "moved"
label = "Moved since the earlier looks"
formula = "spread(joined(height, height_then))"
"""

BOOK = """
id = "hearth-book"
title = "Hearths"
document = "Our hearth list"
edition = ""
dated = "2026"
source = "our own list"

[[rule]]
id = "hearth.level"
sheet = "hearth"
quantity = "height_spread"
label = "Hearth level"
compare = "<="
limit = "1/8 in"
kind = "contract"
clause = "hearths 1"
verified = "common practice"
seen = "common practice"

[[rule]]
id = "hearth.wall"
sheet = "hearth"
quantity = "wall_temperature"
label = "Wall above the hearth"
compare = "<="
limit = "117 F"
kind = "ours"
clause = "hearths 2"
verified = "common practice"
seen = "common practice"
when = "known(wall_temperature)"
"""


@pytest.fixture
def with_hearth(small_house: SmallHouse) -> SmallHouse:
    """The small house, its folder with a sheet and a book of its own, opened again."""
    (small_house.folder / "sheets" / "hearth.toml").write_text(SHEET)
    (small_house.folder / "books" / "hearth.toml").write_text(BOOK)
    small_house.restarted()
    books = (*small_house.house.books, "hearth-book")
    small_house.enters("house/1", msgspec.structs.replace(small_house.house, books=books))
    return small_house


@pytest.fixture
def ines(with_hearth: SmallHouse) -> Person:
    return Person(with_hearth.app.test_client())


def measures(person: Person, **values: str) -> Page:
    """The hearth's form, filled in and sent; the page that comes of it."""
    fields = person.opens(FORM).fields
    for name, value in values.items():
        fields.setlist(name.replace("__", "-"), [value])
    return person.sends(FORM, fields)


def test_the_form_asks_what_the_sheet_says(ines: Person) -> None:
    assert "Hearth" in ines.opens("/rooms/closet").text
    page = ines.opens(FORM)
    assert page.status == 200
    assert "Hearth height 1" in page.text
    assert "On the wall above, an hour after the fire is lit." in page.text
    assert "it does not say that it is safe" in page.text


def test_the_verdict_its_source_the_item_and_the_report(
    with_hearth: SmallHouse, ines: Person
) -> None:
    page = measures(ines, q__height__1="8", q__height__2="8 1/2", q__wall_temperature="120 F")
    assert "Hearth height difference is 1/2 in. Needs 1/8 in or less." in page.text
    assert "Wall temperature is 120 F. Needs 117 F or less." in page.text
    assert "Our hearth list" in page.text
    with with_hearth.conn() as c:
        (check,) = reading.checks_of_subject(c, "check:closet/hearth")
    given = {k: page.fields[k] for k in ("csrf_token", "entry_id")} | {"seen": "", "trade": "trim"}
    assert "P-1 is on the Trim crew’s list" in ines.sends(f"/checks/{check.id}/give", given).text
    with with_hearth.conn() as c:
        (item,) = reading.items(c)
        assert journal.verify_deep(c) == []
    assert set(item.rules) == {"hearth.level", "hearth.wall"}
    report = ines.opens(f"/reports/daily/{check.day}?text=1").html
    assert "Hearth" in report
    assert "1/2 in" in report


def test_what_is_no_reading_comes_back_to_its_field(ines: Person) -> None:
    page = measures(ines, q__height__1="8", q__height__2="8", q__wall_temperature="120")
    assert page.status == 422
    assert "has no unit" in page.text
    assert "120 F" in page.text
    assert "120 C" in page.text


def test_the_next_look_reads_the_one_before(with_hearth: SmallHouse, ines: Person) -> None:
    measures(ines, q__height__1="8", q__height__2="8")
    with_hearth.clock.passes(hours=1)
    measures(ines, q__height__1="8 1/4", q__height__2="8 1/4")
    with with_hearth.conn() as c:
        first, second = reading.checks_of_subject(c, "check:closet/hearth")
        assert journal.verify_deep(c) == []
    moved = [look.judgement["quantities"]["moved"]["values"][0]["text"] for look in (first, second)]
    assert moved == ["0 in", "1/4 in"]


def test_a_look_struck_through_is_read_no_more(with_hearth: SmallHouse, ines: Person) -> None:
    measures(ines, q__height__1="12", q__height__2="12")
    with with_hearth.conn() as c:
        (wrong,) = reading.checks_of_subject(c, "check:closet/hearth")
    with_hearth.enters("strike/1", Strike(wrong.id, "Wrong hearth"), subject=wrong.subject)
    measures(ines, q__height__1="8", q__height__2="8")
    with with_hearth.conn() as c:
        last = reading.checks_of_subject(c, "check:closet/hearth")[-1]
        assert journal.verify_deep(c) == []
    assert last.judgement["quantities"]["height_then"]["values"] == []
