"""Punch: every item of the house, by crew, story and state; serious first, then oldest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from flask import Blueprint, render_template, request

from fieldlog.calc.items import STATES as ALL_STATES
from fieldlog.calc.items import UNFINISHED
from fieldlog.store import reading
from fieldlog.store.views import ItemView
from fieldlog.web.names import KINDS, STATES
from fieldlog.web.request import conn, house

bp = Blueprint("punch", __name__)

CHOICES = (
    ("", "Open and corrected", UNFINISHED),
    ("open", "Open", ("open",)),
    ("corrected", "Corrected: come look", ("corrected",)),
    ("done", "Accepted or withdrawn", tuple(s for s in ALL_STATES if s not in UNFINISHED)),
    ("all", "All", ALL_STATES),
)
"""The state filter: its value, its word, the states it shows."""


@bp.get("/punch")
def punch() -> str:
    """The list, filtered by a plain GET form; an unknown filter value counts as none."""
    trade = _known(request.args.get("trade", ""), [t.id for t in house().trades])
    story = _known(request.args.get("story", ""), [s.id for s in house().stories])
    state = _known(request.args.get("state", ""), [c[0] for c in CHOICES])
    items = reading.items(
        conn(),
        trade=trade or None,
        story_rooms=[r.id for r in house().rooms_of(story)] if story else None,
    )
    shown = next(states for value, _, states in CHOICES if value == state)
    of_story = {s.id: _rooms_of(s.id) for s in house().stories}
    return render_template(
        "punch/punch.html",
        items=[i for i in items if i.state in shown],
        shown_states=" ".join(shown),
        of_story=of_story,
        story_rooms=of_story.get(story, ""),
        others=_groups(i for i in items if i.state not in shown),
        counts=_counts(items),
        total=len(items),
        trade=trade,
        story=story,
        state=state,
        choices=CHOICES,
        house=house(),
        rooms={r.id: r for r in house().rooms},
        crews={t.id: t.name for t in house().trades},
        kinds=KINDS,
    )


def _rooms_of(story: str) -> str:
    """Room ids; where there is none, a sign that is no id: nothing would mean any room."""
    return " ".join(r.id for r in house().rooms_of(story)) or "-"


def _known(value: str, values: list[str]) -> str:
    return value if value in values else ""


def _counts(items: list[ItemView]) -> list[tuple[str, str, int]]:
    """How many items in each state, in the states' order, with the state's word."""
    counted = Counter(i.state for i in items)
    return [(s, STATES[s], counted[s]) for s in ALL_STATES]


def _groups(items: Iterable[ItemView]) -> list[tuple[str, str, str, int]]:
    """How many items by state, crew and room: a tablet that is out of reach counts by them."""
    counted = Counter((i.state, i.trade, i.room) for i in items)
    return [(*group, count) for group, count in sorted(counted.items())]
