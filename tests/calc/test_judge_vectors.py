"""The judge's vector file is what the judge says now: a change of verdict is a visible diff."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

VECTORS = Path(__file__).parent.parent / "vectors"


def written_now() -> str:
    path = VECTORS / "make_judge_vectors.py"
    spec = importlib.util.spec_from_file_location("make_judge_vectors", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    text: str = module.written()
    return text


def test_the_vector_file_is_current() -> None:
    assert (VECTORS / "judge.json").read_text(encoding="utf-8") == written_now()


def test_the_vectors_show_every_outcome() -> None:
    cases = json.loads((VECTORS / "judge.json").read_text(encoding="utf-8"))["cases"]
    seen = {r["verdict"] for c in cases for r in c["rules"]}
    assert seen == {"pass", "fail", "too_close", "not_measured", "does_not_apply"}
