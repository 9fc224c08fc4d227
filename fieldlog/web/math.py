"""Show the math: sums of a room, worked out on the spot and kept with a check or an item.

What they need is imported in each view, so that the first page of a fresh server is quick.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from fieldlog.store.reading_sums import sum_of, sums
from fieldlog.web.from_check import name_of
from fieldlog.web.names import story_name, where, who
from fieldlog.web.request import conn, house, room_or_404

if TYPE_CHECKING:
    from fieldlog.calc.calculations import Calculation
    from fieldlog.store.views import CheckView

bp = Blueprint("math", __name__)

Page = str | Response | tuple[str, int]
MOST_PLACES = 6
"""Decimals of a number that is worth saying exactly: 1/64 in has six."""


@bp.app_template_global()
def finish_fixes_of(check: CheckView) -> list[Calculation]:
    """Calculations that mend what the finishes will make of a check."""
    if not check.judgement.get("finished"):
        return []
    from fieldlog.web import math_words

    return math_words.finish_fixes_of(check)


@bp.app_template_filter()
def exact_or_decimal(value: dict[str, Any]) -> str:
    """A result's number beside its rounded text: "exactly 7.5625 in"; a length without a short
    decimal (94/13 in) as "7.231 in"; "" where nothing is gained by it."""
    text, (number, _, unit) = value["text"], value.get("exact", "").partition(" ")
    if not number or (value["nm"] and not text.startswith("about")):
        return ""
    if "/" not in number and len(number.partition(".")[2]) <= MOST_PLACES:
        return "" if _is_said(text, number, unit) else f"exactly {number} {unit}".strip()
    if not value["nm"]:
        return ""
    thousandths = round(Fraction(number) * 1000)
    return f"{Decimal(thousandths).scaleb(-3)} {unit}"


def _is_said(text: str, number: str, unit: str) -> bool:
    """Whether a text is its exact number, but for zeros at the end: "24.0" is 24."""
    said, _, said_unit = text.partition(" ")
    plain = said.rstrip("0").rstrip(".") if "." in said else said
    return (plain or "0", said_unit) == (number, unit)


@bp.get("/rooms/<room>/math")
def choose(room: str) -> str:
    """Every calculation with a line, by subject; what was kept in this room."""
    from fieldlog.web.math_words import by_subject
    from fieldlog.web.math_work import about_of

    place = room_or_404(room)
    return render_template(
        "math/choose.html", room=place, story_name=story_name, subjects=by_subject(),
        about=about_of(room), kept=sums(conn(), place.id), name_of=name_of,
    )  # fmt: skip


@bp.route("/rooms/<room>/math/<name>", methods=["GET", "POST"])
def work(room: str, name: str) -> Page:
    """One calculation: its inputs, and its answer once they can be used."""
    from fieldlog.web import math_work

    place, calculation = room_or_404(room), math_work.calculation_or_404(name)
    about = math_work.about_of(room)
    doing = math_work.begin(calculation, about)
    if request.method == "GET":
        if doing.complete:
            doing.compute()
        return math_work.page(place, doing, about)
    if doing.compute() and math_work.keeps(place, doing, about):
        return redirect(url_for("math.kept", sum_id=doing.form.entry_id.data, done="yes"), 303)
    wrong = any(doing.form.errors.values())
    return math_work.page(place, doing, about), doing.form.status if wrong else 200


@bp.get("/sums/<sum_id>")
def kept(sum_id: str) -> str:
    """A kept sum as it was worked out."""
    from fieldlog.web import math_work

    found = sum_of(conn(), sum_id)
    if found is None:
        abort(404, "There is no kept sum at this address. Open it from its room's page.")
    return render_template(
        "math/kept.html", sum=found, told=found.answer, drawing=math_work.drawing(found.answer),
        room=house().room(found.room), where=where, story_name=story_name, who=who,
        belongs=math_work.belongs_to(found), again=math_work.is_known(found.name),
        done=request.args.get("done", ""),
    )  # fmt: skip
