"""The fold of punch items: each item is folded anew from all its entries, which are few."""

from __future__ import annotations

import sqlite3
from typing import Any

import msgspec

from fieldlog.calc.bodies import Act, ItemEntry
from fieldlog.calc.entries import read_body, role_of, trade_of
from fieldlog.calc.items import Event, ItemState, Line, fold
from fieldlog.store.views import ItemAct, ItemView

KINDS = ("safety", "holds", "contract", "ours", "")
"""Kinds of limits, most serious first."""


class _Findings(msgspec.Struct):
    findings: list[dict[str, Any]] = []


_decode_findings = msgspec.json.Decoder(_Findings).decode

# An entry about the item as the fold reads it: the row, its body, what later strikes say.
_Told = tuple[dict[str, Any], ItemEntry | Act]


def fold_item(conn: sqlite3.Connection, item_id: str, upto: int) -> None:
    """Fold the item of that id from the journal's rows up to number `upto`."""
    rows = _rows(conn, f"item:{item_id}", upto)
    told: list[_Told] = [
        (row, body) for row in rows if (body := _body(row)) and isinstance(body, (ItemEntry, Act))
    ]
    state = fold([_event(row, body) for row, body in told])
    for (row, body), line in zip(told, state.lines, strict=True):
        view = _act_view(item_id, row, body, line)
        text = msgspec.json.encode(view).decode()
        if text != row["view"]:
            _write_act(conn, view, text)
    opening = next(((r, b) for r, b in told if isinstance(b, ItemEntry)), None)
    if opening:
        _write_item(conn, upto, opening[0], opening[1], state, rows[-1]["id"])


def refold_items_of_check(conn: sqlite3.Connection, check_id: str, upto: int) -> None:
    """Fold again the items opened from a check: their findings are read from it."""
    found = conn.execute(
        "SELECT id FROM fold_item WHERE check_id = ? AND check_id != ''", (check_id,)
    ).fetchall()
    for (item_id,) in found:
        fold_item(conn, item_id, upto)


def _rows(conn: sqlite3.Connection, subject: str, upto: int) -> list[dict[str, Any]]:
    names = ("seq", "id", "type", "author", "received", "body", "day", "struck", "clash", "view")
    found = conn.execute(
        "SELECT j.seq, j.id, j.type, j.author, j.received, j.body, f.day, f.struck, f.clash,"
        " a.view"
        " FROM journal j JOIN fold_entry f USING (seq) LEFT JOIN fold_act a USING (seq)"
        " WHERE j.subject = ? AND j.refused = '' AND j.seq <= ? ORDER BY j.seq",
        (subject, upto),
    )
    return [dict(zip(names, row, strict=True)) for row in found]


def _body(row: dict[str, Any]) -> ItemEntry | Act | None:
    if row["type"] not in ("item/1", "act/1"):
        return None
    body = read_body(row["type"], row["body"])
    assert isinstance(body, (ItemEntry, Act))
    return body


def _event(row: dict[str, Any], body: ItemEntry | Act) -> Event:
    opening = isinstance(body, ItemEntry)
    return Event(
        id=row["id"],
        act="opened" if isinstance(body, ItemEntry) else body.act,
        role=role_of(row["author"]),
        day=row["day"],
        crew=trade_of(row["author"]),
        trade=body.trade,
        reason="" if opening else getattr(body, "reason", ""),
        struck=row["struck"],
    )


def _act_view(item_id: str, row: dict[str, Any], body: ItemEntry | Act, line: Line) -> ItemAct:
    act = body if isinstance(body, Act) else None
    return ItemAct(
        id=row["id"],
        seq=row["seq"],
        act=act.act if act else "opened",
        author=row["author"],
        day=row["day"],
        received=row["received"],
        how=act.how if act else "",
        reason=act.reason if act else "",
        agreed_by=act.agreed_by if act else "",
        trade=body.trade,
        check=body.check,
        photos=body.photos,
        effect=line.effect,
        why_no_effect=line.why,
        struck=row["struck"],
        clash=bool(row["clash"]),
        item=item_id,
    )


def _write_act(conn: sqlite3.Connection, view: ItemAct, text: str) -> None:
    conn.execute("INSERT OR REPLACE INTO fold_act (seq, view) VALUES (?, ?)", (view.seq, text))
    conn.execute("UPDATE fold_entry SET why = ? WHERE seq = ?", (view.why_no_effect, view.seq))


def _write_item(
    conn: sqlite3.Connection,
    upto: int,
    row: dict[str, Any],
    opening: ItemEntry,
    state: ItemState,
    head: str,
) -> None:
    findings = _findings(conn, opening, upto)
    photos = _photos(conn, opening, f"item:{row['id']}")
    view = _view(row, opening, state, findings, photos, head)
    prefix, _, count = opening.number.partition("-")
    conn.execute(
        "INSERT OR REPLACE INTO fold_item (seq, id, prefix, count, room, trade, state, rank,"
        " opened_day, check_id, struck, view) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (view.seq, view.id, prefix, int(count or 0), view.room, view.trade, view.state,
         _rank(view.kind), view.opened_day, view.check, view.struck,
         msgspec.json.encode(view).decode()),
    )  # fmt: skip


def _view(
    row: dict[str, Any],
    opening: ItemEntry,
    state: ItemState,
    findings: list[dict[str, Any]],
    photos: tuple[str, ...],
    head: str,
) -> ItemView:
    return ItemView(
        id=row["id"],
        subject=f"item:{row['id']}",
        number=opening.number,
        seq=row["seq"],
        room=opening.room,
        trade=state.trade,
        words=opening.words,
        wall=opening.wall,
        state=state.state,
        sent_back=state.sent_back,
        not_ours=state.not_ours,
        kind=min((f.get("kind", "") for f in findings), key=_rank, default=""),
        needs_by=opening.needs_by,
        damaged_by_other=opening.damaged_by_other,
        check=opening.check,
        rules=opening.rules,
        findings=tuple(findings),
        photos=photos,
        opened_day=row["day"],
        opened_by=row["author"],
        state_day=state.state_day,
        last_reason=state.last_reason,
        head=head,
        struck=row["struck"],
    )


def _rank(kind: str) -> int:
    return KINDS.index(kind) if kind in KINDS else len(KINDS) - 1


def _findings(conn: sqlite3.Connection, opening: ItemEntry, upto: int) -> list[dict[str, Any]]:
    """The failing sentences of the opening check that are this item's.

    Those of the item's limits; of its crew, unless none of them is that crew's: then the
    superintendent gave them to another crew on purpose.
    """
    if not opening.check:
        return []
    row = conn.execute(
        "SELECT judgement FROM journal WHERE id = ? AND type = 'check/1' AND refused = ''"
        " AND seq <= ?",
        (opening.check, upto),
    ).fetchone()
    if row is None:
        return []
    ours = [
        f
        for f in _decode_findings(row[0]).findings
        if f.get("rule") in opening.rules and "fail" in (f.get("mark"), f.get("plain"))
    ]
    return [f for f in ours if f.get("trade", "") in ("", opening.trade)] or ours


def _photos(conn: sqlite3.Connection, opening: ItemEntry, subject: str) -> tuple[str, ...]:
    """Those named at the opening, then those taken of the item."""
    taken = conn.execute(
        "SELECT sha256 FROM fold_photo WHERE of = ? AND of != '' AND struck = '' ORDER BY seq",
        (subject,),
    )
    return tuple(dict.fromkeys([*opening.photos, *(sha256 for (sha256,) in taken)]))
