"""What a backup takes along of a house's own files, and what it passes over."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from keeping import START, Kept, copied

from fieldlog.cli import run
from fieldlog.store import backup as backing
from fieldlog.store.backup import OWN_FILES, BackupFailed, backup, latest
from fieldlog.store.calc_files import load_reference
from fieldlog.store.files import PACKAGE, load_order
from fieldlog.store.restore import newest, restore

README = Path(__file__).resolve().parents[2] / "README.md"


@pytest.fixture
def house(tmp_path: Path) -> Kept:
    """A house's folder that nobody writes to."""
    one = copied(tmp_path / "house")
    one.conn.close()
    return one


def test_every_folder_of_data_files_goes_along_and_is_in_the_readme() -> None:
    shipped = {path.parent.name for path in PACKAGE.glob("*/*.toml")} - {"demo"}
    assert {"species", "practice", "sequences"} < shipped
    assert shipped <= set(OWN_FILES)
    table = README.read_text().split("| in the folder | is |")[1].split("\n\n")[0]
    assert [name for name in OWN_FILES if f"`{name.removesuffix('/')}" not in table] == []


def test_the_houses_own_files_are_there_after_a_restore(house: Kept, tmp_path: Path) -> None:
    own = ("species/wood.toml", "practice/finish.toml", "sequences/finish.toml")
    for name in own:
        (house.folder / name).parent.mkdir()
        (house.folder / name).write_text((PACKAGE / name).read_text() + "\n# ours\n")
    backup(house.folder, tmp_path / "place", START)
    restore(newest(tmp_path / "place"), tmp_path / "to")
    for name in own:
        assert (tmp_path / "to" / name).read_text().endswith("# ours\n"), name
    assert load_reference(tmp_path / "to").wood.species
    assert load_order(tmp_path / "to").step


def test_another_folder_in_the_place_is_passed_over_in_words(
    house: Kept, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A house's folder copied onto the stick by hand has a `backup.json` of its own."""
    place, command = tmp_path / "place", ["--data", str(house.folder)]
    backup(house.folder, place, START)
    first = latest(place)
    assert first is not None
    shutil.copytree(house.folder, place / "copied")
    assert latest(place) == first
    assert run(["backup", str(place), *command]) == 0
    assert "copied was passed over" in capsys.readouterr().out
    assert newest(place).name > first.name
    for one in (first, newest(place)):
        shutil.rmtree(one)
    with pytest.raises(BackupFailed, match=r"no backup in .*copied was passed over"):
        newest(place)


def test_a_damaged_backup_is_not_passed_over(house: Kept, tmp_path: Path) -> None:
    made = backup(house.folder, tmp_path / "place", START)
    (made.where / "backup.json").write_text("{")
    with pytest.raises(BackupFailed, match="can't be read"):
        backup(house.folder, tmp_path / "place", START + timedelta(hours=1))


def vanishing(folder: Path) -> Callable[[Path, Path], None]:
    """Copies a file, while every other stand-in goes because its original came."""
    copy = backing.copy_durably

    def copies(source: Path, to: Path) -> None:
        for other in folder.rglob("*.jpg"):
            if other != source:
                other.unlink()
        copy(source, to)

    return copies


def test_a_stand_in_may_go_while_the_backup_is_made(
    house: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("standins/aa/1.jpg", "standins/aa/2.jpg", "standins/aa/3.jpg", "reports/x.tmp"):
        (house.folder / name).parent.mkdir(parents=True, exist_ok=True)
        (house.folder / name).write_bytes(b"small")
    with monkeypatch.context() as patched:
        patched.setattr(backing, "copy_durably", vanishing(house.folder / "standins"))
        made = backup(house.folder, tmp_path / "place", START)
    assert [p.name for p in (made.where / "own").rglob("*") if p.is_file()] == ["1.jpg"]
    for name in ("reports/1.jpg", "reports/2.jpg"):
        (house.folder / name).write_bytes(b"whole")
    monkeypatch.setattr(backing, "copy_durably", vanishing(house.folder / "reports"))
    with pytest.raises(FileNotFoundError):
        backup(house.folder, tmp_path / "place", START + timedelta(hours=1))


def test_a_house_is_restored_into_the_folder_one_stands_in(
    house: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    backup(house.folder, tmp_path / "place", START)
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    assert run(["restore", "../place", "--to", "."]) == 0
    assert "cd ." in capsys.readouterr().out
    assert (tmp_path / "empty" / "fieldlog.sqlite").is_file()
    monkeypatch.chdir(tmp_path)
