"""What makes a floor pass: offered plans pass, one is kept, the crew sees where and how much."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from web_cast import Page, Person, SmallHouse

from fieldlog.store import reading_floors

ROOM = {"corners": [["0", "0"], ["14", "0"], ["14", "18"], ["0", "18"]], "first": ["1", "1"]}


def levels(size: int = 9, low: int = 8) -> dict[str, Any]:
    """A mound and a hollow in a 14 x 18 ft room, sixteenths."""

    def height(r: int, c: int) -> str:
        mound = size * math.exp(-((r - 2) ** 2 + (c - 1) ** 2) / 4)
        return f"{round(mound - low * math.exp(-((r - 6) ** 2 + (c - 5) ** 2) / 5)):+d}"

    rows = [[height(r, c) for c in range(7)] for r in range(9)]
    return {"levels": {"spacing": "2 ft", "unit": "16ths", "rows": rows, "outline": ROOM}}


@pytest.fixture
def check(small_house: SmallHouse) -> str:
    """A floor that fails by a hump and a hollow."""
    return small_house.checks(
        "boat-room", "floor", levels(), instrument="laser-rod", books=("plank-floor",)
    )


def kept(small_house: SmallHouse, check: str) -> Any:
    with small_house.conn() as conn:
        return reading_floors.plan_of(conn, "check:boat-room/floor", check)


def takes(who: Person, check: str, kind: str, **more: str) -> Page:
    path = f"/checks/{check}/plans"
    fields = who.opens(path).fields
    for name, value in {"kind": kind, **more}.items():
        fields.setlist(name, [value])
    return who.sends(path, fields)


def test_a_failing_floor_leads_to_its_plans(superintendent: Person, check: str) -> None:
    page = superintendent.opens(f"/checks/{check}")
    assert f"/checks/{check}/plans" in page.html
    plans = superintendent.opens(f"/checks/{check}/plans?there=slab&bag_price=38&grind_price=1")
    assert "Trowel the low places" in plans.text
    assert "Grind the high places, trowel the low places" in plans.text
    assert "silica" in plans.text
    assert "$" in plans.text
    assert not plans.inline


def test_every_offered_plan_is_within_its_limits(
    superintendent: Person, small_house: SmallHouse, check: str
) -> None:
    for kind in ("least", "pool"):
        takes(superintendent, check, kind)
        told = kept(small_house, check).told
        assert told["kind"] == kind
        assert told["bags"] > 0
        for left in told["after"]:
            assert Fraction(left["gap"]["nm"]) <= int(left["limit"]["nm"])


def test_a_plan_is_kept_with_its_answers_and_shown_on_the_check(
    superintendent: Person, small_house: SmallHouse, check: str
) -> None:
    page = takes(superintendent, check, "least", bag_price="38")
    assert "of trowelled compound" in page.text
    assert "Fill" in page.text
    plan = kept(small_house, check)
    assert plan.inputs["bag_price"] == "38"
    assert plan.inputs["there"] == "slab"
    again = superintendent.opens(f"/checks/{check}/plans")
    assert again.fields["bag_price"] == "38"


def test_a_plan_sent_twice_is_kept_once(
    superintendent: Person, small_house: SmallHouse, check: str
) -> None:
    path = f"/checks/{check}/plans"
    fields = superintendent.opens(path).fields
    fields.setlist("kind", ["least"])
    fields.setlist("entry_id", [small_house.new_id()])
    superintendent.sends(path, fields)
    before = small_house.entries()
    superintendent.sends(path, fields)
    assert small_house.entries() == before


def test_nailed_wood_is_never_poured(superintendent: Person, check: str) -> None:
    page = superintendent.opens(f"/checks/{check}/plans?there=wood-nail-down")
    assert "Never pour under a floor that is nailed down" in page.text
    assert "felt" in page.text


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("bag_price", "dear", "no price"),
        ("spare", "a hair", "a hair"),
        ("level", "-1", "below zero"),
        ("keep", "99, 99, sill", "row, column"),
        ("stair", "1, 1, high", "high"),
    ],
)
def test_an_answer_that_can_not_be_used_is_said_and_kept(
    superintendent: Person, small_house: SmallHouse, check: str, name: str, value: str, says: str
) -> None:
    page = superintendent.opens(f"/checks/{check}/plans", query_string={name: value})
    assert says in page.text
    assert page.fields[name] == value
    before = small_house.entries()
    refused = superintendent.sends(
        f"/checks/{check}/plans",
        {**superintendent.opens(f"/checks/{check}/plans").fields.to_dict(), "kind": "least",
         name: value},
    )  # fmt: skip
    assert "Nothing was kept" in refused.text
    assert small_house.entries() == before


def test_a_sill_that_stays_and_a_stair_that_starts_here(
    superintendent: Person, small_house: SmallHouse, check: str
) -> None:
    takes(superintendent, check, "least", keep="9, 1, door sill", stair="1, 1, 7 1/2")
    told = kept(small_house, check).told
    assert told["rows"][8][0] == "0"
    assert "first riser becomes" in " ".join(told["stairs"])


def test_the_item_the_crew_and_the_punch_list_show_where_and_how_many_bags(
    superintendent: Person, crew: Person, check: str
) -> None:
    takes(superintendent, check, "least")
    page = superintendent.fills(f"/checks/{check}", to=f"/checks/{check}/give", trade="floor")
    assert page.html.count("<svg") >= 2
    assert "of trowelled compound" in page.text
    own = crew.opens("/crews/floor")
    assert "of trowelled compound" in own.text
    assert "sq ft" in own.text
    punch = superintendent.opens("/reports/punch/floor")
    assert "bags of 50 lb" in punch.text or "bag of 50 lb" in punch.text
    assert "Fill" in superintendent.opens("/reports/punch/floor?text=1").html


def test_a_new_survey_that_passes_offers_to_accept_and_the_day_shows_both_maps(
    superintendent: Person, small_house: SmallHouse, check: str
) -> None:
    takes(superintendent, check, "least")
    superintendent.fills(f"/checks/{check}", to=f"/checks/{check}/give", trade="floor")
    later = small_house.checks(
        "boat-room", "floor", levels(1, 1), instrument="laser-rod", books=("plank-floor",)
    )
    page = superintendent.opens(f"/checks/{later}")
    assert "Accept P-1" in page.text
    both = superintendent.opens(f"/checks/{later}/map")
    assert "Before and after" in both.text
    assert both.html.count("Floor, level readings") == 2
    day = small_house.check(check).day
    report = superintendent.opens(f"/reports/daily/{day}")
    assert report.html.count("Floor, level readings") == 2


@pytest.mark.parametrize("line", ["row", "column", "diagonal", "cross", "sideways", ""])
def test_a_section_along_any_line(superintendent: Person, check: str, line: str) -> None:
    page = superintendent.opens(f"/checks/{check}/map?line={line}&through=3,2")
    assert page.status == 200
    assert "heights enlarged" in page.html.replace("</text>", " ") or "enlarged" in page.text


def test_a_check_without_stations_has_no_plans(
    superintendent: Person, small_house: SmallHouse
) -> None:
    direct = small_house.checks(
        "boat-room", "floor", {"edge_length": ["10 ft"], "gap": ["1/2"], "shape": ["hump"]},
        instrument="straightedge", books=("plank-floor",),
    )  # fmt: skip
    assert superintendent.opens(f"/checks/{direct}/plans").status == 404
    assert "/plans" not in superintendent.opens(f"/checks/{direct}").html
