"""A room's walls and its survey: stations laid and walked, files read, nothing typed lost."""

from __future__ import annotations

import io
import math
from random import Random
from typing import Any

import pytest
from web_cast import Page, Person, SmallHouse, as_json

from fieldlog.store import reading_floors

SURVEY = "/rooms/boat-room/floor/survey"
WALLS = "/rooms/boat-room/outline"


def bump(row: int, column: int) -> str:
    """A mound in the upper left, sixteenths."""
    return f"{round(9 * math.exp(-((row - 2) ** 2 + (column - 2) ** 2) / 3)):+d}"


def stations(rows: int = 9, columns: int = 7, text: Any = bump) -> dict[str, str]:
    return {f"q__levels__{r + 1}__{c + 1}": text(r, c) for r in range(rows) for c in range(columns)}


def outlined(who: Person, **more: str) -> Page:
    return who.fills(WALLS, **{"width": "14 ft", "depth": "18 ft", **more})


def test_a_room_without_walls_is_asked_for_them_first(superintendent: Person) -> None:
    page = superintendent.opens(SURVEY)
    assert "The room's walls" in page.text
    assert page.fields["width"] == "14 ft"  # the house's own words: 14 x 18 ft
    assert "63 stations" in page.text
    assert not page.inline


def test_stations_are_laid_and_walked_back_and_forth(superintendent: Person) -> None:
    page = outlined(superintendent)
    assert page.response.request.path == SURVEY
    assert page.fields["columns-levels"] == "7"
    assert 'id="q-levels-2-7" name="q-levels-2-7" value="" aria-label="Row 2, 7"' in page.html
    first_of_row_2 = page.html.index('id="q-levels-2-7"')
    assert 'data-walk="8"' in page.html[first_of_row_2 : first_of_row_2 + 200]
    assert not page.inline


def test_an_l_shape_and_a_column_leave_places_without_a_station(superintendent: Person) -> None:
    corners = "0, 0\n7 ft, 0\n7 ft, 9 ft\n14 ft, 9 ft\n14 ft, 18 ft\n0, 18 ft"
    page = outlined(superintendent, shape="corners", corners=corners, cut_outs="2, 12, 2, 2")
    assert 'name="q-levels-1-7"' not in page.html
    assert 'name="q-levels-9-7"' in page.html
    again = superintendent.opens(WALLS)
    assert again.fields["corners"].splitlines()[1] == "7 ft, 0"
    assert again.fields["cut_outs"] == "2 ft, 12 ft, 2 ft, 2 ft"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"width": "wide"}, "wide"),
        ({"width": ""}, "width-error"),
        ({"shape": "corners", "corners": "0,0\n14,18\n14,0\n0,18"}, "crosses itself"),
        ({"shape": "corners", "corners": "0,0\n14,0"}, "three corners"),
        ({"shape": "corners", "corners": "0 0\n14 0\n3 3"}, "Line 1: a corner is across"),
        ({"cut_outs": "99, 99, 1, 1"}, "outside the room"),
        ({"spacing": "40 ft"}, "1 of them fit"),
        ({"spacing": "1 mm"}, "wider"),
    ],
)
def test_walls_that_can_not_be_are_said_and_nothing_is_stored(
    superintendent: Person, small_house: SmallHouse, more: dict[str, str], says: str
) -> None:
    before = small_house.entries()
    page = outlined(superintendent, **more)
    assert page.status == 422
    assert says in page.html
    for name, value in more.items():
        assert page.fields[name].splitlines() == value.splitlines()
    assert small_house.entries() == before


def test_the_plan_is_drawn_while_it_is_typed(superintendent: Person) -> None:
    fields = superintendent.opens(WALLS).fields
    fields.setlist("width", ["10 ft"])
    page = superintendent.sends(f"{WALLS}/look", fields)
    assert "45 stations" in page.text
    assert "<svg" in page.html


def test_a_survey_is_judged_with_its_walls_and_its_place(
    superintendent: Person, small_house: SmallHouse
) -> None:
    outlined(superintendent)
    page = superintendent.fills(SURVEY, **stations())
    assert page.status == 200
    assert "Hump under a 10 ft edge" in page.text
    assert "row 3" in page.text.lower() or "column 3" in page.text.lower()
    check = small_house.check(page.response.request.path.rpartition("/")[2])
    assert check.verdict == "fail"
    assert len(check.judgement["grids"]["levels"]["rings"][0]) == 4
    assert "<svg" in page.html


def test_a_rod_reads_down_and_what_is_blocked_is_skipped(
    superintendent: Person, small_house: SmallHouse
) -> None:
    outlined(superintendent)

    def rod(r: int, c: int) -> str:
        return "x" if (r, c) == (8, 6) else "47 1/4" if (r, c) == (4, 3) else "48"

    page = superintendent.fills(SURVEY, reads="rod in", **stations(text=rod))
    check = small_house.check(page.response.request.path.rpartition("/")[2])
    levels = check.judgement["grids"]["levels"]
    assert levels["rows"][4][3] == str(3 * 25_400_000 // 4)
    assert levels["blocked"][8][6]
    assert check.verdict == "fail"
    again = superintendent.opens(SURVEY)
    assert again.fields["reads"] == "rod in"


def test_an_error_stands_at_its_station_and_nothing_typed_is_lost(
    superintendent: Person, small_house: SmallHouse
) -> None:
    outlined(superintendent)
    before = small_house.entries()
    typed = stations() | {"q__levels__4__5": "1/7", "note": "by the door"}
    page = superintendent.fills(SURVEY, **typed)
    assert page.status == 422
    assert "Row 4, 5" in page.text
    for name, value in typed.items():
        assert page.fields[name.replace("__", "-")] == value
    assert small_house.entries() == before


def test_the_preview_says_the_worst_so_far_and_where(superintendent: Person) -> None:
    fields = outlined(superintendent).fields
    for name, value in stations().items():
        fields.setlist(name.replace("__", "-"), [value])
    fields.setlist("q-levels-9-7", ["200"])
    told = as_json(superintendent.sends(f"{SURVEY}/preview", fields))
    assert told["summary"][0]["mark"] == "fail"
    assert "under 10 ft" in told["summary"][0]["text"]
    assert told["slots"]["q-levels-9-7"]["short"].startswith("Check this one")
    assert "hump" in told["bars"].values()
    assert told["tones"]["q-levels-3-3"] > 0


def test_a_saved_form_sent_twice_makes_one_check(
    superintendent: Person, small_house: SmallHouse
) -> None:
    fields = outlined(superintendent).fields
    for name, value in stations().items():
        fields.setlist(name.replace("__", "-"), [value])
    superintendent.sends(SURVEY, fields)
    before = small_house.entries()
    superintendent.sends(SURVEY, fields)
    assert small_house.entries() == before


def sent_file(who: Person, text: str | bytes, name: str = "floor.csv", **more: str) -> Page:
    outlined(who)
    fields: dict[str, Any] = who.opens(SURVEY).fields.to_dict()
    data = text.encode() if isinstance(text, str) else text
    fields |= {"do": "file", "points": (io.BytesIO(data), name), "file_unit": "", **more}
    return who.sends(SURVEY, fields, content_type="multipart/form-data")


def csv(rows: int = 5, columns: int = 6) -> str:
    lines = [f"{24 * c},{24 * r},{0.5 if (r, c) == (2, 3) else 0}"
             for r in range(rows) for c in range(columns)]  # fmt: skip
    return "x,y,z\n" + "\n".join(lines)


def test_a_file_fills_the_map_to_be_looked_over_and_then_saved(
    superintendent: Person, small_house: SmallHouse
) -> None:
    before = small_house.entries()
    page = sent_file(superintendent, csv())
    assert "30 points in in, 30 stations every 2 ft" in page.text
    assert page.fields["q-levels-3-4"] == "12.7"
    assert small_house.entries() == before + 1  # the walls alone
    saved = superintendent.sends(SURVEY, page.fields)
    check = small_house.check(saved.response.request.path.rpartition("/")[2])
    assert check.verdict == "fail"
    assert check.judgement["grids"]["levels"]["rows"][2][3] == "12700000"


@pytest.mark.parametrize(
    ("text", "name", "more", "says"),
    [
        (csv() + "\nhere,1,2", "floor.csv", {}, "nothing was taken"),
        (csv() + "\nhere,1,2", "floor.csv", {}, "32"),
        ("0,0,0\n1,1,1", "floor.csv", {}, "three readings"),
        ("0,0,0\n24,0,0\n48,0,0", "floor.csv", {}, "line"),
        (b"PK\x03\x04rest", "floor.ply", {}, "zip"),
        ("", "floor.csv", {}, "floor.csv"),
    ],
)
def test_a_bad_file_is_said_in_a_sentence_and_what_was_typed_stays(
    superintendent: Person, text: str | bytes, name: str, more: dict[str, str], says: str
) -> None:
    page = sent_file(superintendent, text, name, **{"q-levels-1-1": "+3", **more})
    assert page.status == 422
    assert says in page.text
    assert page.fields["q-levels-1-1"] == "+3"


def test_bad_rows_are_skipped_only_by_choice_and_counted(superintendent: Person) -> None:
    page = sent_file(superintendent, csv() + "\nhere,1,2", skip="1")
    assert "1 bad row skipped" in page.text
    assert page.status == 200


def test_no_file_is_asked_for(superintendent: Person) -> None:
    outlined(superintendent)
    page = superintendent.fills(SURVEY, do="file")
    assert "Choose a file of points first." in page.text


def test_a_scan_is_gridded_and_its_medians_count_as_many_readings(
    superintendent: Person, small_house: SmallHouse
) -> None:
    dice = Random(7)
    points = "\n".join(
        f"{dice.randrange(4000)},{dice.randrange(5000)},{dice.randrange(3)}" for _ in range(40_000)
    )
    page = sent_file(superintendent, points, "scan.xyz", file_unit="mm")
    assert page.status == 200
    assert int(page.fields["scan"]) > 2
    superintendent.sends(SURVEY, page.fields)
    with small_house.conn() as conn:
        assert reading_floors.outline_of(conn, "boat-room")[0] is not None
