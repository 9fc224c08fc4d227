"""The app as a whole: its pages answer, its errors say what to do, its library stays fresh."""

from __future__ import annotations

import re
import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest
from web_cast import OPEN_STAIR, Clock, Person, SmallHouse

from fieldlog.app import create_app
from fieldlog.config import Config, asset_folder
from fieldlog.store.db import HouseBusy, open_writer
from fieldlog.web import times

SHEET = """
id = "sill"
title = "Window sill"
trade = "trim"
caution = "Measured only; the drawings decide."
source = "common practice"

[[field]]
name = "slope"
label = "Slope"
kind = "length"
how = "Front edge below the back edge."
low = "0 in"
high = "3 in"
"""


@pytest.mark.parametrize(
    "path",
    ["/", "/rooms", "/rooms/boat-room", "/punch", "/next", "/reports", "/codes",
     "/day/2026-03-03"],
)  # fmt: skip
def test_the_places_answer(small_house: SmallHouse, superintendent: Person, path: str) -> None:
    small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    page = superintendent.opens(path)
    assert page.status == 200
    assert 'aria-label="Places"' in page.html
    assert "Skip to the page" in page.text


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/nowhere", "There is nothing in the book at this address."),
        ("/rooms/attic", 'There is no room "attic" in this house.'),
        ("/rooms/boat-room/checks/roof", 'There is no sheet "roof".'),
        ("/checks/nothing", "There is no check at this address."),
    ],
)
def test_a_wrong_address_says_where_one_is_and_what_to_do(
    superintendent: Person, path: str, words: str
) -> None:
    page = superintendent.opens(path)
    assert page.status == 404
    assert words in page.text
    assert path in page.text


def test_a_button_address_opened_as_a_page_says_so(superintendent: Person) -> None:
    page = superintendent.opens("/walk")
    assert page.status == 405
    assert "only used by a form's button" in page.text


def test_too_much_at_once_is_a_sentence(superintendent: Person) -> None:
    page = superintendent.sends("/walk", {"csrf_token": "x", "big": "y" * 17 * 1024 * 1024})
    assert page.status == 413
    assert "more than this page takes (16 MB)" in page.text


def test_a_fault_shows_no_trace(small_house: SmallHouse) -> None:
    def breaks() -> str:
        raise ZeroDivisionError("deep inside")

    app = small_house.restarted()  # one that has answered nothing yet, so that it takes addresses
    app.testing = False
    app.add_url_rule("/breaks", view_func=breaks)
    page = Person(app.test_client()).opens("/breaks")
    assert page.status == 500
    assert "fieldlog's own terminal says why" in page.text
    assert "deep inside" not in page.html
    assert "Traceback" not in page.html


def disk_fault() -> sqlite3.OperationalError:
    """What SQLite raises when the disk fails."""
    fault = sqlite3.OperationalError("disk I/O error")
    fault.sqlite_errorcode = sqlite3.SQLITE_IOERR
    return fault


@pytest.mark.parametrize("fault", [OSError(28, "No space left on device"), disk_fault()])
def test_a_full_disk_is_said_and_saves_nothing(
    small_house: SmallHouse,
    superintendent: Person,
    monkeypatch: pytest.MonkeyPatch,
    fault: Exception,
) -> None:
    def full(*_args: object, **_more: object) -> None:
        raise fault

    fields = superintendent.opens("/").fields
    monkeypatch.setattr("fieldlog.intake.journal.append", full)
    page = superintendent.sends("/walk", fields)
    assert page.status == 500
    assert "Look whether the disk is full" in page.text
    assert "Traceback" not in page.html
    monkeypatch.undo()
    assert small_house.entries() == 1
    assert superintendent.sends("/walk", fields).status == 200


def test_a_folder_that_is_no_house_any_more_still_gives_a_page(
    small_house: SmallHouse, superintendent: Person
) -> None:
    database = small_house.folder / "fieldlog.sqlite"
    for part in small_house.folder.glob("fieldlog.sqlite*"):
        part.unlink()
    database.write_bytes(b"not a database, not at all" * 200)
    small_house.app.testing = False
    page = superintendent.opens("/rooms")
    assert page.status == 500
    assert 'aria-label="Places"' in page.html


def test_a_folder_without_a_house_says_how_to_start_one(tmp_path: Path, clock: Clock) -> None:
    app = create_app(Config(tmp_path, clock=clock, testing=True))
    page = Person(app.test_client()).opens("/")
    assert page.status == 404
    assert "fieldlog new" in page.text
    assert str(tmp_path) in page.text


def test_while_another_process_writes_pages_can_be_read_and_a_post_is_refused(
    small_house: SmallHouse, superintendent: Person
) -> None:
    other = open_writer(small_house.folder)
    fields = superintendent.opens("/").fields
    page = superintendent.sends("/walk", fields)
    other.close()
    assert page.status == 503
    assert "Stop the other one" in page.text
    assert superintendent.sends("/walk", fields).status == 200


def test_the_lock_is_given_back(small_house: SmallHouse, superintendent: Person) -> None:
    superintendent.fills("/", to="/walk")
    with pytest.raises(HouseBusy):
        open_writer(small_house.folder)
    small_house.restarted()
    open_writer(small_house.folder).close()


def test_a_strangers_sheet_is_there_without_a_restart(
    small_house: SmallHouse, superintendent: Person
) -> None:
    assert superintendent.opens("/rooms/closet/checks/sill").status == 404
    (small_house.folder / "sheets").mkdir(exist_ok=True)
    (small_house.folder / "sheets" / "sill.toml").write_text(SHEET)
    assert "Window sill" in superintendent.opens("/rooms/closet").text
    page = superintendent.opens("/rooms/closet/checks/sill")
    assert "Front edge below the back edge." in page.text
    assert "Measured only; the drawings decide." in page.text


def test_a_faulty_sheet_is_named_with_its_line(
    small_house: SmallHouse, superintendent: Person
) -> None:
    (small_house.folder / "sheets").mkdir(exist_ok=True)
    (small_house.folder / "sheets" / "sill.toml").write_text(SHEET.replace("high", "hihg"))
    page = superintendent.opens("/rooms/closet/checks/sill")
    assert page.status == 500
    assert "sill.toml, line 14" in page.text
    assert "Mend that line" in page.text


def test_what_is_saved_and_when_stands_under_the_head(
    small_house: SmallHouse, superintendent: Person, clock: Clock
) -> None:
    assert "Saved on this machine, 8:15 am" in superintendent.opens("/rooms").text
    clock.passes(hours=5)
    small_house.checks("boat-room", "stair", OPEN_STAIR, place="First flight")
    assert "Saved on this machine, 1:15 pm" in superintendent.opens("/rooms").text
    clock.passes(days=1)
    assert "Saved on this machine, Tue" in superintendent.opens("/rooms").text


@pytest.mark.parametrize(
    ("hour", "says"), [(0, "12:05 am"), (8, "8:05 am"), (12, "12:05 pm"), (23, "11:05 pm")]
)
def test_times_are_said_as_on_site(hour: int, says: str) -> None:
    moment = datetime(2026, 3, 3, hour, 5, tzinfo=UTC)
    assert times.clock_time(moment) == says
    assert times.full(moment) == f"Tue Mar 3, {says}"


def test_days_are_said_as_on_site() -> None:
    today = datetime(2026, 3, 9, tzinfo=UTC).date()
    moment = datetime(2026, 3, 3, 8, 5, tzinfo=UTC)
    assert times.short(moment, moment.date()) == "8:05 am"
    assert times.short(moment, today) == "Tue"
    assert times.short(moment.replace(month=2), today) == "Feb 3"
    assert times.days_ago("2026-03-09", today) == "today"
    assert times.days_ago("2026-03-08", today) == "1 day"
    assert times.days_ago("2026-02-27", today) == "10 days"
    assert times.long_day_name("2026-03-03") == "Tuesday, Mar 3, 2026"
    assert times.day_name("no day") == "no day"


def luminance(color: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = (int(color[n : n + 2], 16) / 255 for n in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("ground", ["paper", "sheet", "here"])
@pytest.mark.parametrize(
    "ink", ["ink", "pencil", "pass", "fail", "close", "blank", "stamp", "link"]
)
def test_text_stands_at_seven_to_one_on_paper(ink: str, ground: str) -> None:
    css = (asset_folder("static") / "css" / "base.css").read_text()
    colors = dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", css))
    light, dark = luminance(colors[ground]), luminance(colors[ink])
    assert (light + 0.05) / (dark + 0.05) >= 7
