"""The expression language: what it lets in, and what it makes of gaps, lists and truths."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.evaluate import evaluate
from fieldlog.calc.expressions import ExpressionError, names_in, parse
from fieldlog.calc.values import (
    AWAY,
    FALL,
    GAP,
    RISE,
    Away,
    Element,
    Many,
    Number,
    Text,
    Truth,
    Value,
    elements,
)

VECTORS = json.loads(
    (Path(__file__).parent.parent / "vectors" / "expressions.json").read_text(encoding="utf-8")
)


class Given:
    """An environment with the values of one test."""

    def __init__(self, values: dict[str, Value]) -> None:
        self.values = values

    def quantity(self, name: str) -> Value:
        return self.values[name]

    def limit(self, rule: str) -> Value:
        return self.values[f"limit:{rule}"]

    def applies(self, rule: str) -> Value:
        return self.values[f"applies:{rule}"]


def element(raw: Any, name: str, index: int) -> Element:
    """A vector's value: text is a number, true/false a truth, null a gap, "away" left out."""
    if isinstance(raw, bool):
        return Truth(raw)
    if raw is None:
        return GAP
    if raw == "?":
        return Truth(None)
    if isinstance(raw, dict):
        return Text(raw["text"])
    return Number(Fraction(raw), {(name, index, -1): Fraction(1)})


def value(raw: Any, name: str) -> Value:
    if isinstance(raw, list):
        return Many(tuple(element(r, name, n) for n, r in enumerate(raw)))
    return element(raw, name, 0)


def shown(found: Element) -> Any:
    """An element as a vector writes it: value, and what a gap may do."""
    if isinstance(found, Away):
        return "away"
    if isinstance(found, Number):
        if found.value is None:
            return None
        marks = {0: "", RISE: " may rise", FALL: " may fall", RISE | FALL: " may rise or fall"}
        return f"{found.value}{marks[found.may]}"
    return "?" if found.value is None else found.value


def kind(raw: Any) -> Any:
    sample = next((r for r in raw if r is not None), "0") if isinstance(raw, list) else raw
    if isinstance(sample, bool) or sample == "?":
        return "truth"
    return "text" if isinstance(sample, dict) else 0


@pytest.mark.parametrize("case", VECTORS["cases"], ids=[c["id"] for c in VECTORS["cases"]])
def test_vectors(case: dict[str, Any]) -> None:
    given_ = {name: value(raw, name) for name, raw in case["given"].items()}
    named = {"length": 1}
    kinds = {n: named.get(k, k) for n, k in case.get("kinds", {}).items()}
    tree, _ = parse(case["expression"], {n: kind(r) for n, r in case["given"].items()} | kinds)
    if "tree" in case:
        assert tree == case["tree"]
    found = evaluate(tree, Given(given_))
    assert json.loads(json.dumps(tree)) == tree, "a tree is plain JSON"
    if isinstance(case["gives"], list):
        assert isinstance(found, Many)
        assert [shown(e) for e in found.items] == case["gives"]
    else:
        assert shown(elements(found)[0]) == case["gives"]
    if "hangs_on" in case:
        number = elements(found)[0]
        assert isinstance(number, Number)
        hangs = {f"{k[0]} {k[1]}": str(c) for k, c in number.sens.items()}
        assert hangs == case["hangs_on"]


def test_the_vector_file_says_how_many_it_has() -> None:
    assert VECTORS["count"] == len(VECTORS["cases"]) >= 60
    assert len({c["id"] for c in VECTORS["cases"]}) == VECTORS["count"]


@pytest.mark.parametrize("case", VECTORS["refused"], ids=[c["id"] for c in VECTORS["refused"]])
def test_refused(case: dict[str, str]) -> None:
    kinds = {"a": 1, "b": 1, "n": 0, "yes": "truth", "shape": "text", "levels": "grid"}
    with pytest.raises(ExpressionError, match=case["says"]):
        parse(case["expression"], kinds)  # type: ignore[arg-type]


def test_refuses_what_is_too_long_or_too_deep() -> None:
    with pytest.raises(ExpressionError, match="500 at most"):
        parse("a" * 501, {"a": 1})
    with pytest.raises(ExpressionError, match="nested deeper"):
        parse("-" * 30 + "a", {"a": 1})


def test_names_are_listed_once_in_order() -> None:
    tree, _ = parse("max(b - a, a) + b", {"a": 1, "b": 1})
    assert names_in(tree) == ("b", "a")


@given(st.text(max_size=60))
def test_any_text_is_parsed_or_refused_with_a_sentence(text: str) -> None:
    said = "parsed"
    try:
        parse(text, {"a": 1, "b": 1})
    except ExpressionError as err:
        said = str(err)
    assert said


numbers = st.fractions(min_value=-1000, max_value=1000, max_denominator=64)
places = st.lists(st.one_of(st.none(), numbers), min_size=1, max_size=6)


@given(places, st.data())
def test_a_gap_never_hides_a_larger_or_smaller_one(
    raw: list[Fraction | None], data: st.DataObject
) -> None:
    """Whatever the blank places turn out to be, the marks on max, min and spread were right."""
    filled = [data.draw(numbers) if r is None else r for r in raw]
    known = [r for r in raw if r is not None]
    for formula, true in (
        ("max(a)", max(filled)),
        ("min(a)", min(filled)),
        ("spread(a)", max(filled) - min(filled)),
    ):
        tree, _ = parse(formula, {"a": 0})
        found = evaluate(tree, Given({"a": value([r if r is None else str(r) for r in raw], "a")}))
        assert isinstance(found, Number)
        if not known:
            assert found.value is None
            continue
        assert found.value is not None
        if true > found.value:
            assert found.may & RISE
        if true < found.value:
            assert found.may & FALL
        if len(known) == len(raw):
            assert found.value == true
            assert not found.may


@given(places)
def test_sums_and_means_over_a_gap_are_not_measured(raw: list[Fraction | None]) -> None:
    for formula in ("sum(a)", "mean(a)"):
        tree, _ = parse(formula, {"a": 0})
        found = evaluate(tree, Given({"a": value([r if r is None else str(r) for r in raw], "a")}))
        assert isinstance(found, Number)
        assert (found.value is None) == (None in raw)


def test_what_is_left_out_is_no_gap() -> None:
    tree, _ = parse("max(where(yes, a))", {"yes": "truth", "a": 0})
    away = Many((Truth(False), Truth(False)))
    found = evaluate(tree, Given({"yes": away, "a": value(["1", "2"], "a")}))
    assert found == AWAY
