"""Items opened and accepted from a check: what each entry holds, and why one can't be made."""

from __future__ import annotations

from dataclasses import dataclass

from flask import request

from fieldlog.calc.entries import Act, ItemEntry
from fieldlog.calc.judged import failing_rules
from fieldlog.store import reading
from fieldlog.store.views import CheckView, ItemView
from fieldlog.web import from_check
from fieldlog.web.names import crew_name
from fieldlog.web.request import conn, house, today
from fieldlog.web.saving import EntryForm, derived_id, save


@dataclass(frozen=True)
class Refused:
    """Why a check opened or accepted nothing, and the items it is about."""

    sentence: str
    items: tuple[ItemView, ...] = ()
    anyway: bool = False


NOT_SETTLED = (
    "This check settles no open item: what they are about was not measured, or is still over."
)


def gives(check: CheckView, trade: str, form: EntryForm) -> bool:
    """Open the crew's item; False with the reasons at the form."""
    body = ItemEntry(
        number="", room=check.room, trade=trade, words=from_check.words_for(check, trade),
        check=check.id, rules=failing_rules(check.judgement, trade), photos=check.photos,
        day=today(),
    )  # fmt: skip
    return save(form, "item/1", f"item:{form.entry_id.data}", body) is not None


def accepts(check: CheckView, item: ItemView, form: EntryForm) -> bool:
    """Accept the item by this measurement; False with the reasons at the form."""
    body = Act(act="accepted", how="measured", check=check.id, day=today())
    entry_id = derived_id(form.entry_id.data or "", item.id)
    form.seen.data = item.head
    return save(form, "act/1", item.subject, body, entry_id=entry_id) is not None


def cannot_give(check: CheckView, trade: str) -> Refused | None:
    """Why no item can be opened for the crew, or None."""
    crew = crew_name(trade)
    if check.struck:
        return Refused("This check is struck through, so nothing is given from it.")
    if house().trade(trade) is None or not failing_rules(check.judgement, trade):
        return Refused(f'This check found nothing over for "{crew}". Nothing was opened.')
    own = from_check.still_waiting(reading.items_of_check(conn(), check.id), trade)
    if own:
        return Refused(f"{own.number} is already on the {crew}'s list, from this check.", (own,))
    older = from_check.still_waiting(items_of_subject(check), trade)
    if older and not request.form.get("anyway"):
        said = f"{older.number}, from an earlier check here, is still on the {crew}'s list."
        return Refused(said, (older,), anyway=True)
    return None


def items_of_subject(check: CheckView) -> list[ItemView]:
    """Items that this check or other looks at the same thing opened."""
    ids = {c.id for c in reading.checks_of_subject(conn(), check.subject)}
    return [i for i in reading.items(conn(), room=check.room) if i.check in ids]
