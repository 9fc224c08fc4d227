"""The chain's value is worked out again here from its description, by other means."""

from __future__ import annotations

import hashlib
import json

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldlog.calc import chain
from fieldlog.calc.entries import Entry

A = Entry(
    id="019cb3ff-9f00-7000-8000-000000000001",
    job="019cb3ff-9f00-7000-8000-000000000000",
    device="office",
    device_seq=7,
    claimed_ms=1772547300000,
    offset_min=-360,
    author="superintendent/Zoë",
    type="walk/1",
    subject="walk:2026-03-03",
    seen="",
    body='{"day":"2026-03-03","note":"½"}',
)


def by_hand(previous: str, seq: int, received: str, entry: Entry, judgement: str) -> str:
    """The description at the top of calc/chain.py, written as plainly as can be."""
    members = [
        previous, str(seq), received, entry.id, entry.job, entry.device, str(entry.device_seq),
        str(entry.claimed_ms), str(entry.offset_min), entry.author, entry.type, entry.subject,
        entry.seen, hashlib.sha256(entry.body.encode("utf-8")).hexdigest(),
        hashlib.sha256(judgement.encode("utf-8")).hexdigest(),
    ]  # fmt: skip
    written = b"".join(
        str(len(m.encode("utf-8"))).encode() + b":" + m.encode("utf-8") for m in members
    )
    return hashlib.sha256(written).hexdigest()


def test_a_link_is_what_its_description_says() -> None:
    value = chain.link(chain.START, 1, "2026-03-03T14:15:00Z", A, '{"verdict":"pass"}')
    assert value == by_hand("0" * 64, 1, "2026-03-03T14:15:00Z", A, '{"verdict":"pass"}')


def test_a_known_value_stays_what_it_is() -> None:
    """A change here would make every journal written so far look forged."""
    assert chain.hash_list(["ab", "", "c"]) == hashlib.sha256(b"2:ab0:1:c").hexdigest()
    assert chain.link(chain.START, 1, "2026-03-03T14:15:00Z", A, "") == (
        "bb4787f788cc64dfe37792a7557d0d7bc4e09e42932f6234473a95f931916a9c"
    )


def test_every_field_is_in_the_hash() -> None:
    seen = {chain.link(chain.START, 1, "t", A, "")}
    for name in A.__struct_fields__:
        value = getattr(A, name)
        other = value + 1 if isinstance(value, int) else value + "x"
        changed = replace(A, **{name: other})
        seen.add(chain.link(chain.START, 1, "t", changed, ""))
    seen.add(chain.link("1" * 64, 1, "t", A, ""))
    seen.add(chain.link(chain.START, 2, "t", A, ""))
    seen.add(chain.link(chain.START, 1, "u", A, ""))
    seen.add(chain.link(chain.START, 1, "t", A, "j"))
    assert len(seen) == 1 + len(A.__struct_fields__) + 4


@given(st.lists(st.text(), max_size=5), st.lists(st.text(), max_size=5))
def test_two_lists_never_hash_alike(one: list[str], other: list[str]) -> None:
    assert (chain.hash_list(one) == chain.hash_list(other)) == (one == other)


def test_a_resent_entry_is_told_from_another_one() -> None:
    again = replace(A, device_seq=9, claimed_ms=0, offset_min=0, seen=A.job)
    assert chain.content(again) == chain.content(A)
    for name in ("author", "type", "subject", "body", "job"):
        assert chain.content(replace(A, **{name: "x"})) != chain.content(A)


def test_a_refusal_is_compact_json() -> None:
    assert json.loads(chain.refusal('no "½"')) == {"refused": 'no "½"'}
    assert chain.refusal("no").startswith('{"refused":')
