"""Forms of punch items: a new one, and what is done about one."""

from __future__ import annotations

from typing import Any, cast

from wtforms import BooleanField, FileField, StringField, TextAreaField, ValidationError

from fieldlog.calc.bodies import Wall
from fieldlog.calc.entries import Act, ItemEntry
from fieldlog.web.from_check import ByHand
from fieldlog.web.saving import EntryForm, OneOf, SomeOf, Sound, day_or_blank, tidy

WORDS = 500
"""Characters of an item's words; a story belongs into a note."""
REASON = 2000

WALLS = (("", "Not said"), ("A", "A"), ("B", "B"), ("C", "C"), ("D", "D"))
HOW_TOLD = (("in person", "In person"), ("call", "By call"), ("text", "By text"))

ASKS: dict[str, dict[str, str]] = {
    "sent_back": {"reason": "Say what is still not right: the crew reads this."},
    "withdrawn": {"reason": "Say why it should not have been opened."},
    "accepted_as_is": {"agreed_by": "Say who agreed that it stays as it is."},
    "passed_on": {"trade": "Pick the crew that owns it."},
    "not_ours": {"reason": "Say who did it, or why it is not yours."},
    "note": {"reason": "Write the note first, or add a photo."},
    "corrected": {"how": "Say how the crew told you."},
}
"""What each act cannot do without, and the sentence that asks for it."""


class NewItemForm(EntryForm):
    """Photo, crew, words, Done; the rest is optional."""

    photo = FileField("Photo")
    trade = OneOf("Crew")
    phrase = SomeOf("Phrases")
    words = StringField("Words", filters=[tidy], validators=[Sound(WORDS)])
    wall = OneOf("Wall", WALLS, filters=[tidy])
    needs_by = StringField("Needed by", filters=[tidy], validators=[day_or_blank])
    damaged_by_other = BooleanField("Damaged by another trade")

    def validate_trade(self, field: OneOf) -> None:
        """One of the house's crews."""
        if not field.chosen:
            raise ValidationError("Pick the crew whose list it goes on.")

    def validate_wall(self, field: OneOf) -> None:
        """A to D, or not said."""
        if not field.chosen:
            raise ValidationError("A wall is A, B, C or D, clockwise from the door.")

    def words_said(self) -> str:
        """The tapped phrases that the text does not already hold, then the text."""
        text = self.words.data or ""
        known = [p for p in self.phrase.data or [] if p not in self.phrase.unknown]
        tapped = [p for p in known if p.lower() not in text.lower()]
        return ", ".join([*tapped, *([text] if text else [])])

    def to_body(
        self, room: str, photos: tuple[str, ...], day: str, of: ByHand | None = None
    ) -> ItemEntry:
        """The entry, with what it is about of a check; its number is allotted when recorded."""
        return ItemEntry(
            number="",
            room=room,
            trade=self.trade.data or "",
            words=self.words_said(),
            wall=cast(Wall, self.wall.data or ""),  # validated above
            needs_by=self.needs_by.data or "",
            damaged_by_other=bool(self.damaged_by_other.data),
            check=of.check.id if of else "",
            rules=of.rules if of else (),
            photos=(*photos, *(of.check.photos if of else ())),
            day=day,
        )


class ActForm(EntryForm):
    """One act about an item. Which fields it needs depends on the act: see ASKS."""

    act = StringField("Act", filters=[tidy])
    how = OneOf("How", HOW_TOLD, filters=[tidy])
    reason = TextAreaField("Reason", filters=[tidy], validators=[Sound(REASON, lines=True)])
    agreed_by = StringField("Who agreed", filters=[tidy], validators=[Sound()])
    trade = OneOf("Crew", filters=[tidy])
    photo = FileField("Photo")

    def ask(self, has_photo: bool, by_crew: bool = False) -> None:
        """Put the act's questions that are unanswered on their fields."""
        asks = dict(ASKS.get(self.act.data or "", {}))
        if by_crew:
            asks.pop("how", None)
        if self.act.data == "note" and has_photo:
            asks.pop("reason", None)
        for name, sentence in asks.items():
            if not self._answered(name):
                self[name].errors = [*self[name].errors, sentence]

    def _answered(self, name: str) -> bool:
        field = self[name]
        return field.chosen if isinstance(field, OneOf) else bool(field.data)

    def to_body(self, photos: tuple[str, ...], day: str, by_crew: bool = False) -> Act:
        """The entry. Only what belongs to the act goes into it, whatever was posted besides."""
        act: Any = self.act.data
        how: Any = "eye" if act == "accepted" else ""
        if act == "corrected" and not by_crew:
            how = self.how.data
        return Act(
            act=act,
            how=how,
            reason=self.reason.data or "",
            trade=(self.trade.data or "") if act == "passed_on" else "",
            agreed_by=(self.agreed_by.data or "") if act == "accepted_as_is" else "",
            photos=photos,
            day=day,
        )
