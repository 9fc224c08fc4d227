"""The command line: every command, its help, its bad input."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog.calc.house import house_body
from fieldlog.cli import parser, run
from fieldlog.config import asset_folder
from tests import seeded

NOON = datetime(2026, 3, 5, 17, 0, tzinfo=UTC)
COMMANDS = (
    "demo",
    "new",
    "house",
    "change",
    "serve",
    "pair",
    "tls",
    "judge",
    "calc",
    "floor",
    "report",
    "verify",
    "export",
    "backup",
    "restore",
    "take",
)
Said = pytest.CaptureFixture[str]


def fieldlog(*args: str | Path) -> int:
    """Run a command in this process, at a time that stands still."""
    return run([str(arg) for arg in args], lambda: NOON)


def refused(said: Said, *args: str | Path) -> str:
    """The sentence that a command ends with; it is one line, and there is no trace."""
    assert fieldlog(*args) == 2
    err = said.readouterr().err
    assert "Traceback" not in err
    assert err.startswith("fieldlog: ")
    assert len(err.strip().splitlines()) == 1
    return err


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A house just started."""
    rooms = ("--room", "kitchen:Kitchen:main", "--room", "hall:Hall:main")
    trades = ("--trade", "trim:Trim crew", "--trade", "Paint")
    folder = tmp_path / "data"
    assert fieldlog("new", "--name", "Mill", *rooms, *trades, "--data", folder) == 0
    return folder


class TestHelp:
    """Nobody has to read the source."""

    @pytest.mark.parametrize("command", COMMANDS)
    def test_each_command_explains_itself_with_an_example(self, command: str, capsys: Said) -> None:
        assert fieldlog(command, "--help") == 0
        said = capsys.readouterr().out
        assert f"Example: fieldlog {command}" in said

    def test_every_option_of_every_command_has_words(self) -> None:
        commands = parser()._subparsers._group_actions[0].choices  # type: ignore[union-attr]
        assert tuple(commands) == COMMANDS
        for name, command in commands.items():
            for action in command._actions:
                assert action.help, (name, action.option_strings)

    def test_without_a_command_it_says_what_there_is(self, capsys: Said) -> None:
        assert fieldlog() == 2
        assert "COMMAND" in capsys.readouterr().err

    def test_an_unknown_command_is_no_trace(self, capsys: Said) -> None:
        assert fieldlog("destroy") == 2
        assert "destroy" in capsys.readouterr().err

    @pytest.mark.parametrize("example", ["--help", "judge --help", "new --help"])
    def test_help_fits_a_terminal_that_knows_only_ascii(self, example: str, capsys: Said) -> None:
        fieldlog(*example.split())
        assert capsys.readouterr().out.isascii()


class TestNew:
    """Starting a house."""

    def test_from_flags(self, house: Path, capsys: Said) -> None:
        assert fieldlog("verify", "--data", house) == 0
        assert "1 entry, sound" in capsys.readouterr().out

    def test_from_a_file_with_every_key(self, tmp_path: Path, capsys: Said) -> None:
        source = asset_folder("seed_data") / "house.toml"
        text = source.read_text().replace('"tile-floor"', '"plank-floor"')
        (tmp_path / "house.toml").write_text(text)
        assert fieldlog("new", "--from", tmp_path / "house.toml", "--data", tmp_path / "d") == 0
        assert "Net loft on Slip 9: started" in capsys.readouterr().out

    def test_from_standard_input(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        import io

        text = (asset_folder("seed_data") / "house.toml").read_text()
        text = text.replace('"tile-floor"', '"plank-floor"')
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
        assert fieldlog("new", "--from", "-", "--data", tmp_path / "d") == 0

    def test_a_story_may_have_a_name_of_its_own_and_a_room_checks(self) -> None:
        from fieldlog.calc.house_flags import Flags, house_of

        made = house_of(
            Flags(
                name="Mill",
                zone="America/Chicago",
                superintendent="Wren",
                story=["main:Ground floor"],
                room=["hall:Hall:main", "attic:Attic:top-floor"],
                trade=["Stair crew"],
                check=["hall:stair:First flight", "hall:handrail"],
            )
        )
        assert [s.name for s in made.stories] == ["Ground floor", "Top floor"]
        assert [c.key for c in made.rooms[0].checks] == ["stair/first-flight", "handrail"]
        assert made.trades[0].id == "stair-crew"

    def test_where_a_house_is_none_is_started(self, house: Path, capsys: Said) -> None:
        before = (house / "fieldlog.sqlite").read_bytes()
        args = ("--name", "Other", "--room", "a:A:b", "--trade", "x", "--data", house)
        assert "started" in refused(capsys, "new", *args)
        assert (house / "fieldlog.sqlite").read_bytes() == before

    @pytest.mark.parametrize(
        ("args", "says"),
        [
            ((), "--room"),
            (("--room", "kitchen"), "--trade"),
            (("--room", "kitchen", "--trade", "trim"), "id:name:story"),
            (("--room", "k:K:s", "--trade", "trim", "--zone", "Mars/Olympus"), "Mars/Olympus"),
            (("--room", "k:K:s", "--trade", "trim", "--book", "nobook"), "nobook"),
            (("--room", "k:K:s", "--trade", "trim", "--instrument", "thumb"), "thumb"),
            (("--room", "k:K:s", "--trade", "trim", "--check", "k:roof"), "roof"),
            (("--room", "k:K:s", "--trade", "trim", "--check", "z:stair"), '"z"'),
            (("--room", "K K:K:s", "--trade", "trim"), "K K"),
            (("--room", "k:K:s", "--room", "k:L:s", "--trade", "trim"), "twice"),
            (("--room", "k:K:s", "--trade", ":"), "--trade"),
        ],
    )
    def test_bad_flags_are_named_and_nothing_is_made(
        self, args: tuple[str, ...], says: str, tmp_path: Path, capsys: Said
    ) -> None:
        folder = tmp_path / "data"
        assert says in refused(capsys, "new", "--name", "Mill", *args, "--data", folder)
        assert not (folder / "fieldlog.sqlite").exists()

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("name = \nzone = 1", "line 1"),
            ("wrong = 1", "wrong"),
            ("\x00", "h.toml"),
        ],
    )
    def test_a_bad_file_is_named(self, text: str, says: str, tmp_path: Path, capsys: Said) -> None:
        (tmp_path / "h.toml").write_text(text)
        said = refused(capsys, "new", "--from", tmp_path / "h.toml", "--data", tmp_path / "d")
        assert says in said

    def test_a_file_that_is_no_text_or_not_there(self, tmp_path: Path, capsys: Said) -> None:
        (tmp_path / "h.toml").write_bytes(b"name = \xff\xfe")
        args = ("--data", tmp_path / "d")
        assert "UTF-8" in refused(capsys, "new", "--from", tmp_path / "h.toml", *args)
        assert "none.toml" in refused(capsys, "new", "--from", tmp_path / "none.toml", *args)
        assert str(tmp_path) in refused(capsys, "new", "--from", tmp_path, *args)


class TestReport:
    """Reports of the demo's house, to the screen and to files."""

    @pytest.fixture
    def data(self) -> Path:
        """The demo's house: only read here."""
        return seeded.house_folder()

    @pytest.mark.parametrize(
        ("args", "says"),
        [
            (("daily",), "Hump under a 6 ft edge is 3/16 in"),
            (("daily", "--date", "2026-03-02"), "Open gaps 4 7/16 to 4 1/2 in"),
            (("punch", "--trade", "stair"), "P-12"),
            (("weekly", "--date", "2026-03-02"), "oak treads"),
        ],
    )
    def test_it_prints_the_text(
        self, args: tuple[str, ...], says: str, data: Path, capsys: Said
    ) -> None:
        assert fieldlog("report", *args, "--data", data) == 0
        assert says in capsys.readouterr().out

    def test_one_page_carries_its_photos(self, data: Path, tmp_path: Path, capsys: Said) -> None:
        out = tmp_path / "punch.html"
        args = ("report", "punch", "--trade", "paint", "--out", out, "--data", data)
        assert fieldlog(*args) == 0
        assert capsys.readouterr().out.strip() == str(out)
        page = out.read_text()
        assert 'src="data:image/jpeg;base64,' in page
        assert "P-14" in page
        assert list(tmp_path.iterdir()) == [out]

    def test_a_folder_gets_page_and_text(self, data: Path, tmp_path: Path) -> None:
        assert fieldlog("report", "daily", "--out", tmp_path / "out", "--data", data) == 0
        names = {p.name for p in (tmp_path / "out").iterdir()}
        assert {"daily-2026-03-05.html", "daily-2026-03-05.txt"} <= names

    def test_the_text_is_the_file(self, data: Path, tmp_path: Path, capsys: Said) -> None:
        fieldlog("report", "daily", "--data", data)
        printed = capsys.readouterr().out
        fieldlog("report", "daily", "--out", tmp_path / "daily.txt", "--data", data)
        assert (tmp_path / "daily.txt").read_text() == printed

    @pytest.mark.parametrize(
        ("args", "says"),
        [
            (("punch",), "stair, trim"),
            (("punch", "--trade", "roof"), "stair, trim"),
            (("daily", "--date", "yesterday"), "yesterday"),
            (("daily", "--date", "2026-02-30"), "2026-02-30"),
        ],
    )
    def test_what_is_none_is_said(
        self, args: tuple[str, ...], says: str, data: Path, capsys: Said
    ) -> None:
        assert says in refused(capsys, "report", *args, "--data", data)

    def test_where_nothing_can_be_written(self, data: Path, tmp_path: Path, capsys: Said) -> None:
        (tmp_path / "file").write_text("")
        out = tmp_path / "file" / "daily.txt"
        assert "file" in refused(capsys, "report", "daily", "--out", out, "--data", data)

    def test_a_house_where_nothing_happened_has_a_report(self, house: Path, capsys: Said) -> None:
        for args in (("daily",), ("punch", "--trade", "trim"), ("weekly",)):
            assert fieldlog("report", *args, "--data", house) == 0
        assert "Mill" in capsys.readouterr().out


class TestVerify:
    """Whether the record is whole."""

    def test_a_sound_house(self, capsys: Said) -> None:
        assert fieldlog("verify", "--deep", "--data", seeded.house_folder()) == 0
        said = capsys.readouterr().out
        assert "sound" in said
        assert said.split()[-1].isalnum()
        assert len(said.split()[-1]) == 64

    def test_a_photo_that_was_changed_is_named(self, tmp_path: Path, capsys: Said) -> None:
        import shutil

        data = tmp_path / "copy"
        shutil.copytree(seeded.house_folder(), data)
        changed = next((data / "photos").rglob("*.jpg"))
        changed.write_bytes(changed.read_bytes() + b"x")
        assert fieldlog("verify", "--data", data) == 1
        said = capsys.readouterr().out
        assert changed.stem in said
        assert "1 fault" in said

    @pytest.mark.parametrize("command", ["verify", "export", "serve", "report"])
    def test_a_folder_without_a_house(self, command: str, tmp_path: Path, capsys: Said) -> None:
        kind = ("daily",) if command == "report" else ()
        said = refused(capsys, command, *kind, "--data", tmp_path / "none")
        assert "no house" in said
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.parametrize("command", ["verify", "serve"])
    def test_a_database_that_is_none(self, command: str, tmp_path: Path, capsys: Said) -> None:
        (tmp_path / "fieldlog.sqlite").write_bytes(b"not a database, but long enough" * 100)
        assert "database" in refused(capsys, command, "--data", tmp_path)


class TestExport:
    """The whole record in one file."""

    def test_the_zip_holds_journal_and_photos(self, tmp_path: Path, capsys: Said) -> None:
        out = tmp_path / "house.zip"
        assert fieldlog("export", "--out", out, "--data", seeded.house_folder()) == 0
        assert "25 photos" in capsys.readouterr().out
        with zipfile.ZipFile(out) as whole:
            lines = whole.read("journal.jsonl").decode().splitlines()
            assert sum(name.startswith("photos/") for name in whole.namelist()) == 25
        assert json.loads(lines[0])["type"] == "house/1"
        assert json.loads(lines[0])["body"] == house_body(seeded.seed().house)

    def test_a_file_that_is_there_is_not_written_over(self, tmp_path: Path, capsys: Said) -> None:
        out = tmp_path / "house.zip"
        out.write_text("mine")
        data = seeded.house_folder()
        assert "there already" in refused(capsys, "export", "--out", out, "--data", data)
        assert out.read_text() == "mine"

    def test_without_a_name_it_is_the_houses_and_the_day(
        self, house: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.chdir(tmp_path)
        assert fieldlog("export", "--data", house) == 0
        assert (tmp_path / "mill-2026-03-05.zip").exists()


class TestFolder:
    """Which house is meant."""

    def test_the_variable_names_it(self, house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("FIELDLOG_DATA", str(house))
        assert fieldlog("verify") == 0

    def test_else_it_lies_where_the_command_is_typed(
        self, house: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        house.rename(house.parent / "fieldlog-data")
        monkeypatch.delenv("FIELDLOG_DATA", raising=False)
        monkeypatch.chdir(house.parent)
        assert fieldlog("verify") == 0
        assert fieldlog("verify", "--folder", "fieldlog-data") == 0


class TestServe:
    """Serving, in a process of its own."""

    @pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.5", "::", "example.test", ""])
    def test_other_machines_are_kept_out(self, host: str, house: Path, capsys: Said) -> None:
        said = refused(capsys, "serve", "--host", host, "--data", house)
        assert "this machine only" in said

    @pytest.mark.parametrize("port", ["0", "65536", "-1", "eighty", "80.5", "9" * 30])
    def test_a_port_that_is_none(self, port: str, house: Path, capsys: Said) -> None:
        assert fieldlog("serve", f"--port={port}", "--data", house) == 2
        assert "is not a port" in capsys.readouterr().err

    @pytest.fixture
    def served(self, house: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
        """A served house: the process, and its address."""
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        command = [sys.executable, "-m", "fieldlog", "serve", "--data", str(house)]
        process = subprocess.Popen(
            [*command, "--port", str(port)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
            # a suite that a shell started in the background hands an ignored Ctrl-C on
            preexec_fn=heed_ctrl_c if os.name == "posix" else None,
        )
        yield process, f"http://127.0.0.1:{port}/"
        process.kill()
        process.communicate()

    def test_it_answers_and_stops_at_ctrl_c_without_a_trace(
        self, served: tuple[subprocess.Popen[str], str], house: Path, capsys: Said
    ) -> None:
        process, address = served
        assert b"Mill" in first_page(address)
        assert "Another fieldlog" in refused(
            capsys, "serve", "--data", house, "--port", str(int(address.split(":")[2][:-1]) + 1)
        )
        process.send_signal(2)
        out, err = process.communicate(timeout=20)
        assert process.returncode == 0, err
        assert address in out
        assert "Stopped." in out
        assert err == ""


def heed_ctrl_c() -> None:
    """In the new process: Ctrl-C ends it again."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def first_page(address: str) -> bytes:
    """The first page, as soon as it is served."""
    for _ in range(200):
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                page: bytes = answer.read()
                return page
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"nothing answers at {address}")
