"""A house's own files as editors and sticks leave them, and what is said of a faulty one."""

from __future__ import annotations

from pathlib import Path

import pytest
from web_cast import Person, SmallHouse

from fieldlog.calc.house import HouseNotUnderstood, parse_house
from fieldlog.calc.toml_text import DataFileError
from fieldlog.store.calc_files import load_reference
from fieldlog.store.files import PACKAGE, load_library, load_order
from fieldlog.store.product_files import load_products

OUTBOX = {"X-Fieldlog": "outbox/1"}
OVERRIDE = '[[override]]\nrule = "stair.riser-height"\nlimit = "8 in"\nreason = "r"\nby = "b"\n'
DIGITS = "9" * 5000
DEEP = "a = " + "[" * 5000 + "]" * 5000


def test_what_an_editor_or_a_stick_leaves_beside_a_file_is_passed_over(tmp_path: Path) -> None:
    for name in ("sheets", "books", "instruments", "limits", "products"):
        folder = tmp_path / name
        folder.mkdir()
        (folder / ".#stair.toml").symlink_to("somebody@machine.1")
        (folder / "._stair.toml").write_bytes(b"\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X\xb0")
        (folder / "older.toml").mkdir()
    assert load_library(tmp_path).sources == load_library(None).sources
    assert load_products(tmp_path) == load_products(None)


def test_the_mark_that_some_editors_put_before_utf_8_is_no_fault(tmp_path: Path) -> None:
    def marked(name: str, text: str) -> None:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"\xef\xbb\xbf" + text.encode())

    marked("overrides.toml", OVERRIDE)
    shipped = ("sheets/stair.toml", "books/irc-2021.toml", "instruments/tape.toml", "words/en.toml",
               "sequences/finish.toml", "species/wood.toml", "practice/finish.toml")  # fmt: skip
    for name in shipped:
        marked(name, (PACKAGE / name).read_text(encoding="utf-8"))
    assert [o.limit for o in load_library(tmp_path).overrides] == ["8 in"]
    assert load_order(tmp_path).step
    assert load_reference(tmp_path).wood.species


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (OVERRIDE + f"limits = {DIGITS}", "overrides.toml, line 6: a number has thousands"),
        (DEEP, "overrides.toml, line 1: nested too deep"),
        ("[[override", "overrides.toml, line 1:"),
        (OVERRIDE.replace("riser-height", "none"), "overrides.toml, line 1: no book"),
    ],
)
def test_a_faulty_file_is_named_on_a_page_and_to_a_tablet(
    small_house: SmallHouse, superintendent: Person, text: str, said: str
) -> None:
    overrides = small_house.folder / "overrides.toml"
    overrides.write_text(text)
    page = superintendent.opens("/codes")
    assert page.status == 500
    assert said in page.text
    answer = superintendent.client.post("/sync", json={}, headers=OUTBOX)
    assert (answer.status_code, answer.get_json()["code"]) == (503, "later")
    assert f"Nothing was kept. On the office's machine: {said}" in answer.get_json()["reason"]
    overrides.unlink()
    assert superintendent.client.post("/sync", json={}, headers=OUTBOX).status_code == 200


def test_a_faulty_order_and_faulty_words_are_named(
    small_house: SmallHouse, superintendent: Person
) -> None:
    """Words are read again when they change, as sheets and limits are."""
    assert superintendent.opens("/codes").status == 200
    for name in ("sequences/finish.toml", "words/en.toml"):
        file = small_house.folder / name
        file.parent.mkdir()
        file.write_text(DEEP)
        page = superintendent.opens("/next")
        assert (name, page.status) == (name, 500)
        assert f"{file.name}, line 1: nested too deep" in page.text
        file.unlink()


@pytest.mark.parametrize("text", [DEEP, f"name = {DIGITS}"])
def test_a_house_that_no_parser_reads_is_refused_in_words(text: str) -> None:
    with pytest.raises(HouseNotUnderstood, match=r"house\.toml: "):
        parse_house(text)


def test_a_file_that_may_not_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "sill.toml").symlink_to(tmp_path / "gone")
    with pytest.raises(DataFileError, match=r"sill\.toml, line 1: can't be read: No such file"):
        load_library(tmp_path)


def test_a_tablet_is_told_in_json_that_there_is_no_house(
    small_house: SmallHouse, superintendent: Person
) -> None:
    for path in small_house.folder.glob("fieldlog.sqlite*"):
        path.unlink()
    answer = superintendent.client.get("/sync/hello", headers=OUTBOX)
    assert (answer.status_code, answer.get_json()["code"]) == (503, "later")
    assert "There is no house in" in answer.get_json()["reason"]
