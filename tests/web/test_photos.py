"""Photos: kept for a room, shown at three sizes, the original untouched."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from PIL import Image

from fieldlog.store import reading

ADD = "/rooms/closet/photos"


def picture(kind: str = "JPEG", size: tuple[int, int] = (1200, 800)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, "teal").save(out, kind)
    return out.getvalue()


def adds(person, data, **values):
    fields = person.opens(ADD).fields
    return person.sends(ADD, {**fields, "photo": (BytesIO(data), "p.jpg"), **values}, follow=False)


def only(house):
    with house.conn() as c:
        (photo,) = reading.photos(c)
    return photo


def test_a_photo_belongs_to_its_room(small_house, superintendent):
    page = adds(superintendent, picture(), caption="Backing behind the board")
    assert page.status == 302
    photo = only(small_house)
    assert (photo.room, photo.caption, photo.of) == ("closet", "Backing behind the board", "")


@pytest.mark.parametrize(("size", "width"), [(320, 320), (900, 900), (1600, 1200)])
def test_three_sizes_that_a_browser_may_keep(small_house, superintendent, size, width):
    adds(superintendent, picture())
    answer = superintendent.opens(f"/photos/{only(small_house).sha256}/{size}").response
    assert answer.content_type == "image/jpeg"
    assert "immutable" in answer.headers["Cache-Control"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert Image.open(BytesIO(answer.data)).width == width


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_original_comes_back_byte_for_byte(small_house, superintendent, kind):
    adds(superintendent, picture(kind))
    answer = superintendent.opens(f"/photos/{only(small_house).sha256}").response
    assert answer.content_type == f"image/{kind.lower()}"
    assert answer.data == picture(kind)


def test_a_browser_that_has_it_is_told_so(small_house, superintendent):
    adds(superintendent, picture())
    url = f"/photos/{only(small_house).sha256}/320"
    tag = superintendent.opens(url).response.headers["ETag"]
    assert superintendent.opens(url, headers={"If-None-Match": tag}).status == 304


@pytest.mark.parametrize("data", [b"", b"GIF89a", picture()[:300], b"\xff\xd8\xff"])
def test_what_is_no_photo_is_refused_and_the_caption_stays(small_house, superintendent, data):
    page = adds(superintendent, data, caption="Behind the board")
    assert page.status == 422
    assert 'id="photo-error"' in page.html
    assert page.fields["caption"] == "Behind the board"
    assert small_house.entries() == 1


def test_no_photo_at_all(superintendent):
    page = superintendent.fills(ADD, caption="Behind the board")
    assert page.status == 422
    assert "Take or choose a photo first." in page.text


def test_the_same_form_twice_keeps_one(small_house, superintendent):
    fields = superintendent.opens(ADD).fields
    for _ in range(2):
        superintendent.sends(ADD, {**fields, "photo": (BytesIO(picture()), "p.jpg")}, follow=False)
    assert small_house.entries() == 2


@pytest.mark.parametrize(
    "path", ["/photos/none", "/photos/none/320", f"/photos/{'0' * 64}/320", f"/photos/{'0' * 64}"]
)
def test_unknown_photos_are_a_page(superintendent, path):
    page = superintendent.opens(path)
    assert page.status == 404
    assert "There is no photo at this address." in page.text


def test_another_size_is_a_page(small_house, superintendent):
    adds(superintendent, picture())
    page = superintendent.opens(f"/photos/{only(small_house).sha256}/5000")
    assert page.status == 404
    assert "320, 900, 1600" in page.text


def test_a_file_that_is_gone_is_a_page(small_house, superintendent):
    adds(superintendent, picture())
    photo = only(small_house)
    for path in (small_house.folder / "photos").rglob("*.jpg"):
        path.unlink()
    for url in (f"/photos/{photo.sha256}", f"/photos/{photo.sha256}/320"):
        page = superintendent.opens(url)
        assert page.status == 404
        assert "file is not in the house's folder" in page.text


def test_a_photo_of_a_check_is_on_its_page_and_beside_it_in_the_report(small_house, superintendent):
    check = small_house.checks("closet", "visual", {"good": "no"}, instrument="eye")
    address = f"{ADD}?of={check}"
    assert f'href="{address}"' in superintendent.opens(f"/checks/{check}").html
    form = superintendent.opens(address)
    assert "Photo: look" in form.text
    sent = {**form.fields, "photo": (BytesIO(picture()), "p.jpg"), "caption": "The scratch"}
    page = superintendent.sends(address, sent)
    photo = only(small_house)
    assert photo.of == small_house.check(check).subject
    assert f"/photos/{photo.sha256}" in page.html
    report = superintendent.opens("/reports/daily/2026-03-03")
    assert "Look. The scratch. Closet" in report.text
    assert report.html.count(photo.sha256) == 1
    assert "Each stands beside the check" in report.text


def test_a_photo_of_another_rooms_check_is_the_rooms(small_house, superintendent):
    check = small_house.checks("gallery", "visual", {"good": "no"}, instrument="eye")
    fields = superintendent.opens(f"{ADD}?of={check}").fields
    sent = {**fields, "photo": (BytesIO(picture()), "p.jpg")}
    superintendent.sends(f"{ADD}?of={check}", sent)
    assert only(small_house).of == ""


def test_a_photo_stays_with_the_look_it_was_added_to(small_house, superintendent, clock):
    first = small_house.checks("closet", "visual", {"good": "no"}, instrument="eye")
    fields = superintendent.opens(f"{ADD}?of={first}").fields
    sent = {**fields, "photo": (BytesIO(picture()), "p.jpg")}
    superintendent.sends(f"{ADD}?of={first}", sent)
    clock.passes(hours=1)
    second = small_house.checks("closet", "visual", {"good": "yes"}, instrument="eye")
    sha = only(small_house).sha256
    assert f"/photos/{sha}" in superintendent.opens(f"/checks/{first}").html
    assert f"/photos/{sha}" not in superintendent.opens(f"/checks/{second}").html


def test_the_pictures_of_a_rooms_page_are_fetched_ahead(superintendent):
    adds(superintendent, picture())
    shown = re.findall(r'src="(/photos/[^"]+)"', superintendent.opens("/rooms/closet").html)
    listed = superintendent.client.get("/tablet/pages").get_json()["assets"]
    assert len(shown) == 1
    assert set(shown) <= set(listed)
