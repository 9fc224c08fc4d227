"""`fieldlog demo`: what it makes, prints and leaves alone."""

from __future__ import annotations

import re
import socket
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog.calc.items import UNFINISHED
from fieldlog.cli import run
from fieldlog.demo import load
from fieldlog.demo.load import MARK, FolderTaken, claim
from fieldlog.store import journal, reading
from fieldlog.store.db import HouseBusy, open_reader, open_writer
from fieldlog.store.photos import verify_photos
from tests import seeded

NOON = datetime(2026, 3, 5, 22, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A demo run whole, once: its folder and what it printed."""
    folder = tmp_path_factory.mktemp("demo") / "out"
    printed: list[str] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("builtins.print", lambda *said, **_: printed.append(" ".join(map(str, said))))
        status = run(["demo", "--no-serve", "--out", str(folder)], lambda: NOON)
    assert status == 0
    return folder, "\n".join(printed)


def test_it_prints_a_line_for_each_walk_and_each_crew(made: tuple[Path, str]) -> None:
    _, said = made
    assert "4 walks, 60 checks, 30 punch items, 25 photos" in said
    for line in ("Mon, Mar 2", "Thu, Mar 5", "Stair crew", "Tile crew"):
        assert line in said
    assert max(map(len, said.splitlines())) < 200


def test_the_table_counts_what_is_in_the_journal(made: tuple[Path, str]) -> None:
    folder, said = made
    with closing(open_reader(folder)) as conn:
        waiting = reading.items(conn, trade="paint", states=UNFINISHED)
    row = next(line for line in said.splitlines() if line.strip().startswith("Paint crew"))
    opened, corrected = (int(n) for n in re.findall(r"\d+", row)[:2])
    assert opened == sum(item.state == "open" for item in waiting)
    assert corrected == sum(item.state == "corrected" for item in waiting)


def test_the_tables_leave_nothing_out(made: tuple[Path, str]) -> None:
    _, said = made
    walks, crews = (re.findall(r"^  \w.*$", part, re.M)[1:] for part in said.split("\n\n")[1:3])
    cells = [sum(int(n) for line in lines for n in re.findall(r"(?<=  )\d+", line))
             for lines in (walks, crews)]  # fmt: skip
    assert cells == [60, 30]


def test_the_journal_is_sound_to_the_last_check_and_photo(made: tuple[Path, str]) -> None:
    folder, _ = made
    with closing(open_reader(folder)) as conn:
        assert journal.verify(conn) == []
        assert journal.verify_deep(conn) == []
        assert verify_photos(conn, folder) == []


def test_the_reports_are_there_and_name_what_fails(made: tuple[Path, str]) -> None:
    reports = made[0] / "reports"
    monday = (reports / "daily-2026-03-02.txt").read_text()
    assert "Open gaps 4 7/16 to 4 1/2 in" in monday
    assert "R311.7.5.1" in monday
    assert "8 1/4 in" in monday, "the override is named"
    stair = (reports / "punch-stair-2026-03-05.txt").read_text()
    assert "P-12" in stair
    letter = (reports / "letter-2026-03-06.txt").read_text()
    assert "The main stair is up" in letter
    crews = {trade.id for trade in seeded.seed().house.trades}
    assert {p.name for p in reports.glob("punch-*.html")} == {
        f"punch-{crew}-2026-03-05.html" for crew in crews
    }


def test_a_page_finds_its_photos_beside_it(made: tuple[Path, str]) -> None:
    reports = made[0] / "reports"
    page = (reports / "daily-2026-03-02.html").read_text()
    named = re.findall(r'src="(photos/[^"]+)"', page)
    assert len(named) >= 8
    assert all((reports / name).is_file() for name in named)


@pytest.fixture
def plain_photos(monkeypatch: pytest.MonkeyPatch) -> None:
    """Photos that cost no time to draw, each its own."""
    import io

    from PIL import Image

    def drawn(name: str) -> bytes:
        file = io.BytesIO()
        Image.new("RGB", (8, 8), tuple(name.encode()[:3])).save(file, "PNG")
        return file.getvalue() + name.encode()

    monkeypatch.setattr(load, "drawn", drawn)


def head_of(folder: Path) -> str:
    with closing(open_reader(folder)) as conn:
        return journal.head(conn).chain


@pytest.mark.usefixtures("plain_photos")
def test_the_same_input_gives_the_same_journal_to_the_last_byte(tmp_path: Path) -> None:
    for name in ("one", "two"):
        load.load(tmp_path / name, seeded.seed(), NOON, seeded.LAST)
    assert head_of(tmp_path / "one") == head_of(tmp_path / "two")
    load.load(tmp_path / "three", seeded.seed(), NOON, datetime(2026, 3, 4).date())
    assert head_of(tmp_path / "three") != head_of(tmp_path / "one")


@pytest.mark.slow
def test_the_command_twice_gives_the_same_journal(tmp_path: Path) -> None:
    later = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
    for name, clock in (("one", NOON), ("two", later)):
        args = ["demo", "--no-serve", "--date", "2026-03-03", "--out", str(tmp_path / name)]
        assert run(args, lambda clock=clock: clock) == 0  # type: ignore[misc]
    assert head_of(tmp_path / "one") == head_of(tmp_path / "two")


@pytest.mark.usefixtures("plain_photos")
def test_an_earlier_demo_starts_over(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    load.load(folder, seeded.seed(), NOON, seeded.LAST)
    (folder / "reports").mkdir(exist_ok=True)
    (folder / "reports" / "old.txt").write_text("old")
    before = head_of(folder)
    load.load(folder, seeded.seed(), NOON, seeded.LAST)
    assert head_of(folder) == before
    assert not (folder / "reports" / "old.txt").exists()


def test_a_folder_that_no_demo_made_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    real = tmp_path / "fieldlog-data"
    args = ["--room", "kitchen:Kitchen:main", "--trade", "trim", "--name", "Real house"]
    assert run(["new", *args, "--data", str(real)], lambda: NOON) == 0
    before = {path: path.read_bytes() for path in real.rglob("*") if path.is_file()}
    assert run(["demo", "--no-serve", "--out", str(real)], lambda: NOON) == 2
    assert "was not made by a demo" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in real.rglob("*") if path.is_file()} == before
    assert not (real / MARK).exists()


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    with pytest.raises(FolderTaken, match="is a file"):
        claim(tmp_path / "file")
    assert (tmp_path / "file").read_text() == "mine"


def test_a_demo_that_is_still_served_is_not_thrown_away(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    claim(folder)
    with closing(open_writer(folder, create=True)):
        with pytest.raises(HouseBusy):
            claim(folder)
        assert (folder / "fieldlog.sqlite").exists()


def test_a_link_in_the_folder_is_removed_and_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "keep.txt").write_text("keep")
    folder = tmp_path / "demo"
    claim(folder)
    (folder / "photos").symlink_to(outside, target_is_directory=True)
    claim(folder)
    assert (outside / "keep.txt").read_text() == "keep"
    assert not (folder / "photos").exists()


@pytest.mark.parametrize("day", ["tomorrow", "2099-01-01", "2026-02-30"])
def test_a_date_that_is_none_is_a_sentence(
    day: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    args = ["demo", "--no-serve", "--date", day, "--out", str(tmp_path / "x")]
    assert run(args, lambda: NOON) == 2
    assert day in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


@pytest.mark.usefixtures("plain_photos")
def test_a_taken_port_is_a_sentence_that_offers_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        args = ["demo", "--out", str(tmp_path / "demo"), "--port", str(port)]
        assert run(args, lambda: NOON) == 2
    said = capsys.readouterr()
    assert f"Port {port} can't be used" in said.err
    assert f"--port {port + 1}" in said.err
    assert "Traceback" not in said.err
