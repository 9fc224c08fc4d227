"""The laser is moved in the middle of a floor: set-ups joined on the page, spread when accepted."""

from __future__ import annotations

from typing import Any

from web_cast import Page, Person, SmallHouse, as_json
from werkzeug.datastructures import MultiDict

from fieldlog.store.deep import rejudge
from fieldlog.store.files import load_library

SURVEY = "/rooms/boat-room/floor/survey"


def half(who: Person) -> Any:
    """The upper half of a flat floor, read at 48 in; the laser is moved before row 6."""
    walls = {"width": "14 ft", "depth": "18 ft", "spacing": "3 ft"}
    fields = who.fills("/rooms/boat-room/outline", **walls).fields
    fields.setlist("reads", ["rod in"])
    for r in range(1, 4):
        for c in range(1, 6):
            fields.setlist(f"q-levels-{r}-{c}", ["48"])
    return fields


def pressing(fields: Any, button: str) -> MultiDict[str, str]:
    return MultiDict([*fields.items(multi=True), ("do", button)])


def moved(who: Person) -> Page:
    return who.sends(SURVEY, pressing(half(who), "moved"))


def rest(page: Page, again: str = "52", other: str = "52") -> Any:
    fields = page.fields
    for r in range(4, 7):
        for c in range(1, 6):
            if f"q-levels-{r}-{c}" in fields:
                fields.setlist(f"q-levels-{r}-{c}", ["52"])
    fields.setlist("set-2-reads-1", [again])
    fields.setlist("set-2-reads-2", [other])
    return fields


def test_new_set_up_begins_at_the_next_station_and_proposes_what_to_read_again(
    superintendent: Person, small_house: SmallHouse
) -> None:
    before = small_house.entries()
    page = moved(superintendent)
    assert page.status == 200
    assert page.fields["set-2-from"] == "4,5"  # back along row 4
    assert [page.fields[f"set-2-at-{k}"] for k in (1, 2, 3)] == ["3,5", "1,1", ""]
    assert page.fields["q-levels-3-5"] == "48"
    assert small_house.entries() == before + 1  # the walls
    assert not page.inline


def test_two_set_ups_that_agree_are_one_survey_and_deep_reproduces_it(
    superintendent: Person, small_house: SmallHouse
) -> None:
    page = superintendent.sends(SURVEY, rest(moved(superintendent)))
    check = small_house.check(page.response.request.path.rpartition("/")[2])
    grid = check.judgement["grids"]["levels"]
    assert {cell for row in grid["rows"] for cell in row if cell} == {"0"}
    assert grid["set_ups"]["count"] == 2
    joined = "joined by row 1, column 1 and row 3, column 5. They agree to the last digit."
    assert joined in page.text
    with small_house.conn() as conn:
        assert rejudge(conn, load_library()) == []


def test_what_they_disagree_by_is_shown_and_spread_when_it_is_accepted(
    superintendent: Person, small_house: SmallHouse
) -> None:
    fields = rest(moved(superintendent), other="52 1/16")
    before = small_house.entries()
    told = as_json(superintendent.sends(f"{SURVEY}/preview", fields))
    assert "disagree by 1/16 in at row 3, 5" in told["closing"][0]
    assert told["tones"] or told["verdict"]
    page = superintendent.sends(SURVEY, fields)
    assert page.status == 422
    assert "Set-ups of the laser : The set-ups do not quite agree" in page.text
    assert page.fields["set-2-reads-2"] == "52 1/16"
    assert small_house.entries() == before
    closed = superintendent.sends(SURVEY, pressing(page.fields, "close"))
    assert "disagree by 1/16 in at row 3, column 5, of about 15/64 in allowed" in closed.text
    fields = closed.fields
    fields.setlist("spread", ["1"])
    saved = superintendent.sends(SURVEY, fields)
    check = small_house.check(saved.response.request.path.rpartition("/")[2])
    assert check.readings["levels"]["set_ups"]["accepted"]
    with small_house.conn() as conn:
        assert rejudge(conn, load_library()) == []


def test_more_than_is_allowed_is_not_spread_and_set_ups_apart_are_asked_to_share(
    superintendent: Person, small_house: SmallHouse
) -> None:
    page = moved(superintendent)
    before = small_house.entries()
    fields = rest(page, other="53")
    fields.setlist("spread", ["1"])
    assert "miss each other by more than is allowed" in superintendent.sends(SURVEY, fields).text
    apart = superintendent.sends(SURVEY, rest(page, "", ""))
    assert "Set-up 2 shares no point with the first" in apart.text
    early = rest(page)
    early.setlist("set-2-from", ["1,1"])
    assert "Nothing was read from set-up 1" in superintendent.sends(SURVEY, early).text
    bad = rest(page, again="1/7")
    assert "1/7" in superintendent.sends(SURVEY, bad).text
    assert small_house.entries() == before
    told = as_json(superintendent.sends(f"{SURVEY}/preview", rest(page, "", "")))
    assert "shares no point" in told["closing"][0]  # and what the first set-up read still counts
    gone = superintendent.sends(SURVEY, pressing(fields, "not-moved"))
    assert "set-2-from" not in gone.fields


def test_a_benchmark_read_before_and_after_joins_as_well(
    superintendent: Person, small_house: SmallHouse
) -> None:
    fields = rest(moved(superintendent), "", "")
    fields.setlist("set-1-mark-A", ["60"])
    fields.setlist("set-2-mark-A", ["64"])
    page = superintendent.sends(SURVEY, fields)
    check = small_house.check(page.response.request.path.rpartition("/")[2])
    assert check.verdict == "pass"
    assert "joined by mark A. Nothing shows whether that was misread" in page.text
