"""Tools of the entry page: which can take a field, which the whole check. No HTML here."""

from __future__ import annotations

from fieldlog.calc.instruments import Instrument
from fieldlog.calc.sheets import Field, Sheet
from fieldlog.calc.units import MEASURES
from fieldlog.web import request as at
from fieldlog.web.sheet_form import SheetForm, typed


def tools_of_house() -> tuple[Instrument, ...]:
    """The house's instruments that its library knows, in the house's order."""
    known = at.library().instruments
    return tuple(known[i] for i in at.house().instruments if i in known)


def main_tools(sheet: Sheet) -> tuple[Instrument, ...]:
    """Tools that the check as a whole can be taken with, in the house's order.

    Where a sheet reads lengths these are tools for its lengths; else those its fields name.
    """
    if own := own_tool(sheet):
        return (own,)
    lengths = [f for f in sheet.fields if f.kind in ("length", "grid")]
    fits = tuple(t for t in tools_of_house() if any(_fits(f, t) for f in lengths or sheet.fields))
    return fits or tools_of_house() or tuple(at.library().instruments.values())[:1]


def own_tool(sheet: Sheet) -> Instrument | None:
    """The first field's tool where each field that is measured has its own: none is to be picked.

    Such a tool need not be among the house's: a reading is taken with what the sheet names.
    """
    measured = [f for f in sheet.fields if f.kind in MEASURES or f.kind == "grid"]
    known = at.library().instruments
    own = [[known[t] for t in f.tools if t in known] for f in measured]
    if any(len(tools) != 1 or tools[0].kind == "length" for tools in own):
        return None
    return own[0][0] if own else None


def tools_for(f: Field) -> tuple[Instrument, ...]:
    """Tools that one field can be taken with; none where a reading names no tool."""
    if f.kind not in ("length", "grid"):
        return ()
    return tuple(t for t in tools_of_house() if _fits(f, t))


def able_for(f: Field) -> tuple[tuple[str, str], ...]:
    """Id and name of the house's tools that can take the field: to say which one it is."""
    if f.kind in ("length", "grid"):
        return tuple((t.id, t.name) for t in tools_for(f))
    known = at.library().instruments
    here = tuple((t.id, t.name) for t in tools_of_house() if t.id in f.tools)
    if here or f.kind not in MEASURES:
        return here
    return tuple((t, known[t].name) for t in f.tools[:1] if t in known)


def _fits(f: Field, tool: Instrument) -> bool:
    if f.kind in ("length", "grid") and tool.kind != "length":
        return False
    return not f.tools or tool.id in f.tools


def default_tool(sheet: Sheet, last: str) -> str:
    """The tool of the last check of this, else the first of the house that can take it."""
    ids = [t.id for t in main_tools(sheet)]
    return last if last in ids else (ids[0] if ids else "")


def tool_of(f: Field, form: SheetForm, main_tool: str) -> str:
    """The tool of a field: the one chosen for it; else the check's where it can take the field;
    else the first of the house that can."""
    chosen = typed(form, f"tool-{f.name}").strip()
    if chosen:
        return chosen
    able = [t.id for t in tools_for(f)]
    return main_tool if main_tool in able or not able else able[0]
