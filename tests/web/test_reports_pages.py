"""Reports as pages: daily and its issue, punch lists, the letter's editor; each as text too."""

from __future__ import annotations

import hashlib
from io import BytesIO

import pytest
from PIL import Image

from fieldlog.calc.entries import Act
from fieldlog.store import reading

DAILY = "/reports/daily/2026-03-03"
LETTER = "/reports/weekly/2026-03-06"


@pytest.fixture
def scratch(small_house):
    return small_house.opens_item("closet", "paint", "Scratch on the door", day="2026-03-03")


def takes_photo(person, color):
    out = BytesIO()
    Image.new("RGB", (60, 40), color).save(out, "JPEG")
    fields = person.opens("/rooms/closet/photos").fields
    fields = {**fields, "caption": f"In {color}", "photo": (BytesIO(out.getvalue()), "p.jpg")}
    person.sends("/rooms/closet/photos", fields, follow=False)


def letter(house):
    with house.conn() as c:
        return reading.letter(c, "2026-03-06")[0]


@pytest.mark.usefixtures("scratch")
def test_the_index_leads_to_all_of_them(superintendent):
    page = superintendent.opens("/reports")
    for href in (DAILY, LETTER, "/reports/punch/paint", "/codes", "/entries/refused"):
        assert f'href="{href}"' in page.html
    assert "not issued" in page.text
    assert page.inline == []


def test_the_index_tells_what_is_a_crews_and_what_is_to_look_at(
    small_house, superintendent, scratch
):
    small_house.opens_item("closet", "paint", "Run in the paint", day="2026-03-03")
    told = Act(act="corrected", how="text")
    small_house.enters("act/1", told, subject=f"item:{scratch}")
    page = superintendent.opens("/reports").text
    assert "Paint crew 1 to do, 1 to look at" in page
    assert "Trim crew nothing open" in page


@pytest.mark.usefixtures("scratch")
def test_the_daily_report_as_page_and_as_text(superintendent):
    page = superintendent.opens(DAILY)
    assert "Scratch on the door" in page.text
    assert page.inline == []
    assert page.headings == 1
    told = superintendent.opens(f"{DAILY}?text=1")
    assert told.response.content_type == "text/plain; charset=utf-8"
    assert "Scratch on the door" in told.html
    assert "<" not in told.html


@pytest.mark.usefixtures("scratch")
def test_an_issued_report_is_an_entry_with_its_texts_digest(small_house, superintendent):
    page = superintendent.fills(DAILY, to=f"{DAILY}/issue")
    assert page.status == 200
    assert "Issue again" in page.text
    with small_house.conn() as c:
        (issued,) = reading.reports_issued(c, kind="daily")
    text = superintendent.opens(f"{DAILY}?text=1").html
    assert hashlib.sha256(text.encode()).hexdigest() == issued.text_sha256
    assert "issued" in superintendent.opens("/reports").text


@pytest.mark.usefixtures("scratch")
def test_what_comes_later_is_added_after_it(small_house, superintendent):
    superintendent.fills(DAILY, to=f"{DAILY}/issue")
    small_house.clock.passes(hours=1)
    small_house.opens_item("closet", "trim", "Late miter", day="2026-03-03")
    page = superintendent.opens(DAILY)
    assert "dded after" in page.text
    assert "Late miter" in page.text


@pytest.mark.usefixtures("scratch")
def test_issuing_twice_by_a_double_tap_is_once(small_house, superintendent):
    fields = superintendent.opens(DAILY).fields
    for _ in range(2):
        assert superintendent.sends(f"{DAILY}/issue", fields).status == 200
    with small_house.conn() as c:
        assert len(reading.reports_issued(c)) == 1


@pytest.mark.usefixtures("scratch")
def test_a_punch_list_to_print(superintendent):
    page = superintendent.opens("/reports/punch/paint")
    assert "Scratch on the door" in page.text
    assert "Scratch on the door" in superintendent.opens("/reports/punch/paint?text=1").html
    assert superintendent.opens("/reports/punch/nobody").status == 404


@pytest.mark.parametrize(
    "path", ["daily/soon", "weekly/2026-02-30", "daily/2026-1-1", "weekly/0001-01-01"]
)
def test_what_is_no_day_is_a_page(superintendent, path):
    page = superintendent.opens(f"/reports/{path}")
    assert page.status == 404
    assert "is not a day" in page.text


def test_the_letter_of_another_weekday_is_its_fridays(superintendent):
    page = superintendent.opens("/reports/weekly/2026-03-03")
    assert page.response.request.path == LETTER


def test_the_letter_is_drafted_edited_and_saved(small_house, superintendent):
    page = superintendent.opens(LETTER)
    assert "draft, not saved yet" in page.text
    page = superintendent.fills(LETTER, finished="The gallery is painted.", do="save")
    assert page.status == 200
    assert "The draft is saved." in page.text
    assert page.fields["finished"] == "The gallery is painted."
    assert letter(small_house).finished == "The gallery is painted."
    assert not letter(small_house).fixed


def test_three_photos_are_chosen(small_house, superintendent):
    for color in ("red", "green", "blue", "teal"):
        takes_photo(superintendent, color)
    with small_house.conn() as c:
        all_four = [p.sha256 for p in reading.photos(c)]
    fields = superintendent.opens(LETTER).fields
    fields.setlist("photos", all_four)
    fields["finished"] = "Much."
    page = superintendent.sends(LETTER, {**fields.to_dict(flat=False), "do": "save"})
    assert page.status == 422
    assert "Choose 3 photos at most. You chose 4." in page.text
    assert page.fields["finished"] == "Much."
    assert len(page.fields.getlist("photos")) == 4
    fields.setlist("photos", all_four[1:])
    page = superintendent.sends(LETTER, {**fields.to_dict(flat=False), "do": "save"})
    assert page.status == 200
    assert set(letter(small_house).photos) == set(all_four[1:])
    assert set(page.fields.getlist("photos")) == set(all_four[1:])


def test_an_issued_letter_is_only_read(small_house, superintendent):
    late = superintendent.opens(LETTER).fields
    page = superintendent.fills(LETTER, finished="The gallery is painted.", do="fix")
    assert page.status == 200
    assert "<textarea" not in page.html
    assert "Week to Friday, March 6, 2026 Issued Tue Mar 3, 8:15 am" in page.text
    assert "Fix" not in page.text
    assert "The gallery is painted." in page.text
    late["finished"] = "Something else."
    page = superintendent.sends(LETTER, {**late.to_dict(flat=False), "do": "save"})
    assert page.status == 409
    assert "was issued meanwhile" in page.text
    assert "Something else." in page.html
    assert letter(small_house).finished == "The gallery is painted."


def test_the_same_letter_twice_is_saved_once(small_house, superintendent):
    fields = superintendent.opens(LETTER).fields.to_dict(flat=False) | {"do": "fix"}
    for _ in range(2):
        assert superintendent.sends(LETTER, fields).status == 200
    assert small_house.entries() == 2


def test_the_same_letter_with_other_words_keeps_them(small_house, superintendent):
    fields = superintendent.opens(LETTER).fields.to_dict(flat=False) | {"do": "save"}
    superintendent.sends(LETTER, fields)
    page = superintendent.sends(LETTER, fields | {"closing": "Until Monday."})
    assert page.status == 409
    assert page.fields["closing"] == "Until Monday."
    again = page.fields.to_dict(flat=False) | {"do": "save"}
    assert superintendent.sends(LETTER, again).status == 200
    assert letter(small_house).closing == "Until Monday."


def test_no_raw_defects_in_the_letters_text(superintendent, scratch):
    assert scratch
    assert "Scratch on the door" not in superintendent.opens(f"{LETTER}?text=1").html
