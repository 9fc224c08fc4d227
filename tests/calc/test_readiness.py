"""Who may start: the order of trades against checks and items."""

import dataclasses
from dataclasses import dataclass, field
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc import readiness
from fieldlog.calc.house import House, PlannedCheck, Room, Story, Trade
from fieldlog.calc.toml_text import DataFileError
from fieldlog.calc.trade_order import parse_sequence

TITLES = {
    "floor": readiness.AboutSheet("Floor flatness", frozenset({"released"})),
    "trim": readiness.AboutSheet("Base and casing"),
}
FLOOR = PlannedCheck("floor")
HOUSE = House(
    name="Mill",
    zone="America/New_York",
    superintendent="Wren",
    stories=(Story("low", "Low floor"),),
    rooms=(
        Room("shop", "Shop", "low", checks=(FLOOR, PlannedCheck("trim", "Door"))),
        Room("hall", "Hall", "low"),
    ),
    trades=(
        Trade("stair", "Stair crew"),
        Trade("floor", "Floor crew"),
        Trade("plank", "Plank crew"),
        Trade("paint", "Paint crew"),
    ),
    books=(),
    instruments=(),
)
TEXT = """
id = "t"
title = "Test order"
source = "common practice"
verified = "common practice"
[[step]]
trade = "floor"
why = "First."
[[step]]
trade = "plank"
needs = ["floor"]
why = "Flat."
[[step]]
trade = "nobody"
why = "Not in the house."
[[step]]
trade = "paint"
needs = ["trim"]
why = "Last."
"""
SEQUENCE = parse_sequence(TEXT)


@dataclass(frozen=True)
class Check:
    verdict: str
    rules: list[dict[str, Any]] = field(default_factory=list)
    missing: int = 0
    id: str = "c1"
    room: str = "shop"
    key: str = "floor"
    place: str = ""

    @property
    def sheet(self) -> str:
        return self.key.partition("/")[0]

    @property
    def judgement(self) -> dict[str, Any]:
        findings = [
            {"mark": r["verdict"], "plain": r["plain"], "head": f"{r['rule']} is off."}
            for r in self.rules
        ]
        if self.missing:
            findings.append({"mark": "not_measured", "plain": None, "head": "Slope is missing."})
        counts = {"not_measured": self.missing}
        return {"rules": self.rules, "findings": findings, "counts": counts}


@dataclass(frozen=True)
class Item:
    trade: str = "floor"
    kind: str = "holds"
    state: str = "open"
    check: str = ""
    rules: tuple[str, ...] = ()
    id: str = "i1"
    number: str = "P-7"
    room: str = "shop"
    words: str = "Floor not flat enough"


def rule(verdict: str, plain: str | None = None, name: str = "gap") -> dict[str, Any]:
    return {"rule": name, "verdict": verdict, "plain": plain or verdict}


def gate_of(trade, checks=(), items=(), room="shop"):
    found = readiness.gates(SEQUENCE, HOUSE, checks, items, TITLES)[room]
    return next(g for g in found if g.trade == trade)


def test_the_packaged_order_loads_and_cites_its_source():
    text = files("fieldlog").joinpath("sequences/finish.toml").read_text("utf-8")
    order = parse_sequence(text, "finish.toml")
    assert order.source == "common practice"
    assert next(s for s in order.step if s.trade == "plank").needs == ("floor", "slab", "wood")


def test_a_needed_check_not_measured_holds_and_says_which():
    gate = gate_of("plank")
    assert gate.held
    assert gate.reasons[0].text == "Floor flatness: not measured yet."
    assert gate.reasons[0].key == "floor"


def test_where_nothing_is_planned_nothing_holds():
    assert not gate_of("plank", room="hall").held


def test_a_pass_releases():
    assert not gate_of("plank", [Check("pass", [rule("pass")])]).held


def test_a_fail_holds_with_its_sentence():
    gate = gate_of("plank", [Check("fail", [rule("fail"), rule("fail", name="slope")])])
    assert gate.reasons[0].text == "Floor flatness: gap is off. And 1 more."
    assert gate.reasons[0].release == "Correct it, then measure again."


def test_what_only_waits_for_a_name_is_released_not_measured_again():
    nobody = rule("fail", name="name") | {"quantity": "released"}
    photos = rule("fail", name="photos") | {"quantity": "photos"}
    for missing, release in (
        ([nobody], "Release it."),
        ([nobody, photos], "Add its photos, then release it."),
        ([nobody, rule("fail") | {"quantity": "seats"}], "Correct it, then measure again."),
        ([photos], "Correct it, then measure again."),
    ):
        reason = gate_of("plank", [Check("fail", missing)]).reasons[0]
        assert reason.release == release
        assert reason.by_name == ("elease it" in release)


def test_too_close_on_the_passing_side_holds_nobody():
    assert not gate_of("plank", [Check("too_close", [rule("too_close", "pass")])]).held


def test_too_close_on_the_failing_side_holds():
    gate = gate_of("plank", [Check("too_close", [rule("too_close", "fail")])])
    assert "finer tool" in gate.reasons[0].release


def test_a_close_pass_does_not_hide_what_was_not_measured():
    gate = gate_of("plank", [Check("too_close", [rule("too_close", "pass")], missing=1)])
    assert gate.reasons[0].text == "Floor flatness: Slope is missing."


def test_a_check_that_nobody_planned_holds_who_needs_it_if_it_fails():
    for checks, held in (
        ([Check("fail", [rule("fail")], room="hall")], True),
        ([Check("pass", [rule("pass")], room="hall")], False),
        ([Check("not_measured", missing=1, room="hall")], False),
        ([Check("fail", [rule("fail")], room="hall", key="air")], False),
    ):
        assert gate_of("plank", checks, room="hall").held is held
        assert not gate_of("paint", checks, room="hall").held


def test_a_safety_limit_that_fails_holds_whom_its_item_would_planned_or_not():
    def held(*checks, items=()):
        found = readiness.gates(SEQUENCE, HOUSE, checks, items, TITLES)["hall"]
        return [gate.trade for gate in found if gate.held]

    def guard(verdict="fail", trade="floor", kind="safety", **more):
        rules = [rule(verdict, **more) | {"kind": kind, "trade": trade}]
        return Check(verdict, rules, room="hall", key="guard/deck", place="Deck")

    assert held(guard()) == ["plank", "paint"]
    assert held(guard(trade="plank")) == ["paint"]
    assert held(guard(trade="ironwork")) == ["floor", "plank", "paint"]
    assert held(guard(kind="contract")) == []
    assert held(guard("too_close", plain="pass")) == []
    given = Item(kind="safety", check="c1", rules=("gap",), room="hall")
    assert held(guard(), items=[given]) == ["plank", "paint"]
    assert held(guard(), items=[dataclasses.replace(given, state="accepted_as_is")]) == []
    reason = gate_of("paint", [guard()], room="hall").reasons[0]
    assert (reason.text, reason.check) == ("guard, deck: gap is off.", "c1")
    assert reason.short == "An earlier crew's work is not accepted yet."


def test_what_a_step_heeds_holds_only_where_it_fails_and_only_by_its_part():
    text = TEXT.replace('needs = ["floor"]', 'heeds = ["trim.wide"]')
    order = parse_sequence(text)
    for name, held in (("trim.wide-1", True), ("trim.deep", False), ("", False)):
        checks = [Check("fail", [rule("fail", name=name)], key="trim/door")] if name else []
        found = readiness.gates(order, HOUSE, checks, [], TITLES)["shop"]
        assert next(g for g in found if g.trade == "plank").held is held


def test_a_failing_check_and_its_item_are_one_reason():
    checks = [Check("fail", [rule("fail")])]
    gate = gate_of("plank", checks, [Item(check="c1", rules=("gap",))])
    assert len(gate.reasons) == 1
    assert gate.reasons[0].release == "Correct P-7, then measure again."
    assert gate.reasons[0].items == ("i1",)


def test_as_is_releases_what_it_covers_only():
    item = Item(state="accepted_as_is", check="c1", rules=("gap",))
    assert not gate_of("plank", [Check("fail", [rule("fail")])], [item]).held
    more = [Check("fail", [rule("fail"), rule("fail", name="slope")])]
    assert gate_of("plank", more, [item]).held


def test_accepted_by_eye_does_not_release_a_failing_check():
    item = Item(state="accepted", check="c1", rules=("gap",))
    assert gate_of("plank", [Check("fail", [rule("fail")])], [item]).held


@pytest.mark.parametrize("state", ["open", "corrected"])
@pytest.mark.parametrize("kind", ["safety", "holds"])
def test_an_earlier_trades_serious_item_holds_until_accepted(state, kind):
    gate = gate_of("plank", [Check("pass")], [Item(state=state, kind=kind)])
    assert gate.reasons[0].text == "P-7 Floor not flat enough."
    assert "Floor crew" in gate.reasons[0].release
    for done in ("accepted", "accepted_as_is", "withdrawn"):
        assert not gate_of("plank", [Check("pass")], [Item(state=done, kind=kind)]).held


@pytest.mark.parametrize(
    "item",
    [
        Item(kind="contract"),
        Item(kind="ours"),
        Item(kind=""),
        Item(trade="paint"),
        Item(trade="plank"),
        Item(room="hall"),
    ],
)
def test_what_is_not_serious_earlier_or_here_holds_nobody(item):
    assert not gate_of("plank", [Check("pass")], [item]).held


def test_a_trade_the_house_does_not_have_is_passed_over():
    found = readiness.room_gates(SEQUENCE, HOUSE, HOUSE.rooms[0], [], [], TITLES)
    assert [g.trade for g in found] == ["floor", "plank", "paint"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (('needs = ["floor"]', 'need = ["floor"]'), 'line 11: unknown key "need"'),
        (('source = "common practice"\n', ""), '"source" is missing'),
        (('source = "common practice"', 'source = " "'), 'line 4: "source" is empty'),
        (('"plank"', '"floor"'), 'line 10: trade "floor" is there twice'),
        (('why = "Flat."', "why = 7.75"), "line 12: 7.75 is a float"),
        (('trade = "plank"', 'trade = ""'), "line 10: a step needs"),
        (("[[step]]", "[[step"), "line 6"),
    ],
)
def test_a_malformed_order_refuses_to_load_and_says_where(change, says):
    with pytest.raises(DataFileError) as caught:
        parse_sequence(TEXT.replace(*change), "finish.toml")
    assert says in str(caught.value)
    assert "finish.toml" in str(caught.value)


@given(
    st.lists(st.sampled_from(["pass", "fail", "too_close"]), max_size=4),
    st.lists(st.sampled_from(["pass", "fail"]), max_size=4),
    st.booleans(),
)
def test_a_gate_opens_exactly_when_nothing_is_over_or_missing(verdicts, plains, missing):
    rules = [rule(v, p if v == "too_close" else v) for v, p in zip(verdicts, plains, strict=False)]
    over = any(r["verdict"] == "fail" or r["plain"] == "fail" for r in rules)
    gate = gate_of("plank", [Check("pass", rules, missing=int(missing))])
    assert gate.held == (over or missing)


def test_what_a_crew_reads_has_no_other_crews_numbers_or_items():
    checks = [Check("fail", [rule("fail")])]
    gate = gate_of("plank", checks, [Item(), Item(id="i2", check="c1", rules=("gap",))])
    assert [r.short for r in gate.reasons] == [
        "Floor flatness: does not pass yet.",
        "An earlier crew's work is not accepted yet.",
    ]
