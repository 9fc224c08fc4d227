"""Framing is held until a named person releases it, over photos that are there."""

from __future__ import annotations

import io

from PIL import Image
from web_cast import Person, SmallHouse

from fieldlog.store import journal, reading

SHEET = "/rooms/boat-room/checks/concealed-framing"
SEEN = {
    "q-what": "Both stringers", "q-seats_seen": "yes", "q-ledger_seen": "yes",
    "q-hangers_seen": "yes", "q-fasteners": "1/2 in lags", "q-drawing_here": "yes",
    "q-letter_here": "no", "q-departs": "no",
}  # fmt: skip


def photo(shade: int) -> tuple[io.BytesIO, str]:
    """A photo as a browser sends it."""
    data = io.BytesIO()
    Image.new("RGB", (60, 40), (shade, shade, shade)).save(data, "JPEG")
    return io.BytesIO(data.getvalue()), f"{shade}.jpg"


def newest(house: SmallHouse):
    """The newest look at the framing."""
    with house.conn() as c:
        return reading.checks_of_subject(c, "check:boat-room/concealed-framing")[-1]


def test_from_held_to_released(superintendent: Person, small_house: SmallHouse) -> None:
    page = superintendent.opens(SHEET)
    assert "q-photos" not in page.fields, "photos are counted, not said"
    fields = page.fields
    for name, text in SEEN.items():
        fields.setlist(name, [text])
    fields.setlist("photos", [photo(n) for n in (10, 80, 160)])
    page = superintendent.sends(SHEET, fields)
    assert "Photos of it is 3. Needs 4 or more." in page.text
    assert "Not released: nobody has put a name to it." in page.text
    held = newest(small_house)
    release = f"/checks/{held.id}/release"
    assert release in page.html

    page = superintendent.opens(release)
    assert "What was seen What will be covered" in page.text
    assert "1/2 in lags" in page.text
    assert page.headings == 1
    assert page.inline == []
    page = superintendent.fills(release, add="1", photo=photo(240))
    assert "4 photos of it" in page.text
    page = superintendent.fills(release, name=" ")
    assert page.status == 422
    assert "Type the name of the person who releases it." in page.text

    form = {**superintendent.opens(release).fields, "name": "A. Engineer"}
    page = superintendent.sends(release, form)
    assert "Released to be covered by A. Engineer." in page.text
    after = newest(small_house)
    assert (after.verdict, len(after.photos)) == ("pass", 4)
    assert after.readings["fasteners"] == held.readings["fasteners"]
    assert f"/checks/{after.id}/release" not in page.html
    superintendent.sends(release, form)
    assert newest(small_house).id == after.id, "sent twice"
    assert superintendent.opens(release).status == 409
    with small_house.conn() as c:
        assert journal.verify_deep(c) == []


def test_only_what_waits_for_a_name_is_released(
    superintendent: Person, small_house: SmallHouse
) -> None:
    look = small_house.checks("boat-room", "visual", {"thing": "paint", "good": "no"})
    assert "/release" not in superintendent.opens(f"/checks/{look}").html
    assert superintendent.opens(f"/checks/{look}/release").status == 409
    assert superintendent.opens("/checks/nothing/release").status == 404
