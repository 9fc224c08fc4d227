"""Sentences are data: they count, they tell days and times at the house, none is missing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from fieldlog.calc.items import STATES, TABLE
from fieldlog.reports.phrases import OUTCOMES
from fieldlog.reports.words import Words, WordsMissing, words

W = words()
ROOT = Path(__file__).parents[2]
CALLS = re.compile(r'\bsay\(\s*"([a-z_.]+)"\s*[,)]')


@pytest.mark.parametrize(
    ("n", "said"), [(0, "Nothing to do"), (1, "1 to do"), (2, "2 to do"), (11, "11 to do")]
)
def test_a_counted_sentence_follows_its_number(n: int, said: str) -> None:
    assert W.say("punch.open", n=n) == said


def test_names_are_joined_as_one_writes_them() -> None:
    assert W.join([]) == ""
    assert W.join(["a"]) == "a"
    assert W.join(["a", "b"]) == "a and b"
    assert W.join(["a", "b", "c"]) == "a, b and c"


@pytest.mark.parametrize(
    ("received", "said"),
    [
        ("2026-03-03T15:12:00Z", "Tue Mar 3, 8:12 am"),
        ("2026-03-04T06:59:59Z", "Tue Mar 3, 11:59 pm"),
        ("2026-03-03T19:05:00Z", "Tue Mar 3, 12:05 pm"),
        ("2026-07-04T06:05:00Z", "Sat Jul 4, 12:05 am"),
    ],
)
def test_times_are_told_in_the_houses_zone(received: str, said: str) -> None:
    assert W.when(received, "America/Denver") == said


def test_days_are_told_in_full_and_short() -> None:
    assert W.long_day("2026-03-03") == "Tuesday, March 3, 2026"
    assert W.short_day("2026-03-03") == "Tue Mar 3"
    assert W.letter_day("2026-03-06") == "March 6, 2026"
    assert W.letter_weekday("2026-03-06") == "Friday, March 6"


def test_a_sentence_that_is_not_there_is_an_error_that_names_it() -> None:
    with pytest.raises(WordsMissing, match=r"letter\.nowhere"):
        W.say("letter.nowhere")
    with pytest.raises(WordsMissing, match="letter"):
        W.say("letter")
    with pytest.raises(WordsMissing, match="count"):
        Words({"count": {"one": "1"}}).say("count", n=2)


def test_every_sentence_that_is_asked_for_is_there() -> None:
    sources = [*(ROOT / "fieldlog/reports").glob("*.py"), *(ROOT / "templates/reports").glob("*")]
    asked = {key for path in sources for key in CALLS.findall(path.read_text())}
    assert len(asked) > 50
    missing = {key for key in asked if not W.has(key)}
    assert not missing


def test_every_act_state_and_outcome_has_its_words() -> None:
    keys = [f"act.{row.act}" for row in TABLE] + ["act.opened"]
    keys += [f"state.{state}" for state in (*STATES, "sent_back")]
    keys += [f"{group}.{mark}" for mark in OUTCOMES for group in ("mark", "count")]
    keys += [f"daily.{mark}_heading" for mark in OUTCOMES]
    assert [key for key in keys if not W.has(key)] == []
