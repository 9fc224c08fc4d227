"""The transition table and the fold of a punch item."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc import items
from fieldlog.calc.entries import ActName
from fieldlog.calc.items import Event, fold

OPENED = Event("o", "opened", "superintendent", "2026-03-02", trade="stairs")


def by_pat(act: str, **more: str) -> Event:
    return Event(act, act, "superintendent", "2026-03-03", **more)


def by_crew(act: str, crew: str = "stairs", **more: str) -> Event:
    return Event(act, act, "crew", "2026-03-03", crew=crew, **more)


def test_the_table_has_every_act_once() -> None:
    assert [row.act for row in items.TABLE] == list(get_args(ActName))
    for row in items.TABLE:
        assert set(row.states) <= set(items.STATES)
        assert row.to in ("", *items.STATES)
        assert set(row.roles) <= set(items.EVERYONE)


def test_only_the_superintendent_accepts() -> None:
    for row in items.TABLE:
        if row.to in (items.ACCEPTED, items.AS_IS, items.WITHDRAWN):
            assert row.roles == (items.SUPERINTENDENT,)
    assert items.allowed_acts("open", "crew") == ("corrected", "not_ours", "note")
    assert items.allowed_acts("corrected", "crew") == ("note",)
    assert "accepted" in items.allowed_acts("open", "superintendent")
    assert items.allowed_acts("withdrawn", "superintendent") == ("note",)


def test_an_item_runs_the_whole_way() -> None:
    state = fold([
        OPENED, by_crew("corrected"), by_pat("sent_back", reason="still 4 1/2 in"),
        by_crew("corrected"), by_pat("accepted"),
    ])  # fmt: skip
    assert state.state == "accepted"
    assert [line.effect for line in state.lines] == [True] * 5


def test_sent_back_is_open_with_a_reason() -> None:
    state = fold([OPENED, by_crew("corrected"), by_pat("sent_back", reason="no")])
    assert (state.state, state.sent_back, state.last_reason) == ("open", True, "no")
    assert state.state_day == "2026-03-03"
    assert not fold([OPENED, by_crew("corrected")]).sent_back


@pytest.mark.parametrize(
    ("event", "why"),
    [
        (by_crew("accepted"), "a crew cannot enter accepted"),
        (by_crew("corrected", crew="paint"), "another crew's"),
        (by_pat("sent_back"), "the item was open"),
        (by_pat("passed_on", trade="stairs"), "that crew's already"),
        (by_pat("note", struck="slip"), "struck through"),
    ],
)
def test_an_act_without_effect_says_why(event: Event, why: str) -> None:
    state = fold([OPENED, event])
    assert state.lines[1].effect is False
    assert why in state.lines[1].why
    assert state.state == "open"


def test_an_act_on_no_item_has_no_effect() -> None:
    state = fold([by_crew("corrected"), OPENED])
    assert state.lines[0].why == "there was no such item"
    assert (state.state, state.opened) == ("open", True)


def test_a_struck_item_takes_no_more_acts() -> None:
    struck = Event("o", "opened", "superintendent", "2026-03-02", trade="stairs", struck="twice")
    state = fold([struck, by_crew("corrected")])
    assert state.struck == "twice"
    assert state.lines[1].why == "the item is struck through"


def test_a_struck_act_is_as_if_it_had_not_been() -> None:
    struck = by_pat("accepted", struck="wrong item")
    state = fold([OPENED, struck, by_crew("corrected")])
    assert state.state == "corrected"
    assert state.lines[1].why == "struck through"


def test_not_ours_and_passed_on() -> None:
    said = fold([OPENED, by_crew("not_ours", reason="the painters did")])
    assert (said.state, said.not_ours, said.trade) == ("open", "the painters did", "stairs")
    passed = fold([
        OPENED, by_crew("not_ours", reason="x"), by_pat("passed_on", trade="paint"),
        by_crew("corrected"), by_crew("corrected", crew="paint"),
    ])  # fmt: skip
    assert (passed.trade, passed.not_ours, passed.state) == ("paint", "", "corrected")
    assert [line.effect for line in passed.lines] == [True, True, True, False, True]


def test_a_clash_is_an_unseen_head() -> None:
    assert items.is_clash("", "a")
    assert not items.is_clash("a", "a")
    assert not items.is_clash("", "")


events = st.builds(
    Event,
    id=st.uuids().map(str),
    act=st.sampled_from([row.act for row in items.TABLE]),
    role=st.just("superintendent"),
    day=st.just("2026-03-03"),
    trade=st.sampled_from(["", "stairs", "paint"]),
    struck=st.sampled_from(["", "", "slip"]),
) | st.builds(
    Event,
    id=st.uuids().map(str),
    act=st.sampled_from([row.act for row in items.TABLE]),
    role=st.just("crew"),
    day=st.just("2026-03-03"),
    crew=st.sampled_from(["stairs", "paint"]),
)


@given(st.lists(events, max_size=12))
def test_what_has_no_effect_changes_nothing(told: list[Event]) -> None:
    whole = fold([OPENED, *told])
    effective = [e for e, line in zip([OPENED, *told], whole.lines, strict=True) if line.effect]
    shorter = fold(effective)
    assert all(line.effect for line in shorter.lines)
    for name in ("state", "trade", "sent_back", "not_ours", "state_day", "last_reason"):
        assert getattr(whole, name) == getattr(shorter, name)


@given(st.lists(events, max_size=12))
def test_a_crew_alone_never_finishes_an_item(told: list[Event]) -> None:
    state = fold([OPENED, *(e for e in told if e.role == "crew")])
    assert state.state in items.UNFINISHED
