"""What a tablet fetches ahead: every address answers, and what it judges by is the house's."""

from __future__ import annotations

from web_cast import Person, SmallHouse

KNOWN = 304


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
    again = client.get("/tablet/data.json", headers={"If-None-Match": edition})
    assert (again.status_code, again.data) == (KNOWN, b"")
    superintendent.fills("/rooms/boat-room/layers", thickness__3="3/4")
    changed = client.get("/tablet/data.json", headers={"If-None-Match": edition})
    assert changed.headers["ETag"] != edition
    [layer] = changed.get_json()["judges"]["layers"]
    assert (layer["room"], layer["floor"]) == ("boat-room", "19050000")
