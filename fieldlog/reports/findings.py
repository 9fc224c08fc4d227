"""A stored judgement as a report shows it: its findings, tool, caution, books and overrides.

Everything here is read from the judgement in the journal; nothing is judged again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fieldlog.calc.house import House
from fieldlog.reports.facts import Check, Finding, Limits
from fieldlog.reports.words import Words
from fieldlog.store.views import CheckView


def finding(found: Mapping[str, Any]) -> Finding:
    """One finding of a judgement; what an older judgement lacks is ""."""

    def text(name: str) -> str:
        return str(found.get(name) or "")

    return Finding(
        mark=text("mark"),
        plain=text("plain"),
        head=text("head"),
        body=text("body"),
        measured=text("measured"),
        needs=text("needs"),
        where=text("where"),
        source=text("source"),
        kind=text("kind"),
        fix=text("fix"),
        settle=text("settle"),
    )


def check_facts(check: CheckView, house: House, w: Words) -> Check:
    """A check with everything a report says about it."""
    judged = check.judgement
    found = tuple(finding(f) for f in judged.get("findings", ()) if f.get("mark") != "pass")
    return Check(
        id=check.id,
        sheet=check.sheet,
        title=title_of(check),
        room=room_name(house, check.room, w),
        at=w.clock(check.received, house.zone),
        tool=tool_of(judged, check.instrument, w),
        mark=check.verdict,
        plain=side_of(found),
        findings=found,
        passes=int(judged.get("counts", {}).get("pass", 0)),
        notes=(*map(str, judged.get("notes", ())), *_unasked(judged, found))
        + ((check.note,) if check.note else ()),
        caution=str(judged.get("caution", "")),
        clash=check.clash,
        struck=check.struck,
    )


def side_of(found: Iterable[Finding]) -> str:
    """The side of a check that is too close to call: over where one of its limits is."""
    sides = [f.plain for f in found if f.mark == "too_close"]
    return "fail" if "fail" in sides else next(iter(sides), "")


def _unasked(judged: Mapping[str, Any], found: Iterable[Finding]) -> list[str]:
    """Its questions that no finding asks."""
    asked = " ".join(f.body for f in found)
    return [q for q in map(str, judged.get("questions", ())) if q not in asked]


def title_of(check: CheckView) -> str:
    """ "Stair, first flight"."""
    title = sheet_title(check)
    return f"{title}, {check.place}" if check.place else title


def sheet_title(check: CheckView) -> str:
    """ "Stair": the sheet's title as the judgement keeps it."""
    return str(check.judgement.get("sheet", {}).get("title", check.sheet))


def tool_of(judged: Mapping[str, Any], instrument: str, w: Words) -> str:
    """ "Steel tape, good to 1/16 in", and the others that readings name."""
    named = {str(i.get("id")): i for i in judged.get("instruments", ())}
    order = [instrument, *(i for i in named if i != instrument)]
    if idle(judged, instrument):
        order = order[1:]
    return "; ".join(_tool(named.get(i, {}), i, w) for i in order if i)


def idle(judged: Mapping[str, Any], instrument: str) -> bool:
    """Whether every reading was taken with another tool than the check's own."""
    if judged.get("grids"):
        return False
    values = (v for q in judged.get("quantities", {}).values() for v in q.get("values", ()))
    used = {v.get("tool") for v in values if v.get("tool")}
    return bool(used) and instrument not in used


def _tool(instrument: Mapping[str, Any], instrument_id: str, w: Words) -> str:
    name, says = str(instrument.get("name", instrument_id)), str(instrument.get("says", ""))
    return w.say("common.tool", name=name, says=says) if says else name


def room_name(house: House, room_id: str, w: Words) -> str:
    """ "Mezzanine hall, 2nd floor"; the id where the house no longer has the room."""
    room = house.room(room_id)
    if room is None:
        return room_id
    story = house.story(room.story)
    return w.say("common.room", room=room.name, story=story.name) if story else room.name


def limits_of(judgements: Iterable[Mapping[str, Any]], w: Words) -> Limits:
    """Books that had limits in these judgements, and overrides; each once, in order of name."""
    books: set[str] = set()
    overrides: set[str] = set()
    for judged in judgements:
        books |= {line for b in judged.get("books", ()) if (line := _book(b, judged, w))}
        labels = {str(r.get("rule")): str(r.get("label")) for r in judged.get("rules", ())}
        for o in judged.get("overrides", ()):
            rule = labels.get(str(o.get("rule")), str(o.get("rule")))
            overrides.add(
                w.say(
                    "common.override",
                    rule=rule,
                    limit=o.get("limit", ""),
                    by=o.get("by", ""),
                    reason=o.get("reason", ""),
                )
            )
    return Limits(tuple(sorted(books)), tuple(sorted(overrides)))


def _book(book: Mapping[str, Any], judged: Mapping[str, Any], w: Words) -> str:
    """ "IRC 2021: Stairs and guards"; "" for a book that had no limit for this sheet."""
    title = str(book.get("title", book.get("id")))
    rules = (r for r in judged.get("rules", ()) if r.get("book") == book.get("id"))
    for source in (r.get("source", {}) for r in rules):
        document = f"{source.get('document', '')} {source.get('edition', '')}".strip()
        named = set(document.lower().split()) <= set(title.lower().split())
        return title if named else w.say("common.book", title=title, document=document)
    return ""
