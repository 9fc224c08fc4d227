"""What the result page shows of one check: read from its stored judgement, never recomputed."""

from __future__ import annotations

import re
from typing import Any

from markupsafe import Markup, escape

from fieldlog.calc.house import Trade, slug
from fieldlog.calc.items import UNFINISHED
from fieldlog.calc.judged import failing_rules
from fieldlog.reports.stations import stations_in_full
from fieldlog.store import reading
from fieldlog.store.reading_sums import sums
from fieldlog.store.views import CheckView, ItemView, PhotoView
from fieldlog.web import from_check
from fieldlog.web import request as at
from fieldlog.web.edge_findings import folded
from fieldlog.web.reopening import reopened_of

AWAY = "does_not_apply"
NEEDS = {"<": "less than {}", "<=": "{} or less", ">": "more than {}", ">=": "{} or more"}

_ONE = r"\d+(?:\.\d+)?(?:[ -]\d+/\d+|/\d+)?"
_NUMBER = re.compile(rf"(?<![\w.])-?{_ONE}(?: (?:ft|in|mm|cm|m)\b)?(?: {_ONE} in\b)?")


def facts_of(check: CheckView) -> dict[str, Any]:
    """Everything `checks/result.html` needs."""
    from fieldlog.drawings import draw  # only this page needs it, and the first one is to be quick

    conn, house = at.conn(), at.house()
    judged = check.judgement
    room = house.room(check.room)
    story = house.story(room.story) if room else None
    opened = reading.items_of_check(conn, check.id)
    looks = reading.checks_of_subject(conn, check.subject)
    findings = folded(judged["findings"], judged["rules"])
    return {
        "check": check,
        "judged": judged,
        "title": from_check.name_of(check),
        "room": room,
        "story_name": story.name if story else "",
        "drawing": Markup(draw(judged)),  # our own SVG, its texts escaped where it is made
        "drawing_narrow": Markup(draw(judged, narrow=True)),
        "findings": [f for f in findings if f["mark"] != "pass"],
        "passes": [f for f in findings if f["mark"] == "pass"],
        "numbers": [_number_row(r, judged) for r in judged["rules"] if r["verdict"] != AWAY],
        "tool": tool_words(judged, check.instrument),
        "looks": [c for c in reversed(looks) if c.id != check.id],
        "newest": not check.struck and not [c for c in looks if _later(c, check)],
        "opened": opened,
        "give": [(c, _gives(check, c.id)) for c in _crews_to_give(check, opened)],
        "by_hand": from_check.by_hand(check, house, opened),
        "accept": _settled_items(check, looks),
        "photos": _photos(check, looks),
        "place_slug": slug(check.place),
        "planned": room is not None and check.sheet in at.library().sheets,
        "reopened": reopened_of(check),
        "knows_finishes": _knows_finishes(check),
        "fixes": _fixes(check) if room else [],
        "floor": _floor(check),
        "sums": sums(conn, check.room, check.subject),
    }


def _knows_finishes(check: CheckView) -> bool:
    """Whether the sheet hangs on layers that the check was judged without."""
    sheet = at.library().sheets.get(check.sheet)
    if sheet is None:
        return False
    return bool(sheet.finished or (sheet.from_layers and "layers" not in check.judgement))


def bold_numbers(text: str) -> Markup:
    """The sentence, escaped, with every number and its unit bold, and stations in full."""
    text = stations_in_full(text)
    parts: list[str] = []
    end = 0
    for found in _NUMBER.finditer(text):
        parts += [str(escape(text[end : found.start()])), f"<b>{escape(found[0])}</b>"]
        end = found.end()
    return Markup("".join([*parts, str(escape(text[end:]))]))


def _fixes(check: CheckView) -> list[Any]:
    """Calculations that mend what is over in it."""
    if check.struck or check.verdict == "pass":
        return []
    from fieldlog.web.math_words import fixes_of  # costs a moment, and few checks need it

    return list(fixes_of(check))


def _floor(check: CheckView) -> dict[str, Any] | None:
    """Of a floor survey: the plan that was chosen, and whether a plan is needed."""
    from fieldlog.web.floor_facts import chosen_plan
    from fieldlog.web.floor_work import has_survey

    if not has_survey(check):
        return None
    return {"plan": chosen_plan(check), "over": bool(from_check.failing_trades(check))}


def _later(other: CheckView, check: CheckView) -> bool:
    return not other.struck and (other.day, other.seq) > (check.day, check.seq)


def tool_words(judged: dict[str, Any], instrument: str) -> str:
    """The tool of a check and what it is good to."""
    found = next((i for i in judged["instruments"] if i["id"] == instrument), None)
    return f"{found['name']}, {found['says']}" if found else instrument


def _number_row(rule: dict[str, Any], judged: dict[str, Any]) -> dict[str, Any]:
    """One line of "Every number": a limit and what was measured against it."""
    return {
        "name": rule["name"],
        "verdict": rule["verdict"],
        "plain": rule["plain"],
        "value": (rule["value"] or {}).get("text", ""),
        "needs": NEEDS.get(rule["compare"], "{}").format(rule["limit"]["text"]),
        "u": (rule["u"] or {}).get("text", ""),
        "tool": _tool_of(rule, judged),
        "source": " ".join(rule["source"][k] for k in ("document", "edition", "clause")).strip(),
        "verified": rule["source"]["verified"],
        "overridden": rule["overridden"],
    }


def _tool_of(rule: dict[str, Any], judged: dict[str, Any]) -> str:
    """The tool that took the number; "" where it is derived from several."""
    if rule["by_gauge"]:
        return "gauge"
    values = judged["quantities"].get(rule["quantity"], {}).get("values", [])
    index = rule["index"] or 0
    tool = values[index].get("tool", "") if index < len(values) else ""
    names = {i["id"]: i["name"] for i in judged["instruments"]}
    return str(names.get(tool, tool))


def _crews_to_give(check: CheckView, opened: list[ItemView]) -> list[Trade]:
    """Crews with something to put right that have not got it from this check yet."""
    if check.struck:
        return []
    given = {i.trade for i in opened if i.state != "withdrawn"}
    crews = (at.house().trade(t) for t in from_check.failing_trades(check) if t not in given)
    return [c for c in crews if c is not None]


def _gives(check: CheckView, trade: str) -> dict[str, Any]:
    """The item that goes to a crew, for a tablet that has to make it without the office."""
    return {
        "room": check.room, "trade": trade, "words": from_check.words_for(check, trade),
        "check": check.id, "rules": failing_rules(check.judgement, trade), "photos": check.photos,
    }  # fmt: skip


def _settled_items(check: CheckView, looks: list[CheckView]) -> list[ItemView]:
    """Unfinished items that earlier looks at this opened and that this one settles."""
    if check.struck:
        return []
    earlier = {c.id for c in looks if c.id != check.id and not _later(c, check)}
    waiting = reading.items(at.conn(), room=check.room, states=UNFINISHED)
    return [i for i in waiting if i.check in earlier and from_check.settles(check, i)]


def _photos(check: CheckView, looks: list[CheckView]) -> list[PhotoView]:
    """The check's own photos, then those added to the same thing before the next look at it."""
    own = [p for p in (reading.photo(at.conn(), sha) for sha in check.photos) if p]
    seen = {p.sha256 for p in own}
    later = [p for p in reading.photos(at.conn(), of=check.subject) if p.sha256 not in seen]
    taken = {sha for c in looks for sha in c.photos}
    next_look = min((c.seq for c in looks if c.seq > check.seq), default=None)
    return own + [
        p
        for p in later
        if p.seq > check.seq and p.sha256 not in taken and (not next_look or p.seq < next_look)
    ]
