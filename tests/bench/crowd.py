"""A house with as much in it as the bench asks for, entered through the intake."""

from __future__ import annotations

import secrets
import shutil
import sqlite3
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from fieldlog.calc.bodies import CheckEntry, ItemEntry
from fieldlog.calc.house import House, parse_house
from fieldlog.calc.ids import new_id
from fieldlog.calc.library import Library
from fieldlog.intake import record, start_house

ROOT = Path(__file__).parent.parent.parent
AUTHOR = "superintendent/Wren"
RISERS = 12
WORDS = ("Scratch", "Paint holiday", "Missing cover plate", "Nail pop", "Door rubs")

STAIR: dict[str, Any] = {
    "open_riser": True,
    "riser": ["7 1/2", "7 9/16", "7 7/16", *["7 1/2"] * 8, "7 7/8"],
    "tread": ["10 1/4"] * (RISERS - 1),
    "nosing": ["1"] * (RISERS - 1),
    "tread_thickness": ["3 9/16"] * (RISERS - 1),
    "total_rise": "7 ft 6 3/8 in",
    "headroom": "6 ft 9 in",
    "width_above_rail": "36 1/4",
    "width_at_rail": "32",
    "landing_depth": "36 1/2",
}
TRIM: dict[str, Any] = {"casing": ["3 1/2", "3 1/2", "3 9/16"], "reveal": ["3/16"] * 6}
LOOK: dict[str, Any] = {"thing": "Cover plates", "good": True}
READINGS = {"stair": STAIR, "trim": TRIM, "visual": LOOK}


def invented_house() -> House:
    """The house of the demo, without its four days."""
    return parse_house((ROOT / "seed_data" / "house.toml").read_text(encoding="utf-8"))


def fresh_id(now: datetime) -> str:
    return new_id(now, secrets.token_bytes(10))


def start(folder: Path, now: datetime) -> House:
    """A new house in `folder`, with its first entry only."""
    house = invented_house()
    shutil.copytree(ROOT / "seed_data" / "books", folder / "books")
    start_house(folder, house, now, fresh_id(now))
    return house


def check(
    conn: sqlite3.Connection, folder: Path, library: Library, now: datetime, body: CheckEntry
) -> str:
    """Record one check; the id of its entry."""
    key = f"{body.sheet}/{body.place}" if body.place else body.sheet
    entry_id = fresh_id(now)
    record(
        conn, folder, library, id=entry_id, type="check/1", subject=f"check:{body.room}/{key}",
        author=AUTHOR, body=body, now=now,
    )  # fmt: skip
    return entry_id


def item(
    conn: sqlite3.Connection, folder: Path, library: Library, now: datetime, body: ItemEntry
) -> None:
    """Open one punch item."""
    entry_id = fresh_id(now)
    record(
        conn, folder, library, id=entry_id, type="item/1", subject=f"item:{entry_id}",
        author=AUTHOR, body=body, now=now,
    )  # fmt: skip


def fill(
    conn: sqlite3.Connection, folder: Path, library: Library, now: datetime, checks: int, items: int
) -> None:
    """Spread checks and items evenly over the rooms of the house, a minute apart."""
    house = invented_house()
    rooms, trades, sheets = house.rooms, house.trades, tuple(READINGS)
    for n in range(checks):
        sheet = sheets[n % len(sheets)]
        body = CheckEntry(
            room=rooms[n % len(rooms)].id, sheet=sheet, readings=READINGS[sheet],
            instrument="eye" if sheet == "visual" else "tape", place=f"place-{n // len(rooms)}",
        )  # fmt: skip
        check(conn, folder, library, now + timedelta(minutes=n), body)
    for n in range(items):
        opened = ItemEntry(
            number="", room=rooms[n % len(rooms)].id, trade=trades[n % len(trades)].id,
            words=WORDS[n % len(WORDS)],
        )  # fmt: skip
        item(conn, folder, library, now + timedelta(minutes=checks + n), opened)
