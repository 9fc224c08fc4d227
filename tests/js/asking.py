"""Questions put to the tablet's own modules in Node, and the same put to Python."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from fieldlog.calc.house import House, PlannedCheck, Room, Story
from fieldlog.calc.layers import ToCome
from fieldlog.calc.library import Library
from fieldlog.calc.tablet_document import tablet_document
from fieldlog.store.files import load_library

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
VECTORS = HERE.parent / "vectors"
BOOKS = ("irc-2021", "our-standard", "plank-floor")

Question = dict[str, Any]


@cache
def library() -> Library:
    """The files that ship."""
    return load_library()


def vectors(name: str) -> Any:
    """A vector file."""
    return json.loads((VECTORS / f"{name}.json").read_text(encoding="utf-8"))


@cache
def house() -> House:
    """A house with every book and tool there is, and two rooms over each other."""
    checks = (PlannedCheck("trim", "North window", ("our-standard",)),)
    rest = (PlannedCheck("visual", "All books", tuple(library().books)),)
    rooms = (Room("hall", "Hall", "main", checks=checks), Room("loft", "Loft", "main", checks=rest))
    return House(
        name="Cider mill", zone="America/Chicago", superintendent="Ada Quill",
        stories=(Story("main", "Main floor"),), trades=(),
        rooms=rooms, books=BOOKS, instruments=tuple(library().instruments),
    )  # fmt: skip


LAYERS = {
    "hall": ToCome("hall", "Hall", 19_050_000, 12_700_000),
    "loft": ToCome("loft", "Loft", 9_525_000, 0),
}


@cache
def document() -> dict[str, Any]:
    """What a tablet of that house keeps."""
    return tablet_document(library(), house(), LAYERS)


def question_text(questions: list[Question], judges: Library | None = None) -> str:
    """Questions and the document they are judged by, as JSON; of another library where named."""
    by = document() if judges is None else tablet_document(judges, house(), LAYERS)
    return json.dumps({"document": by, "questions": questions})


@cache
def _modules() -> Path:
    """The scripts in a folder that says they are modules: every Node since 16 runs them there."""
    folder = Path(tempfile.mkdtemp(prefix="fieldlog-js-"))
    shutil.copytree(ROOT / "static" / "js" / "calc", folder / "static" / "js" / "calc")
    (folder / "tests" / "js").mkdir(parents=True)
    for script in HERE.glob("*.js"):
        shutil.copy(script, folder / "tests" / "js")
    (folder / "package.json").write_text('{"type": "module"}')
    return folder


def node_or_skip() -> str:
    """Where Node is. Skips the test where there is none, fails it under CI's variable."""
    node = shutil.which("node") or shutil.which("nodejs")
    if node is None:
        reason = "no Node on this machine"
        if os.environ.get("FIELDLOG_REQUIRE_NODE") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    return str(node)


def ask(questions: list[Question], judges: Library | None = None) -> list[Any]:
    """What the tablet's modules answer, in Node. Skips where there is none, fails under CI."""
    found = subprocess.run(
        [node_or_skip(), str(_modules() / "tests" / "js" / "run.js")],
        input=question_text(questions, judges), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-3000:]
    answers = json.loads(found.stdout)
    assert len(answers) == len(questions)
    return answers  # type: ignore[no-any-return]


def seed_of(what: str) -> int:
    """The seed of a run: FIELDLOG_SEED, the same one under CI, else a new one. It is printed."""
    given = os.environ.get("FIELDLOG_SEED") or ("1" if os.environ.get("CI") else "")
    seed = int(given) if given else random.SystemRandom().randrange(10**9)
    print(f"{what}: FIELDLOG_SEED={seed}")
    return seed


def told(value: Any) -> Any:
    """As JSON would bring it back: tuples as lists."""
    return json.loads(json.dumps(value))


def differences(one: Any, other: Any, where: str = "") -> list[str]:
    """Where two JSON values differ, a line each."""
    if isinstance(one, dict) and isinstance(other, dict):
        keys = [k for k in {**one, **other} if one.get(k, "-") != other.get(k, "-")]
        return [d for k in keys for d in differences(one.get(k), other.get(k), f"{where}.{k}")]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return [d for n, (a, b) in pairs if a != b for d in differences(a, b, f"{where}[{n}]")]
    return [] if one == other else [f"{where}: {one!r} is not {other!r}"]
