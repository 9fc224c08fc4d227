"""One sitting at the entry form: what was typed, what is wrong with it, and saving it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from flask import render_template, request, url_for

from fieldlog import intake
from fieldlog.calc.entries import CheckEntry, EntryMalformed, PhotoEntry
from fieldlog.calc.house import slug
from fieldlog.calc.ids import is_id
from fieldlog.calc.library import UnknownSource
from fieldlog.calc.readings import ReadingsRefused, parse_readings
from fieldlog.calc.shape import MAX_LONG_TEXT, MAX_TEXT, WrongShape, check_text, is_digest
from fieldlog.judged_ahead import of_form
from fieldlog.store import photos, reading
from fieldlog.store.photos import PhotoRefused
from fieldlog.web import entry_page, entry_tools, sheet_form
from fieldlog.web import request as at
from fieldlog.web.entry_page import UNITS, Asked, Section
from fieldlog.web.saving import derived_id, tidy
from fieldlog.web.sheet_form import Extent, SheetForm
from fieldlog.web.times import lower_first

SAVED_BEFORE = (
    "This form was saved before, and something in it was changed since. What was saved stands. "
    "Save again to keep this as a new check."
)
NOTHING = "Nothing is entered yet: fill in at least one reading, then save."
NO_TOOL = "Pick one of the house's tools."
NO_PLACE = "Use letters or digits, such as First flight."
FORM_LOST = "This form had lost its number and has a new one now. Save once more."
UNPROCESSABLE = 422


@dataclass
class Entering:
    """The form of one check on its way to the journal."""

    asked: Asked
    form: SheetForm
    extent: Extent
    main_tool: str
    posted: Mapping[str, str] | None = None
    suggestions: dict[str, tuple[str, ...]] = field(default_factory=dict)
    kept: list[str] = field(default_factory=list)
    photo_error: str = ""
    notice: str = ""
    saved_id: str = ""

    @classmethod
    def fresh(cls, asked: Asked) -> Entering:
        """An empty form: slots and tool as in the last check of this, if there was one."""
        checks = [c for c in reading.checks_of_subject(at.conn(), asked.subject) if not c.struck]
        last = checks[-1] if checks else None
        extent = sheet_form.extent_of(asked.sheet, None, last.readings if last else None)
        tool = entry_tools.default_tool(asked.sheet, last.instrument if last else "")
        seen = reading.head_of(at.conn(), asked.subject)
        start = {f"q-{f.name}-unit": f.unit for f in asked.sheet.fields if f.kind == "grid"}
        start |= _grid_start(asked)
        start |= {"entry_id": at.form_id(), "seen": seen, "instrument": tool}
        form = sheet_form.make_form(asked.sheet, extent, None, start)
        return cls(asked, form, extent, tool)

    @classmethod
    def of(cls, asked: Asked, data: Mapping[str, str], extent: Extent | None = None) -> Entering:
        """The form as it was posted."""
        sized = extent or sheet_form.extent_of(asked.sheet, data, None)
        form = sheet_form.make_form(asked.sheet, sized, data)
        wanted = form.instrument.data or ""
        known = {t.id for t in entry_tools.main_tools(asked.sheet)}
        tool = wanted if wanted in known else entry_tools.default_tool(asked.sheet, "")
        made = cls(asked, form, sized, tool, posted=data)
        made.kept = _kept_before(request.form.getlist("kept"))
        if not is_id(made.entry_id):
            made.form.entry_id.data = at.form_id()
            made.notice = FORM_LOST
        return made

    @property
    def entry_id(self) -> str:
        """The id of the entry that this form makes."""
        return self.form.entry_id.data or ""

    @property
    def pressed(self) -> str:
        """The field whose "one more", "one fewer" or "that is all" was just pressed, or ""."""
        return request.form.get("do", "").partition(":")[2]

    @property
    def sheet_changed(self) -> bool:
        """Whether the form was made from another edition of the sheet."""
        return bool(self.form.sheet_sha256.data != self.asked.sheet.sha256)

    @property
    def readings(self) -> dict[str, Any]:
        """What was typed, as the parser takes it."""
        sheet, form, main = self.asked.sheet, self.form, self.main_tool
        tools = {f.name: entry_tools.tool_of(f, form, main) for f in sheet.fields}
        return sheet_form.readings_of(sheet, form, self.extent, main, tools)

    def wrong(self) -> bool:
        """Whether anything keeps the form from being saved; the fields say what."""
        return bool(self.notice or self.photo_error or any(self.form.errors.values()))

    def place(self, refused: ReadingsRefused) -> None:
        """Put the parser's errors on their slots."""
        self.suggestions = sheet_form.place_errors(
            self.asked.sheet, self.form, self.extent, refused.errors
        )

    def find_bad_readings(self) -> None:
        """Where something else is wrong already: all that has to be mended is said at once."""
        tools, system = at.library().instruments, at.house().system
        try:
            parse_readings(self.asked.sheet, self.readings, tools, self.main_tool, system)
        except ReadingsRefused as refused:
            self.place(refused)

    def problems(self, listed: list[Section]) -> list[tuple[str, str, str]]:
        """Every error as (id of its field, name, sentence), in the page's order."""
        named = [("place", "Which one"), ("instrument", "Tool"), ("note", "Note")]
        found = [(n, what, str(e)) for n, what in named for e in self.form[n].errors]
        for section in listed:
            found += [(s.name, s.label, e) for s in section.every_slot for e in s.errors]
        return [*found, *([("photos", "Photos", self.photo_error)] if self.photo_error else [])]

    def keep_photos(self) -> None:
        """Keep the photos at once, whatever else is wrong: a browser cannot send them again."""
        for upload in request.files.getlist("photos"):
            if not upload.filename:
                continue
            try:
                kept = photos.keep(at.folder(), upload.read())
            except PhotoRefused as err:
                self.photo_error = f"{upload.filename[:60]}: {err}"
                continue
            self._enter_photo(kept)

    def _enter_photo(self, kept: photos.KeptPhoto) -> None:
        if kept.sha256 not in self.kept:
            self.kept.append(kept.sha256)
        if reading.photo(at.conn(), kept.sha256) is not None:
            return
        media: Any = kept.media
        body = PhotoEntry(
            sha256=kept.sha256, size=kept.size, media=media, width=kept.width,
            height=kept.height, room=self.asked.room.id, of=self.asked.subject, day=at.today(),
        )  # fmt: skip
        entry_id = derived_id(self.entry_id, kept.sha256)
        _record(entry_id, "photo/1", f"photo:{kept.sha256}", body, "")

    def page(self, notice: str = "") -> str:
        """The page with everything as it stands."""
        asked, tool = self.asked, self.main_tool
        facts = entry_page.sections(asked.sheet, self.form, self.extent, tool, self.suggestions)
        tools = entry_tools.main_tools(asked.sheet)
        usual, more = entry_page.usual_and_more(facts, self.pressed)
        story = at.house().story(asked.room.story)
        place = slug(asked.place) if asked.planned else ""
        room, sheet = asked.room.id, asked.sheet.id
        return render_template(
            "checks/entry.html",
            asked=asked, form=self.form, sections=usual, more=more, units=UNITS,
            tools=tools, main_tool=tool, own_tools=entry_tools.own_tool(asked.sheet) is not None,
            tool_name=next((f"{t.name}, {t.says}" for t in tools if t.id == tool), ""),
            story_name=story.name if story else "",
            metric=at.house().system == "metric",
            rooms=[r.name for r in at.house().rooms] if any(s.asks_room for s in facts) else (),
            holds=entry_page.hold_words(asked.sheet, asked.books),
            photos_asked=any(s.field.name == "photos" for s in facts),
            about=about(asked),
            action=url_for("checks.keep", room=room, sheet=sheet, place=place or None),
            preview=url_for("checks.preview", room=room, sheet=sheet, place=place or None),
            problems=self.problems(facts), photo_error=self.photo_error,
            posted=self.posted is not None, kept=self.kept,
            notice=notice or self.notice, saved_id=self.saved_id,
            left=sheet_form.left_over(self.form, self.posted or {}),
        )  # fmt: skip


def _grid_start(asked: Asked) -> dict[str, str]:
    """How far apart stations are and what heights are read in, until a person says otherwise."""
    metric = at.house().system == "metric"
    grids = [f.name for f in asked.sheet.fields if f.kind == "grid"]
    start = {f"q-{name}-spacing": "600 mm" if metric else "2 ft" for name in grids}
    return start | ({f"q-{name}-unit": "mm" for name in grids} if metric else {})


def about(asked: Asked) -> dict[str, Any]:
    """What a tablet has to know of this check to enter it by itself."""
    title = f"{asked.sheet.title}, {lower_first(asked.place)}" if asked.place else asked.sheet.title
    return {
        "room": asked.room.id, "room_name": asked.room.name, "sheet": asked.sheet.id,
        "place": asked.place, "planned": asked.planned is not None, "books": asked.books,
        "title": title,
    }  # fmt: skip


def save(entering: Entering) -> tuple[str, int]:
    """The id of the saved check and 0; or "" and a status, and the form says what is wrong."""
    _check_words(entering)
    entering.keep_photos()
    body = _body(entering)
    if sheet_form.nothing_entered(body.readings) and not entering.notice:
        entering.notice = NOTHING
    if entering.wrong():
        entering.find_bad_readings()
        return "", UNPROCESSABLE
    seen = entering.form.seen.data or ""
    try:
        answer = _record(entering.entry_id, "check/1", entering.asked.subject, body, seen)
    except ReadingsRefused as refused:
        entering.place(refused)
        return "", UNPROCESSABLE
    except (UnknownSource, EntryMalformed) as err:
        entering.notice = str(err)
        return "", UNPROCESSABLE
    if answer.status in ("stored", "already_stored"):
        return answer.id, 0
    return _already_used(entering, answer)


def _already_used(entering: Entering, answer: intake.Answer) -> tuple[str, int]:
    """The form's id holds something else: what was typed stays, with a new id."""
    entering.notice = SAVED_BEFORE if answer.status == "conflict" else answer.reason
    entering.saved_id = answer.id if reading.check(at.conn(), answer.id) else ""
    entering.form.entry_id.data = at.form_id()
    entering.form.seen.data = reading.head_of(at.conn(), entering.asked.subject)
    return "", 409


def _body(entering: Entering) -> CheckEntry:
    asked, form = entering.asked, entering.form
    return CheckEntry(
        room=asked.room.id,
        sheet=asked.sheet.id,
        place=asked.place,
        readings=entering.readings,
        instrument=entering.main_tool,
        books=asked.books,
        sheet_sha256=form.sheet_sha256.data or "",
        day=at.today(),
        note=tidy(form.note.data),
        photos=tuple(entering.kept),
    )


def _check_words(entering: Entering) -> None:
    """Note, place and tool: each error at its field."""
    form, asked = entering.form, entering.asked
    for name, text, limit, lines in (
        ("note", form.note.data, MAX_LONG_TEXT, "\n\t"),
        ("place", asked.place, MAX_TEXT, ""),
    ):
        try:
            check_text(tidy(text), "This", limit, lines)
            tidy(text).encode()
        except (WrongShape, UnicodeError):
            form[name].errors = [f"Type this again, with {limit} letters or fewer."]
    if asked.place and not slug(asked.place):
        form.place.errors = [NO_PLACE]
    if (form.instrument.data or entering.main_tool) != entering.main_tool:
        form.instrument.errors = [NO_TOOL]


def _record(entry_id: str, kind: str, subject: str, body: Any, seen: str) -> intake.Answer:
    ahead = of_form(at.conn(), at.library(), body)
    with at.writer() as w:
        return intake.record(
            w, at.folder(), at.library(), id=entry_id, type=kind, subject=subject, ahead=ahead,
            author=at.author(), body=body, now=at.now(), seen=seen if is_id(seen) else "",
        )  # fmt: skip


def _kept_before(digests: list[str]) -> list[str]:
    """Photos that an earlier try of this form kept."""
    known = (d for d in dict.fromkeys(digests) if is_digest(d))
    return [d for d in known if reading.photo(at.conn(), d) is not None]
