"""`fieldlog judge`: what it prints, and that no input makes it stumble."""

from __future__ import annotations

import contextlib
import io
import json
import string
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldlog.calc.judge_json import QuestionNotUnderstood, read_question
from fieldlog.cli import run

STAIR: dict[str, Any] = {
    "sheet": "stair",
    "books": ["irc-2021"],
    "instrument": "tape",
    "readings": {
        "riser": ["7 1/2", "7 1/2", {"value": "7 7/8", "instrument": "steel-rule"}],
        "tread": ["10 1/2", "10 1/2"],
        "open_riser": False,
        "headroom": "6 ft 9",
    },
}


def ask(question: str | bytes | dict[str, Any], *args: str) -> tuple[int, str, str]:
    """Ask through standard input, in this process: status, output, error."""
    text = json.dumps(question) if isinstance(question, dict) else question
    raw = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    streams = sys.stdin, sys.stdout, sys.stderr
    sys.stdin = io.TextIOWrapper(io.BytesIO(raw))
    sys.stdout, sys.stderr = out, err = io.StringIO(), io.StringIO()
    try:
        status = run(["judge", "-", *args])
    finally:
        sys.stdin, sys.stdout, sys.stderr = streams
    return status, out.getvalue(), err.getvalue()


def judged(question: dict[str, Any]) -> dict[str, Any]:
    """The answer to a question that is understood."""
    status, out, err = ask(question)
    assert (status, err) == (0, "")
    answer: dict[str, Any] = json.loads(out)
    return answer


def refusal(question: str | bytes | dict[str, Any]) -> str:
    """The sentence for a question that is not."""
    status, out, err = ask(question)
    assert status == 2
    assert out == ""
    assert err.startswith("fieldlog: ")
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err
    return err


class TestAnswer:
    """The shape that is promised."""

    def test_verdict_quantities_and_rules(self) -> None:
        answer = judged(STAIR)
        assert answer["verdict"] == "fail"
        risers = answer["quantities"]["riser"]
        assert risers[0] == {"text": "7 1/2 in", "nm": "190500000"}
        assert len(risers) == 3
        assert answer["quantities"]["headroom"] == {"text": "6 ft 9 in", "nm": "2057400000"}
        assert answer["quantities"]["riser_spread"]["text"] == "3/8 in"
        riser = next(r for r in answer["rules"] if r["quantity"] == "riser" and r["index"] == 2)
        assert riser == {
            "rule": "stair.riser-height",
            "quantity": "riser",
            "index": 2,
            "verdict": "fail",
            "plain": "fail",
            "value": {"text": "7 7/8 in", "nm": "200025000"},
            "limit": {"text": "7 3/4 in", "nm": "196850000"},
            "margin": riser["margin"],
            "u": riser["u"],
            "settled_by": riser["settled_by"],
            "source": {"document": "IRC", "edition": "2021", "clause": "R311.7.5.1"},
        }
        assert riser["margin"]["nm"] == "-3175000"

    def test_what_was_not_measured_is_said(self) -> None:
        answer = judged(STAIR)
        unmeasured = {r["quantity"] for r in answer["rules"] if r["verdict"] == "not_measured"}
        assert "landing_depth" in unmeasured
        assert answer["quantities"]["landing_depth"] == {"text": "", "nm": None}

    def test_a_grid_is_told_in_a_line(self) -> None:
        levels = {"spacing": "2 ft", "unit": "16ths", "rows": [["0", "-1", "0"], ["0", "x", "0"]]}
        answer = judged(
            {
                "sheet": "floor",
                "books": ["plank-floor"],
                "instrument": "laser-rod",
                "readings": {"levels": levels},
            }
        )
        assert answer["quantities"]["levels"] == {
            "text": "2 rows of 3, 2 ft apart",
            "nm": None,
        }

    def test_metric_is_asked_for_by_name(self) -> None:
        answer = judged({**STAIR, "system": "metric", "readings": {"riser": ["190.5"]}})
        assert answer["quantities"]["riser"] == [{"text": "190.5 mm", "nm": "190500000"}]

    def test_an_override_is_used_and_named(self) -> None:
        override = {
            "rule": "stair.riser-height",
            "limit": "8 1/4 in",
            "reason": 'Local "amendment", é\u2019',
            "by": "Town office",
        }
        answer = judged({**STAIR, "overrides": [override]})
        assert answer["overrides"] == [override]
        risers = [r for r in answer["rules"] if r["rule"] == "stair.riser-height"]
        assert {r["limit"]["text"] for r in risers} == {"8 1/4 in"}
        assert {r["verdict"] for r in risers} == {"pass"}

    def test_a_houses_own_book_is_used_when_it_is_named(self, tmp_path: Path) -> None:
        from fieldlog.config import asset_folder

        (tmp_path / "books").mkdir()
        own = asset_folder("seed_data") / "books" / "tile-floor.toml"
        (tmp_path / "books" / "tile-floor.toml").write_text(own.read_text())
        question = {
            "sheet": "floor",
            "books": ["tile-floor"],
            "instrument": "straightedge",
            "readings": {"edge_length": ["24 in"], "gap": ["1/8"], "shape": ["hollow"]},
        }
        status, out, _ = ask(question, "--data", str(tmp_path))
        assert (status, json.loads(out)["verdict"]) == (0, "fail")
        assert "tile-floor" in refusal(question)

    def test_a_file_is_read_as_well(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        (tmp_path / "stair.json").write_bytes(b"\xef\xbb\xbf" + json.dumps(STAIR).encode())
        assert run(["judge", str(tmp_path / "stair.json")]) == 0
        assert json.loads(capsys.readouterr().out) == judged(STAIR)

    def test_the_answer_is_plain_ascii(self) -> None:
        _, out, _ = ask({**STAIR, "readings": {"riser": ["7½"]}})
        assert out.isascii()
        assert json.loads(out)["quantities"]["riser"][0]["text"] == "7 1/2 in"


class TestRefused:
    """A sentence that says what and where."""

    @pytest.mark.parametrize(
        ("readings", "says"),
        [
            ({"riser": ["7 1/2", "71/2"]}, ("riser 2", "7 1/2")),
            ({"riser": ["7 1/0"]}, ("riser 1",)),
            ({"riser": ["7", "abc"]}, ("riser 2", "abc")),
            ({"riser": [7.5]}, ("riser 1", "7.5")),
            ({"riser": ["400"]}, ("riser 1", "400")),
            ({"rise": ["7"]}, ("rise",)),
            ({"open_riser": "perhaps"}, ("open_riser", "perhaps")),
            ({"riser": [{"value": "7", "instrument": "thumb"}]}, ("riser 1", "thumb")),
            ({"riser": [{"valu": "7"}]}, ("riser 1",)),
            ({"riser": [[["7"]]]}, ("riser 1",)),
            ({"riser": ["7"] * 100}, ("riser", "100")),
            ({"riser": ["x"] * 20}, ("riser 1", "And 17 more")),
        ],
    )
    def test_a_reading(self, readings: dict[str, Any], says: tuple[str, ...]) -> None:
        said = refusal({**STAIR, "readings": readings})
        assert all(part in said for part in says), said

    @pytest.mark.parametrize(
        ("changed", "says"),
        [
            ({"sheet": "roof"}, "roof"),
            ({"books": ["irc-1901"]}, "irc-1901"),
            ({"books": "irc-2021"}, "books"),
            ({"instrument": "thumb"}, "thumb"),
            ({"system": "cubits"}, "cubits"),
            ({"sheet": None}, "sheet"),
            ({"sheets": "stair"}, "sheets"),
            ({"readings": []}, "readings"),
            ({"overrides": [{"rule": "stair.riser-height"}]}, "limit"),
            (
                {"overrides": [{"rule": "no.rule", "limit": "1 in", "reason": "r", "by": "b"}]},
                "no.rule",
            ),
            (
                {
                    "overrides": [
                        {"rule": "stair.riser-height", "limit": "8.25", "reason": "r", "by": "b"}
                    ]
                },
                "unit",
            ),
        ],
    )
    def test_a_question(self, changed: dict[str, Any], says: str) -> None:
        assert says in refusal({**STAIR, **changed})

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", "not JSON"),
            ("{", "line 1, column 2"),
            ('{"sheet": "stair"', "not JSON"),
            ("null", "ask as it should"),
            ("[]", "ask as it should"),
            ('"stair"', "ask as it should"),
            ('{"sheet": "stair", "sheet": "stair"}', "twice"),
            ('{"readings": {"riser": ["7"], "riser": ["8"]}}', "twice"),
            ('{"sheet": NaN}', "NaN"),
            ('{"sheet": -Infinity}', "-Infinity"),
            ('{"sheet": ' + "9" * 5000 + "}", "too long"),
            ("[" * 200_000, "nested too deep"),
            ('{"a":' * 50_000, "nested too deep"),
            ('{"sheet": "\\ud800"}', "surrogate"),
            (b"\xff\xfe{}", "UTF-8"),
            (b"\x00\x01\x02", "not JSON"),
            (" " * 1_000_001, "longer than"),
            (" " * 4_100_000, "longer than"),
        ],
    )
    def test_a_text(self, text: str | bytes, says: str) -> None:
        assert says in refusal(text)

    def test_nothing_typed_steers_the_terminal(self) -> None:
        said = refusal({**STAIR, "sheet": "\x1b[31mroof\x07"})
        assert said.rstrip("\n").isprintable()

    def test_a_long_number_in_a_reading_is_refused_there(self) -> None:
        assert "riser 1" in refusal({**STAIR, "readings": {"riser": ["9" * 10_000]}})
        assert "riser 1" in refusal({**STAIR, "readings": {"riser": [10**4000]}})


JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)
LENGTHS = st.sampled_from(
    ["7 1/2", "71/2", "", "0", "-1", "7½", "6'-8\"", "1/128", "x", "1e9", "٧"]
)
READING = (
    LENGTHS
    | JSON_VALUES
    | st.fixed_dictionaries({"value": LENGTHS, "instrument": st.sampled_from(["tape", "eye", ""])})
)
READINGS = st.dictionaries(
    st.sampled_from(
        ["riser", "tread", "open_riser", "levels", "gap", "edge_length", "shape", "good", "casing"]
    )
    | st.text(max_size=6),
    READING | st.lists(READING, max_size=5),
    max_size=4,
)
QUESTIONS = st.fixed_dictionaries(
    {
        "sheet": st.sampled_from(["stair", "guard", "handrail", "trim", "floor", "visual"]),
        "books": st.lists(st.sampled_from(["irc-2021", "our-standard", "plank-floor"]), max_size=3),
        "instrument": st.sampled_from(["tape", "steel-rule", "laser-rod", "eye", "exact"]),
        "readings": READINGS,
    },
    optional={"system": st.sampled_from(["us", "metric"]), "overrides": JSON_VALUES},
)
FAST = settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])


def ends_well(question: str | bytes) -> None:
    """Status 0 with an answer, or 2 with one sentence; never a trace."""
    status, out, err = ask(question)
    assert status in (0, 2)
    assert "Traceback" not in err
    if status:
        assert out == ""
        assert err.startswith("fieldlog: ")
        assert len(err.strip("\n").splitlines()) == 1
    else:
        assert set(json.loads(out)) >= {"verdict", "quantities", "rules"}


class TestAnything:
    """Hypothesis feeds it."""

    @FAST
    @given(st.text() | st.text(alphabet='{}[]",:0123456789.eE-+ntrufals\\ '))
    def test_any_text(self, text: str) -> None:
        ends_well(text)

    @FAST
    @given(st.binary(max_size=200))
    def test_any_bytes(self, raw: bytes) -> None:
        ends_well(raw)

    @FAST
    @given(JSON_VALUES)
    def test_any_json(self, value: Any) -> None:
        ends_well(json.dumps(value))

    @settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
    @given(QUESTIONS)
    def test_any_question(self, question: dict[str, Any]) -> None:
        ends_well(json.dumps(question))

    @FAST
    @given(st.dictionaries(st.text(string.ascii_lowercase, max_size=9), JSON_VALUES, max_size=4))
    def test_any_object_is_read_or_refused(self, value: dict[str, Any]) -> None:
        with contextlib.suppress(QuestionNotUnderstood):
            assert read_question(json.dumps(value)).sheet


class TestProcess:
    """The real command, a few times."""

    @pytest.mark.parametrize(
        ("raw", "status"),
        [
            (json.dumps(STAIR).encode(), 0),
            (b"", 2),
            (b"\xff" * 100, 2),
            (b"[" * 300_000, 2),
            (json.dumps({**STAIR, "readings": {"riser": ["７"]}}, ensure_ascii=False).encode(), 2),
        ],
    )
    def test_it_ends_with_a_status_and_no_trace(self, raw: bytes, status: int) -> None:
        done = subprocess.run(
            [sys.executable, "-m", "fieldlog", "judge", "-"],
            input=raw,
            capture_output=True,
            timeout=60,
            env={"PYTHONIOENCODING": "ascii", "PATH": ""},
        )
        assert done.returncode == status, done.stderr
        assert b"Traceback" not in done.stderr
        if status == 0:
            assert json.loads(done.stdout)["verdict"] == "fail"

    def test_a_reader_that_has_enough_is_no_fault(self) -> None:
        with subprocess.Popen(
            [sys.executable, "-m", "fieldlog", "judge", "-"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as process:
            assert process.stdin
            assert process.stdout
            assert process.stderr
            process.stdout.close()
            process.stdin.write(json.dumps(STAIR).encode())
            process.stdin.close()
            assert process.stderr.read() == b""
