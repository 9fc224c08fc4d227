"""A saved outbox that holds what no file of ours can: it is refused, and the rest is taken."""

from __future__ import annotations

import io
import json
from pathlib import Path

from keeping import copied, library
from msgspec.structs import asdict

from fieldlog.calc.entries import Walk
from fieldlog.store.outbox_file import FORMAT, read_outbox
from fieldlog.taking import take_in


def test_half_a_surrogate_pair_does_not_hold_up_the_rest(tmp_path: Path) -> None:
    kept = copied(tmp_path / "house")
    days = ("2026-03-03", "2026-03-04", "2026-03-05")
    sent = [asdict(kept.made_elsewhere("walk/1", Walk(day))) for day in days]
    sent[1]["type"] = "\ud800"
    sent.insert(1, sent[0] | {"\udfff": 1})
    lines = [{"outbox": FORMAT}, *({"entry": one} for one in sent), {"end": FORMAT}]
    file = io.BytesIO("".join(f"{json.dumps(line)}\n" for line in lines).encode())
    taken = take_in(kept.conn, kept.folder, library(), read_outbox(file), kept.now)
    assert taken.entries == {"stored": 2, "refused": 2}
    assert all(reason.isprintable() for reason in taken.reasons)
    kept.conn.close()
