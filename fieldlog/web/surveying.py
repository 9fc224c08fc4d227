"""One survey of a floor on its way to the journal: stations of a room, or a file's points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from flask import render_template, request, url_for

from fieldlog.calc.house import slug
from fieldlog.calc.instruments import Instrument
from fieldlog.calc.readings import ReadingsRefused, SlotError
from fieldlog.store import reading
from fieldlog.web import entry_page, entry_tools, sheet_form
from fieldlog.web import request as at
from fieldlog.web.entering import Entering, about
from fieldlog.web.entry_page import Asked, Section, Slot
from fieldlog.web.instrument_tests import carried, out_of_allowance, tests_in_words
from fieldlog.web.room_outline import Laid, laid_room
from fieldlog.web.set_ups_form import LABEL, Moved
from fieldlog.web.sheet_form import Extent

GRID = "levels"
READS = (
    ("heights 16ths", "Off a mark, sixteenths", "16ths"),
    ("heights in", "Heights, inches", "in"),
    ("heights mm", "Heights, mm", "mm"),
    ("rod in", "Rod below the light, inches", "in"),
    ("rod ft", "Rod below the light, decimal feet", "ft"),
    ("rod mm", "Rod below the light, mm", "mm"),
)
"""What a number is: value of the form, words, and the unit where none is typed."""
HOWS = {
    "heights": "Above the mark is plus, below is minus.",
    "rod": "Read the rod where the light meets it. A larger number is lower floor.",
}
BLOCKED = "x"


@dataclass(frozen=True, slots=True)
class Station:
    """A place of the map: its slot, the how-manieth it is walked (0: no station is there)."""

    slot: Slot
    walk: int


@dataclass
class Surveying(Entering):
    """The stations' form: the sheet's own, with walls and what a number is."""

    laid: Laid | None = None
    reads: str = ""
    scan: int = 1
    """The fewest readings a height is the median of."""
    file_error: str = ""
    file_said: str = ""
    moved: Moved = field(default_factory=lambda: Moved({}, ()))

    @classmethod
    def start(cls, asked: Asked) -> Surveying:
        """Empty stations, in the walls as last outlined; reads and tool as the last time."""
        laid, _ = laid_room(asked.room.id)
        looks = [c for c in reading.checks_of_subject(at.conn(), asked.subject) if not c.struck]
        last = looks[-1] if looks else None
        able = [t.id for t in level_tools(asked)]
        tool = last.instrument if last and last.instrument in able else (able or [""])[0]
        spacing = laid.body.spacing if laid else ""
        start = {f"q-{GRID}-spacing": spacing, "entry_id": at.form_id(), "instrument": tool,
                 "seen": reading.head_of(at.conn(), asked.subject)}  # fmt: skip
        extent = _extent(asked, laid.layout.shape if laid else (1, 1))
        form = sheet_form.make_form(asked.sheet, extent, None, start)
        moved = Moved({}, laid.layout.order if laid else ())
        return cls(asked, form, extent, tool, laid=laid, reads=_last_reads(last), moved=moved)

    @classmethod
    def posted_as(cls, asked: Asked, data: Mapping[str, str]) -> Surveying:
        """The stations as they were posted; of a file, where the form names no walls."""
        laid = laid_room(asked.room.id)[0] if data.get("walls") else None
        shape = laid.layout.shape if laid else _posted_shape(data)
        extent = _extent(asked, shape)
        reads = data.get("reads", "")
        unit = next((u for value, _, u in READS if value == reads), "in")
        more = {f"q-{GRID}-unit": unit}
        by = data.get("instrument", "")
        if by in [t.id for t in point_tools(asked)]:
            more["tool-levels"] = by
        made = cls.of(asked, {**data, **more}, extent)
        assert isinstance(made, cls)
        made.main_tool = more.get("tool-levels", made.main_tool)
        made.laid, made.reads = laid, reads
        made.moved = Moved.of(data, laid.layout.order if laid else ())
        able = [t.id for t in (*level_tools(asked), *point_tools(asked))]
        made.main_tool = made.main_tool if made.main_tool in able or not able else able[0]
        made.scan = _count(data.get("scan", ""))
        return made

    @property
    def readings(self) -> dict[str, Any]:
        """What was typed, with walls, and every place that is no station blocked."""
        told = dict(super().readings)
        levels = told.get(GRID)
        if isinstance(levels, dict):
            levels |= {"kind": self.reads.partition(" ")[0] or "heights"}
            if tests := carried(self.main_tool):
                levels |= {"tested": tests}
            if self.scan > 1:
                levels |= {"readings": self.scan}
            if self.laid:
                walked = set(self.laid.layout.order)
                levels |= {"outline": self.laid.reading(), "rows": [
                    [cell if (r, c) in walked else BLOCKED for c, cell in enumerate(row)]
                    for r, row in enumerate(levels["rows"])
                ]}  # fmt: skip
                if moved := self.moved.reading(self.extent.grids[GRID]):
                    levels |= {"set_ups": moved}
        return told

    def place(self, refused: ReadingsRefused) -> None:
        """As for any sheet; what keeps set-ups from being joined is said beside them."""
        apart = [e for e in refused.errors if self._of_set_ups(e)]
        self.moved.error = " ".join(e.message for e in apart) or self.moved.error
        super().place(ReadingsRefused([e for e in refused.errors if not self._of_set_ups(e)]))

    def _of_set_ups(self, error: SlotError) -> bool:
        return error.field == GRID and error.index is None and self.moved.count > 1

    def wrong(self) -> bool:
        """Whether anything keeps it from being saved."""
        return bool(super().wrong() or self.moved.error)

    def problems(self, listed: list[Section]) -> list[tuple[str, str, str]]:
        """Every error, that of the set-ups among them."""
        apart = [("set-ups-are", LABEL, self.moved.error)] if self.moved.error else []
        return apart + super().problems(listed)

    def first_blank(self) -> tuple[int, int] | None:
        """The station that is read next; None where all are."""
        for r, c in self.moved.order:
            if not sheet_form.typed(self.form, sheet_form.slot_name(GRID, r, c)).strip():
                return r, c
        return None

    @property
    def typed(self) -> int:
        """How many stations have something in them."""
        rows, columns = self.extent.grids[GRID]
        names = (sheet_form.slot_name(GRID, r, c) for r in range(rows) for c in range(columns))
        return sum(bool(sheet_form.typed(self.form, n).strip()) for n in names)

    def stations(self, section: Section) -> list[list[Station]]:
        """The map's places, row by row."""
        if self.laid:
            order = {cell: n for n, cell in enumerate(self.laid.layout.order, start=1)}
        else:
            rows, columns = self.extent.grids[GRID]
            cells = [(r, c) for r in range(rows) for c in range(columns)]
            order = {(r, c): n for n, (r, c) in enumerate(_back_and_forth(cells), start=1)}
        return [
            [Station(slot, order.get((r, c), 0)) for c, slot in enumerate(row)]
            for r, row in enumerate(section.rows)
        ]

    def page(self, notice: str = "") -> str:
        """The page with everything as it stands."""
        asked, tool = self.asked, self.main_tool
        listed = entry_page.sections(asked.sheet, self.form, self.extent, tool, self.suggestions)
        section = next(s for s in listed if s.field.name == GRID)
        tools = level_tools(asked)
        if tool not in [t.id for t in tools]:
            tools += tuple(t for t in point_tools(asked) if t.id == tool)
        story = at.house().story(asked.room.story)
        place = (slug(asked.place) if asked.planned else "") or None
        room = asked.room.id
        return render_template(
            "floors/survey.html",
            asked=asked, form=self.form, section=section, stations=self.stations(section),
            reads=READS, read=self.reads, hows=HOWS, tools=tools,
            point_tools=point_tools(asked), main_tool=tool, laid=self.laid,
            tool_name=next((f"{t.name}, {t.says}" for t in tools if t.id == tool), ""),
            tested={t.id: tests_in_words(t) for t in tools}, out=out_of_allowance(tool),
            story_name=story.name if story else "", metric=at.house().system == "metric",
            about=about(asked) | {"survey": self._told(tools)},
            action=url_for("floors.survey", room=room, place=place),
            preview=url_for("floors.preview", room=room, place=place),
            walls=url_for("floor_room.outline", room=room, place=place),
            plain=url_for("checks.enter", room=room, sheet=asked.sheet.id, place=place),
            problems=self.problems(listed), posted=self.posted is not None,
            notice=notice or self.notice, saved_id=self.saved_id, scan=self.scan,
            file_error=self.file_error, file_said=self.file_said, typed=self.typed,
            moved=self.moved, skip=bool(request.form.get("skip")),
            unit=request.form.get("file_unit", ""),
        )  # fmt: skip

    def _told(self, tools: tuple[Instrument, ...]) -> dict[str, Any]:
        """What a tablet has to know of walls and tools to enter a survey by itself."""
        return {
            "outline": self.laid.reading() if self.laid else None,
            "tested": {t.id: tests for t in tools if (tests := carried(t.id))},
            "units": {value: unit for value, _, unit in READS},
        }


def level_tools(asked: Asked) -> tuple[Instrument, ...]:
    """Tools of the house that read levels."""
    levels = asked.sheet.field(GRID)
    assert levels is not None
    return entry_tools.tools_for(levels) or entry_tools.main_tools(asked.sheet)


def point_tools(asked: Asked) -> tuple[Instrument, ...]:
    """Tools that a file of points can come from: the house's, and every other that reads levels."""
    levels = asked.sheet.field(GRID)
    assert levels is not None
    known = at.library().instruments
    of_house = level_tools(asked)
    others = (known[t] for t in levels.tools if t in known)
    return of_house + tuple(t for t in others if t not in of_house)


def _last_reads(last: Any) -> str:
    levels = last.readings.get(GRID) if last else None
    if isinstance(levels, Mapping):
        wanted = f"{levels.get('kind') or 'heights'} {levels.get('unit') or 'in'}"
        if any(wanted == value for value, _, _ in READS):
            return wanted
    return "rod mm" if at.house().system == "metric" else READS[0][0]


def _extent(asked: Asked, shape: tuple[int, int]) -> Extent:
    plain = sheet_form.extent_of(asked.sheet, None, None)
    return Extent(plain.slots, {**plain.grids, GRID: shape})


def _posted_shape(data: Mapping[str, str]) -> tuple[int, int]:
    rows, columns = (_count(data.get(f"{n}-{GRID}", "")) for n in ("rows", "columns"))
    return (rows, columns) if rows * columns <= MOST else (1, 1)


MOST = 2500


def _count(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and 0 < len(text) < 8 and int(text) else 1


def _back_and_forth(cells: list[tuple[int, int]]) -> list[tuple[int, int]]:
    return sorted(cells, key=lambda cell: (cell[0], cell[1] if cell[0] % 2 == 0 else -cell[1]))
