"""What comes in by /sync and /photos, and the answer to each: nothing is lost or half stored."""

from __future__ import annotations

import base64
import hashlib
import json
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from keeping import BAD_DOOR, BAD_STAIR, GOOD_DOOR, HOUSE, PAT, library
from msgspec.structs import replace
from twin import HEADERS, HOME, Site, Tablet, jpeg

from fieldlog import intake
from fieldlog.calc.bodies import CheckEntry, ItemEntry, PhotoEntry, Walk
from fieldlog.calc.ids import new_id
from fieldlog.calc.judged import rules_digest
from fieldlog.calc.library import SourceText, build_library
from fieldlog.store import devices_seen, journal, reading
from fieldlog.store.db import open_reader
from fieldlog.web.request import HouseAtHand

SHA = "ab" * 32


def entries(site: Site) -> int:
    """How many entries the journal has."""
    with closing(open_reader(site.folder)) as conn:
        return journal.head(conn).seq


def posts(tablet: Tablet, body: Any, **more: Any) -> Any:
    """POST /sync as given."""
    data = body if isinstance(body, bytes) else json.dumps(body).encode()
    given_ = {"headers": HEADERS, "base_url": HOME} | more
    return tablet.wire.client.post("/sync", data=data, **given_)


def one(tablet: Tablet, envelope: Any) -> dict[str, Any]:
    """The answer to one entry."""
    answer = posts(tablet, {"entries": [envelope]})
    assert answer.status_code == 200, answer.json
    told: dict[str, Any] = answer.json["answers"][0]
    return told


def envelope(tablet: Tablet, kind: str, body: Any, **over: Any) -> dict[str, Any]:
    """A well-formed entry of the tablet, then changed."""
    entry_id = tablet.enters(kind, body, subject=over.pop("subject", ""))
    return tablet.entries.pop(entry_id).envelope | over


def test_every_answer_is_in_order_and_a_poisoned_entry_does_not_block(
    site: Site, tablet: Tablet
) -> None:
    good = [envelope(tablet, "item/1", ItemEntry("", "hall", "stairs", w)) for w in ("a", "b")]
    wrong = envelope(tablet, "walk/1", Walk("2026-03-03"), subject="walk:2026-03-04")
    batch = [good[0], wrong, None, {"body": "\ud800"}, good[0] | {"body": "{}"}, good[1], good[0]]
    told = posts(tablet, {"entries": batch}).json
    assert [a["status"] for a in told["answers"]] == [
        "stored", "refused", "refused", "refused", "conflict", "stored", "already_stored",
    ]  # fmt: skip
    assert all(a["seq"] and (a["reason"] or "stored" in a["status"]) for a in told["answers"])
    assert [a["id"] for a in told["answers"]][:2] == [good[0]["id"], wrong["id"]]
    assert told["has"] == [[1, 3]]
    before = entries(site)
    again = posts(tablet, {"entries": batch, "witness": told["head"]}).json
    assert (entries(site), again["witness"]) == (before, "known")
    assert [a["seq"] for a in again["answers"]] == [a["seq"] for a in told["answers"]]


def test_a_gap_is_seen_and_a_clock_is_noted_not_refused(site: Site, tablet: Tablet) -> None:
    made = [envelope(tablet, "item/1", ItemEntry("", "hall", "stairs", "x")) for _ in range(4)]
    days = 3 * 24 * 3600
    told = posts(
        tablet,
        {"entries": [made[0], made[3]], "now_ms": tablet.now_ms() + days * 1000, "last": 4},
    ).json
    assert (told["has"], told["clock_off_s"]) == ([[1, 1], [4, 4]], days)
    with closing(open_reader(site.folder)) as conn:
        seen = devices_seen.seen(conn, tablet.device)
    assert seen is not None
    assert (seen.last, seen.clock_off_s) == (4, days)


@pytest.mark.parametrize(
    ("head", "said"),
    [
        (None, "none"),
        ({"seq": 1, "chain": "0" * 64}, "unknown"),
        ({"seq": 99, "chain": ""}, "unknown"),
    ],
)
def test_a_witness_is_known_or_not(tablet: Tablet, head: Any, said: str) -> None:
    assert posts(tablet, {"witness": head, "dropped": head}).json["witness"] == said


def test_an_entry_of_another_device_or_house_is_not_kept_and_says_why(
    site: Site, tablet: Tablet
) -> None:
    before = entries(site)
    forged = envelope(tablet, "walk/1", Walk("2026-03-03"), device="tablet-0badbadbad00")
    other = envelope(tablet, "walk/1", Walk("2026-03-03"), job=forged["id"])
    for sent, code in ((forged, "device"), (other, "house")):
        told = one(tablet, sent)
        assert (told["status"], told["seq"], told["code"]) == ("refused", 0, code)
        assert told["reason"]
    assert entries(site) == before


@pytest.mark.parametrize("kind", ["house/1", "report/1", "access/1", "differs/1"])
def test_what_the_office_alone_makes_is_refused_and_kept(tablet: Tablet, kind: str) -> None:
    told = one(tablet, envelope(tablet, "walk/1", Walk("2026-03-03")) | {"type": kind})
    assert told["status"] == "refused"
    assert told["seq"] > 0
    assert "office" in told["reason"]


def test_a_browser_of_another_edition_and_another_site_are_told(tablet: Tablet) -> None:
    answer = posts(tablet, {}, headers={"X-Fieldlog": "outbox/2"})
    assert (answer.status_code, answer.json["code"]) == (409, "protocol")
    assert "outbox/2" in answer.json["reason"]
    assert posts(tablet, {}, headers={}).status_code == 403
    foreign = HEADERS | {"Sec-Fetch-Site": "cross-site"}
    assert posts(tablet, {}, headers=foreign).status_code == 403


def test_what_the_tablet_judged_otherwise_is_recorded_once_and_shown(
    site: Site, tablet: Tablet
) -> None:
    stair = CheckEntry("hall", "stair", BAD_STAIR, "tape")
    sent = envelope(tablet, "check/1", stair) | {"judged": {"verdict": "pass"}}
    told = one(tablet, sent)
    assert (told["differs"]["tablet"], told["differs"]["server"]) == ("pass", "fail")
    assert one(tablet, sent)["differs"] == told["differs"]
    with closing(open_reader(site.folder)) as conn:
        found = journal.entries(conn, type="differs/1")
        judged = reading.check(conn, sent["id"])
    assert len(found) == 1
    assert judged is not None
    assert judged.verdict == "fail"
    page = tablet.wire.client.get(f"/checks/{sent['id']}", base_url=HOME).get_data(as_text=True)
    assert "had it as pass" in page
    digest = rules_digest(judged.judgement)
    for claim in ({"verdict": "fail", "rules_sha256": digest}, None, {"verdict": 7}, "x"):
        same = envelope(tablet, "check/1", stair) | {"judged": claim}
        assert not one(tablet, same).get("differs"), claim
    odd = envelope(tablet, "check/1", stair) | {"judged": {"verdict": "\x00" * 300}}
    assert one(tablet, odd)["status"] == "stored"


def test_a_check_by_the_sheet_of_then_is_judged_by_it(
    site: Site, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = library().sheets["visual"].sha256
    door = CheckEntry("hall", "visual", GOOD_DOOR, "eye", sheet_sha256=old)
    assert one(tablet, envelope(tablet, "check/1", door))["status"] == "stored"
    texts = list(library().sources.values())
    changed = [
        SourceText(s.kind, s.file, s.text + "\n# changed\n") if s.file == "visual.toml" else s
        for s in texts
    ]
    monkeypatch.setattr(HouseAtHand, "library", lambda _self: build_library(changed))
    late = envelope(tablet, "check/1", replace(door, readings=BAD_DOOR))
    told = one(tablet, late)
    assert (told["status"], told["verdict"]) == ("stored", "fail")
    now = envelope(tablet, "check/1", replace(door, sheet_sha256=""))
    assert one(tablet, now)["status"] == "stored"
    unknown = one(tablet, envelope(tablet, "check/1", replace(door, sheet_sha256=SHA)))
    assert unknown["status"] == "refused"
    assert "was changed" in unknown["reason"]
    with closing(open_reader(site.folder)) as conn:
        by = reading.check(conn, late["id"])
        assert by is not None
        assert by.judgement["sheet"]["sha256"] == old
        assert journal.verify(conn) + journal.verify_deep(conn) == []


def test_an_entry_for_a_room_that_was_removed_is_kept(site: Site, tablet: Tablet) -> None:
    shopless = replace(HOUSE, rooms=HOUSE.rooms[:2])
    with site.held.writing() as conn:
        intake.record(
            conn, site.folder, library(), id=new_id(site.now, b"removed-10"), type="house/1",
            subject="house", author=PAT, body=shopless, now=site.now,
        )  # fmt: skip
    told = one(tablet, envelope(tablet, "item/1", ItemEntry("JG-1", "shop", "stairs", "Scratch")))
    assert told["status"] == "stored"
    for address in ("/punch", "/", "/rooms", f"/items/{told['id']}"):
        assert tablet.wire.client.get(address, base_url=HOME).status_code == 200, address


def test_a_20_mb_entry_is_kept_beside_the_journal_and_a_larger_batch_is_told(
    site: Site, tablet: Tablet
) -> None:
    big = envelope(tablet, "walk/1", Walk("2026-03-03")) | {"body": "x" * 20_000_000}
    small = envelope(tablet, "walk/1", Walk("2026-03-03"))
    told = posts(tablet, {"entries": [big, small]}).json
    assert [a["status"] for a in told["answers"]] == ["refused", "stored"]
    name = told["answers"][0]["reason"].rpartition("kept in ")[2].rstrip(".")
    assert json.loads((site.folder / name).read_text())["body"] == big["body"]
    assert (site.folder / "fieldlog.sqlite-wal").stat().st_size < 1_000_000
    assert one(tablet, big)["seq"] == told["answers"][0]["seq"]
    answer = posts(tablet, b" " * 40_000_000)
    assert (answer.status_code, answer.json["code"]) == (413, "large")


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)
NAMES = ("entries", "witness", "dropped", "last", "waiting", "now_ms", "photos", "walk")


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from(NAMES) | st.text(), json_values) | json_values, st.data())
def test_random_json_is_answered_in_words(tablet: Tablet, body: Any, data: st.DataObject) -> None:
    answer = posts(tablet, body)
    assert answer.status_code in (200, 422)
    assert answer.status_code == 200 or answer.json["reason"]
    sound = envelope(tablet, "item/1", ItemEntry("", "hall", "stairs", "x"))
    name = data.draw(st.sampled_from([*sound, "judged", "more"]))
    told = posts(tablet, {"entries": [sound | {name: body}]})
    assert told.status_code == 200
    assert told.json["answers"][0]["status"] in ("stored", "refused", "conflict")


@pytest.mark.parametrize("raw", [b"", b"{", b"\xff\xfe", b"[" * 100_000, b"5", b'{"entries": 5}'])
def test_what_is_no_batch_is_told(tablet: Tablet, raw: bytes) -> None:
    answer = posts(tablet, raw)
    assert (answer.status_code, answer.json["code"]) == (422, "batch")


def puts(tablet: Tablet, path: str, data: bytes, **headers: str) -> Any:
    """PUT bytes."""
    return tablet.wire.client.put(path, data=data, headers=HEADERS | headers, base_url=HOME)


def test_a_photo_comes_small_then_whole_and_pages_show_what_is_there(
    site: Site, tablet: Tablet
) -> None:
    data = jpeg(5)
    sha256 = hashlib.sha256(data).hexdigest()
    told = one(
        tablet,
        envelope(
            tablet, "photo/1", PhotoEntry(sha256, len(data), "image/jpeg", 24, 16, room="hall")
        ),
    )
    assert told["status"] == "stored"
    shown = f"/photos/{sha256}/320"
    client = tablet.wire.client

    def kind() -> tuple[str, str]:
        answer = client.get(shown, base_url=HOME)
        return answer.mimetype, answer.headers["Cache-Control"]

    assert kind() == ("image/svg+xml", "no-store")
    assert "still on the tablet" in client.get("/rooms/hall", base_url=HOME).get_data(as_text=True)
    assert client.get(f"/photos/{sha256}", base_url=HOME).status_code == 404
    ahead = jpeg(6)
    digest = base64.b64encode(hashlib.sha256(ahead).digest()).decode()
    cut = puts(
        tablet, f"/photos/{sha256}/small", ahead[:-9], **{"Content-Digest": f"sha-256=:{digest}:"}
    )
    assert (cut.status_code, cut.json["code"]) == (422, "cut")
    small = puts(
        tablet, f"/photos/{sha256}/small", ahead, **{"Content-Digest": f"sha-256=:{digest}:"}
    )
    assert small.json["sha256"] == sha256
    assert kind() == ("image/jpeg", "no-store")
    for _ in range(2):
        assert puts(tablet, f"/photos/{sha256}", data).json["sha256"] == sha256
    assert "immutable" in kind()[1]
    assert client.get(f"/photos/{sha256}", base_url=HOME).data == data
    assert not list((site.folder / "standins").rglob("*.jpg"))
    assert posts(tablet, {"photos": [sha256, SHA, "x"]}).json["photos"] == {
        sha256: "here", SHA: "missing",
    }  # fmt: skip


def test_bytes_that_are_not_the_photo_are_refused_with_a_sentence(
    site: Site, tablet: Tablet
) -> None:
    data = jpeg(7)
    name = hashlib.sha256(data).hexdigest()
    text = b"not a photo"
    for path, sent, status, code in (
        (f"/photos/{name}", data[:-1], 422, "cut"),
        (f"/photos/{name}", b"", 422, "cut"),
        (f"/photos/{hashlib.sha256(text).hexdigest()}", text, 422, "photo"),
        (f"/photos/{name}", bytes(15_000_001), 413, "large"),
        ("/photos/moon", data, 422, "cut"),
        (f"/photos/{name}/small", text, 422, "photo"),
    ):
        answer = puts(tablet, path, sent)
        assert (answer.status_code, answer.json["code"]) == (status, code), path
        assert answer.json["reason"]
    left: list[Path] = [p for p in (site.folder / "photos").rglob("*") if p.is_file()]
    assert left == []


def test_a_full_disk_keeps_nothing_and_says_later(
    tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    data = jpeg(8)
    monkeypatch.setattr("fieldlog.store.photos.write_durably", full)
    answer = puts(tablet, f"/photos/{hashlib.sha256(data).hexdigest()}", data)
    assert (answer.status_code, answer.json["code"]) == (503, "later")


def test_a_new_pairing_numbers_anew_and_stores_nothing_twice(site: Site, tablet: Tablet) -> None:
    for word in "abc":
        tablet.enters("item/1", ItemEntry("", "hall", "stairs", word))
    tablet.sends()
    before, first = entries(site), tablet.device
    for kept in tablet.entries.values():
        kept.state = "waiting"
    tablet.wire = site.wire()
    tablet.sends()
    assert tablet.device != first
    assert entries(site) == before
    with closing(open_reader(site.folder)) as conn:
        assert devices_seen.numbers(conn, tablet.device) == [(1, 3)]
        prefixes = {d.prefix for d in devices_seen.all_seen(conn)}
    assert len(prefixes) == 2
