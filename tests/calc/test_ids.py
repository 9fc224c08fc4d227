"""Ids against RFC 9562: its own example, the fields' places, and the order in time."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.ids import is_id, new_id

TIMES = st.datetimes(datetime(1970, 1, 1), datetime(9999, 1, 1), timezones=st.just(UTC))
TEN = st.binary(min_size=10, max_size=10)


def test_the_example_of_rfc_9562_appendix_a_6() -> None:
    now = datetime(2022, 2, 22, 14, 22, 22, tzinfo=UTC) + timedelta(hours=5)
    random = (0xCC3 << 62 | 0x18C4DC0C0C07398F).to_bytes(10)
    assert new_id(now, random) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(TIMES, TEN)
def test_every_id_is_version_7_of_the_rfc_variant(now: datetime, random: bytes) -> None:
    made = UUID(new_id(now, random))
    assert (made.version, made.variant) == (7, "specified in RFC 4122")
    assert is_id(str(made))


@given(TIMES, TEN, TEN)
def test_a_later_millisecond_sorts_later(now: datetime, early: bytes, late: bytes) -> None:
    assert new_id(now, early) < new_id(now + timedelta(milliseconds=1), late)


@given(TIMES, TEN, TEN)
def test_74_random_bits_count(now: datetime, one: bytes, other: bytes) -> None:
    used = (1 << 74) - 1
    same = int.from_bytes(one) & used == int.from_bytes(other) & used
    assert (new_id(now, one) == new_id(now, other)) is same


@pytest.mark.parametrize(
    ("now", "random"),
    [
        (datetime(2026, 3, 3), bytes(10)),
        (datetime(2026, 3, 3, tzinfo=UTC), bytes(9)),
        (datetime(1969, 12, 31, tzinfo=UTC), bytes(10)),
    ],
)
def test_a_naive_time_too_few_bytes_and_a_time_before_1970_are_refused(
    now: datetime, random: bytes
) -> None:
    with pytest.raises(ValueError, match="an id"):
        new_id(now, random)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "x",
        "017F22E2-79B0-7CC3-98C4-DC0C0C07398F",
        "017f22e2-79b0-4cc3-98c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-78c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f\n",
        "017f22e279b07cc398c4dc0c0c07398f",
    ],
)
def test_other_texts_are_no_ids(text: str) -> None:
    assert not is_id(text)
