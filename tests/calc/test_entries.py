"""What makes an entry well formed: the envelope, the bodies, and who may enter what."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from keeping import BAD_STAIR, HOUSE
from msgspec.structs import replace

from fieldlog.calc.bodies import Layer
from fieldlog.calc.entries import (
    BODIES,
    AccessAct,
    Act,
    CheckEntry,
    CrewToday,
    Day,
    Differs,
    Entry,
    EntryMalformed,
    FloorPlan,
    InstrumentTest,
    ItemEntry,
    KeptSum,
    Layers,
    Letter,
    PhotoEntry,
    ReportIssued,
    RoomOutline,
    Strike,
    Walk,
    check_entry,
    encode_body,
    parse_body,
    parse_entry,
    read_body,
    role_of,
    subject_of,
    trade_of,
)
from fieldlog.calc.shape import MAX_DEPTH, MAX_LIST, MAX_LONG_TEXT, MAX_TEXT, Strict

ID = "019cb3ff-9f00-7000-8000-000000000001"
JOB = "019cb3ff-9f00-7000-8000-000000000000"
SHA = "a" * 64

SUM = {
    "calculation": "dew-point", "title": "Dew point", "formula": "f", "source": "s",
    "caution": "", "steps": [], "notes": ["A note."],
    "inputs": {"humidity": {"label": "Humidity", "typed": "45", "text": "45 %", "nm": None}},
    "answer": {"point": {"label": "Dew point", "text": "48 F", "nm": None, "exact": "48 F"}},
}  # fmt: skip

PLAN = json.dumps({"title": "Fill", "rows": [["0", None]], "steps": [], "patches": []})

SAMPLES: dict[str, Strict] = {
    "house/1": HOUSE,
    "walk/1": Walk("2026-03-03", "rain\r\nall day"),
    "check/1": CheckEntry("hall", "stair", BAD_STAIR, "tape", "First flight", photos=(SHA,)),
    "item/1": ItemEntry("P-31", "hall", "stairs", "Scratch", wall="B", needs_by="2026-03-10"),
    "act/1": Act("sent_back", reason="still 4 1/2 in"),
    "photo/1": PhotoEntry(SHA, 1200, "image/jpeg", 40, 30, "hall", f"item:{ID}"),
    "day/1": Day("2026-03-03", "rain", (CrewToday("stairs", 2, "treads"),)),
    "report/1": ReportIssued("punch", "2026-03-03", 12, SHA, SHA, "stairs"),
    "letter/1": Letter("2026-03-06", "Dear", "much", "paint", "trim", "Pat", (SHA,), True),
    "layers/1": Layers("hall", (Layer("finish", "3/4", name="oak"), Layer("pour", "40", "mm"))),
    "calculation/1": KeptSum(
        "dew-point", "hall", {"humidity": "45"}, json.dumps(SUM), f"item:{ID}", "2026-03-03"
    ),
    "outline/1": RoomOutline("hall", (("0", "0"), ("14 ft", "0"), ("0", "18")), "2 ft", "1 in"),
    "plan/1": FloorPlan("hall", "check:hall/floor", ID, "least", {"there": "slab"}, PLAN),
    "access/1": AccessAct("paired", "tablet-1f00", "Kitchen tablet"),
    "instrument/1": InstrumentTest(
        "laser-rod",
        "turned",
        {"at_0": "48 1/8", "at_90": "48", "at_180": "48", "distance": "50"},
        "1/9600",
        "1/19200",
        day="2026-03-03",
    ),
    "strike/1": Strike(ID, "a slip"),
    "differs/1": Differs(ID, "pass", "ab" * 32),
}


def envelope(**over: Any) -> dict[str, Any]:
    """A well-formed walk, with some fields as told."""
    fields = {
        "id": ID, "job": JOB, "device": "tablet-1", "device_seq": 1, "claimed_ms": 1772547300000,
        "offset_min": -360, "author": "superintendent/Pat Doe", "type": "walk/1",
        "subject": "walk:2026-03-03", "seen": "", "body": '{"day":"2026-03-03"}',
    }  # fmt: skip
    return fields | over


def carrying(entry_type: str, body: Strict, **over: Any) -> Entry:
    """An entry with `body` and the subject that fits it."""
    subject = subject_of(ID, body) or f"item:{ID}"
    fields = envelope(type=entry_type, subject=subject, body=encode_body(body))
    return Entry(**(fields | over))


def refusal(entry: Entry) -> str:
    """The sentence an entry is refused with."""
    with pytest.raises(EntryMalformed) as caught:
        check_entry(entry)
    return str(caught.value)


def test_there_is_a_sample_of_every_type() -> None:
    assert SAMPLES.keys() == BODIES.keys()


@pytest.mark.parametrize("entry_type", BODIES)
def test_every_type_is_read_back_as_it_was_written(entry_type: str) -> None:
    body = SAMPLES[entry_type]
    assert check_entry(carrying(entry_type, body)) == body
    assert read_body(entry_type, encode_body(body)) == body


@pytest.mark.parametrize("entry_type", BODIES)
def test_an_unknown_field_is_refused_by_name(entry_type: str) -> None:
    fields = json.loads(encode_body(SAMPLES[entry_type])) | {"colour": "red"}
    with pytest.raises(EntryMalformed, match="colour"):
        parse_body(entry_type, json.dumps(fields))


@pytest.mark.parametrize("entry_type", BODIES)
def test_a_missing_field_is_refused_by_name(entry_type: str) -> None:
    fields = json.loads(encode_body(SAMPLES[entry_type]))
    name = next(iter(fields))
    del fields[name]
    with pytest.raises(EntryMalformed, match=name):
        parse_body(entry_type, json.dumps(fields))


def test_a_later_version_says_so() -> None:
    assert refusal(Entry(**envelope(type="walk/2"))) == '"walk/2" is newer than this fieldlog.'
    assert "no entry type" in refusal(Entry(**envelope(type="dance/1")))
    assert "no entry type" in refusal(Entry(**envelope(type="walk")))


@pytest.mark.parametrize(
    ("over", "named"),
    [
        ({"id": "P-31"}, "id"),
        ({"id": ID.upper()}, "id"),
        ({"job": ""}, "job"),
        ({"seen": "x"}, "seen"),
        ({"device": "My tablet"}, "device"),
        ({"device_seq": 0}, "device_seq"),
        ({"device_seq": 2**63}, "device_seq"),
        ({"device_seq": "1"}, "device_seq"),
        ({"device_seq": 1.5}, "device_seq"),
        ({"claimed_ms": -1}, "claimed_ms"),
        ({"claimed_ms": 10**30}, "claimed_ms"),
        ({"offset_min": 1441}, "offset_min"),
        ({"author": "owner/Ann"}, "author"),
        ({"author": "superintendent/"}, "author"),
        ({"author": "superintendent/ "}, "author"),
        ({"author": "superintendent/Pat\nDoe"}, "author"),
        ({"author": "superintendent/" + "x" * 200}, "author"),
        ({"author": "crew/Stairs"}, "author"),
        ({"subject": ""}, "subject"),
        ({"subject": "walk:2026-03-04"}, "ubject"),
        ({"subject": "walk:" + "x" * 300}, "subject"),
        ({"body": "\ud800"}, "Envelope"),
        ({"body": ""}, "body"),
        ({"body": "[]"}, "body"),
        ({"body": "{"}, "body"),
        ({"body": '{"day":"2026-03-03"} x'}, "body"),
        ({"body": '{"day":1}'}, "day"),
        ({"body": None}, "body"),
    ],
)
def test_a_malformed_entry_is_refused_naming_the_place(over: dict[str, Any], named: str) -> None:
    assert named in refusal(Entry(**envelope(**over)))


def test_an_envelope_has_all_its_fields_and_no_more() -> None:
    with pytest.raises(EntryMalformed, match="colour"):
        parse_entry(envelope(colour="red"))
    for name in envelope():
        fields = envelope()
        del fields[name]
        with pytest.raises(EntryMalformed, match=name):
            parse_entry(fields)


@pytest.mark.parametrize(
    "day",
    ["2026-3-3", "20260303", "2026-02-30", "0000-01-01", "2026-03-03T00:00", "٢٠٢٦-٠٣-٠٣", "soon"],
)
def test_a_day_is_in_the_calendar(day: str) -> None:
    with pytest.raises(EntryMalformed, match="day"):
        parse_body("walk/1", json.dumps({"day": day}))
    with pytest.raises(EntryMalformed, match="needs_by"):
        parse_body("item/1", encode_body(ItemEntry("", "hall", "stairs", "x", needs_by=day)))


def test_a_day_that_is_needed_is_not_empty() -> None:
    with pytest.raises(EntryMalformed, match="day is empty"):
        parse_body("walk/1", '{"day":""}')
    with pytest.raises(EntryMalformed, match="week is empty"):
        parse_body("letter/1", encode_body(Letter("", "", "", "", "", "")))


@pytest.mark.parametrize("text", ["a\x00b", "a\x1bb", "a\x7fb", "a\x85b", "a\u202eb"])
def test_a_text_holds_no_control_characters(text: str) -> None:
    with pytest.raises(EntryMalformed, match=r"words: holds the control character U\+"):
        parse_body("item/1", encode_body(ItemEntry("", "hall", "stairs", text)))


def test_lines_are_for_texts_of_several_lines() -> None:
    assert parse_body("walk/1", encode_body(Walk("2026-03-03", "one\r\ntwo\tthree")))
    with pytest.raises(EntryMalformed, match="agreed_by"):
        parse_body("act/1", encode_body(Act("accepted_as_is", agreed_by="the\nowner")))


def test_texts_and_lists_are_bounded() -> None:
    words = "x" * (MAX_LONG_TEXT + 1)
    with pytest.raises(EntryMalformed, match="words"):
        parse_body("item/1", encode_body(ItemEntry("", "hall", "stairs", words)))
    with pytest.raises(EntryMalformed, match="room"):
        parse_body("item/1", encode_body(ItemEntry("", "x" * (MAX_TEXT + 1), "stairs", "x")))
    many = ItemEntry("", "hall", "stairs", "x", photos=(SHA,) * (MAX_LIST + 1))
    with pytest.raises(EntryMalformed, match="photos"):
        parse_body("item/1", encode_body(many))
    with pytest.raises(EntryMalformed, match="longer than"):
        parse_body("walk/1", '{"day":"2026-03-03"}' + " " * 2_000_000)
    crowd = Day("2026-03-03", crews=(CrewToday("stairs", 10**17),))
    with pytest.raises(EntryMalformed, match="people"):
        parse_body("day/1", encode_body(crowd))


@pytest.mark.parametrize("depth", [MAX_DEPTH + 1, 900, 100_000])
def test_readings_are_not_nested_without_end(depth: int) -> None:
    nested = "[" * depth + "]" * depth
    body = f'{{"room":"hall","sheet":"stair","instrument":"tape","readings":{{"riser":{nested}}}}}'
    with pytest.raises(EntryMalformed, match="nested"):
        parse_body("check/1", body)


@pytest.mark.parametrize("digest", ["a" * 63, "A" * 64, "../../etc/passwd", "g" * 64])
def test_a_photo_is_named_by_its_digest(digest: str) -> None:
    with pytest.raises(EntryMalformed, match="SHA-256"):
        parse_body("item/1", encode_body(ItemEntry("", "hall", "stairs", "x", photos=(digest,))))


@pytest.mark.parametrize("number", ["31", "P31", "p-31", "P-0", "P-031", "PPPP-1", "P-12345678"])
def test_an_item_number_is_short_and_plain(number: str) -> None:
    with pytest.raises(EntryMalformed, match="P-31"):
        parse_body("item/1", encode_body(ItemEntry(number, "hall", "stairs", "x")))


def test_an_item_says_something() -> None:
    with pytest.raises(EntryMalformed, match="words, a photo or the check"):
        parse_body("item/1", encode_body(ItemEntry("", "hall", "stairs", "  ")))
    for enough in (ItemEntry("", "hall", "stairs", "", photos=(SHA,)),
                   ItemEntry("", "hall", "stairs", "", check=ID)):  # fmt: skip
        assert parse_body("item/1", encode_body(enough)) == enough


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (Act("sent_back"), "reason is empty"),
        (Act("withdrawn", reason=" "), "reason is empty"),
        (Act("accepted_as_is"), "agreed by is empty"),
        (Act("passed_on", reason="theirs"), "trade is empty"),
        (Act("accepted"), "by eye or measured"),
        (Act("accepted", how="call"), "by eye or measured"),
        (Act("accepted", how="measured"), "Name the check"),
        (Act("corrected"), "in person, call or text"),
        (Act("corrected", how="eye"), "in person, call or text"),
        (Act("note", how="call"), "does not belong"),
    ],
)
def test_an_act_says_what_the_record_needs(act: Act, says: str) -> None:
    assert says in refusal(carrying("act/1", act))


def test_an_act_is_about_an_item() -> None:
    act = Act("note", reason="x")
    for subject in ("walk:2026-03-03", "item:x", "item"):
        assert "item" in refusal(carrying("act/1", act, subject=subject))


def test_a_crew_enters_acts_and_photos_alone() -> None:
    for entry_type, body in SAMPLES.items():
        if entry_type in ("act/1", "photo/1"):
            continue
        assert "A crew does not" in refusal(carrying(entry_type, body, author="crew/stairs"))
    assert check_entry(carrying("act/1", Act("corrected"), author="crew/stairs"))
    assert "does not belong" in refusal(
        carrying("act/1", Act("corrected", how="call"), author="crew/stairs")
    )


def test_who_an_author_is() -> None:
    assert (role_of("superintendent/Pat Doe"), trade_of("superintendent/Pat Doe")) == (
        "superintendent", "",
    )  # fmt: skip
    assert (role_of("crew/stairs"), trade_of("crew/stairs")) == ("crew", "stairs")


def test_the_subject_of_each_body() -> None:
    assert {name: subject_of(ID, body) for name, body in SAMPLES.items()} == {
        "house/1": "house", "walk/1": "walk:2026-03-03", "check/1": "check:hall/stair/first-flight",
        "item/1": f"item:{ID}", "act/1": "", "photo/1": f"photo:{SHA}", "day/1": "day:2026-03-03",
        "report/1": "report:punch:2026-03-03:stairs", "letter/1": "letter:2026-03-06",
        "layers/1": "layers:hall", "calculation/1": f"calculation:{ID}",
        "outline/1": "outline:hall",
        "plan/1": "check:hall/floor", "access/1": "access:tablet-1f00", "strike/1": "",
        "instrument/1": "instrument:laser-rod",
        "differs/1": f"differs:{ID}",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("layer", "says"),
    [
        (Layer("pour", "thick"), "Layer 1, pour: .thick. has no number"),
        (Layer("pour", ""), "Nothing was typed"),
        (Layer("finish", "-3/4"), "-3/4 is no thickness"),
        (Layer("finish", "75 in"), "75 in is no thickness"),
        (Layer("tiles", "1/2"), "Invalid enum value"),  # type: ignore[arg-type]
    ],
)
def test_a_layer_has_a_thickness(layer: Layer, says: str) -> None:
    with pytest.raises(EntryMalformed, match=says):
        check_entry(carrying("layers/1", Layers("hall", (layer,))))


def test_a_room_has_no_end_of_layers_refused() -> None:
    many = Layers("hall", (Layer("pour", "1"),) * 21)
    assert "20 is the most" in refusal(carrying("layers/1", many))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"answer": "no JSON"}, "the JSON that its calculation gave"),
        ({"answer": json.dumps(SUM | {"answer": {"point": {"text": 5}}})}, "Expected `str`"),
        ({"answer": json.dumps(SUM | {"steps": "long"})}, "Expected `array`"),
        ({"name": "crown"}, 'of the calculation "dew-point", not of "crown"'),
        ({"of": "house"}, "a check or an item"),
        ({"room": " "}, "room is empty"),
    ],
)
def test_a_kept_sum_holds_what_its_calculation_gave(change: dict[str, str], says: str) -> None:
    body = replace(SAMPLES["calculation/1"], **change)
    assert says in refusal(carrying("calculation/1", body))


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from([*envelope(), "x"]), json_values) | json_values)
@example([])
def test_random_json_is_an_entry_or_malformed(sent: Any) -> None:
    told = envelope() | sent if isinstance(sent, dict) else sent
    with suppress(EntryMalformed):
        check_entry(parse_entry(told))


@given(st.sampled_from(list(BODIES)), st.dictionaries(st.text(max_size=9), json_values, max_size=4))
def test_random_bodies_are_read_or_malformed(entry_type: str, over: dict[str, Any]) -> None:
    sample = json.loads(encode_body(SAMPLES[entry_type]))
    names = list(sample)
    for (name, value), known in zip(over.items(), names * 2, strict=False):
        sample[known if len(name) < 7 else name] = value
    with suppress(EntryMalformed):
        parse_body(entry_type, json.dumps(sample))


@pytest.mark.parametrize(
    ("kind", "change", "says"),
    [
        ("outline/1", {"corners": (("0", "0"), ("1", "1"))}, "three corners or more"),
        ("outline/1", {"cut_outs": ((("0", "0"),),)}, "three corners or more"),
        ("outline/1", {"spacing": "wide"}, "wide"),
        ("plan/1", {"of": "item:x"}, "belongs to a check"),
        ("plan/1", {"answer": "no JSON"}, "the JSON that was offered"),
        ("plan/1", {"answer": "{}"}, "the JSON that was offered"),
    ],
)
def test_a_room_and_a_plan_hold_what_pages_read(kind: str, change: Any, says: str) -> None:
    body = replace(SAMPLES[kind], **change)
    assert says in refusal(carrying(kind, body))
