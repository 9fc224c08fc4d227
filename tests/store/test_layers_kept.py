"""A room's layers in the journal: the latest holds, and an old judgement keeps its own."""

from __future__ import annotations

from typing import Any

from keeping import Kept

from fieldlog.calc.bodies import Layer, Layers
from fieldlog.store import journal, reading

STAIR: dict[str, Any] = {
    "riser": ["7 1/2"] * 5, "room_below": "Hall", "room_above": "bath", "tread_finish": "3/4",
}  # fmt: skip


def layers(kept: Kept, room: str, floor: str, laid: bool = False) -> str:
    body = Layers(room, (Layer("finish", floor, laid=laid),))
    return kept.record("layers/1", body).id


def finished(kept: Kept) -> Any:
    found = reading.check(kept.conn, kept.stair(STAIR))

    assert found is not None
    return found.judgement.get("finished")


def test_the_latest_layers_of_a_room_hold(kept: Kept) -> None:
    assert reading.layers(kept.conn, "hall") is None
    layers(kept, "hall", "3/4")
    wrong = layers(kept, "hall", "2 3/4")
    assert reading.layers(kept.conn, "hall") == Layers("hall", (Layer("finish", "2 3/4"),))
    kept.strike(wrong)
    assert reading.layers(kept.conn, "hall") == Layers("hall", (Layer("finish", "3/4"),))


def test_a_check_is_judged_with_the_layers_of_its_day_and_reproduced(kept: Kept) -> None:
    assert finished(kept) is None
    layers(kept, "hall", "3/4")
    layers(kept, "bath", "3/4")
    assert finished(kept)["verdict"] == "pass"
    wrong = layers(kept, "hall", "2 3/4")
    assert finished(kept)["verdict"] == "fail"
    kept.strike(wrong)
    assert finished(kept)["verdict"] == "pass"
    assert journal.verify(kept.conn) == []
    assert journal.verify_deep(kept.conn) == []


def test_layers_count_as_a_look_at_their_room(kept: Kept) -> None:
    layers(kept, "shop", "1/2")
    assert reading.last_here(kept.conn, "shop") is not None
