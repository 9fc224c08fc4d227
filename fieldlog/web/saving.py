"""From a form to the journal: what every form of a punch item, a day or a letter has in common.

A form carries the id of the entry it will make, so the same form posted twice makes one entry.
A photo is kept first, then its entry, then the entry of what it shows: a refused photo or a
missing word loses nothing that was typed.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from flask import request
from werkzeug.datastructures import CombinedMultiDict, FileStorage
from wtforms import FileField, HiddenField, StringField, ValidationError
from wtforms.fields import Field

from fieldlog import intake
from fieldlog.calc.entries import EntryMalformed, PhotoEntry
from fieldlog.calc.ids import derived_id as derived_id
from fieldlog.calc.ids import is_id
from fieldlog.calc.shape import MAX_TEXT, Strict, WrongShape, check_text, is_day, is_digest
from fieldlog.judged_ahead import of_form
from fieldlog.store import journal, photos, reading
from fieldlog.store.photos import PhotoRefused
from fieldlog.web.forms import FieldlogForm
from fieldlog.web.request import author, conn, folder, form_id, library, now, today, writer

FORM_LOST = "This form had lost its number. It has a new one now: press the button once more."
SAVED_ONCE = (
    "This form was already saved once, with something else in it. That stands as it is, and "
    "nothing was changed. What you typed now is still here: press the button again to save it as "
    "well."
)


Choices = Sequence[tuple[str, str]]
"""Values and their words."""


class EntryForm(FieldlogForm):
    """A form that makes one entry; `kept` names a photo that an earlier try already kept."""

    kept = HiddenField()
    conflict = False

    def validate_entry_id(self, field: Field) -> None:
        """A form without a sound entry id gets a fresh one, and is asked to be sent again."""
        if not is_id(field.data or ""):
            field.data = form_id()
            raise ValidationError(FORM_LOST)

    def fresh(self) -> None:
        """Give the form a new entry id: its old one is used up."""
        self.entry_id.data = form_id()

    @property
    def status(self) -> int:
        """What a page with this form's errors answers: 409 when its id was used up, else 422."""
        return 409 if self.conflict else 422

    @property
    def top_errors(self) -> list[str]:
        """What stands above the form: errors that belong to no field one can see."""
        return [*self.form_errors, *self.entry_id.errors]


class OneOf(StringField):
    """One of a few values, each with a word: radio buttons, written by the template."""

    def __init__(self, label: str = "", choices: Choices = (), **more: Any) -> None:
        super().__init__(label, **more)
        self.choices: Choices = choices

    @property
    def chosen(self) -> bool:
        """Whether what was posted is one of the values."""
        return self.data in {value for value, _ in self.choices}


class SomeOf(Field):
    """Any of a few values, each with a word: check boxes, written by the template."""

    def __init__(self, label: str = "", choices: Choices = (), **more: Any) -> None:
        super().__init__(label, **more)
        self.choices: Choices = choices

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take every text that was posted, each once."""
        self.data = list(dict.fromkeys(v for v in valuelist if isinstance(v, str)))

    @property
    def unknown(self) -> set[str]:
        """What was posted and is none of the values."""
        return set(self.data or ()) - {value for value, _ in self.choices}


def posted() -> CombinedMultiDict[str, Any] | None:
    """What was posted, files included, as WTForms takes it; None when nothing was.

    A form over an empty posting would take every list of choices as none chosen.
    """
    if request.method != "POST":
        return None
    return CombinedMultiDict([request.form, request.files])


def tidy(text: str | None) -> str:
    """Text as kept: line ends of one kind, nothing around it. Not text: nothing."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip() if isinstance(text, str) else ""


class Sound:
    """Validator: text within a length and without control characters, said in a sentence."""

    def __init__(self, limit: int = MAX_TEXT, lines: bool = False) -> None:
        self.limit = limit
        self.allowed = "\n\t" if lines else ""

    def __call__(self, _form: Any, field: Field) -> None:
        text = field.data or ""
        if len(text) > self.limit:
            raise ValidationError(
                f"This is {len(text)} characters long, and {self.limit} is the most. Make it "
                "shorter, and put the rest into a note."
            )
        try:
            check_text(text, "This", self.limit, self.allowed)
            text.encode()
        except (WrongShape, UnicodeError) as err:
            raise ValidationError(
                "There is a character in this that no page can show. Type it again."
            ) from err


def day_or_blank(_form: Any, field: Field) -> None:
    """Validator: a date of the calendar, or nothing."""
    text = field.data or ""
    if text and not is_day(text):
        raise ValidationError(f'"{text[:40]}" is not a date. Write it like {date(2026, 3, 9)}.')


def save(
    form: EntryForm,
    type: str,
    subject: str,
    body: Strict,
    *,
    by: str = "",
    entry_id: str = "",
) -> intake.Answer | None:
    """Record the form's entry; None when it could not be, and the form says why.

    `by` is another author than the superintendent; `entry_id` another id than the form's own.
    """
    try:
        answer = _record(form, type, subject, body, by or author(), entry_id)
    except EntryMalformed as err:
        form.form_errors.append(f"Not saved. {err}")
        return None
    if answer.status in ("stored", "already_stored"):
        return answer
    form.fresh()
    form.conflict = answer.status == "conflict"
    form.form_errors.append(SAVED_ONCE if answer.status == "conflict" else answer.reason)
    return None


def _record(
    form: EntryForm, type: str, subject: str, body: Strict, by: str, entry_id: str
) -> intake.Answer:
    seen = form.seen.data or ""
    ahead = of_form(conn(), library(), body)
    with writer() as w:
        return intake.record(
            w,
            folder(),
            library(),
            id=entry_id or form.entry_id.data or "",
            type=type,
            subject=subject,
            author=by,
            body=body,
            now=now(),
            seen=seen if is_id(seen) else "",
            ahead=ahead,
        )


def keep_photo(
    form: EntryForm, field: FileField, *, room: str, of: str, by: str = "", caption: str = ""
) -> tuple[str, ...]:
    """Keep the photo of a form: its file, then its entry. The digests of what is kept: 0 or 1.

    A refused photo puts the sentence on the field. One that an earlier try of this form kept
    is taken again. `of` is the subject it shows; a form sent again adds nothing to it.
    """
    upload = field.data
    if not isinstance(upload, FileStorage) or not upload.filename:
        return _kept_before(form)
    try:
        kept = photos.keep(folder(), upload.read())
    except PhotoRefused as err:
        field.errors = [*field.errors, str(err)]
        return ()
    form.kept.data = kept.sha256
    if reading.photo(conn(), kept.sha256) is None:
        used = journal.entry(conn(), form.entry_id.data or "") is not None
        media: Any = kept.media
        body = PhotoEntry(
            sha256=kept.sha256, size=kept.size, media=media, width=kept.width,
            height=kept.height, room=room, of="" if used else of, caption=caption, day=today(),
        )  # fmt: skip
        entry_id = derived_id(form.entry_id.data or form_id(), kept.sha256)
        if save(form, "photo/1", f"photo:{kept.sha256}", body, by=by, entry_id=entry_id) is None:
            return ()
    return (kept.sha256,)


def _kept_before(form: EntryForm) -> tuple[str, ...]:
    sha256 = form.kept.data or ""
    if is_digest(sha256) and reading.photo(conn(), sha256) is not None:
        return (sha256,)
    form.kept.data = ""
    return ()
