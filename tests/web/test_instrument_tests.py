"""A level is tested on its page; what the test found counts in the next floor, not in the last."""

from __future__ import annotations

from typing import Any

from web_cast import Person, SmallHouse

from fieldlog.store.deep import rejudge
from fieldlog.store.files import PACKAGE, load_library

SURVEY = "/rooms/boat-room/floor/survey"
LASER = "/instruments/laser-rod"
PEGS = {"how": "two pegs", "unit": "in", "middle_1": "48", "middle_2": "50", "far_1": "47",
        "far_2": "49", "distance_1": "5", "distance_2": "105"}  # fmt: skip
TURNED = {"how": "turned", "unit": "in", "at_0": "48", "at_90": "48", "at_180": "48",
          "distance": "50"}  # fmt: skip


def records(who: Person, of: dict[str, str], **more: str) -> Any:
    page = who.opens(LASER)
    token = {"csrf_token": page.fields["csrf_token"], "entry_id": page.fields["entry_id"]}
    return who.sends(LASER, token | {"seen": page.fields["seen"]} | of | more)


def surveys(who: Person, small_house: SmallHouse) -> Any:
    fields = who.fills("/rooms/boat-room/outline", width="14 ft", depth="18 ft").fields
    for name in [n for n in fields if n.startswith("q-levels-") and n[-1].isdigit()]:
        fields.setlist(name, ["0"])
    fields.setlist("q-levels-4-4", ["4"])
    page = who.sends(SURVEY, fields)
    return small_house.check(page.response.request.path.rpartition("/")[2])


def u(check: Any) -> int:
    found = next(r for r in check.judgement["rules"] if r["rule"] == "floor.hump-10ft")
    return int(found["u"]["nm"])


def test_a_test_counts_in_the_next_floor_and_an_old_verdict_stands(
    superintendent: Person, small_house: SmallHouse
) -> None:
    before = surveys(superintendent, small_house)
    assert "not tested yet" in superintendent.opens(SURVEY).text
    page = records(superintendent, PEGS, far_2="49 1/32")
    assert "tested today (two pegs), 1/32 in over 100 ft, aiming high" in page.text
    assert "1/32 in over 100 ft" in superintendent.opens("/house").text
    small_house.clock.passes(days=3)
    assert "tested 3 days ago (two pegs), 1/32 in over 100 ft" in superintendent.opens(SURVEY).text
    after = surveys(superintendent, small_house)
    assert u(after) > u(before)
    assert after.readings["levels"]["tested"][0]["tilt"] == "1/38400"
    assert "off by 1/32 in over 100 ft" in superintendent.opens(f"/checks/{after.id}").text
    records(superintendent, PEGS, far_2="50")  # tested again, and worse: nothing of before changes
    with small_house.conn() as conn:
        assert rejudge(conn, load_library()) == []


def test_an_instrument_out_of_its_allowance_is_said_where_it_is_used(
    superintendent: Person, small_house: SmallHouse
) -> None:
    page = records(superintendent, TURNED, at_0="48 1/4")
    assert "Out of its allowance" in page.text
    assert "1/4 in over 100 ft off" not in superintendent.opens("/house").text
    surveyed = superintendent.fills("/rooms/boat-room/outline", width="14 ft", depth="18 ft")
    assert "off by its last test, high on one side and low on the other" in surveyed.text
    assert "Allowed: 1/16 in over 100 ft." in surveyed.text
    found = surveys(superintendent, small_house)
    assert "nothing to a gap" in found.judgement["notes"][0]
    records(superintendent, TURNED)
    assert "Out of its allowance" not in superintendent.opens(LASER).text


def test_what_can_not_be_is_said_at_its_place_and_nothing_is_stored(
    superintendent: Person, small_house: SmallHouse
) -> None:
    before = small_house.entries()
    for more, says in (
        ({"far_1": "wide"}, "wide"),
        ({"distance_2": "5"}, "nearer to one peg"),
        ({"distance_1": "-5"}, "more than nothing"),
        ({"far_2": "90"}, "an inch in ten feet"),
        ({"unit": "furlongs"}, "decimal feet, mm or"),
    ):
        page = records(superintendent, PEGS, **more)
        assert page.status == 422
        assert says in page.text
        assert page.fields["middle_2"] == "50" or page.fields.getlist("middle_2") == ["50"]
    page = records(superintendent, PEGS, middle_1="wide", far_1="71/2", far_2="", distance_1="x")
    assert page.html.count('aria-invalid="true"') == 4
    assert records(superintendent, TURNED, distance="0").status == 422
    assert records(superintendent, TURNED, how="shaken").status == 404
    assert superintendent.opens("/instruments/tape").status == 404
    assert small_house.entries() == before
    assert not superintendent.opens(LASER).inline


def test_a_test_sent_twice_is_one_and_a_wrong_one_is_struck_through(
    superintendent: Person, small_house: SmallHouse
) -> None:
    fields = superintendent.opens(LASER).fields.to_dict() | PEGS | {"far_2": "52"}
    superintendent.sends(LASER, fields)
    before = small_house.entries()
    page = superintendent.sends(LASER, fields)
    assert small_house.entries() == before
    strike = page.html.partition("/entries/")[2].partition("/strike")[0]
    superintendent.fills(f"/entries/{strike}/strike", reason="wrong peg")
    assert "not tested yet" in superintendent.opens(LASER).text


def test_the_days_report_tells_the_test_and_what_the_tool_measured_that_day(
    superintendent: Person, small_house: SmallHouse
) -> None:
    surveys(superintendent, small_house)
    records(superintendent, PEGS, far_2="48 13/32")
    report = f"/reports/daily/{small_house.clock().date()}"
    for told in (superintendent.opens(report).text, superintendent.opens(f"{report}?text=1").html):
        told = " ".join(told.split())
        assert "Turning laser and rod, two-peg test" in told
        assert "19/32 in over 100 ft, aiming low. Allowed: 1/16 in over 100 ft." in told
        assert "Out of its allowance." in told
        assert "It measured that day: Floor flatness, Boat room, Slip level, at" in told
    superintendent.fills(report, to=f"{report}/issue")
    records(superintendent, TURNED, at_0="48 1/4")
    late = "turned on its stand: 1/4 in over 100 ft, high on one side and low on the other."
    assert late in superintendent.opens(report).text


def test_a_report_names_the_houses_own_tool_as_the_journal_keeps_it(
    superintendent: Person, small_house: SmallHouse
) -> None:
    """Measured that day or not; and a name that is changed later changes no report of before."""
    shipped = PACKAGE / "instruments" / "laser-rod.toml"
    own = small_house.folder / "instruments" / "laser-rod.toml"
    own.parent.mkdir(exist_ok=True)
    own.write_text(shipped.read_text().replace('name = "', 'name = "Our ', 1))
    surveys(superintendent, small_house)
    small_house.clock.passes(days=1)
    records(superintendent, PEGS, far_2="48 13/32")
    report = f"/reports/daily/{small_house.clock().date()}"
    named = "Our Turning laser and rod, two-peg test"
    assert named in superintendent.opens(report).text
    own.write_text(shipped.read_text())
    assert named in superintendent.opens(report).text
