"""What is different between a house and how it was, in sentences; and what may not be dropped."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from fieldlog.calc.house import House, PlannedCheck, Room, Story, Trade

Member = Story | Room | Trade

_PLAIN = (
    ("name", "The house's name"),
    ("zone", "The time zone"),
    ("superintendent", "The superintendent"),
    ("owner", "The owner"),
    ("system", "The system of lengths"),
    ("nag_hours", "Hours before a tablet speaks up about what is unsent"),
)
_LISTS = (("books", "Book"), ("instruments", "Tool"), ("phrases", "Phrase"))
_ROOM = (("size", "size"), ("finish", "finish"), ("door", "door"))


@dataclass(frozen=True, slots=True)
class Named:
    """Ids of the rooms and crews that entries of the journal name."""

    rooms: frozenset[str]
    trades: frozenset[str]


def differences(old: House, new: House) -> list[str]:
    """A sentence for each thing added, renamed, changed or removed; none for the same house."""
    return [
        *_plain(old, new),
        *_members("Story", old.stories, new.stories, lambda story: story.name),
        *_members("Crew", old.trades, new.trades, lambda trade: trade.name),
        *_members("Room", old.rooms, new.rooms, lambda room: room.name),
        *(line for room in new.rooms for line in _room(old.room(room.id), room, new)),
        *(line for name, what in _LISTS for line in _list(what, _of(old, name), _of(new, name))),
    ]


def dropped_in_use(old: House, new: House, named: Named) -> list[str]:
    """A sentence for each room, story or crew that `new` leaves out though entries name it."""
    gone_rooms = [r for r in old.rooms if new.room(r.id) is None and r.id in named.rooms]
    gone_trades = [t for t in old.trades if new.trade(t.id) is None and t.id in named.trades]
    gone_stories = [
        s
        for s in old.stories
        if new.story(s.id) is None and any(r.id in named.rooms for r in old.rooms_of(s.id))
    ]
    return [
        *(_kept("room", r.id, f"{r.name} was worked in") for r in gone_rooms),
        *(_kept("story", s.id, f"rooms of {s.name} were worked in") for s in gone_stories),
        *(_kept("crew", t.id, f"{t.name} is named by entries") for t in gone_trades),
    ]


def _kept(what: str, its_id: str, why: str) -> str:
    return f'The {what} "{its_id}" has to stay: {why}. Give it another name if it is another now.'


def _plain(old: House, new: House) -> Iterator[str]:
    for name, what in _PLAIN:
        if getattr(old, name) != getattr(new, name):
            yield f"{what} is now {getattr(new, name) or 'left open'}."


def _members(
    what: str, old: Sequence[Member], new: Sequence[Member], name: Callable[[Member], str]
) -> Iterator[str]:
    before = {m.id: m for m in old}
    after = {m.id: m for m in new}
    yield from (f"{what} {name(m)} added." for m in new if m.id not in before)
    yield from (f"{what} {name(m)} removed." for m in old if m.id not in after)
    for m in new:
        was = before.get(m.id)
        if was is not None and name(was) != name(m):
            yield f"{what} {name(was)} is now called {name(m)}."
    kept = [m.id for m in old if m.id in after]
    if kept != [m.id for m in new if m.id in before]:
        plural = "Stories" if what == "Story" else f"{what}s"
        yield f"{plural} are in another order."


def _room(old: Room | None, new: Room, house: House) -> Iterator[str]:
    if old is not None:
        if old.story != new.story:
            story = house.story(new.story)
            yield f"{new.name} is now on {story.name if story else new.story}."
        for name, what in _ROOM:
            if getattr(old, name) != getattr(new, name):
                yield f"{new.name}, {what}: {getattr(new, name) or 'left open'}."
    before = {c.key: c for c in old.checks} if old else {}
    after = {c.key: c for c in new.checks}
    yield from (f"{new.name}: {_said(c)} planned." for k, c in after.items() if k not in before)
    yield from (f"{new.name}: {_said(c)} not planned." for k, c in before.items() if k not in after)
    for key, check in after.items():
        if key in before and before[key] != check:
            books = ", ".join(check.books) or "the house's books alone"
            yield f"{new.name}: {_said(check)} judged by {books}."
    kept = [k for k in before if k in after]
    if kept != [k for k in after if k in before]:
        yield f"{new.name}: checks are in another order."


def _said(check: PlannedCheck) -> str:
    return f"{check.sheet}, {check.place}," if check.place else check.sheet


def _of(house: House, name: str) -> Sequence[str]:
    members: Sequence[str] = getattr(house, name)
    return members


def _list(what: str, old: Sequence[str], new: Sequence[str]) -> Iterator[str]:
    yield from (f"{what} {one} added." for one in new if one not in old)
    yield from (f"{what} {one} removed." for one in old if one not in new)
    if sorted(old) == sorted(new) and list(old) != list(new):
        yield f"{what}s are in another order."
