"""`fieldlog house` and `fieldlog change`: the house can be otherwise after it was started."""

from __future__ import annotations

import json
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog import intake
from fieldlog.calc.bodies import CrewToday, Day
from fieldlog.calc.entries import ItemEntry
from fieldlog.calc.ids import new_id
from fieldlog.cli import run
from fieldlog.store import journal, reading
from fieldlog.store.db import HouseFolder, open_reader, open_writer
from fieldlog.store.files import load_library
from fieldlog.store.reading_house import house_versions

NOON = datetime(2026, 3, 5, 17, 0, tzinfo=UTC)
Said = pytest.CaptureFixture[str]


def fieldlog(*args: str | Path) -> int:
    """Run a command at a time that stands still."""
    return run([str(arg) for arg in args], lambda: NOON)


@pytest.fixture
def folder(tmp_path: Path, capsys: Said) -> Path:
    """A house just started: two rooms, two crews."""
    rooms = ("--room", "kitchen:Kitchen:main", "--room", "hall:Hall:main")
    trades = ("--trade", "trim:Trim crew", "--trade", "Paint")
    made = tmp_path / "data"
    assert fieldlog("new", "--name", "Mill", *rooms, *trades, "--data", made) == 0
    capsys.readouterr()
    return made


@pytest.fixture
def printed(folder: Path, capsys: Said) -> str:
    """The house as it prints itself."""
    assert fieldlog("house", "--data", folder) == 0
    return capsys.readouterr().out


def change(folder: Path, text: str) -> int:
    """Change the house by a file with this text."""
    file = folder.parent / "house.toml"
    file.write_text(text, encoding="utf-8")
    return fieldlog("change", "--from", file, "--data", folder)


def enter(folder: Path, type: str, subject: str, body: object, nth: int) -> None:
    """Something entered past the pages."""
    with closing(open_writer(HouseFolder(folder))) as conn:
        entry_id = new_id(NOON, bytes([nth] * 10))
        intake.record(
            conn, folder, load_library(folder), id=entry_id, type=type,
            subject=subject or f"item:{entry_id}", author="superintendent/Superintendent",
            body=body, now=NOON,
        )  # fmt: skip


def test_what_it_prints_changes_nothing(folder: Path, printed: str, capsys: Said) -> None:
    assert change(folder, printed) == 2
    assert "Nothing is different" in capsys.readouterr().err


def test_rooms_and_crews_are_added_renamed_and_removed(
    folder: Path, printed: str, capsys: Said
) -> None:
    text = printed.replace('"Hall"', '"Front hall"').replace('"paint"', '"finish"')
    text = text.replace('"Paint"', '"Finish"')
    text += '\n[[rooms]]\nid = "den"\nname = "Den"\nstory = "main"\n'
    assert change(folder, text) == 0
    said = capsys.readouterr().out.splitlines()
    assert said == [
        "Crew Finish added.", "Crew Paint removed.", "Room Den added.",
        "Room Hall is now called Front hall.",
    ]  # fmt: skip
    with closing(open_reader(folder)) as conn:
        assert [r.name for r in reading.house(conn).rooms] == ["Kitchen", "Front hall", "Den"]
        assert [list(v.says) for v in house_versions(conn)] == [[], said]
        assert journal.verify(conn) == []
        assert journal.verify_deep(conn) == []


def test_what_entries_name_stays(folder: Path, printed: str, capsys: Said) -> None:
    enter(folder, "item/1", "", ItemEntry("", "hall", "trim", "Scratch"), 1)
    enter(folder, "day/1", "day:2026-03-05", Day("2026-03-05", crews=(CrewToday("paint", 2),)), 2)
    text = printed.replace('"hall"', '"foyer"').replace('"trim"', '"wood"')
    assert change(folder, text.replace('"paint"', '"colour"')) == 2
    said = capsys.readouterr().err
    assert 'The room "hall" has to stay' in said
    assert 'The crew "trim" has to stay' in said
    assert 'The crew "paint" has to stay' in said
    with closing(open_reader(folder)) as conn:
        assert len(house_versions(conn)) == 1


def test_a_file_printed_before_another_change_is_not_taken(
    folder: Path, printed: str, capsys: Said
) -> None:
    assert change(folder, printed.replace('"Hall"', '"Front hall"')) == 0
    assert change(folder, printed.replace('"Kitchen"', '"Galley"')) == 2
    assert "was changed after this file was printed" in capsys.readouterr().err
    assert change(folder, printed.split("\n", 1)[1].replace('"Kitchen"', '"Galley"')) == 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("name = ", "house.toml"),
        ("", "missing required field"),
        ("colour = 'red'", "colour"),
    ],
)
def test_bad_files_are_a_sentence(folder: Path, text: str, says: str, capsys: Said) -> None:
    assert change(folder, text) == 2
    err = capsys.readouterr().err
    assert says in err
    assert "Traceback" not in err


def test_a_book_that_is_nowhere_is_refused(folder: Path, printed: str, capsys: Said) -> None:
    assert change(folder, printed.replace('"irc-2021"', '"irc-1066"')) == 2
    assert "irc-1066" in capsys.readouterr().err


def test_no_house_no_print(tmp_path: Path, capsys: Said) -> None:
    assert fieldlog("house", "--data", tmp_path / "nothing") == 2
    assert "Traceback" not in capsys.readouterr().err


def test_an_entry_of_a_house_is_json_that_reads_back(folder: Path) -> None:
    with closing(open_reader(folder)) as conn:
        entry = journal.entries_of(conn, "house")[0]
    assert json.loads(entry.body)["rooms"][0]["id"] == "kitchen"
