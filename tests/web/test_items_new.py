"""A punch item in four taps: photo, crew, words, "Put on the list"."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from fieldlog.store import journal, reading

NEW = "/rooms/closet/items/new"


def jpeg(color: str = "gray", size: tuple[int, int] = (64, 48)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, color).save(out, "JPEG")
    return out.getvalue()


def photo(data: bytes | None = None, name: str = "door.jpg"):
    return BytesIO(jpeg() if data is None else data), name


def form(person, **values):
    """The form's hidden fields, with what a person fills in."""
    fields = person.opens(NEW).fields
    kept = {k: fields[k] for k in ("csrf_token", "entry_id", "seen") if k in fields}
    return {**kept, "trade": "paint", **values}


def items(house):
    with house.conn() as c:
        return reading.items(c)


def test_photo_crew_words_done(small_house, superintendent):
    page = superintendent.sends(NEW, form(superintendent, phrase="Scratch", photo=photo()))
    assert page.status == 200
    assert "P-1 is on the Paint crew’s list" in page.text
    assert page.fields["trade"] == "paint"  # the crew stays set for the next one
    (item,) = items(small_house)
    assert (item.words, item.trade, item.room) == ("Scratch", "paint", "closet")
    with small_house.conn() as c:
        (kept,) = reading.photos(c, room="closet")
    assert kept.of == item.subject
    assert item.photos == (kept.sha256,)


def test_the_page_needs_no_script_and_has_no_inline_one(superintendent):
    page = superintendent.opens(NEW)
    assert page.inline == []
    assert page.headings == 1
    assert 'enctype="multipart/form-data"' in page.html
    assert 'capture="environment"' in page.html


def test_without_a_photo_it_works_too(small_house, superintendent):
    assert superintendent.sends(NEW, form(superintendent, words="Door rubs")).status == 200
    assert items(small_house)[0].words == "Door rubs"


def test_a_photo_alone_is_enough(small_house, superintendent):
    assert superintendent.sends(NEW, form(superintendent, photo=photo())).status == 200
    assert items(small_house)[0].words == ""


def test_phrases_combine_with_each_other_and_with_text(small_house, superintendent):
    values = form(superintendent, phrase=["Scratch", "Paint holiday"], words="by the lamp")
    superintendent.sends(NEW, values)
    assert items(small_house)[0].words == "Scratch, Paint holiday, by the lamp"


def test_a_phrase_that_the_text_holds_already_is_not_said_twice(small_house, superintendent):
    superintendent.sends(NEW, form(superintendent, phrase="Scratch", words="Scratch, deep"))
    assert items(small_house)[0].words == "Scratch, deep"


def test_neither_words_nor_photo_asks_for_one_and_keeps_the_crew(small_house, superintendent):
    page = superintendent.sends(NEW, form(superintendent, words="  "))
    assert page.status == 422
    assert "Tap a phrase, write what is wrong, or add a photo." in page.text
    assert page.fields["trade"] == "paint"
    assert items(small_house) == []


@pytest.mark.parametrize("trade", ["", "nobody", "../paint"])
def test_no_crew_asks_for_one_and_keeps_the_words(small_house, superintendent, trade):
    page = superintendent.sends(NEW, form(superintendent, trade=trade, words="Dent, low"))
    assert page.status == 422
    assert "Pick the crew whose list it goes on." in page.text
    assert page.fields["words"] == "Dent, low"
    assert items(small_house) == []


def test_a_refused_photo_says_so_and_keeps_every_word(small_house, superintendent):
    values = form(superintendent, words="Dent", phrase="Scratch", photo=photo(b"GIF89a no photo"))
    page = superintendent.sends(NEW, values)
    assert page.status == 422
    assert "not a JPEG, PNG or WebP photo" in page.text
    assert page.fields["words"] == "Dent"
    assert page.fields.getlist("phrase") == ["Scratch"]
    assert items(small_house) == []
    assert small_house.entries() == 1


def test_a_photo_is_kept_over_another_fields_error(small_house, superintendent):
    page = superintendent.sends(NEW, form(superintendent, trade="", words="Dent", photo=photo()))
    assert page.status == 422
    assert "This photo is kept already" in page.text
    again = page.fields
    again["trade"] = "paint"
    assert superintendent.sends(NEW, again).status == 200
    (item,) = items(small_house)
    with small_house.conn() as c:
        assert [p.sha256 for p in reading.photos(c, of=item.subject)] == list(item.photos)


def test_the_same_form_twice_makes_one_item_and_one_photo(small_house, superintendent):
    values = form(superintendent, words="Dent")
    first = superintendent.sends(NEW, {**values, "photo": photo()})
    before = small_house.entries()
    second = superintendent.sends(NEW, {**values, "photo": photo()})
    assert first.status == second.status == 200
    assert "P-1 is on" in second.text
    assert small_house.entries() == before
    assert len(items(small_house)) == 1


def test_the_same_form_with_other_words_is_explained_and_can_be_saved(small_house, superintendent):
    values = form(superintendent, words="Dent")
    superintendent.sends(NEW, values)
    page = superintendent.sends(NEW, {**values, "words": "Dent and scratch", "photo": photo()})
    assert page.status == 409
    assert "already saved once" in page.text
    assert page.fields["words"] == "Dent and scratch"
    assert page.fields["entry_id"] != values["entry_id"]
    assert len(items(small_house)) == 1
    assert superintendent.sends(NEW, page.fields).status == 200
    first, second = items(small_house)
    assert (first.words, second.words) == ("Dent", "Dent and scratch")
    assert first.photos == ()
    assert len(second.photos) == 1


def test_a_form_without_its_number_gets_one(small_house, superintendent):
    page = superintendent.sends(NEW, form(superintendent, words="Dent", entry_id="x"))
    assert page.status == 422
    assert "had lost its number" in page.text
    assert superintendent.sends(NEW, page.fields).status == 200
    assert len(items(small_house)) == 1


def test_wall_date_and_damage_behind_more(small_house, superintendent):
    values = form(
        superintendent, words="Dent", wall="C", needs_by="2026-03-09", damaged_by_other="y"
    )
    superintendent.sends(NEW, values)
    (item,) = items(small_house)
    assert (item.wall, item.needs_by, item.damaged_by_other) == ("C", "2026-03-09", True)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("needs_by", "2026-02-30", "is not a date"),
        ("needs_by", "soon", "is not a date"),
        ("wall", "E", "A wall is A, B, C or D"),
        ("words", "x" * 501, "501 characters long, and 500 is the most"),
        ("words", "bell \a", "no page can show"),
    ],
)
def test_an_error_stands_at_its_field_and_the_rest_stays(superintendent, field, value, says):
    page = superintendent.sends(NEW, form(superintendent, **{"words": "Dent", field: value}))
    assert page.status == 422
    assert says in page.text
    assert page.fields["trade"] == "paint"


def test_the_last_used_crew_comes_first(superintendent):
    superintendent.sends(NEW, form(superintendent, trade="trim", words="Gap"))
    page = superintendent.sends(NEW, form(superintendent, trade="electric", words="Dead"))
    order = [page.html.index(f'value="{t}"') for t in ("electric", "trim", "stair")]
    assert order == sorted(order)
    assert page.fields["trade"] == "electric"


def test_an_unknown_room_is_a_page_that_says_so(superintendent):
    page = superintendent.opens("/rooms/attic/items/new")
    assert page.status == 404
    assert "attic" in page.text


def test_a_form_of_another_browser_is_not_taken(small_house, superintendent, crew):
    values = form(superintendent, words="Dent")
    assert crew.sends(NEW, values).status == 403
    assert items(small_house) == []


def test_the_journal_holds_the_photo_before_the_item(small_house, superintendent):
    superintendent.sends(NEW, form(superintendent, words="Dent", photo=photo()))
    with small_house.conn() as c:
        assert [e.type for e in journal.entries(c)] == ["house/1", "photo/1", "item/1"]
