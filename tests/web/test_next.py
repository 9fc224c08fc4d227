"""Next: who can start, and what holds the others."""

from __future__ import annotations

import pytest

from fieldlog.store.files import PACKAGE

FLAT = {"edge_length": ["10 ft", "6 ft"], "gap": ["0", "0"], "shape": ["hollow", "hollow"],
        "spot": ["middle", "door"]}  # fmt: skip


@pytest.fixture
def order(small_house):
    """The house's own order: floor, then trim, then paint."""
    folder = small_house.folder / "sequences"
    folder.mkdir()

    def write(text: str) -> None:
        (folder / "finish.toml").write_text(text, encoding="utf-8")

    write(
        'id = "own"\ntitle = "Our order"\nsource = "agreed on site"\nverified = "common practice"\n'
        '[[step]]\ntrade = "floor"\nwhy = "First."\n'
        '[[step]]\ntrade = "trim"\nneeds = ["floor"]\nwhy = "Base follows the floor."\n'
    )
    return write


def test_held_and_may_start_with_marks_and_reasons(superintendent):
    page = superintendent.opens("/next")
    assert page.status == 200
    assert "Floor flatness: not measured yet. Measure it." in page.text
    assert "held" in page.text
    assert "may start" in page.text
    assert "/rooms/boat-room/checks/floor" in page.html
    assert page.inline == []


def test_the_order_cites_its_source(superintendent):
    assert "The order is common practice" in superintendent.opens("/next").text


def test_one_crew_only(superintendent):
    page = superintendent.opens("/next?trade=trim")
    assert page.fields["trade"] == "trim"
    assert "Paint crew may start" not in page.text
    assert "every crew" not in page.text.replace("Every crew", "")


@pytest.mark.usefixtures("order")
def test_the_houses_own_order_is_used(superintendent):
    page = superintendent.opens("/next")
    assert "The order is agreed on site: our order." in page.text
    assert "Not in the order, so never held: Stair crew, Paint crew, Electrician." in page.text


def test_a_changed_order_is_read_again(order, superintendent):
    superintendent.opens("/next")
    text = (PACKAGE / "sequences" / "finish.toml").read_text("utf-8")
    order(text.replace('source = "common practice"', 'source = "the owner said so"'))
    assert "The order is the owner said so" in superintendent.opens("/next").text


@pytest.mark.usefixtures("order")
def test_a_pass_releases(small_house, superintendent):
    assert "Trim crew" in superintendent.opens("/next").text
    small_house.checks("boat-room", "floor", FLAT, instrument="straightedge")
    assert "not measured yet" not in superintendent.opens("/next").text


@pytest.mark.usefixtures("order")
def test_a_failing_check_holds_until_its_item_is_taken_as_it_is(small_house, superintendent):
    check = small_house.checks("boat-room", "floor", FLAT | {"gap": ["1/2", "1/2"]},
                               instrument="straightedge")  # fmt: skip
    page = superintendent.opens("/next")
    assert "Correct it, then measure again." in page.text
    assert f"/checks/{check}" in page.html
    rules = tuple(dict.fromkeys(
        r["rule"] for r in small_house.check(check).judgement["rules"] if r["verdict"] == "fail"
    ))  # fmt: skip
    item = small_house.opens_item("boat-room", "floor", "Not flat", check=check, rules=rules)
    page = superintendent.opens("/next")
    assert "Correct P-1, then measure again." in page.text
    assert f"/items/{item}" in page.html
    fields = superintendent.opens(f"/items/{item}").fields
    sent = {k: fields[k] for k in ("csrf_token", "entry_id", "seen")}
    sent |= {"act": "accepted_as_is", "agreed_by": "the owners"}
    superintendent.sends(f"/items/{item}/acts", sent)
    assert "measure again" not in superintendent.opens("/next?trade=trim").text


def test_a_failed_guard_and_wet_air_hold_the_room_planned_or_not(small_house, superintendent):
    """The packaged order; nobody planned either. 36 in: IRC R312.1.2; 85 %: ISO 12944-7."""
    said = {"air_temperature": "70 F", "humidity": "90 %", "surface_temperature": "72 F"}
    small_house.checks("closet", "air", said | {"work": "paint"}, instrument="tape",
                       books=("paint-conditions",))  # fmt: skip
    assert "no paint now" not in superintendent.opens("/next?trade=trim").text
    assert "Air: " in superintendent.opens("/next?trade=paint").text
    low = {"drop": "60 in", "level_side": "yes", "height_level": "35 15/16 in",
           "opening_level": ["4 1/8 in"], "guard_there": "yes"}  # fmt: skip
    check = small_house.checks("closet", "guard", low, place="Deck")
    assert small_house.check(check).verdict == "fail"
    for trade in ("floor", "trim", "paint", "electric"):
        page = superintendent.opens(f"/next?trade={trade}")
        assert f"/checks/{check}" in page.html
    assert f"/checks/{check}" not in superintendent.opens("/next?trade=stair").html
    assert "Guard, deck: " in superintendent.opens("/rooms/closet").text
