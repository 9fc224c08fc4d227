"""The exported record: whole, the same bytes each time, and enough to check the chain by."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from pathlib import Path

import pytest
from keeping import Kept
from PIL import Image

from fieldlog.calc.chain import START, link
from fieldlog.calc.entries import Entry, PhotoEntry, Walk
from fieldlog.store import journal, photos
from fieldlog.store.export import entry_lines, export

ENVELOPE = Entry.__struct_fields__


def photo(kept: Kept, shade: str) -> str:
    """Keep a photo and enter it; returns its digest."""
    out = io.BytesIO()
    Image.new("RGB", (8, 8), shade).save(out, "JPEG")
    one = photos.keep(kept.folder, out.getvalue())
    kept.record("photo/1", PhotoEntry(one.sha256, one.size, "image/jpeg", 8, 8, "hall"))
    return one.sha256


@pytest.fixture
def history(kept: Kept) -> Kept:
    """A walk, a stair, an item, two photos, a refused entry."""
    kept.record("walk/1", Walk("2026-03-03", 'line\n"two" ½'))
    kept.item(check=kept.stair())
    photo(kept, "red")
    photo(kept, "blue")
    kept.take({"id": "what"})
    return kept


def test_the_chain_can_be_walked_from_the_export_alone(history: Kept) -> None:
    before = START
    for line in entry_lines(history.conn):
        told = json.loads(line)
        entry = Entry(**{name: told[name] for name in ENVELOPE})
        before = link(before, told["seq"], told["received"], entry, told["judgement"])
        assert told["chain"] == before
    assert before == journal.head(history.conn).chain


def test_the_export_is_whole(history: Kept, tmp_path: Path) -> None:
    out = tmp_path / "record.zip"
    exported = export(history.conn, history.folder, out)
    assert (exported.entries, exported.photos, exported.missing) == (7, 2, ())
    with zipfile.ZipFile(out) as whole:
        assert whole.testzip() is None
        names = whole.namelist()
        assert names[:3] == ["journal.jsonl", "sources.jsonl", "shelves.jsonl"]
        assert names[3:] == sorted(names[3:])
        for name in names[3:]:
            assert hashlib.sha256(whole.read(name)).hexdigest() == Path(name).stem
        for line in whole.read("sources.jsonl").decode().splitlines():
            source = json.loads(line)
            assert hashlib.sha256(source["text"].encode()).hexdigest() == source["sha256"]


def test_the_same_record_is_the_same_bytes(history: Kept, tmp_path: Path) -> None:
    for name in ("one.zip", "two.zip"):
        export(history.conn, history.folder, tmp_path / name)
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_a_missing_photo_is_told(history: Kept, tmp_path: Path) -> None:
    sha256 = photo(history, "green")
    path = photos.original(history.folder, sha256)
    assert path is not None
    path.unlink()
    exported = export(history.conn, history.folder, tmp_path / "record.zip")
    assert exported.missing == (sha256,)


def test_an_export_that_fails_leaves_no_file(history: Kept, tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        export(history.conn, history.folder, tmp_path / "no" / "record.zip")
    assert not history.conn.in_transaction
    assert not (tmp_path / "no").exists()


def test_no_secret_is_exported(history: Kept, tmp_path: Path) -> None:
    from fieldlog.store import access

    key = access.secret(history.folder)
    export(history.conn, history.folder, tmp_path / "record.zip")
    with zipfile.ZipFile(tmp_path / "record.zip") as whole:
        held = {name: whole.read(name) for name in whole.namelist()}
    assert held
    assert not [name for name, data in held.items() if key in data]
