"""Scripts are sent packed: each module once, no name twice, every import met, nothing guessed."""

from __future__ import annotations

import gzip
import platform
import re
import sys
from typing import TYPE_CHECKING

import pytest

from fieldlog.config import asset_folder
from fieldlog.web import sent
from fieldlog.web.build import assets, build
from fieldlog.web.packs import HEADS, NotPacked, packed

if TYPE_CHECKING:
    from web_cast import Person

BUDGET = 60 * 1024
"""All of the app's JavaScript as it is sent, gzipped."""
BUILT_FOR = {("linux", "x86_64"), ("linux", "aarch64"), ("win32", "AMD64")}
FILLER = {head: "" for heads in HEADS for head in heads}
IMPORTED = re.compile(r'(?:from|import\()\s*"([^"]+)"')


def test_every_module_is_in_one_file_that_is_sent() -> None:
    root = asset_folder("static") / "js"
    modules = {p.relative_to(root).as_posix(): p.read_text() for p in root.rglob("*.js")}
    found = sent.packs()
    assert set(found.home) == set(modules)
    assert set(found.home.values()) == set(found.files)
    for path, text in modules.items():
        for declared in re.findall(r"^(?:export )?(?:async )?(?:function|class) \w+", text, re.M):
            assert declared.removeprefix("export ") in found.files[found.home[path]]


def test_what_a_template_names_is_sent() -> None:
    templates = asset_folder("templates")
    named = re.compile(r"filename='([^']+\.\w+)'")
    asked = {name for p in templates.rglob("*.html") for name in named.findall(p.read_text())}
    assert len(asked) > 20
    assert asked <= set(assets())


def test_imports_of_a_pack_are_met_by_what_it_gives() -> None:
    files = packed(
        FILLER
        | {
            "tablet/send.js": 'import { kept } from "./store.js";\nkept();\n',
            "tablet/store.js": "export const spare = 1;\nexport function kept() {}\n",
            "item.js": 'import { kept } from "./tablet/store.js";\nimport { a } from "./own.js";\n'
            "kept(a);\n",
            "own.js": "export const a = 1;\n",
            "tablet/forms.js": 'import * as all from "./store.js";\nexport const ready = all;\n',
            "keyed.js": 'export const later = () => import("./tablet/forms.js");\n',
        }
    ).files
    assert set(files) == {heads[0] for heads in HEADS} | {"item.js", "own.js"}
    assert files["tablet/send.js"] == (
        "export const [kept, spare] = (() => {\n"
        "const spare = 1;\nfunction kept() {}\nkept();\n"
        "return [kept, spare];\n})();\n"
    )
    assert files["item.js"] == (
        'import { kept } from "./tablet/send.js";\nimport { a } from "./own.js";\n{\nkept(a);\n}\n'
    )
    assert files["own.js"] == "export const a = 1;\n"
    assert files["tablet/forms.js"] == (
        'import { kept, spare } from "./send.js";\nexport const [ready] = (() => {\n'
        "const all = { spare, kept };\nconst ready = all;\nreturn [ready];\n})();\n"
    )
    assert 'import("./tablet/forms.js")' in files["keyed.js"]


@pytest.mark.parametrize(
    ("modules", "says"),
    [
        ({"a.js": 'import { b } from "./a.js";\n'}, "circle"),
        ({"a.js": 'import { b } from "./none.js";\n'}, "no such module"),
        ({"a.js": "export default 1;\n"}, "not understood: export default 1;"),
        ({"a.js": "export let n = 1;\n"}, "not understood: export let n = 1;"),
        ({"a.js": 'import one from "./b.js";\n', "b.js": ""}, "not understood: import one"),
        ({"a.js": "const { x, send } = 1;\n", "tablet/line.js": "let send;\n"}, "send stands in"),
    ],
)
def test_what_is_not_understood_is_refused(modules: dict[str, str], says: str) -> None:
    head = {"tablet/send.js": 'import { x } from "./../a.js";\n'}
    with pytest.raises(NotPacked, match=re.escape(says)):
        packed(FILLER | head | modules)


def test_a_script_is_sent_gzipped_to_who_takes_that(superintendent: Person) -> None:
    at = f"/static/{build()}/js/tablet/app.js"
    plain = superintendent.client.get(at)
    zipped = superintendent.client.get(at, headers={"Accept-Encoding": "gzip, br"})
    assert plain.mimetype == zipped.mimetype == "text/javascript"
    assert "Content-Encoding" not in plain.headers
    assert zipped.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in plain.headers["Vary"]
    assert gzip.decompress(zipped.data) == plain.data
    assert "immutable" in plain.headers["Cache-Control"]
    refused = superintendent.client.get(at, headers={"Accept-Encoding": "gzip;q=0"})
    assert refused.data == plain.data


def test_the_worker_is_asked_for_each_time(superintendent: Person) -> None:
    first = superintendent.client.get("/sw.js")
    assert first.headers["Cache-Control"] == "no-cache"
    again = superintendent.client.get("/sw.js", headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304


def test_a_folder_above_is_not_sent(superintendent: Person) -> None:
    for name in ("../pyproject.toml", "js/", "worker/answering.js", "js/calc/judge.js"):
        assert superintendent.client.get(f"/static/{build()}/{name}").status_code == 404


def test_where_the_library_comes_built_it_is_used_and_the_scripts_keep_their_budget() -> None:
    """Else the tests above would ask of unstripped text what they are to ask of stripped."""
    machine = (sys.platform, platform.machine())
    if sent.minify is None:
        assert machine not in BUILT_FOR
        pytest.skip(f"no build of the library for {machine}")
    scripts = [file for name, file in sent.files().items() if name.endswith(".js")]
    assert len(scripts) > 15
    assert sum(len(file.zipped or file.data) for file in scripts) <= BUDGET


def test_without_the_library_text_is_sent_as_it_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sent, "minify", None)
    assert sent.stripped(b"const a = 1;  // why", "text/javascript") == b"const a = 1;  // why"


def test_what_a_pattern_takes_apart_stays_ahead_of_it() -> None:
    """Three patterns that some editions of the library put before what they read."""
    for source in (
        'f((e) => { const b = e.x(); const [a] = (b?.v || "").y(); if (!["m"].includes(a)) return;'
        " g(a, b); });",
        "f(function (e) { const s = { v: this.v, e }; const { m } = this.p({ m: s }); g(m, s); });",
        "f((e) => { const b = e.x(); const { a, n } = b.y(); g(a, n, b); });",
    ):
        text = sent.stripped(source.encode(), "text/javascript").decode()
        first = re.search(r"const\s*(.)", text)
        assert first is not None
        assert first[1] not in "[{", text
