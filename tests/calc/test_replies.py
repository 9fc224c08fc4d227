"""A crew's reply by text: which numbers it names, and when they may be ticked beforehand."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.calc.replies import MOST, read_reply


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("12, 14 done", (12, 14)),
        ("12 14", (12, 14)),
        ("Done: P-12, p14 and #3.", (12, 14, 3)),
        ("12\n14\n12", (12, 14)),
        ("12 y 14 listos", (12, 14)),
    ],
)
def test_plain_replies_are_sure(text: str, counts: tuple[int, ...]) -> None:
    reply = read_reply(text)
    assert tuple(one.number for one in reply.named) == counts
    assert reply.sure


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("14 not done", (14,)),
        ("12 no", (12,)),
        ("2 guys did 12", (2, 12)),
        ("is 12 done?", (12,)),
        ("12-14 done", (12, 13, 14)),
        ("14 to 12", (12, 13, 14)),
        ("12 done, 3/4 left", (12,)),
        ("12 done at 4:30", (12,)),
        ("1-1000", (1, 1000)),
        ("12, call 5551234567", (12,)),
        ("done", ()),
        ("", ()),
    ],
)
def test_anything_more_is_only_offered(text: str, counts: tuple[int, ...]) -> None:
    reply = read_reply(text)
    assert tuple(one.number for one in reply.named) == counts
    assert not reply.sure


@pytest.mark.parametrize(
    ("text", "named", "sure"),
    [
        ("TS-1 done", [("TS", 1)], True),
        ("ts-1, Ts1 and p-12", [("TS", 1), ("P", 12)], True),
        ("ts - 1 ok, 1 ok", [("TS", 1), ("", 1)], True),
        ("TS-1 TS-2", [("TS", 1), ("TS", 2)], True),
        ("TS-1 to TS-3", [("TS", 1), ("TS", 2), ("TS", 3)], False),
        ("ts-1-3", [("TS", 1), ("TS", 2), ("TS", 3)], False),
        ("TS-1 to P-3", [("TS", 1), ("P", 3)], False),
        ("QX-4 done", [("", 4)], False),
        ("bolts-1 done", [("", 1)], False),
        ("stop 3", [("", 3)], False),
    ],
)
def test_a_tablets_own_numbers_are_read(
    text: str, named: list[tuple[str, int]], sure: bool
) -> None:
    reply = read_reply(text, ("P", "TS"))
    assert (list(reply.named), reply.sure) == (named, sure)


@settings(max_examples=40)
@given(st.text(max_size=300))
def test_any_text_is_read(text: str) -> None:
    reply = read_reply(text)
    assert len(reply.named) == len(set(reply.named)) <= MOST
    assert all(0 <= one.number < 10**6 for one in reply.named)
