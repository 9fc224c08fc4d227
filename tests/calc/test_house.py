"""A house's description: strict, and every refusal says where."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from keeping import HOUSE

from fieldlog.calc.house import (
    HouseNotUnderstood,
    PlannedCheck,
    house_body,
    house_from_body,
    parse_house,
    slug,
)
from fieldlog.calc.room_size import size_fault

GOOD = """
name = "Mill Lane"
zone = "America/Chicago"
superintendent = "Pat Doe"
books = ["irc-2021"]
instruments = ["tape"]
stories = [{ id = "low", name = "Basement" }, { id = "main", name = "1st floor" }]
trades = [{ id = "stairs", name = "Stair crew" }]
[[rooms]]
id = "hall"
name = "Hall"
story = "main"
checks = [{ sheet = "stair" }, { sheet = "visual", place = "Front door", books = ["our-standard"] }]
"""


def test_a_house_is_read_from_toml() -> None:
    house = parse_house(GOOD)
    hall = house.room("hall")
    assert hall is not None
    assert [c.key for c in hall.checks] == ["stair", "visual/front-door"]
    assert house.rooms_of("main") == (hall,)
    assert (house.room("x"), house.trade("x"), house.story("x")) == (None, None, None)


def test_a_house_is_the_same_in_its_entry() -> None:
    assert house_from_body(house_body(HOUSE)) == HOUSE


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('zone = "America/Chicago"', 'zone = "America/Chigaco"', 'no time zone "America/Chigaco"'),
        ('zone = "America/Chicago"', 'zone = "America"', "no time zone"),
        ('zone = "America/Chicago"', 'zone = "../../etc/passwd"', "no time zone"),
        ('zone = "America/Chicago"', 'zone = ""', "no time zone"),
        ('name = "Mill Lane"', 'name = " "', "name is empty"),
        ('name = "Mill Lane"', 'name = "Mill\\u0000"', "control character"),
        ('name = "Mill Lane"', "name = 3", "name"),
        ('superintendent = "Pat Doe"', 'superintendent = ""', "superintendent is empty"),
        ('name = "Basement"', 'name = ""', 'story "low" has no name'),
        ('story = "main"', 'story = "attic"', 'room "hall" is on no story "attic"'),
        ('id = "low"', 'id = "main"', 'story id "main" is there twice'),
        ('id = "hall"', 'id = "The hall"', "use a-z, 0-9 and hyphens"),
        ('sheet = "stair"', 'sheet = "../stair"', 'sheet "../stair"'),
        ('place = "Front door"', 'plaice = "Front door"', "plaice"),
        ('sheet = "visual", place = "Front door"', 'sheet = "stair"', "is there twice"),
        ('books = ["irc-2021"]', 'books = ["irc-2021"]\nsystem = "imperial"', 'not "imperial"'),
        ('books = ["irc-2021"]', 'books = "irc-2021"', "books"),
        ('name = "Mill Lane"', "name = ", "house.toml"),
    ],
)
def test_a_wrong_house_is_refused_naming_the_place(old: str, new: str, says: str) -> None:
    with pytest.raises(HouseNotUnderstood) as caught:
        parse_house(GOOD.replace(old, new, 1))
    assert says in str(caught.value)
    assert str(caught.value).startswith("house.toml")


def test_a_house_nested_without_end_is_refused() -> None:
    with pytest.raises(HouseNotUnderstood):
        parse_house("name = " + "[" * 50_000)
    with pytest.raises(HouseNotUnderstood):
        house_from_body('{"name":' + "[" * 50_000)


def test_a_house_has_a_bounded_number_of_rooms() -> None:
    rooms = "".join(f'[[rooms]]\nid="r{n}"\nname="R"\nstory="low"\n' for n in range(301))
    with pytest.raises(HouseNotUnderstood, match="302 rooms; 300 is the most"):
        parse_house(GOOD + rooms)


@given(st.text())
def test_random_text_is_refused_and_nothing_else(text: str) -> None:
    for read in (parse_house, house_from_body):
        with suppress(HouseNotUnderstood):
            read(text)


@given(st.text())
def test_a_slug_is_plain(text: str) -> None:
    assert slug(slug(text)) == slug(text)
    assert all(c.isascii() and (c.isalnum() or c == "-") for c in slug(text))


def test_a_planned_check_is_named_by_sheet_and_place() -> None:
    assert PlannedCheck("visual", "Tile, wet wall").key == "visual/tile-wet-wall"


@pytest.mark.parametrize(
    "size", ["abc x -3", "12 x 14", "0 x 3 ft", "12 ft", "wide", "1 x 2 x 3 x 4 ft"]
)
def test_a_room_size_that_is_none_is_refused_with_what_to_type(size: str) -> None:
    with pytest.raises(HouseNotUnderstood, match="such as 12 x 14 ft"):
        parse_house(f'{GOOD}\nsize = "{size}"\n')


@pytest.mark.parametrize(
    "size", ["", "12 x 14 ft", "3.6 × 4.2 m", "12' by 14'", "3 ft 2 in wide", "12 ft 6 in x 14 ft"]
)
def test_a_room_size_as_people_write_it(size: str) -> None:
    assert size_fault(size) == ""
