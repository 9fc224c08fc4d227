"""Whatever is posted to a form here gets a page that says something: never a fault, no trace."""

from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

OPEN_STAIR = {
    "open_riser": "yes", "riser": ["7 1/2"] * 9, "tread": ["10 1/2"] * 8,
    "tread_thickness": "3", "headroom": "7 ft", "width_above_rail": "38",
    "width_at_rail": "33", "landing_depth": "38",
}  # fmt: skip

NAMES = [
    "entry_id", "seen", "kept", "trade", "words", "phrase", "wall", "needs_by", "act", "how",
    "damaged_by_other", "reason", "agreed_by", "caption", "weather", "people-paint", "did-paint",
    "deliveries", "delays", "note", "greeting", "finished", "need_from_you", "next_up", "closing",
    "photos", "do", "anyway",
]  # fmt: skip
ACTS = ["corrected", "accepted", "accepted_as_is", "sent_back", "withdrawn", "not_ours",
        "passed_on", "note", "opened"]  # fmt: skip
VALUES = st.one_of(
    st.text(max_size=40),
    st.sampled_from(["", "paint", "trim", "A", "2026-03-09", "in person", "fix", "save", "Scratch",
                     "019cb40d-5aa0-7b4c-b755-8eb054bc3e97", "0" * 64, "x" * 9000, "\x00", "\ud800",
                     *ACTS]),
)  # fmt: skip
FORMS = st.dictionaries(st.sampled_from(NAMES), st.lists(VALUES, max_size=3), max_size=9)
FILES = st.one_of(st.none(), st.binary(max_size=200), st.just(b"\xff\xd8\xff\xe0" + b"\x00" * 90))


def sendable(form: dict[str, list[str]]) -> dict[str, list[str]]:
    """A browser cannot send half a surrogate pair; what arrives instead is a question mark."""
    return {k: [v.encode("utf-8", "replace").decode() for v in vs] for k, vs in form.items()}


@pytest.fixture
def urls(small_house):
    check = small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    item = small_house.opens_item("closet", "paint", "Scratch")
    return [
        "/rooms/closet/items/new", f"/items/{item}/acts", f"/crews/paint/items/{item}",
        f"/checks/{check}/give", f"/checks/{check}/accept", "/rooms/closet/photos",
        "/day/2026-03-03", "/reports/weekly/2026-03-06", "/reports/daily/2026-03-03/issue",
        f"/entries/{item}/strike",
    ]  # fmt: skip


@settings(
    max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], print_blob=True
)
@given(data=st.data(), form=FORMS, file=FILES)
def test_any_form_gets_an_answer(superintendent, small_house, urls, data, form, file):
    url = data.draw(st.sampled_from(urls))
    token = superintendent.opens("/day/2026-03-03").fields["csrf_token"]
    sent = {**sendable(form), "csrf_token": token}
    if data.draw(st.booleans()):
        sent["entry_id"] = small_house.new_id()
    if file is not None:
        sent["photo"] = (BytesIO(file), "p.jpg")
    page = superintendent.sends(url, sent, follow=False)
    assert page.status in (200, 302, 403, 404, 409, 422), (url, sent)
    assert "Traceback" not in page.html


@settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], print_blob=True
)
@given(
    path=st.sampled_from(
        ["/punch?{}", "/next?trade={}", "/crews/{}", "/crews/paint?from={}&done={}", "/items/{}",
         "/day/{}", "/photos/{}", "/photos/{}/320", "/reports/daily/{}", "/reports/weekly/{}",
         "/reports/punch/{}", "/entries/{}/strike", "/rooms/closet/items/new?done={}"]
    ),
    word=st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
)  # fmt: skip
def test_any_address_gets_a_page(superintendent, path, word):
    from urllib.parse import quote

    page = superintendent.opens(path.format(*[quote(word, safe="")] * 2))
    assert page.status in (200, 308, 404)
    assert "Traceback" not in page.html
