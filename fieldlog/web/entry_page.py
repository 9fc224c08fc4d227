"""The entry page's facts: which check it is, its sections and slots, its tools. No HTML here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from flask import abort

from fieldlog.calc.house import PlannedCheck, Room, slug
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.layers import PLACES
from fieldlog.calc.readiness import named_in
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.calc.units import MEASURES
from fieldlog.config import asset_folder
from fieldlog.web import request as at
from fieldlog.web.entry_tools import able_for, tool_of, tools_for
from fieldlog.web.sheet_form import Extent, SheetForm, slot_name, typed

LONG_LIST = 3
UNIT_WORDS = {
    "angle": "deg",
    "slope": "1:48 or %",
    "percent": "%",
    "degrees": "F or C",
    "temperature": "F or C",
    "time": "h, min or days",
    "weight": "lb, oz, g or kg",
    "date": "year-month-day",
}
"""What is typed behind a number, in words beside its slot; a count and a number need none."""
OF_ROOMS = tuple(PLACES)
UNITS = (
    ("16ths", "sixteenths"),
    ("in", "inches"),
    ("ft", "feet"),
    ("mm", "mm"),
    ("cm", "cm"),
    ("m", "m"),
)


@dataclass(frozen=True)
class Asked:
    """One check that can be entered: the room, the sheet, which one of them."""

    room: Room
    sheet: Sheet
    place: str
    planned: PlannedCheck | None

    @property
    def subject(self) -> str:
        """The journal's subject."""
        key = f"{self.sheet.id}/{slug(self.place)}" if self.place else self.sheet.id
        return f"check:{self.room.id}/{key}"

    @property
    def books(self) -> tuple[str, ...]:
        """The books of this check, else the house's."""
        return (self.planned.books if self.planned else ()) or at.house().books


@dataclass(frozen=True)
class Slot:
    """One place to enter something; `of` is how many its list has (0: no list).

    `short` is its label where the list's title stands above it: the place's name alone.
    """

    name: str
    label: str
    value: str
    errors: tuple[str, ...]
    suggestions: tuple[str, ...]
    of: int = 0
    short: str = ""

    @property
    def spoken(self) -> str:
        """What the label says besides `short`, for who hears it without the title above."""
        return self.label[: -len(self.short)] if self.short else ""


@dataclass(frozen=True)
class Section:
    """One field of the sheet with its slots; a grid has rows of them."""

    field: Field
    title: str
    slots: tuple[Slot, ...]
    rows: tuple[tuple[Slot, ...], ...]
    grid: Mapping[str, Slot]
    tool: str
    chosen_tool: str
    tools: tuple[Instrument, ...]
    able: tuple[tuple[str, str], ...]
    """Id and name of each tool that can take it; none where nothing is measured."""

    @property
    def picture(self) -> str:
        """The small picture of how to measure, as a file below `static/`; "" for none."""
        name = f"pictures/{self.field.picture}.svg"
        return name if self.field.picture and _has_picture(name) else ""

    @property
    def taken_with(self) -> tuple[str, str]:
        """Id and name of the tool that its readings are taken with; ("", "") for none."""
        if self.field.kind in ("length", "grid"):
            return next((one for one in self.able if one[0] == self.tool), ("", ""))
        return self.able[0] if self.able and self.field.kind in MEASURES else ("", "")

    @property
    def unit(self) -> str:
        """The word for the unit beside each slot; "" where the number needs none."""
        return UNIT_WORDS.get(self.field.kind, "")

    @property
    def bare(self) -> str:
        """The unit that holds where none is typed; "" where one has to be."""
        measure = MEASURES.get(self.field.kind)
        return "" if measure is None or self.field.kind == "length" else measure.bare or ""

    @property
    def asks_room(self) -> bool:
        """Whether it is answered with the name of one of the house's rooms."""
        return self.field.kind == "text" and self.field.name in OF_ROOMS

    @property
    def every_slot(self) -> tuple[Slot, ...]:
        """All places to enter something, a grid's stations among them."""
        return (*self.grid.values(), *self.slots, *(s for row in self.rows for s in row))

    @property
    def folded(self) -> bool:
        """Whether it starts folded: a long list that the sheet can do without, still empty."""
        trouble = any(s.errors for s in self.slots)
        return (
            not self.field.required
            and self.field.many
            and self.field.slots > LONG_LIST
            and not self.filled
            and not trouble
        )

    @property
    def touched(self) -> bool:
        """Whether something was entered, or is wrong."""
        return any(s.errors or s.value.strip() for s in self.slots)

    @property
    def filled(self) -> int:
        """Slots up to the last one with something in it."""
        return max((n for n, s in enumerate(self.slots, 1) if s.value.strip()), default=0)


@dataclass(frozen=True)
class Fold:
    """The fields that are seldom measured; `open` where one has a value or an error."""

    sections: tuple[Section, ...]
    open: bool


def usual_and_more(listed: list[Section], pressed: str = "") -> tuple[list[Section], Fold]:
    """What a person walks through, and what is folded behind it: what the sheet calls seldom.

    `pressed` is the field whose button was just used: its fold stays open.
    """
    seldom = tuple(s for s in listed if s.field.seldom)
    shown = any(s.touched or s.field.name == pressed for s in seldom)
    return [s for s in listed if not s.field.seldom], Fold(seldom, shown)


def hold_words(sheet: Sheet, books: tuple[str, ...]) -> dict[str, str]:
    """What holds while a name is missing, by the field that asks for the name."""
    named = {derived: field for field, derived in named_in(sheet).items()}
    bound = at.library().bound
    rules = [b.rule for book in books for b in bound.get(book, ())]
    return {
        named[r.quantity]: r.fails
        for r in rules
        if r.sheet == sheet.id and r.quantity in named and r.kind == "holds" and r.fails
    }


@lru_cache(maxsize=256)
def _has_picture(name: str) -> bool:
    """A house's own sheet may name a picture that nobody drew."""
    return (asset_folder("static") / name).is_file()


def asked_or_404(room_id: str, sheet_id: str, place_slug: str, place_typed: str = "") -> Asked:
    """The check of the address; a planned one gives the place its words. 404 for strangers."""
    room = at.room_or_404(room_id)
    sheet = at.library().sheets.get(sheet_id)
    if sheet is None:
        abort(404, f'There is no sheet "{sheet_id}". Pick what to measure on the room\'s page.')
    wanted = slug(place_slug) or slug(place_typed)
    for planned in room.checks:
        if planned.sheet == sheet_id and slug(planned.place) == wanted:
            return Asked(room, sheet, planned.place, planned)
    return Asked(room, sheet, (place_typed or place_slug).strip(), None)


def sections(
    sheet: Sheet,
    form: SheetForm,
    extent: Extent,
    main_tool: str,
    suggestions: Mapping[str, tuple[str, ...]],
) -> list[Section]:
    """The sheet's fields in order, each with its slots as they stand in the form."""
    return [_section(f, form, extent, main_tool, suggestions) for f in sheet.fields]


def _section(
    f: Field,
    form: SheetForm,
    extent: Extent,
    main_tool: str,
    suggestions: Mapping[str, tuple[str, ...]],
) -> Section:
    def slot(name: str, label: str, of: int = 0, short: str = "") -> Slot:
        errors, meant = tuple(map(str, form[name].errors)), suggestions.get(name, ())
        return Slot(name, label, typed(form, name), errors, meant, of, short)

    slots: tuple[Slot, ...] = ()
    rows: tuple[tuple[Slot, ...], ...] = ()
    grid: dict[str, Slot] = {}
    if f.kind == "grid":
        tall, wide = extent.grids[f.name]
        rows = tuple(
            tuple(slot(slot_name(f.name, r, c), f"Row {r + 1}, {c + 1}") for c in range(wide))
            for r in range(tall)
        )
        grid = {p: slot(f"q-{f.name}-{p}", p.capitalize()) for p in ("spacing", "unit")}
    elif f.many:
        n = extent.slots[f.name]
        slots = tuple(
            slot(slot_name(f.name, i), _slot_label(f, i), n, f.place(i)) for i in range(n)
        )
    else:
        slots = (slot(slot_name(f.name), f.ask or f.label),)
    tool = tool_of(f, form, main_tool)
    title = f.plural if f.many else f.label
    chosen = typed(form, f"tool-{f.name}").strip()
    return Section(f, title, slots, rows, grid, tool, chosen, tools_for(f), able_for(f))


def _slot_label(f: Field, index: int) -> str:
    """ "Riser 7", or "Reveal, right top" where the sheet names its places."""
    place = f.place(index)
    return f"{f.label}, {place}" if place else f"{f.label} {index + 1}"
