"""Next: who can start, room by room, and what holds the others."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, current_app, render_template, request, url_for

from fieldlog.calc import readiness
from fieldlog.calc.readiness import AboutSheet, Gate, Reason
from fieldlog.calc.trade_order import Sequence
from fieldlog.store import reading
from fieldlog.store.files import load_order, order_file
from fieldlog.web.names import crew_name
from fieldlog.web.request import conn, folder, house, library

bp = Blueprint("next", __name__)

GATES, ORDER = "fieldlog.gates", "fieldlog.order"


@dataclass(frozen=True)
class Group:
    """Crews of one room that the same things hold; no reasons: they may start."""

    trades: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def held(self) -> bool:
        """True while something has to be done first."""
        return bool(self.reasons)


@bp.get("/next")
def next_up() -> str:
    """Every room by story, `?trade=` for one crew only."""
    asked = request.args.get("trade", "")
    trade = asked if house().trade(asked) else ""
    gates = all_gates()
    shown = {
        room: grouped([one for one in found if trade in ("", one.trade)])
        for room, found in gates.items()
    }
    return render_template(
        "next/next.html",
        house=house(),
        groups=shown,
        trade=trade,
        order=sequence(),
        crew_name=crew_name,
        left_out=[t.name for t in house().trades if t.id not in _in_order()],
        first=_first_link,
    )


def all_gates() -> dict[str, tuple[Gate, ...]]:
    """Every room's gates, by room. Found once for each head of the journal: they follow from it,
    from the order of trades and from the sheets alone, and read every latest check. The house may
    have been read before the head, so it is named beside it; all else is read after."""
    order, sheets = sequence(), about_sheets()
    key = (reading.head(conn()), house(), order, tuple(sheets.items()))
    kept = current_app.extensions.get(GATES)
    if kept is None or kept[0] != key:
        checks, items = reading.latest_lines(conn()), reading.items(conn())
        kept = (key, readiness.gates(order, house(), checks, items, sheets))
        current_app.extensions[GATES] = kept
    found: dict[str, tuple[Gate, ...]] = kept[1]
    return found


def gates_of_trade(trade: str) -> list[Gate]:
    """One crew's gates in every room, in the house's order of rooms."""
    gates = all_gates()
    return [one for room in house().rooms for one in gates[room.id] if one.trade == trade]


def grouped(gates: list[Gate]) -> list[Group]:
    """Crews held by the same things together; those that may start last."""
    by_reason: dict[tuple[Reason, ...], list[str]] = {}
    for one in gates:
        by_reason.setdefault(one.reasons, []).append(one.trade)
    groups = [Group(tuple(trades), reasons) for reasons, trades in by_reason.items()]
    return sorted(groups, key=lambda group: not group.held)


def _first_link(room: str, reason: Reason) -> str:
    """Where a reason leads: its item or its release, else its check, else the entry form."""
    if reason.by_name:
        return url_for("releasing.release", check_id=reason.check)
    if reason.items:
        return url_for("items.history", item_id=reason.items[0])
    if reason.check:
        return url_for("checks.result", check_id=reason.check)
    sheet, _, place = reason.key.partition("/")
    return url_for("checks.enter", room=room, sheet=sheet, place=place or None)


def sequence() -> Sequence:
    """The order of trades, parsed once for each state of its file. Raises DataFileError."""
    path = order_file(folder())
    stamp = (path, path.stat().st_mtime_ns)
    kept = current_app.extensions.get(ORDER)
    if kept is None or kept[0] != stamp:
        kept = current_app.extensions[ORDER] = (stamp, load_order(folder()))
    order: Sequence = kept[1]
    return order


def about_sheets() -> dict[str, AboutSheet]:
    """Every sheet's title and what hangs on a name in it, by its id."""
    return {sheet.id: AboutSheet.of(sheet) for sheet in library().sheets.values()}


def _in_order() -> set[str]:
    return {step.trade for step in sequence().step}
