"""Templates are compiled once a process, and anew where their text is another."""

from __future__ import annotations

import jinja2
import pytest

from fieldlog.web.compiled import Compiled


def environment(known: Compiled, text: str) -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.DictLoader({"page.html": text}), bytecode_cache=known, autoescape=True
    )


def test_a_second_app_does_not_compile_again(monkeypatch: pytest.MonkeyPatch) -> None:
    known = Compiled()
    first = environment(known, "{{ 1 + 2 }}").get_template("page.html")
    second = environment(known, "{{ 1 + 2 }}")
    monkeypatch.setattr(second, "compile", lambda *_: pytest.fail("it was compiled again"))
    assert second.get_template("page.html").render() == first.render() == "3"


def test_another_text_is_compiled_anew() -> None:
    known = Compiled()
    environment(known, "{{ 1 + 2 }}").get_template("page.html")
    assert environment(known, "{{ 1 + 4 }}").get_template("page.html").render() == "5"
