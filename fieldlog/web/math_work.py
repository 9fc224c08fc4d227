"""One calculation on its page: where its inputs come from, what it is about, keeping it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from flask import abort, render_template, request, url_for
from markupsafe import Markup

from fieldlog.calc.bodies import KeptSum
from fieldlog.calc.calculations import REGISTRY, Calculation
from fieldlog.calc.house import Room
from fieldlog.drawings.sums import draw_sum
from fieldlog.store import reading
from fieldlog.store.reading_sums import sum_of
from fieldlog.store.views import CheckView, ItemView, SumView
from fieldlog.web.from_check import name_of
from fieldlog.web.math_form import Work
from fieldlog.web.math_words import from_check
from fieldlog.web.names import story_name
from fieldlog.web.request import conn, house, today
from fieldlog.web.saving import save

NO_PLACE = "What it belongs to was not understood. Press one of the buttons below."


@dataclass(frozen=True)
class About:
    """The check and the item that a sum was begun from, if any; `finished` where it starts from
    the check's readings as the finishes will make them."""

    check: CheckView | None
    item: ItemView | None
    finished: bool = False

    @property
    def subjects(self) -> dict[str, str]:
        """What a sum can be kept with, by the word on the button's value."""
        found = {"room": ""}
        if self.check:
            found["check"] = self.check.subject
        if self.item:
            found["item"] = self.item.subject
        return found

    @property
    def query(self) -> dict[str, str]:
        """The same in an address."""
        named = {"check": self.check, "item": self.item}
        then = {"finished": "yes"} if self.finished else {}
        return {name: one.id for name, one in named.items() if one} | then


def begin(calculation: Calculation, about: About) -> Work:
    """The calculation with what was posted, or what an earlier sum or the check has."""
    return Work.of(calculation, _start(calculation, about))


def is_known(name: str) -> bool:
    """Whether there is still a calculation of that name."""
    return name in REGISTRY


def drawing(told: dict[str, Any]) -> dict[str, Markup]:
    """The answer's drawing, `wide` and `narrow`; empty where there is none.

    It is our own SVG, its texts escaped where it is made.
    """
    both = {"wide": Markup(draw_sum(told)), "narrow": Markup(draw_sum(told, narrow=True))}
    return both if both["wide"] else {}


def belongs_to(found: SumView) -> tuple[str, str]:
    """What a sum was kept with, in words and as an address; ("", "") for the room alone."""
    kind, _, rest = found.of.partition(":")
    if kind == "item" and (item := reading.item(conn(), rest)):
        return item.number, url_for("items.history", item_id=item.id)
    if kind == "check" and (looks := reading.checks_of_subject(conn(), found.of)):
        before = [c for c in looks if c.seq < found.seq] or looks
        return name_of(before[-1]), url_for("checks.result", check_id=before[-1].id)
    return "", ""


def keeps(place: Room, doing: Work, about: About) -> bool:
    """Keep the sum where the button says so; what is wrong stands on the form."""
    with_ = doing.form.keep.data
    if not with_:
        return False
    form = doing.form
    if with_ not in about.subjects:
        form.form_errors.append(NO_PLACE)
    elif form.validate():
        body = KeptSum(
            name=doing.calculation.name, room=place.id, inputs=doing.raw,
            answer=json.dumps(doing.told, ensure_ascii=False), of=about.subjects[with_],
            day=today(),
        )  # fmt: skip
        return save(form, "calculation/1", f"calculation:{form.entry_id.data}", body) is not None
    return False


def page(place: Room, doing: Work, about: About) -> str:
    """The page of a calculation as it stands."""
    return render_template(
        "math/work.html",
        room=place,
        story_name=story_name,
        calculation=doing.calculation,
        form=doing.form,
        needs=doing.asks(required=True),
        more=doing.asks(required=False),
        told=doing.told,
        drawing=drawing(doing.told) if doing.told else {},
        about=about,
        name_of=name_of,
    )


def _start(calculation: Calculation, about: About) -> dict[str, str]:
    """Inputs as an earlier sum, or the check, has them."""
    earlier = sum_of(conn(), request.args.get("sum", ""))
    if earlier and earlier.name == calculation.name:
        return earlier.inputs
    check = about.check
    return from_check(calculation, check, house().system, about.finished) if check else {}


def about_of(room: str) -> About:
    """What the address says the sum is about; another room's is left out."""
    check = reading.check(conn(), request.args.get("check", ""))
    item = reading.item(conn(), request.args.get("item", ""))
    check = check if check and check.room == room else None
    finished = bool(check and request.args.get("finished") and check.judgement.get("finished"))
    return About(check, item if item and item.room == room else None, finished)


def calculation_or_404(name: str) -> Calculation:
    """The calculation of the address, else a 404 page."""
    if name not in REGISTRY:
        abort(404, "There is no such calculation. Pick one from the room's list.")
    return REGISTRY[name]
