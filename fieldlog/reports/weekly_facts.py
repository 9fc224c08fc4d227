"""What the journal knows of a week that an owner would want to read: rooms, crews, photos."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from fieldlog.calc.bodies import Day
from fieldlog.calc.house import House, Room
from fieldlog.calc.items import OPEN, UNFINISHED
from fieldlog.calc.readiness import gates
from fieldlog.calc.trade_order import Sequence
from fieldlog.store import reading
from fieldlog.store.views import CheckView, ItemView, PhotoView

DAYS = 7
FINE = ("pass", "does_not_apply")


@dataclass(frozen=True, slots=True)
class Week:
    """A week's facts by id. `back` maps a crew to its rooms and the day it has to be done by.

    `rooms_right` were looked at this week, wholly, and everything passes and is accepted.
    """

    rooms_right: tuple[str, ...]
    corrected: dict[str, tuple[str, ...]]
    did: dict[str, tuple[str, ...]]
    notes: tuple[str, ...]
    back: dict[str, tuple[tuple[str, ...], str]]
    starts: dict[str, tuple[str, ...]]
    photos: tuple[str, ...]


def week_facts(
    conn: sqlite3.Connection, house: House, friday: str, sequence: Sequence | None
) -> Week:
    """The seven days that end with a Friday (ISO date)."""
    days = week_days(friday)
    checks = reading.latest_checks(conn)
    items = reading.items(conn)
    typed = [facts for day in days if (facts := reading.day_facts(conn, day))]
    return Week(
        rooms_right=_right(house, checks, items, days),
        corrected=_corrected(items, days),
        did=_did(typed),
        notes=tuple(facts.note for facts in typed if facts.note),
        back=_back(items),
        starts=_starts(sequence, house, checks, items) if sequence else {},
        photos=_photos(conn, days),
    )


def week_days(friday: str) -> tuple[str, ...]:
    """The Saturday before a Friday, to that Friday."""
    last = date.fromisoformat(friday)
    return tuple((last - timedelta(days=back)).isoformat() for back in range(DAYS - 1, -1, -1))


def _right(
    house: House, checks: list[CheckView], items: list[ItemView], days: tuple[str, ...]
) -> tuple[str, ...]:
    unfinished = {i.room for i in items if i.state in UNFINISHED}
    return tuple(
        room.id
        for room in house.rooms
        if room.id not in unfinished
        and _all_right(room, [c for c in checks if c.room == room.id], days)
    )


def _all_right(room: Room, checks: list[CheckView], days: tuple[str, ...]) -> bool:
    whole = {planned.key for planned in room.checks} <= {c.key for c in checks}
    fine = all(c.verdict in FINE for c in checks)
    return whole and fine and any(c.day in days for c in checks)


def _corrected(items: list[ItemView], days: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    done = [i for i in items if i.state == "accepted" and i.state_day in days]
    return _rooms_by_crew(done)


def _did(typed: Iterable[Day]) -> dict[str, tuple[str, ...]]:
    done: dict[str, dict[str, None]] = {}
    for facts in typed:
        for crew in facts.crews:
            if crew.did.strip():
                done.setdefault(crew.trade, {})[" ".join(crew.did.split())] = None
    return {trade: tuple(did) for trade, did in done.items()}


def _back(items: list[ItemView]) -> dict[str, tuple[tuple[str, ...], str]]:
    """Crews with open items. A day is told only where each of their items has one: the last."""
    waiting = [i for i in items if i.state == OPEN]
    answer = {}
    for trade, rooms in _rooms_by_crew(waiting).items():
        by = [i.needs_by for i in waiting if i.trade == trade]
        answer[trade] = (rooms, max(by) if all(by) else "")
    return answer


def _starts(
    sequence: Sequence, house: House, checks: list[CheckView], items: list[ItemView]
) -> dict[str, tuple[str, ...]]:
    """Crews that may start in a room because what they need was measured there and is right.

    A crew that has an item in the room was there already.
    """
    needs = {step.trade: step.needs for step in sequence.step}
    been = {(i.trade, i.room) for i in items}
    answer: dict[str, list[str]] = {}
    for room_id, of_room in gates(sequence, house, checks, items, {}).items():
        planned = {c.sheet for room in house.rooms if room.id == room_id for c in room.checks}
        for gate in of_room:
            waited = planned & set(needs[gate.trade])
            if waited and not gate.held and (gate.trade, room_id) not in been:
                answer.setdefault(gate.trade, []).append(room_id)
    return {trade: tuple(rooms) for trade, rooms in answer.items()}


def _photos(conn: sqlite3.Connection, days: tuple[str, ...]) -> tuple[str, ...]:
    """Photos of the week that show no item, the newest of each room first."""
    shown = [p for day in days for p in reading.photos(conn, day=day) if _fit(conn, p)]
    newest = {p.room: p for p in shown}
    first = sorted(newest.values(), key=lambda p: -p.seq)
    rest = [p for p in reversed(shown) if p not in first]
    return tuple(dict.fromkeys(p.sha256 for p in [*first, *rest]))


def _fit(conn: sqlite3.Connection, photo: PhotoView) -> bool:
    if not photo.of.startswith("check:"):
        return not photo.of
    looks = [c for c in reading.checks_of_subject(conn, photo.of) if not c.struck]
    return bool(looks) and looks[-1].verdict in FINE


def _rooms_by_crew(items: Iterable[ItemView]) -> dict[str, tuple[str, ...]]:
    rooms: dict[str, dict[str, None]] = {}
    for item in sorted(items, key=lambda i: i.seq):
        rooms.setdefault(item.trade, {})[item.room] = None
    return {trade: tuple(found) for trade, found in rooms.items()}
