"""The forms that add to a house: each knows what it asks and how the house is with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace
from werkzeug.datastructures import MultiDict
from wtforms import HiddenField, StringField, ValidationError
from wtforms.fields import Field

from fieldlog.calc.house import House, PlannedCheck, Room, Trade, slug
from fieldlog.calc.room_size import size_fault
from fieldlog.web import request as at
from fieldlog.web.rooms import sheets
from fieldlog.web.saving import EntryForm, OneOf, Sound, tidy

NAME = 100
"""Characters of a name: it stands on buttons and in reports."""


def _text(label: str, limit: int = NAME) -> StringField:
    return StringField(label, filters=[tidy], validators=[Sound(limit)])


def _named(field: Field) -> None:
    """Raises ValidationError for a name that no id can be made of."""
    if not slug(field.data or ""):
        raise ValidationError("Give it a name with letters or digits.")


def _free_id(name: str, taken: set[str]) -> str:
    """An id from a name: `den`, and `den-2` where there is one."""
    base = slug(name)[:50].strip("-")
    count = 2
    found = base
    while found in taken:
        found, count = f"{base}-{count}", count + 1
    return found


class AddForm(EntryForm):
    """What each has: `add` says which it is."""

    kind = ""
    add = HiddenField()

    @classmethod
    def over(cls, house: House, posted: Mapping[str, Any] | None) -> Any:
        """The form as posted, or a fresh one, with the house's choices in it."""
        form = cls(MultiDict(posted) if posted is not None else None)
        form.add.data = cls.kind
        if posted is None:
            form.fresh()
        form.offer(house)
        return form

    def offer(self, house: House) -> None:
        """Fill in the choices."""

    def added_to(self, house: House) -> House:
        """The house with the addition."""
        raise NotImplementedError

    def is_in(self, house: House) -> bool:
        """Whether a house has the addition."""
        raise NotImplementedError


class AddRoom(AddForm):
    """A room on a story."""

    kind = "room"
    name = _text("Name")
    story = OneOf("Story", filters=[tidy])
    size = _text("Size")
    finish = _text("Finish")
    door = _text("Door")

    def offer(self, house: House) -> None:
        """The stories, from the top down."""
        self.story.choices = [(s.id, s.name) for s in reversed(house.stories)]
        if len(house.stories) == 1:
            self.story.data = house.stories[0].id

    def validate_name(self, field: Field) -> None:
        """A name with letters."""
        _named(field)

    def validate_size(self, field: Field) -> None:
        """Lengths, or nothing."""
        if fault := size_fault(field.data or ""):
            raise ValidationError(fault)

    def validate_story(self, field: OneOf) -> None:
        """One of the house's."""
        if not field.chosen:
            raise ValidationError("Pick the story it is on.")

    def added_to(self, house: House) -> House:
        """The house with the room after the others of its story."""
        taken = {r.id for r in house.rooms}
        room = Room(
            _free_id(self.name.data or "", taken), self.name.data or "", self.story.data or "",
            self.size.data or "", self.finish.data or "", self.door.data or "",
        )  # fmt: skip
        return replace(house, rooms=(*house.rooms, room))

    def is_in(self, house: House) -> bool:
        """Whether there is a room of that name on that story."""
        found = [r for r in house.rooms if r.story == self.story.data]
        return any(r.name == self.name.data for r in found)


class AddCrew(AddForm):
    """A crew."""

    kind = "crew"
    name = _text("Name")

    def validate_name(self, field: Field) -> None:
        """A name with letters."""
        _named(field)

    def added_to(self, house: House) -> House:
        """The house with the crew."""
        taken = {t.id for t in house.trades}
        crew = Trade(_free_id(self.name.data or "", taken), self.name.data or "")
        return replace(house, trades=(*house.trades, crew))

    def is_in(self, house: House) -> bool:
        """Whether there is a crew of that name."""
        return any(t.name == self.name.data for t in house.trades)


class AddCheck(AddForm):
    """A planned check in a room."""

    kind = "check"
    room = OneOf("Room", filters=[tidy])
    sheet = OneOf("What", filters=[tidy])
    place = _text("Which one")
    book = OneOf("Held against a book of its own", filters=[tidy])

    def offer(self, house: House) -> None:
        """Rooms in walking order, sheets and books by title; and what is planned."""
        self.book.choices = _books_but(house)
        self.keys = {r.id: {c.key for c in r.checks} for r in house.rooms}
        self.room.choices = [(r.id, r.name) for r in house.rooms]
        self.sheet.choices = [(s.id, s.title) for s in sheets()]

    def validate_room(self, field: OneOf) -> None:
        """One of the house's."""
        if not field.chosen:
            raise ValidationError("Pick the room.")

    def validate_sheet(self, field: OneOf) -> None:
        """One of those there are, and not planned there yet."""
        if not field.chosen:
            raise ValidationError("Pick what is measured.")
        if self.planned.key in self.keys.get(self.room.data or "", ()):
            raise ValidationError("This is planned there already. Say below which one is meant.")

    def validate_place(self, field: Field) -> None:
        """Blank, or something an address can be made of."""
        if field.data and not slug(field.data):
            raise ValidationError("Use letters or digits, such as First flight.")

    def validate_book(self, field: OneOf) -> None:
        """None, or one that has limits on what is measured."""
        if not field.data:
            return
        held = at.library().bound.get(field.data, ())
        if not field.chosen or not any(b.rule.sheet == self.sheet.data for b in held):
            raise ValidationError("This book has no limits on that. Pick another, or none.")

    @property
    def planned(self) -> PlannedCheck:
        """The check."""
        books = (self.book.data,) if self.book.data else ()
        return PlannedCheck(self.sheet.data or "", self.place.data or "", books)

    def added_to(self, house: House) -> House:
        """The house with the check at the end of its room's."""
        rooms = tuple(
            replace(r, checks=(*r.checks, self.planned)) if r.id == self.room.data else r
            for r in house.rooms
        )
        return replace(house, rooms=rooms)

    def is_in(self, house: House) -> bool:
        """Whether the room has that check planned."""
        room = house.room(self.room.data or "")
        return room is not None and self.planned in room.checks


class AddPhrase(AddForm):
    """Words offered for a punch item."""

    kind = "phrase"
    words = _text("Words")

    def validate_words(self, field: Field) -> None:
        """Something."""
        if not field.data:
            raise ValidationError("Write the words.")

    def added_to(self, house: House) -> House:
        """The house with the phrase, unless it has it."""
        if self.is_in(house):
            return house
        return replace(house, phrases=(*house.phrases, self.words.data or ""))

    def is_in(self, house: House) -> bool:
        """Whether the house has the phrase."""
        return self.words.data in house.phrases


class AddBook(AddForm):
    """A book whose limits every check of the house is held against."""

    kind = "book"
    book = OneOf("Book", filters=[tidy])

    def offer(self, house: House) -> None:
        """The books that there are and the house does not have."""
        self.book.choices = _books_but(house)

    def validate_book(self, field: OneOf) -> None:
        """One of them."""
        if not field.chosen:
            raise ValidationError("Pick the book.")

    def added_to(self, house: House) -> House:
        """The house with the book after its others."""
        return replace(house, books=(*house.books, self.book.data or ""))

    def is_in(self, house: House) -> bool:
        """Whether the house has the book."""
        return self.book.data in house.books


class AddTool(AddForm):
    """A tool that the house measures with."""

    kind = "tool"
    tool = OneOf("Tool", filters=[tidy])

    def offer(self, house: House) -> None:
        """The tools that there are and the house does not have; "exact" is none."""
        known = at.library().instruments.values()
        free = [i for i in known if i.id not in house.instruments and i.id != "exact"]
        named = sorted(free, key=lambda i: i.name)
        self.tool.choices = [(i.id, f"{i.name}, {i.says}") for i in named]

    def validate_tool(self, field: OneOf) -> None:
        """One of them."""
        if not field.chosen:
            raise ValidationError("Pick the tool.")

    def added_to(self, house: House) -> House:
        """The house with the tool after its others."""
        return replace(house, instruments=(*house.instruments, self.tool.data or ""))

    def is_in(self, house: House) -> bool:
        """Whether the house has the tool."""
        return self.tool.data in house.instruments


def _books_but(house: House) -> list[tuple[str, str]]:
    """The books that there are and that do not hold in the whole house, by title."""
    known = sorted(at.library().books.values(), key=lambda b: b.title)
    return [(b.id, b.title) for b in known if b.id not in house.books]


_KINDS: tuple[type[AddForm], ...] = (AddRoom, AddCrew, AddCheck, AddBook, AddTool, AddPhrase)
FORMS: dict[str, type[AddForm]] = {f.kind: f for f in _KINDS}
"""The forms, by the value of their button."""
