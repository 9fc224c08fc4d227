"""Entering a check: nothing typed is lost, nothing doubles, every error stands at its field."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from web_cast import GOOD_STAIR, OPEN_STAIR, Clock, Page, Person, SmallHouse, as_json
from werkzeug.datastructures import MultiDict

from fieldlog.store import reading

STAIR = "/rooms/boat-room/checks/stair?place=first-flight"
PREVIEW = "/rooms/boat-room/checks/stair/preview?place=first-flight"
FLOOR = "/rooms/boat-room/checks/floor"


def filled(page: Page, readings: dict[str, Any]) -> MultiDict[str, str]:
    """A page's form with readings typed into its slots."""
    fields = page.fields
    for name, value in readings.items():
        if not isinstance(value, list) and f"slots-{name}" not in fields:
            fields.setlist(f"q-{name}", [value])
            continue
        value = value if isinstance(value, list) else [value]
        fields.setlist(f"slots-{name}", [str(len(value))])
        for n, one in enumerate(value, 1):
            fields.setlist(f"q-{name}-{n}", [one])
    return fields


def stored(house: SmallHouse) -> list[Any]:
    """Every check in the journal, by key."""
    with house.conn() as c:
        return reading.latest_checks(c)


def test_a_stair_entered_by_hand_is_judged_and_shown(
    small_house: SmallHouse, superintendent: Person
) -> None:
    page = superintendent.sends(STAIR, filled(superintendent.opens(STAIR), OPEN_STAIR))
    assert page.status == 200
    assert "Open gaps 4 1/2 in. Needs less than 4 in." in page.text
    assert "Give to stair crew" in page.text
    [check] = stored(small_house)
    assert check.subject == "check:boat-room/stair/first-flight"
    assert check.readings["riser"] == ["7 1/2"] * 9
    assert check.readings["tread_thickness"] == "3"
    assert check.day == "2026-03-03"
    assert check.instrument == "tape"


def test_the_same_form_sent_twice_is_one_check(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), OPEN_STAIR)
    first = superintendent.sends(STAIR, fields)
    again = superintendent.sends(STAIR, fields)
    assert first.response.request.path == again.response.request.path
    assert small_house.entries() == 2


def test_sent_again_with_another_number_it_is_asked_about(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), OPEN_STAIR)
    superintendent.sends(STAIR, fields)
    fields["q-riser-2"] = "7 5/8"
    page = superintendent.sends(STAIR, fields)
    assert page.status == 409
    assert "This form was saved before" in page.text
    assert "See what was saved" in page.text
    assert page.fields["q-riser-2"] == "7 5/8"
    assert page.fields["entry_id"] != fields["entry_id"]
    assert superintendent.sends(STAIR, page.fields).status == 200
    assert small_house.entries() == 3


def test_two_tabs_make_two_checks_and_the_second_shows_the_clash(
    small_house: SmallHouse, superintendent: Person
) -> None:
    one, two = superintendent.opens(STAIR), superintendent.opens(STAIR)
    superintendent.sends(STAIR, filled(one, GOOD_STAIR))
    page = superintendent.sends(STAIR, filled(two, OPEN_STAIR))
    assert "Another check of this came in between" in page.text
    assert small_house.entries() == 3


def test_a_missed_space_is_asked_about_at_its_slot_and_all_else_stays(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR | {"note": "x"})
    fields["q-riser-3"], fields["note"] = "71/2", "cold hands"
    page = superintendent.sends(STAIR, fields)
    assert page.status == 422
    assert 'value="use:q-riser-3:7 1/2"' in page.html
    assert 'name="q-riser-3" value="71/2"' in page.html
    for name in ("q-riser-1", "q-tread-8", "note", "entry_id", "q-headroom", "q-open_riser"):
        assert page.fields[name] == fields[name], name
    assert small_house.entries() == 1


def test_a_suggestion_is_put_in_and_saves_nothing(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    fields["q-riser-3"] = "71/2"
    fields.add("do", "use:q-riser-3:7 1/2")
    page = superintendent.sends(STAIR, fields)
    assert page.status == 200
    assert page.fields["q-riser-3"] == "7 1/2"
    assert small_house.entries() == 1


@pytest.mark.parametrize(
    "bad", ["7 3/0", "7 1/128", "1e999", "--3", "seven", "7" * 60, "7.55555555555", "900", "<b>7"]
)
def test_every_bad_length_comes_back_as_typed(
    small_house: SmallHouse, superintendent: Person, bad: str
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    fields["q-riser-3"] = bad
    page = superintendent.sends(STAIR, fields)
    assert page.status == 422
    assert page.fields["q-riser-3"] == bad
    assert 'id="q-riser-3"' in page.html
    assert page.html.count('aria-invalid="true"') == 1
    assert small_house.entries() == 1


def test_an_unanswered_question_is_not_measured_and_asked(
    superintendent: Person,
) -> None:
    fields = filled(superintendent.opens(STAIR), OPEN_STAIR | {"open_riser": ""})
    page = superintendent.sends(STAIR, fields)
    assert page.status == 200
    assert "Are the risers open?" in page.text


def test_an_empty_form_is_not_saved(small_house: SmallHouse, superintendent: Person) -> None:
    page = superintendent.sends(STAIR, superintendent.opens(STAIR).fields)
    assert page.status == 422
    assert "Nothing is entered yet" in page.text
    assert small_house.entries() == 1


def test_blanks_at_the_end_are_not_measured_because_the_slots_were_set(
    small_house: SmallHouse, superintendent: Person
) -> None:
    readings = GOOD_STAIR | {"riser": ["7 1/2"] * 7 + ["", ""]}
    superintendent.sends(STAIR, filled(superintendent.opens(STAIR), readings))
    [check] = stored(small_house)
    assert check.readings["riser"][-2:] == [None, None]
    assert check.judgement["counts"]["not_measured"] >= 2


def test_the_next_look_has_as_many_slots_and_the_same_tool(
    small_house: SmallHouse, superintendent: Person
) -> None:
    small_house.checks(
        "boat-room", "stair", GOOD_STAIR, place="First flight", instrument="steel-rule"
    )
    fields = superintendent.opens(STAIR).fields
    assert fields["slots-riser"] == "9"
    assert fields["slots-tread"] == "8"
    assert fields["slots-open_gap_measured"] == "9"
    assert fields["instrument"] == "steel-rule"
    assert fields["seen"] == small_house.made[-1]


@pytest.mark.parametrize(
    ("do", "slots"), [("more:riser", 14), ("fewer:riser", 12), ("all:riser", 2), ("all:x", 13)]
)
def test_slots_without_a_script(superintendent: Person, do: str, slots: int) -> None:
    fields = superintendent.opens(STAIR).fields
    fields["q-riser-1"], fields["q-riser-2"] = "7 1/2", "7 5/8"
    fields.add("do", do)
    page = superintendent.sends(STAIR, fields)
    assert page.fields["slots-riser"] == str(slots)
    assert page.fields["slots-ball_passes"] == str(slots)
    assert page.fields["q-riser-2"] == "7 5/8"
    assert f"q-riser-{slots}" in page.fields
    assert f"q-riser-{slots + 1}" not in page.fields


def test_a_reading_names_another_tool_where_it_was_chosen(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    fields["tool-riser"] = "story-pole"
    superintendent.sends(STAIR, fields)
    [check] = stored(small_house)
    assert check.readings["riser"][0] == {"value": "7 1/2", "instrument": "story-pole"}


def test_a_tool_that_cannot_take_a_field_is_not_said_to_have_taken_it(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    fields["instrument"] = "steel-rule"
    superintendent.sends(STAIR, fields)
    [check] = stored(small_house)
    assert check.readings["headroom"] == {"value": "7 ft", "instrument": "tape"}


@pytest.mark.parametrize("name", ["instrument", "tool-riser"])
def test_an_unknown_tool_is_refused(
    small_house: SmallHouse, superintendent: Person, name: str
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    fields[name] = "crystal-ball"
    page = superintendent.sends(STAIR, fields)
    assert page.status == 422
    assert small_house.entries() == 1


def test_a_sheet_changed_meanwhile_keeps_everything_typed(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    text = small_house.app.extensions["fieldlog"].library().sheets["stair"].text
    changed = text.replace('name = "landing_depth"', 'name = "landing_run"')
    for book in small_house.app.extensions["fieldlog"].library().books.values():
        if book.id.startswith("irc-"):
            own = small_house.folder / "books" / f"{book.id}.toml"
            own.write_text(book.text.replace('"landing_depth"', '"landing_run"'))
    (small_house.folder / "sheets" / "stair.toml").write_text(changed)
    page = superintendent.sends(STAIR, fields)
    assert page.status == 409
    assert "The sheet was changed after this page was opened." in page.text
    assert page.fields["q-riser-4"] == "7 1/2"
    assert "Landing depth: 38" in page.text
    assert small_house.entries() == 1
    assert superintendent.sends(STAIR, page.fields).status == 200


def test_a_form_sent_before_the_sheet_changed_and_again_after_it_is_still_one(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    superintendent.sends(STAIR, fields)
    text = small_house.app.extensions["fieldlog"].library().sheets["stair"].text
    (small_house.folder / "sheets" / "stair.toml").write_text(text + "\n# another edition\n")
    page = superintendent.sends(STAIR, fields)
    assert page.status == 200
    assert small_house.entries() == 2


def test_a_form_without_its_number_gets_one(superintendent: Person) -> None:
    fields = filled(superintendent.opens(STAIR), GOOD_STAIR)
    fields["entry_id"] = "nonsense"
    page = superintendent.sends(STAIR, fields)
    assert page.status == 422
    assert "Save once more" in page.text
    assert superintendent.sends(STAIR, page.fields).status == 200


def jpeg() -> bytes:
    """A small photo."""
    from PIL import Image

    out = BytesIO()
    Image.new("RGB", (64, 48), "tan").save(out, "JPEG")
    return out.getvalue()


def test_photos_are_kept_even_when_a_reading_is_refused(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), OPEN_STAIR)
    fields["q-riser-3"] = "71/2"
    data = {**fields.to_dict(), "photos": (BytesIO(jpeg()), "stair.jpg")}
    page = superintendent.sends(STAIR, data, content_type="multipart/form-data")
    assert page.status == 422
    assert "1 already here, and kept." in page.text
    mended = page.fields
    mended["q-riser-3"] = "7 1/2"
    page = superintendent.sends(STAIR, mended)
    [check] = stored(small_house)
    assert len(check.photos) == 1
    assert f"/photos/{check.photos[0]}/320" in page.html


def test_a_file_that_is_no_photo_is_refused_by_name(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = filled(superintendent.opens(STAIR), OPEN_STAIR)
    data = {**fields.to_dict(), "photos": (BytesIO(b"%PDF-1.4"), "plan.pdf")}
    page = superintendent.sends(STAIR, data, content_type="multipart/form-data")
    assert page.status == 422
    assert "plan.pdf: This file is not a JPEG, PNG or WebP photo." in page.text
    assert small_house.entries() == 1


def test_a_place_that_nobody_planned_is_kept_as_typed(
    small_house: SmallHouse, superintendent: Person
) -> None:
    page = superintendent.opens("/rooms/closet/checks/visual")
    fields = page.fields
    fields["place"], fields["q-good"] = "Shelf, left", "no"
    superintendent.sends("/rooms/closet/checks/visual", fields)
    [check] = stored(small_house)
    assert (check.place, check.key) == ("Shelf, left", "visual/shelf-left")


@pytest.mark.parametrize("place", ["???", "\u202eback", "x" * 201, "a\x00b"])
def test_a_place_that_cannot_be_an_address_is_asked_for_again(
    small_house: SmallHouse, superintendent: Person, place: str
) -> None:
    fields = superintendent.opens("/rooms/closet/checks/visual").fields
    fields["place"], fields["q-good"] = place, "yes"
    page = superintendent.sends("/rooms/closet/checks/visual", fields)
    assert page.status == 422
    assert small_house.entries() == 1


def test_levels_without_a_script(small_house: SmallHouse, superintendent: Person) -> None:
    fields = superintendent.opens(FLOOR).fields
    fields["rows-levels"], fields["columns-levels"] = "3", "6"
    for row, heights in enumerate((("0",) * 6, ("0", "+2", "+5", "+2", "0", "x"), ("0",) * 6), 1):
        for column, height in enumerate(heights, 1):
            fields[f"q-levels-{row}-{column}"] = height
    page = superintendent.sends(FLOOR, fields)
    assert page.status == 200
    assert "Hump" in page.text
    [check] = stored(small_house)
    assert check.readings["levels"]["spacing"] == "2 ft"
    assert check.readings["levels"]["rows"][1] == ["0", "+2", "+5", "+2", "0", "x"]


def test_a_bad_station_is_named_by_row_and_column(
    small_house: SmallHouse, superintendent: Person
) -> None:
    fields = superintendent.opens(FLOOR).fields
    fields["q-levels-2-3"] = "up a bit"
    page = superintendent.sends(FLOOR, fields)
    assert page.status == 422
    assert "Row 2, 3" in page.text
    assert page.fields["q-levels-2-3"] == "up a bit"
    assert small_house.entries() == 1


@pytest.mark.parametrize(
    ("do", "size"),
    [("row:levels", (5, 5)), ("column:levels", (4, 6)), ("row-off:levels", (3, 5)),
     ("column-off:levels", (4, 4))],
)  # fmt: skip
def test_a_grid_grows_and_shrinks_without_a_script(
    superintendent: Person, do: str, size: tuple[int, int]
) -> None:
    fields = superintendent.opens(FLOOR).fields
    fields.add("do", do)
    page = superintendent.sends(FLOOR, fields)
    assert page.html.count('data-kind="level"') == size[0] * size[1]


def test_the_preview_gives_a_mark_and_a_short_sentence_for_each_slot(
    small_house: SmallHouse, superintendent: Person
) -> None:
    readings = OPEN_STAIR | {"riser": ["7 1/2", "7 7/8", "71/2", "7 3/4", "", "7"]}
    told = as_json(superintendent.sends(PREVIEW, filled(superintendent.opens(STAIR), readings)))
    slots = told["slots"]
    assert slots["q-riser-1"] == {
        "mark": "pass", "short": "pass", "long": "Passes. Needs 7 3/4 in or less.",
    }  # fmt: skip
    assert slots["q-riser-2"]["short"] == "over by 1/8 in"
    assert slots["q-riser-3"]["suggestions"][0] == "7 1/2"
    assert slots["q-riser-4"]["mark"] == "too_close"
    assert slots["q-riser-4"]["short"] == "passes, too close"
    assert "q-riser-5" not in slots
    assert any("Riser difference" in line["text"] for line in told["summary"])
    assert small_house.entries() == 1


def test_the_preview_says_what_waits_for_an_answer(superintendent: Person) -> None:
    readings = {"open_gap_measured": ["4 1/2"] * 9, "riser": ["7 1/2"] * 9}
    told = as_json(superintendent.sends(PREVIEW, filled(superintendent.opens(STAIR), readings)))
    assert told["slots"]["q-riser-9"]["mark"] == "pass"
    assert told["verdict"] in ("not_measured", "too_close", "fail")


def test_a_result_shows_the_earlier_looks_and_what_is_struck(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    first = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    clock.passes(hours=2)
    second = small_house.checks("boat-room", "stair", GOOD_STAIR, place="First flight")
    page = superintendent.opens(f"/checks/{second}")
    assert f"/checks/{first}" in page.html
    assert "This is an earlier look." in superintendent.opens(f"/checks/{first}").text
    superintendent.fills(f"/checks/{second}", to=f"/entries/{second}/strike", reason="Wrong flight")
    page = superintendent.opens(f"/checks/{second}")
    assert "This entry is struck through. Wrong flight" in page.text
    assert "Give to" not in page.text
    assert "Measure again" in page.text


def test_a_result_keeps_every_number_its_limit_clause_and_tool(
    small_house: SmallHouse, superintendent: Person
) -> None:
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    text = superintendent.opens(f"/checks/{check}").text
    assert "Every number: value, limit, clause, tool" in text
    assert "Standard uncertainty" in text
    assert "within twice the standard uncertainty" in text
    assert "IRC 2021 R311.7.5.1" in text
    assert "Steel tape" in text
    assert "a licensed designer decides" in text
    assert "seen: secondary" in text


def test_a_check_is_given_accepted_and_looked_at_again(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    first = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    page = superintendent.fills(f"/checks/{first}", to=f"/checks/{first}/give", trade="stair")
    assert page.status == 200
    result = superintendent.opens(f"/checks/{first}")
    assert "P-1 Stair crew" in result.text
    assert "Give to" not in result.text
    clock.passes(hours=3)
    second = small_house.checks("boat-room", "stair", GOOD_STAIR, place="First flight")
    assert "Accept P-1" in superintendent.opens(f"/checks/{second}").text


def test_what_no_crew_owns_is_opened_by_hand_and_a_good_look_settles_it(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    looked = {"thing": "Outlets by the bench", "good": "no"}
    check = small_house.checks(
        "boat-room", "visual", looked, place="Outlets by the bench", instrument="eye",
        note="Two plates are cracked",
    )  # fmt: skip
    result = superintendent.opens(f"/checks/{check}")
    assert "no crew of this house owns it by itself" in result.text
    assert "Give to" not in result.text
    address = f"/rooms/boat-room/items/new?check={check}"
    assert f'href="{address}"' in result.html
    form = superintendent.opens(address)
    words = "Look: Outlets by the bench: not good. Two plates are cracked"
    assert form.fields["words"] == words
    sent = {**form.fields, "trade": "electric"}
    for _ in range(2):  # a form sent again is the same item
        superintendent.sends(address, sent)
    with small_house.conn() as c:
        (item,) = reading.items(c)
    assert (item.check, item.rules, item.words) == (check, ("visual.good",), words)
    result = superintendent.opens(f"/checks/{check}")
    assert "Punch item" not in result.text
    clock.passes(hours=3)
    better = small_house.checks(
        "boat-room", "visual", looked | {"good": "yes"}, place="Outlets by the bench",
        instrument="eye",
    )  # fmt: skip
    assert "Accept P-1" in superintendent.opens(f"/checks/{better}").text


@pytest.mark.parametrize("readings", [{"good": "yes"}, {"good": ""}])
def test_a_look_that_is_good_leaves_nothing_for_an_item(
    readings: dict[str, str], small_house: SmallHouse, superintendent: Person
) -> None:
    check = small_house.checks("closet", "visual", readings, instrument="eye")
    assert "Punch item" not in superintendent.opens(f"/checks/{check}").text
    for named in (check, "nowhere"):
        form = superintendent.fills(f"/rooms/closet/items/new?check={named}", trade="paint")
        assert form.status == 422  # nothing is filled in for it, so the words are asked for


def test_a_sheet_names_its_places_on_the_form_and_in_sentences(
    small_house: SmallHouse, superintendent: Person
) -> None:
    page = superintendent.opens("/rooms/gallery/checks/trim?place=lake-window")
    assert "Reveal, right top" in page.text
    assert "Reveal 3" not in page.text
    readings = {"casing": ["3 1/2"] * 4, "reveal": ["1/4", "1/4", "3/4", "1/4"]}
    check = small_house.checks("gallery", "trim", readings, place="Lake window")
    result = superintendent.opens(f"/checks/{check}")
    assert "Reveal, right top" in result.text or "right top" in result.text
