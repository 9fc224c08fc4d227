"""`fieldlog calc`: the list, an answer as JSON, and a sentence for what can't be."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fieldlog import cli
from fieldlog.calc.calculations import REGISTRY
from fieldlog.cli_parts import command_words

Said = pytest.CaptureFixture[str]


EXAMPLE = command_words()["command"]["calc"]["example"]


def asked(said: Said, *argv: str) -> dict[str, Any]:
    """The answer to a question that is understood."""
    status = cli.run(["calc", *argv])
    out, err = said.readouterr()
    assert (status, err) == (0, "")
    answer: dict[str, Any] = json.loads(out)
    return answer


def refused(said: Said, *argv: str) -> str:
    """The sentence for one that is not."""
    status = cli.run(["calc", *argv])
    out, err = said.readouterr()
    assert (status, out) == (2, "")
    assert err.startswith("fieldlog: ")
    assert len(err.strip().splitlines()) == 1
    return err


def test_alone_it_lists_them_a_line_each(capsys: Said) -> None:
    assert cli.run(["calc"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(REGISTRY)
    assert all(line.endswith(".") for line in lines)


def test_the_help_shows_its_example(capsys: Said) -> None:
    assert cli.run(["calc", "--help"]) == 0
    assert EXAMPLE in capsys.readouterr().out


def test_its_example_works(capsys: Said) -> None:
    out = asked(capsys, *EXAMPLE.split()[1:])
    assert out["answer"]["count"]["text"] == "7"


@pytest.mark.parametrize(
    ("argv", "key", "text"),
    [
        (["stair-layout", "rise=9' 1 1/2\"", "going=10"], "count", "15"),
        (["even-risers", "risers=7 1/2,7 3/4,7 5/8"], "plan", "Shim tread 1 by 1/16 in."),
        (["balusters", "length=156", "width=1 1/2", "gap=4"], "gap", "about 3 15/16 in"),
        (["piece-weight", "length=54", "width=54", "thickness=4 1/4", "species=red oak"],
         "weight", "316 lb"),
        (["open-risers", "risers=7,7,7", "tread_thickness=3"], "says",
         "Every opening that counts is closed enough."),
    ],
)  # fmt: skip
def test_each_answers(capsys: Said, argv: list[str], key: str, text: str) -> None:
    out = asked(capsys, *argv)
    assert out["calculation"] == argv[0]
    assert out["answer"][key]["text"] == text
    assert {"inputs", "formula", "source", "answer", "steps", "notes", "caution"} <= set(out)


def test_metric(capsys: Said) -> None:
    out = asked(capsys, "even-spaces", "length=940", "width=38", "gap=100", "--system", "metric")
    assert out["inputs"]["length"]["nm"] == "940000000"
    assert out["answer"]["limit"]["text"] == "100 mm"


def test_a_houses_own_book(capsys: Said, tmp_path: Path) -> None:
    (tmp_path / "overrides.toml").write_text(
        '[[override]]\nrule = "guard.opening-level"\nlimit = "3 1/2 in"\nreason = "local"\n'
        'by = "inspector"\n'
    )
    out = asked(capsys, "balusters", "length=72", "width=1.5", "--data", str(tmp_path))
    assert out["answer"]["limit"]["text"] == "3 1/2 in"


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["even-space"], "There is no calculation"),
        (["even-spaces"], "takes length= width= gap= [at-limit=]"),
        (["even-spaces", "length"], "is no input"),
        (["even-spaces", "=3"], "is no input"),
        (["even-spaces", "length=3", "length=4"], "there twice"),
        (["even-spaces", "length=3", "wide=4"], "takes length"),
        (["even-spaces", "length=3", "gap=4"], "missing"),
        (["even-spaces", "length=0", "width=1", "gap=4"], "more than zero"),
        (["even-spaces", "length=37", "width=71/2", "gap=4"], "missed"),
        (["even-risers", "risers=7 1/2,190 mm"], "millimeters"),
        (["balusters", "length=72", "width=1", "books=none"], "There is no book"),
        (["balusters", "length=72", "width=1\x1b[31m", "gap=4"], "fieldlog"),
    ],
)
def test_bad_input_is_a_sentence(capsys: Said, argv: list[str], says: str) -> None:
    sentence = refused(capsys, *argv)
    assert says in sentence
    assert "\x1b" not in sentence


def test_an_unknown_system_is_refused(capsys: Said) -> None:
    assert cli.run(["calc", "even-spaces", "length=3", "--system", "cubits"]) == 2
    assert "cubits" in capsys.readouterr().err
