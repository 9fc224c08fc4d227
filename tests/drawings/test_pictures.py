"""The pictures that show how to measure: one for every field that names one."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from fieldlog.store.files import load_library

FOLDER = Path(__file__).parent.parent.parent / "static" / "pictures"
PICTURES = sorted(FOLDER.glob("*.svg"))


def test_every_picture_that_a_sheet_names_is_there() -> None:
    sheets = load_library(None).sheets.values()
    named = {f.picture for sheet in sheets for f in sheet.fields if f.picture}
    assert named <= {p.stem for p in PICTURES}


def test_every_field_of_the_finish_sheets_has_its_picture() -> None:
    library = load_library(None)
    bare = [
        f"{sheet}.{f.name}"
        for sheet in (
            "trim", "door", "pocket-door", "cased-opening", "tile", "threshold", "wall", "air",
            "wood", "slab", "sunken-floor", "visual",
        )
        for f in library.sheet(sheet).fields
        if not f.picture
    ]  # fmt: skip
    assert bare == []


NAMED = {f.picture for sheet in load_library(None).sheets.values() for f in sheet.fields}


@pytest.mark.parametrize(
    "path", [p for p in PICTURES if p.stem in NAMED], ids=lambda p: str(p.stem)
)
def test_a_picture_is_small_titled_and_by_attributes_only(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    root = ElementTree.fromstring(text)
    assert len(text) < 4096
    assert root.get("viewBox") == "0 0 160 120"
    assert next(iter(root)).text
    for element in root.iter():
        assert element.tag.split("}")[1] in {"svg", "title", "path", "circle"}
        assert not {"style", "class", "id"} & set(element.attrib)
