"""The vector files in the tablet's own modules: in Node, and once in a real browser."""

from __future__ import annotations

import importlib.util
import json
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from fieldlog.calc.expressions import parse
from fieldlog.calc.judging import judge
from fieldlog.calc.library import SourceText, build_library
from tests.calc.test_expressions import kind
from tests.js.asking import (
    VECTORS,
    Question,
    ask,
    differences,
    library,
    question_text,
    told,
    vectors,
)
from tests.js.serving import tree_served
from tests.js.twins import answer

if TYPE_CHECKING:
    from playwright.sync_api import Browser

MADE = ("units", "items", "floors")
NOTHING = {"finishes": {}, "earlier": {"today": "", "here": [], "house": []}}
ROW = {"spacing": "5 ft", "unit": "16ths", "rows": [["0", "-5", "0"]]}
COARSE: list[Any] = ["floor", ["plank-floor"], {"levels": ROW}, "scanner-10mm"]


@cache
def lengths() -> list[tuple[Question, Any]]:
    """Every accepted and refused text, with what it is in nm, or the whole refusal."""
    found = vectors("lengths")
    questions = [
        {"do": "length", "text": c["text"] * c.get("times", 1), "unit": c.get("unit", "in")}
        for c in found["accepted"] + found["refused"]
    ]
    nm = [c["nm"] for c in found["accepted"]]
    return [(q, nm[n] if n < len(nm) else answer(q)) for n, q in enumerate(questions)]


@cache
def expressions() -> list[tuple[Question, Any]]:
    """Every expression that the language lets in, as its tree."""
    out = []
    for case in vectors("expressions")["cases"]:
        kinds = {n: {"length": 1}.get(k, k) for n, k in case.get("kinds", {}).items()}
        given = {name: kind(raw) for name, raw in case["given"].items()}
        tree, _ = parse(case["expression"], given | kinds)
        question = {"do": "tree", "tree": told(tree), "given": case["given"]}
        out.append((question, answer(question)))
    return out


@cache
def judged() -> list[tuple[Question, Any]]:
    """Whole judgements, not only what the file shows of them."""
    out = []
    for case in vectors("judge")["cases"]:
        args = [case["sheet"], case["books"], case["readings"], case["instrument"]]
        whole = told(judge(library(), *args, "us", (), {}))
        assert whole["verdict"] == case["verdict"]
        out.append(({"do": "judge", "args": args, "known": NOTHING}, whole))
    return out


@cache
def made() -> list[tuple[Question, Any]]:
    """The files of `make_twin_vectors.py`."""
    cases = [case for name in MADE for case in vectors(name)["cases"]]
    return [({k: v for k, v in case.items() if k != "gives"}, case["gives"]) for case in cases]


def every() -> list[tuple[Question, Any]]:
    """All vectors, with what each gives."""
    return lengths() + expressions() + judged() + made()


def wrong(answers: list[Any]) -> list[tuple[Question, list[str]]]:
    """The vectors that are answered otherwise."""
    out = []
    for (question, gives), said in zip(every(), answers, strict=True):
        if question["do"] == "judge":
            assert {one["what"] for one in said.pop("when_sent")} <= {"drawing"}
        if found := differences(said, gives):
            out.append((question, found[:5]))
    return out


def test_there_are_five_hundred_vectors() -> None:
    assert len(every()) >= 500


def test_every_vector_in_node() -> None:
    assert wrong(ask([question for question, _ in every()])) == []


def test_a_tool_too_coarse_for_a_limit_is_named() -> None:
    here = judge(library(), *COARSE, "us", ("scanner-10mm",), {})
    (said,) = ask([{"do": "judge", "args": COARSE, "known": NOTHING | {"tools": ["scanner-10mm"]}}])
    settle = [one["settle"] for one in said["findings"]]
    assert settle == [one["settle"] for one in here["findings"]]
    assert settle[0].endswith(
        "Too coarse for it: Laser scanner, 10 mm, each point good to about 10 mm."
    )


BY_FEELER = [
    # a feeler gauge of 0.05 mm steps against limits in sixteenths; 1 in is 25.4 mm by definition
    ("trim", {"scribe_gap": ["1.65 mm"]},
     "Scribe gap 1 is about 0.065 in. Needs 1/16 in or less.", "Over by about 0.002 in."),
    ("trim", {"scribe_gap": ["1.70 mm", "1.75 mm"]},
     "Scribe gaps about 0.067 to about 0.069 in. Needs 1/16 in or less.",
     "Worst: Scribe gap 2. Over by about 0.006 in."),
    ("door", {"gap_head": ["1.52 mm"] * 2, "gap_hinge": ["3 mm"] * 3, "gap_latch": ["3 mm"] * 3},
     "Narrowest gap at head and sides is about 0.060 in. Needs 1/16 in or more.",
     "Under by about 0.003 in."),
    ("door", {"gap_head": ["4.83 mm"] * 2, "gap_hinge": ["4 mm"] * 3, "gap_latch": ["4 mm"] * 3},
     "Widest gap at head and sides is about 0.190 in. Needs 3/16 in or less.",
     "Over by about 0.003 in."),
]  # fmt: skip


def test_a_value_never_reads_the_same_as_the_limit_it_misses() -> None:
    asked = [[sheet, ["our-standard"], gaps, "feeler"] for sheet, gaps, _, _ in BY_FEELER]
    said = ask([{"do": "judge", "args": args, "known": NOTHING} for args in asked])
    for args, there, (*_, head, body) in zip(asked, said, BY_FEELER, strict=True):
        here = told(judge(library(), *args, "us", (), {}))
        assert (here["findings"][0]["head"], here["findings"][0]["body"]) == (head, body)
        assert there["findings"] == here["findings"]
        assert there["rules"] == here["rules"]
        assert there["quantities"] == here["quantities"]
        shown = {v["text"] for q in here["quantities"].values() for v in q["values"]}
        assert shown & {"about 0.065 in", "about 0.067 in", "about 0.060 in", "about 0.190 in"}


def test_an_override_is_said_once_and_for_the_whole_clause() -> None:
    text = '[[override]]\nrule = "stair.riser-height"\nlimit = "8 1/4 in"\nreason = "r"\nby = "b"\n'
    own = SourceText("overrides", "overrides.toml", text)
    changed = build_library([*library().sources.values(), own])
    args = ["stair", ["irc-2021"], {"riser": ["8", "8"], "riser_other_end": ["8", "8"]}, "tape"]
    (said,) = ask([{"do": "judge", "args": args, "known": NOTHING}], changed)
    assert said.pop("when_sent") is not None
    assert differences(said, told(judge(changed, *args, "us", (), {}))) == []
    assert [one["rule"] for one in said["overrides"]] == ["stair.riser-height"]


@pytest.mark.browser
def test_every_vector_in_a_browser(browser: Browser) -> None:
    with tree_served() as address:
        page = browser.new_page()
        page.goto(f"{address}/tests/js/")
        script = (
            "async (text) => { const { answersTo } = await import('/tests/js/answers.js');"
            " return JSON.stringify(answersTo(JSON.parse(text))); }"
        )
        answers = json.loads(page.evaluate(script, question_text([q for q, _ in every()])))
        page.close()
    assert wrong(answers) == []


def test_the_made_files_are_current() -> None:
    path = VECTORS / "make_twin_vectors.py"
    spec = importlib.util.spec_from_file_location("make_twin_vectors", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for name, questions in module.FILES.items():
        stands = (VECTORS / f"{name}.json").read_text(encoding="utf-8")
        assert stands == module.written(questions()), name


def test_each_function_with_a_twin_has_one() -> None:
    """The two F-numbers are there for floors that are not wholly read, which have none."""
    (named,) = ask([{"do": "functions"}])
    assert set(named) - set(answer({"do": "functions"})) == {"ff_of", "fl_of"}
    assert set(answer({"do": "functions"})) <= set(named) | {"limit", "applies"}
