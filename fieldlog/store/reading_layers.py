"""The layers of rooms over time, read from the journal."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

import msgspec

from fieldlog.calc.bodies import Layers

_AT = """
    SELECT j.body FROM journal j JOIN fold_entry f USING (seq)
    WHERE j.subject = ? AND j.type = 'layers/1' AND j.refused = '' AND f.struck = '' AND j.seq < ?
    ORDER BY j.seq DESC LIMIT 1
"""
_ALL = """
    SELECT j.id, j.author, j.received, j.body, f.struck, f.clash
    FROM journal j JOIN fold_entry f USING (seq)
    WHERE j.subject = ? AND j.type = 'layers/1' AND j.refused = '' ORDER BY j.seq DESC
"""
_decode = msgspec.json.Decoder(Layers).decode


@dataclass(frozen=True, slots=True)
class LayersVersion:
    """A room's layers as one entry says them; `clash`: the entry before it was not seen."""

    id: str
    author: str
    received: str
    layers: Layers
    struck: str
    clash: bool


def layers_versions(conn: sqlite3.Connection, room: str) -> list[LayersVersion]:
    """Every entry about a room's layers, the latest first."""
    return [
        LayersVersion(entry_id, author, received, _decode(body), struck, bool(clash))
        for entry_id, author, received, body, struck, clash in conn.execute(
            _ALL, (f"layers:{room}",)
        )
    ]


def house_or_layers_changed(conn: sqlite3.Connection) -> str:
    """The chain's link of the last entry about the house or the layers of its rooms."""
    row = conn.execute(
        "SELECT chain, max(seq) FROM journal WHERE type IN ('house/1', 'layers/1', 'strike/1')"
    ).fetchone()
    return str(row[0] or "")


def layers_before(conn: sqlite3.Connection, room: str, seq: int) -> Layers | None:
    """A room's layers as they stood before entry `seq`, or None."""
    row = conn.execute(_AT, (f"layers:{room}", seq)).fetchone()
    return _decode(row[0]) if row else None


def laid(layers: Layers | None) -> tuple[tuple[str, str, str], ...]:
    """What is in place already, to compare one time with another."""
    found = layers.layers if layers else ()
    return tuple(sorted((one.kind, one.name, one.thickness) for one in found if one.laid))
