"""`fieldlog judge`: a question in JSON, read strictly, and the answer as plain JSON values."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, Literal, NoReturn

import msgspec

from fieldlog.calc.judging import judge
from fieldlog.calc.library import Library, SourceText, build_library
from fieldlog.calc.shape import Strict

LONGEST = 1_000_000
"""Characters of a question; a floor of 2500 stations is under 50 000."""

Json = dict[str, Any]


class QuestionNotUnderstood(ValueError):
    """The JSON can't be read as a question; the message says what and where."""


class OverrideAsked(Strict, frozen=True):
    """A limit to judge by in place of a book's."""

    rule: str
    limit: str
    reason: str
    by: str


class Question(Strict, frozen=True):
    """Readings of a sheet, to be judged by books; `instrument` holds where a reading has none."""

    sheet: str
    books: tuple[str, ...]
    instrument: str
    readings: dict[str, Any]
    system: Literal["us", "metric"] = "us"
    overrides: tuple[OverrideAsked, ...] = ()


def read_question(text: str) -> Question:
    """A question from JSON text. Raises QuestionNotUnderstood.

    Refused are unknown and doubled keys, NaN and Infinity, nesting without end, and anything
    that no text file can hold.
    """
    if len(text) > LONGEST:
        raise QuestionNotUnderstood(f"The JSON is longer than {LONGEST} characters.")
    try:
        text.encode()
        found = json.loads(text, object_pairs_hook=_object, parse_constant=_no_constant)
        json.dumps(found, ensure_ascii=False).encode()
        return msgspec.convert(found, Question)
    except json.JSONDecodeError as err:
        place = f"line {err.lineno}, column {err.colno}"
        raise QuestionNotUnderstood(f"This is not JSON: {err.msg}, {place}.") from err
    except RecursionError as err:
        raise QuestionNotUnderstood("The JSON is nested too deep.") from err
    except UnicodeError as err:
        raise QuestionNotUnderstood("The JSON holds half a character (a lone surrogate).") from err
    except msgspec.ValidationError as err:
        raise QuestionNotUnderstood(f"The JSON does not ask as it should: {err}.") from err
    except QuestionNotUnderstood:
        raise
    except ValueError as err:  # an integer of more digits than Python will read
        raise QuestionNotUnderstood("The JSON holds a number that is too long.") from err


def answer(library: Library, asked: Question) -> Json:
    """The judgement of a question, as `judge_output` gives it.

    Raises ReadingsRefused, UnknownSource, DataFileError (for an override).
    """
    if asked.overrides:
        text = "\n".join(_override_toml(o) for o in asked.overrides)
        own = SourceText("overrides", "overrides", text)
        library = build_library([*library.sources.values(), own])
    return judge_output(
        judge(library, asked.sheet, asked.books, asked.readings, asked.instrument, asked.system)
    )


def judge_output(judgement: Mapping[str, Any]) -> Json:
    """What `fieldlog judge` prints of a judgement: numbers as text, lengths with their nm."""
    grids = judgement["grids"]
    return {
        "verdict": judgement["verdict"],
        "quantities": {
            name: _grid(grids[name]) if name in grids else _quantity(quantity)
            for name, quantity in judgement["quantities"].items()
        },
        "rules": [_rule(line) for line in judgement["rules"]],
        "overrides": [
            {key: one[key] for key in ("rule", "limit", "reason", "by")}
            for one in judgement["overrides"]
        ],
        "notes": judgement["notes"],
        "questions": judgement["questions"],
        "caution": judgement["caution"],
    }


def _quantity(quantity: Json) -> Json | list[Json]:
    told = [{key: value[key] for key in _VALUE if key in value} for value in quantity["values"]]
    if quantity["many"]:
        return told
    return told[0] if told else {"text": "", "nm": None}


_VALUE = ("text", "nm", "value", "unit")


def _grid(grid: Json) -> Json:
    rows = grid["rows"]
    return {
        "text": f"{len(rows)} rows of {len(rows[0])}, {grid['spacing_text']} apart",
        "nm": None,
    }


_RULE = (
    "rule", "quantity", "index", "verdict", "plain", "value", "limit", "margin", "u",
    "settled_by", "source",
)  # fmt: skip


def _rule(line: Json) -> Json:
    told = {key: line[key] for key in _RULE}
    source = line["source"]
    return told | {"source": {key: source[key] for key in ("document", "edition", "clause")}}


def _override_toml(one: OverrideAsked) -> str:
    fields = ((key, getattr(one, key)) for key in one.__struct_fields__)
    # a JSON string in which nothing but quotes and controls is escaped is a TOML string as well
    lines = (
        f"{key} = {json.dumps(value, ensure_ascii=False)}".replace("\x7f", "\\u007f")
        for key, value in fields
    )
    return "\n".join(["[[override]]", *lines])


def _object(pairs: Iterable[tuple[str, Any]]) -> Json:
    found: Json = {}
    for key, value in pairs:
        if key in found:
            raise QuestionNotUnderstood(f'The JSON has "{key[:40]}" twice in one place.')
        found[key] = value
    return found


def _no_constant(name: str) -> NoReturn:
    raise QuestionNotUnderstood(f"The JSON holds {name}, which is no number.")
