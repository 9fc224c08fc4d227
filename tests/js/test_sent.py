"""The scripts as they are sent (packed, and stripped where that library is) answer the vectors."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fieldlog.web import packs, sent
from tests.js.asking import HERE, ROOT, Question, node_or_skip, question_text
from tests.js.test_twins_vectors import every, wrong

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SOURCE = ROOT / "static" / "js"


def written(folder: Path) -> Path:
    """The scripts as they are sent, with one more page's script among them: that of the tests."""
    modules = {p.relative_to(SOURCE).as_posix(): p.read_text() for p in SOURCE.rglob("*.js")}
    asking = (HERE / "answers.js").read_text().replace("../../static/js/", "./")
    found = packs.packed({**modules, "answers.js": asking})
    assert found.home["calc/judge.js"] == "tablet/forms.js"
    for name, text in found.files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(sent.stripped(text.encode(), "text/javascript"))
    (folder / "run.js").write_text((HERE / "run.js").read_text())
    (folder / "package.json").write_text('{"type": "module"}')
    return folder / "run.js"


def test_every_vector_by_the_scripts_as_they_are_sent(tmp_path: Path) -> None:
    questions: list[Question] = [question for question, _ in every()]
    found = subprocess.run(
        [node_or_skip(), str(written(tmp_path))],
        input=question_text(questions), capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-3000:]
    assert wrong(json.loads(found.stdout)) == []


@pytest.mark.browser
def test_no_name_of_a_pack_hides_one_of_the_browsers(browser: Browser) -> None:
    """In one scope a name such as `open` would stand before the browser's in every module."""
    page = browser.new_page()
    known = page.evaluate(
        "() => { const all = []; for (let o = globalThis; o; o = Object.getPrototypeOf(o))"
        " all.push(...Object.getOwnPropertyNames(o)); return all; }"
    )
    page.close()
    assert len(known) > 500
    hidden = [n for names in sent.packs().tops.values() for n in names if n in set(known)]
    assert hidden == []
