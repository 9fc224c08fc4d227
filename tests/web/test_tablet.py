"""What a tablet fetches ahead: every address answers, and what it judges by is the house's."""

from __future__ import annotations

import gzip
import hashlib

from web_cast import Person, SmallHouse

KNOWN, FORBIDDEN, TOO_LARGE = 304, 403, 413


def test_every_address_that_a_tablet_fetches_ahead_answers(superintendent: Person) -> None:
    client = superintendent.client
    listed = client.get("/tablet/pages").get_json()
    assert listed["rooms"] == 3
    for address in (*listed["pages"], *listed["assets"], "/sw.js"):
        with client.get(address) as answer:
            assert (answer.status_code, address) == (200, address)
    named = [a for a in listed["assets"] if listed["build"] in a]
    assert any(a.endswith("js/tablet/app.js") for a in named)


def test_every_page_names_its_scripts_by_edition(superintendent: Person) -> None:
    client = superintendent.client
    build = client.get("/tablet/pages").get_json()["build"]
    page = client.get("/rooms").get_data(as_text=True)
    assert f'data-build="{build}"' in page
    assert f"/static/{build}/js/tablet/app.js" in page


def test_the_data_is_sent_again_only_when_it_changed(
    superintendent: Person, small_house: SmallHouse
) -> None:
    client = superintendent.client
    first = client.get("/tablet/data.json")
    edition = first.headers["ETag"]
    assert {r["id"] for r in first.get_json()["judges"]["rooms"]} == {
        room.id for room in small_house.house.rooms
    }
    small = client.get("/tablet/data.json", headers={"Accept-Encoding": "gzip"})
    assert (small.headers["ETag"], gzip.decompress(small.data)) == (edition, first.data)
    again = client.get("/tablet/data.json", headers={"If-None-Match": edition})
    assert (again.status_code, again.data) == (KNOWN, b"")
    superintendent.fills("/rooms/boat-room/layers", thickness__3="3/4")
    changed = client.get("/tablet/data.json", headers={"If-None-Match": edition})
    assert changed.headers["ETag"] != edition
    [layer] = changed.get_json()["judges"]["layers"]
    assert (layer["room"], layer["floor"]) == ("boat-room", "19050000")


def test_the_photo_of_the_test_is_told_and_not_kept(
    superintendent: Person, small_house: SmallHouse
) -> None:
    token = superintendent.opens("/").fields["csrf_token"]
    superintendent.client.get("/sync/hello", headers={"X-Fieldlog": "outbox/1"})  # opens the writer
    before = sorted(small_house.folder.rglob("*"))
    asked = {"data": b"\xff\xd8a photo", "headers": {"X-CSRF-Token": token}}
    told = superintendent.client.post("/tablet/ready/photo", **asked).get_json()
    assert told == {"sha256": hashlib.sha256(b"\xff\xd8a photo").hexdigest(), "size": 9}
    assert sorted(small_house.folder.rglob("*")) == before
    assert superintendent.client.post("/tablet/ready/photo", data=b"x").status_code == FORBIDDEN
    asked["data"] = bytes(1_000_001)
    assert superintendent.client.post("/tablet/ready/photo", **asked).status_code == TOO_LARGE
