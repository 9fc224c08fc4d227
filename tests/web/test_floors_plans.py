"""What makes a floor pass: offered plans pass, one is kept, the crew sees where and how much."""

from __future__ import annotations

import math
import re
import threading
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from web_cast import Page, Person, SmallHouse

from fieldlog.calc.floors_plan_watch import Progress
from fieldlog.store import reading, reading_floors

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
    assert "of troweled compound" in page.text
    assert "fill" in page.text
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
        ("sill", "by the window", "row, column"),
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
    takes(
        superintendent, check, "least", keep="9, 1, hearth", sill="9, 2; 9, 3", drain="3, 2",
        foot="3, 3", stair="1, 1, 7 1/2",
    )  # fmt: skip
    told = kept(small_house, check).told
    kept_at = [(8, 0), (8, 1), (8, 2), (2, 1), (2, 2)]
    assert [told["rows"][r][c] for r, c in kept_at] == ["0"] * len(kept_at)
    assert "first riser becomes" in " ".join(told["stairs"])


def test_a_pool_is_told_as_an_installer_sets_it(
    superintendent: Person, small_house: SmallHouse, check: str
) -> None:
    takes(superintendent, check, "pool")
    steps = " ".join(kept(small_house, check).told["steps"])
    assert "the floor's high point (row 3, 2)" in steps
    assert "below the floor's high point" in steps
    assert "bags" in steps
    assert "survey's heights" not in steps
    takes(superintendent, check, "pool", sill="3, 2")
    assert "the door sill (row 3, 2)" in " ".join(kept(small_house, check).told["steps"])


def test_the_item_the_crew_and_the_punch_list_show_where_and_how_many_bags(
    superintendent: Person, crew: Person, check: str
) -> None:
    takes(superintendent, check, "least")
    page = superintendent.fills(f"/checks/{check}", to=f"/checks/{check}/give", trade="floor")
    assert page.html.count("<svg") >= 2
    assert "of troweled compound" in page.text
    own = crew.opens("/crews/floor")
    assert "of troweled compound" in own.text
    assert "sq ft" in own.text
    punch = superintendent.opens("/reports/punch/floor")
    assert "bags of 50 lb" in punch.text or "bag of 50 lb" in punch.text
    assert ": fill " in superintendent.opens("/reports/punch/floor?text=1").html


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
    assert report.html.count("Floor, level readings") == 4  # each wide and for a phone


@pytest.mark.parametrize("line", ["row", "column", "diagonal", "cross", "sideways", ""])
def test_a_section_along_any_line(superintendent: Person, check: str, line: str) -> None:
    page = superintendent.opens(f"/checks/{check}/map?line={line}&through=3,2")
    assert page.status == 200
    assert "heights enlarged" in page.html.replace("</text>", " ") or "enlarged" in page.text


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Plans that are worked on until the event is set, or they are stopped."""
    from fieldlog.calc import floors_plan_maker
    from fieldlog.web import plans

    go, real = threading.Event(), floors_plan_maker.least_fill

    def held(task: Any, watch: Any = None) -> Any:
        watch.tell(Progress(3, 25, np.float64(50), np.float64(40)))
        while not go.wait(0.01):
            watch.breathe()
        return real(task, watch)

    monkeypatch.setattr(floors_plan_maker, "least_fill", held)
    monkeypatch.setattr(plans, "PATIENCE", 0.05)
    yield go
    go.set()


def test_a_plan_that_takes_long_says_how_far_it_is_and_can_be_stopped(
    superintendent: Person, check: str, slow: threading.Event
) -> None:
    path = f"/checks/{check}/plans"
    page = superintendent.opens(path)
    assert "3 of 25 parts" in page.text
    assert "cu ft at least" in page.text
    assert 'http-equiv="refresh"' in page.html  # without JavaScript the page comes back by itself
    assert not page.inline
    (asks,) = re.findall(r'data-from="([^"]+)"', page.html)
    assert "3 of 25" in superintendent.opens(asks.replace("&amp;", "&")).html
    (stops,) = re.findall(r'action="([^"]+/stop/[^"]+)"', page.html)
    superintendent.sends(stops, page.fields)
    page = superintendent.opens(path)
    assert "Stopped with 3 of 25 parts of the floor finished." in page.text
    assert "What is left takes" in page.text
    assert 'http-equiv="refresh"' not in page.html
    slow.set()
    superintendent.sends(stops, page.fields)  # start again
    for _ in range(100):
        page = superintendent.opens(path)
        if "refresh" not in page.html:
            break
    assert "Trowel the low places" in page.text
    assert "Stopped" not in page.text


@pytest.mark.usefixtures("slow")
def test_a_plan_that_is_not_there_yet_is_not_kept(
    superintendent: Person,
    small_house: SmallHouse,
    check: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from fieldlog.web import plans

    monkeypatch.setattr(plans, "WAITS", 0.05)
    path = f"/checks/{check}/plans"
    fields = superintendent.opens(path).fields.to_dict()
    before = small_house.entries()
    page = superintendent.sends(path, {**fields, "kind": "least"})
    assert "still being worked out" in page.text
    assert small_house.entries() == before


def test_a_check_without_stations_has_no_plans(
    superintendent: Person, small_house: SmallHouse
) -> None:
    direct = small_house.checks(
        "boat-room", "floor", {"edge_length": ["10 ft"], "gap": ["1/2"], "shape": ["hump"]},
        instrument="straightedge", books=("plank-floor",),
    )  # fmt: skip
    assert superintendent.opens(f"/checks/{direct}/plans").status == 404
    assert "/plans" not in superintendent.opens(f"/checks/{direct}").html


@pytest.mark.parametrize("kind", ["least", "pool"])
def test_a_plan_carried_out_passes_when_the_same_tool_reads_it_again(
    superintendent: Person, small_house: SmallHouse, check: str, kind: str
) -> None:
    """JCGM 106:2012 8.3, k = 2: it has to be inside by 2u. A laser and rod's u of a gap next to a
    contact, 1/32 in each reading, 10 ft over stations 2 ft apart (weights 1, 4/5, 1/5):
    2 sqrt(1.68 (1/32)**2 / 3) in = 0.0468 in, so 3/64 in.
    """
    assert superintendent.opens(f"/checks/{check}/plans").fields["spare"] == "3/64 in"
    takes(superintendent, check, kind)
    rows = kept(small_house, check).told["rows"]
    before = levels()["levels"]["rows"]
    after = [
        [f"{int(z) * 25.4 / 16 + int(nm) / 10**6:.6f}" for z, nm in zip(*row, strict=True)]
        for row in zip(before, rows, strict=True)
    ]
    again = {"levels": {**levels()["levels"], "unit": "mm", "rows": after}}
    done = small_house.checks(
        "boat-room", "floor", again, instrument="laser-rod", books=("plank-floor",)
    )
    with small_house.conn() as conn:
        found = reading.check(conn, done)
    assert found is not None
    assert found.verdict == "pass"


def test_a_limit_that_the_tool_can_not_prove_is_said(
    superintendent: Person, small_house: SmallHouse
) -> None:
    """1/32 in under 1 ft is less than a laser and rod may hide, 2u = 0.044 in at two spacings."""
    rows = [["0", "1", "0", "0"], ["0", "0", "0", "0"], ["0", "0", "1", "0"]]
    check = small_house.checks(
        "boat-room", "floor", {"levels": {"spacing": "6 in", "unit": "16ths", "rows": rows}},
        instrument="laser-rod", books=("resilient-floor",),
    )  # fmt: skip
    page = superintendent.opens(f"/checks/{check}/plans").text
    assert "1/32 in under 1 ft: the turning laser and rod may hide about 3/64 in there" in page
