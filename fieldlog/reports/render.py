"""HTML of a report, the same for the command line and for the page.

`body` is the report itself, for a page that has a head of its own; `html` is a whole page.
A standalone page carries its styles in itself, so that it can be mailed as a file; the other
links them, because the site's policy allows no inline style.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from fieldlog.config import asset_folder
from fieldlog.reports import phrases
from fieldlog.reports.facts import Daily
from fieldlog.reports.facts_letter import WeeklyLetter
from fieldlog.reports.facts_punch import PunchList
from fieldlog.reports.stations import stations_in_full
from fieldlog.reports.words import Words, words

Name = Literal["daily", "punch", "weekly"]
Facts = Daily | PunchList | WeeklyLetter
PhotoUrl = Callable[[str, int], str]
"""The address of a photo: its SHA-256 and the longer side wanted, in pixels."""

STYLES = ("base.css", "marks.css", "report.css", "print.css")
PHOTO_SIDE = 900


@dataclass(frozen=True, slots=True)
class Heading:
    """A page head: what it is, whose or where, and on the right the day and the status."""

    what: str
    where: str
    right: tuple[str, ...]


def heading(facts: Facts, w: Words | None = None) -> Heading:
    """The head of the report's page."""
    w = w or words()
    day, by = w.long_day(facts.day), facts.by
    if isinstance(facts, Daily):
        right = (day, w.say("daily.by", by=by), phrases.status(facts, w))
        return Heading(w.say("daily.title"), facts.house, right)
    if isinstance(facts, PunchList):
        what = w.say("punch.title", crew=facts.crew)
        return Heading(what, facts.house, (day, w.say("punch.by", by=by)))
    issued = w.say("letter.issued", when=facts.issued) if facts.fixed else ""
    week, state = w.say("letter.week", day=day), issued or w.say("letter.draft_short")
    return Heading(w.say("letter.title"), facts.house, (week, state))


def body(name: Name, facts: Facts, *, photo_url: PhotoUrl, w: Words | None = None) -> Markup:
    """The report without a page around it."""
    w = w or words()
    template = _environment().get_template(f"reports/{name}.html")
    return Markup(template.render(r=facts, photo_url=photo_url, **_phrases(w)))


def html(
    name: Name,
    facts: Facts,
    *,
    photo_url: PhotoUrl,
    standalone: bool,
    css_url: Callable[[str], str] = "/static/css/{}".format,
    w: Words | None = None,
) -> str:
    """A whole page. `css_url` gives a style sheet's address where the page is not standalone."""
    w = w or words()
    page = _environment().get_template("reports/frame.html")
    return page.render(
        name=name,
        house=facts.house,
        heading=heading(facts, w),
        body=body(name, facts, photo_url=photo_url, w=w),
        styles=Markup(_styles()) if standalone else "",
        css=[] if standalone else [css_url(one) for one in STYLES],
    )


def _phrases(w: Words) -> dict[str, Any]:
    """What a report's template may call: sentences, and the phrases shared with the text."""
    told = {
        name: _with(getattr(phrases, name), w)
        for name in phrases.__all__
        if callable(getattr(phrases, name))
    }
    return {"say": w.say, "w": w, "OUTCOMES": phrases.OUTCOMES, "SIDE": PHOTO_SIDE, **told}


def _with(phrase: Callable[..., Any], w: Words) -> Callable[..., Any]:
    def said(*args: Any) -> Any:
        return phrase(*args, w)

    return said


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(asset_folder("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["in_full"] = stations_in_full
    return made


@cache
def _styles() -> str:
    """The style sheets as one text; print.css keeps its medium."""
    folder = asset_folder("static") / "css"
    texts = {name: (folder / name).read_text(encoding="utf-8") for name in STYLES}
    texts["print.css"] = "@media print {\n" + texts["print.css"] + "}\n"
    return "".join(texts[name] for name in STYLES).replace("</", "<\\/")
