"""Judged before the writer is taken: used while it holds, judged anew where it does not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from keeping import BAD_STAIR, HOUSE, Kept, copied, library
from msgspec.structs import asdict, replace

from fieldlog import intake, judged_ahead
from fieldlog.calc.bodies import Layer, Layers
from fieldlog.calc.entries import CheckEntry
from fieldlog.calc.judged import rules_digest
from fieldlog.handover import Sent, hand_over
from fieldlog.handover import judged_ahead as ahead_of
from fieldlog.judged_ahead import judge_ahead, judge_now, of_form
from fieldlog.store import reading

STAIR = CheckEntry("hall", "stair", BAD_STAIR, "tape")


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    """A house with its first entry, open for writing."""
    one = copied(tmp_path / "house")
    yield one
    one.conn.close()


def never(*_asked: Any) -> str:
    """In place of a judge that must not be asked."""
    raise AssertionError("judged under the writer")


def test_a_batch_is_stored_as_it_was_judged_ahead(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = kept.made_elsewhere("check/1", STAIR)
    claimed = {"verdict": "fail", "rules_sha256": "0" * 64}
    sent = Sent((asdict(entry) | {"judged": claimed}, {"type": "check/1"}, "no entry"))
    ahead = ahead_of(kept.conn, library(), sent)
    assert list(ahead) == [entry.body]
    wanted = judge_now(kept.conn, library(), STAIR)
    monkeypatch.setattr(intake, "judge_now", never)
    told = hand_over(kept.conn, kept.folder, library(), sent, entry.device, kept.now, ahead)
    assert [a["status"] for a in told["answers"]] == ["stored", "refused", "refused"]
    found = reading.entry(kept.conn, entry.id)
    assert found is not None
    assert found.judgement == wanted == ahead[entry.body].judgement
    judged = reading.check(kept.conn, entry.id)
    assert judged is not None
    assert told["answers"][0]["differs"]["rules_sha256"] == rules_digest(judged.judgement)
    assert not ahead_of(kept.conn, library(), sent), "it is stored: nothing is judged again"


def test_what_a_judgement_hangs_on_is_looked_at_again(kept: Kept) -> None:
    ahead = of_form(kept.conn, library(), STAIR)
    assert ahead is not None
    assert ahead.holds(kept.conn, library())
    kept.record("layers/1", Layers("hall", (Layer("pour", "1 1/2"),)))
    assert not ahead.holds(kept.conn, library())
    entry = kept.made_elsewhere("check/1", STAIR)
    given = {entry.body: ahead}
    intake.take(kept.conn, kept.folder, library(), entry, kept.now, given)
    found = reading.entry(kept.conn, entry.id)
    assert found is not None
    assert found.judgement == judge_now(kept.conn, library(), STAIR)

    again = of_form(kept.conn, library(), STAIR)
    assert again is not None
    assert again.holds(kept.conn, library())
    kept.record("house/1", replace(HOUSE, books=("irc-2018", "our-standard")), subject="house")
    assert not again.holds(kept.conn, library())


def test_what_is_left_to_the_writer(kept: Kept) -> None:
    def ahead(**changed: Any) -> judged_ahead.Ahead | None:
        return judge_ahead(kept.conn, library(), replace(STAIR, **changed))

    assert ahead() is not None
    assert ahead(readings={"riser": ["71/2"]}) is None
    assert ahead(sheet="no-such-sheet") is None
    assert ahead(sheet_sha256="0" * 64) is None
    earlier = next(s for s in library().sheets.values() if s.earlier)
    assert ahead(sheet=earlier.id, readings={}) is None
