"""A tablet's outbox in Python, and a house that can be lost, restored and copied under it.

The tablet keeps to the protocol of DEVELOPERS.md, "Handing over": what it does here, the page's
outbox does. Faults are made on the wire (`Wire`), never in the tablet or the server.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient
from keeping import PAT, START, copied, library
from PIL import Image

from fieldlog.app import create_app
from fieldlog.calc.entries import encode_body, subject_of
from fieldlog.calc.ids import new_id
from fieldlog.calc.shape import Strict
from fieldlog.config import Config
from fieldlog.store.backup import backup
from fieldlog.store.db import open_reader
from fieldlog.store.restore import newest, restore
from fieldlog.web.request import KEY, HouseAtHand

HEADERS = {"X-Fieldlog": "outbox/1"}
HOME = "http://127.0.0.1"
BATCH = 7
"""Small, so that a short history takes several batches."""


class OutOfReach(Exception):
    """No answer came; what the server did is not known."""


@dataclass
class Wire:
    """How one tablet reaches the house, and what goes wrong on the way, once."""

    client: FlaskClient
    lose_reply: bool = False
    twice: bool = False
    cut_eighth: int = 0

    def get(self, path: str) -> Any:
        """A GET that is answered in JSON."""
        return self.client.get(path, headers=HEADERS, base_url=HOME).json

    def post(self, path: str, body: Any) -> Any:
        """A POST; its reply may be lost after the server has stored everything."""
        answer = self.client.post(path, json=body, headers=HEADERS, base_url=HOME)
        if self.twice:
            self.twice = False
            answer = self.client.post(path, json=body, headers=HEADERS, base_url=HOME)
        assert answer.status_code == 200, answer.json
        return self._reply(answer.json)

    def put(self, path: str, data: bytes) -> Any:
        """A PUT that may be cut off at an eighth of its bytes."""
        if self.cut_eighth:
            data, self.cut_eighth = data[: len(data) * self.cut_eighth // 8], 0
            self.client.put(path, data=data, headers=HEADERS, base_url=HOME)
            raise OutOfReach
        return self._reply(self.client.put(path, data=data, headers=HEADERS, base_url=HOME).json)

    def _reply(self, answer: Any) -> Any:
        if self.lose_reply:
            self.lose_reply = False
            raise OutOfReach
        return answer


@dataclass
class Kept:
    """An entry in the outbox. `seq` is its number in the journal once it was acknowledged."""

    envelope: dict[str, Any]
    judged: dict[str, str] | None = None
    state: str = "waiting"
    seq: int = 0


@dataclass
class Tablet:
    """What a tablet keeps, and how it hands over."""

    wire: Wire
    clock_off: timedelta = timedelta()
    device: str = ""
    job: str = ""
    next: int = 1
    made: int = 0
    entries: dict[str, Kept] = field(default_factory=dict)
    photos: dict[str, bytes] = field(default_factory=dict)
    witness: dict[str, Any] | None = None
    dropped: dict[str, Any] | None = None
    missing_there: bool = False
    ever: set[str] = field(default_factory=set)
    ever_photos: set[str] = field(default_factory=set)

    def greet(self) -> None:
        """Learn who this tablet is; under a new pairing everything kept is numbered anew."""
        hello = self.wire.get("/sync/hello")
        self.job = hello["job"]
        if hello["device"] != self.device:
            self.device, self.next = hello["device"], hello["next_device_seq"]
            for kept in self.entries.values():
                kept.envelope |= {"device": self.device, "device_seq": self._number()}

    def enters(
        self, kind: str, body: Strict, *, subject: str = "", judged: dict[str, str] | None = None
    ) -> str:
        """Keep an entry: number and entry in one step."""
        self.made += 1
        salt = hashlib.sha256(f"{id(self)} {self.made}".encode()).digest()[:10]
        entry_id = new_id(START, salt)
        envelope = {
            "id": entry_id, "job": self.job, "device": self.device, "device_seq": self._number(),
            "claimed_ms": self.now_ms(), "offset_min": -360, "author": PAT, "type": kind,
            "subject": subject or subject_of(entry_id, body), "seen": "",
            "body": encode_body(body),
        }  # fmt: skip
        self.entries[entry_id] = Kept(envelope, judged)
        self.ever.add(entry_id)
        return entry_id

    def keeps_photo(self, data: bytes) -> str:
        """Keep a photo's bytes under their digest."""
        sha256 = hashlib.sha256(data).hexdigest()
        self.photos[sha256] = data
        self.ever_photos.add(sha256)
        return sha256

    def sends(self, order: Iterable[str] | None = None) -> None:
        """Hand over all that waits; then nothing waits, or OutOfReach was raised."""
        self.greet()
        for _ in range(60):
            waiting = [k for k in order or self.entries if self.entries[k].state == "waiting"]
            batch = [self.entries[k] for k in waiting[:BATCH]]
            told = self._batch(batch)
            if not self._offers_again(told) and len(waiting) <= BATCH:
                self._drops(told)
                return
        raise AssertionError("handing over did not come to an end")

    def sends_photos(self) -> None:
        """Small ones first, then originals; bytes are kept until a backup holds them."""
        self.greet()
        there = self._batch([])["photos"]
        for sha256 in list(self.photos):
            if there[sha256] == "missing":
                assert self.wire.put(f"/photos/{sha256}/small", jpeg(1))["sha256"] == sha256
        for sha256, data in list(self.photos.items()):
            if there[sha256] in ("missing", "small"):
                assert self.wire.put(f"/photos/{sha256}", data)["sha256"] == sha256
        self._drops(self._batch([]))

    def now_ms(self) -> int:
        """What this tablet takes the time to be."""
        return int((START + self.clock_off).timestamp() * 1000)

    def _batch(self, batch: list[Kept]) -> dict[str, Any]:
        told: dict[str, Any] = self.wire.post(
            "/sync",
            {
                "entries": [k.envelope | {"judged": k.judged} for k in batch],
                "witness": self.witness, "dropped": self.dropped, "last": self.next - 1,
                "waiting": len(batch), "now_ms": self.now_ms(), "photos": list(self.photos),
            },
        )  # fmt: skip
        for kept, answer in zip(batch, told["answers"], strict=True):
            assert answer["id"] == kept.envelope["id"]
            if answer["seq"]:
                stored = answer["status"] in ("stored", "already_stored")
                kept.state, kept.seq = "sent" if stored else "refused", answer["seq"]
        self.missing_there = told["dropped"] == "unknown"
        return told

    def _offers_again(self, told: dict[str, Any]) -> bool:
        """After a restore everything, else what is a gap there; whether anything is offered."""
        again = False
        sent_now = {a["id"] for a in told["answers"]}
        for key, kept in self.entries.items():
            number = kept.envelope["device_seq"]
            gap = not any(first <= number <= last for first, last in told["has"])
            lost = told["witness"] == "unknown" and key not in sent_now
            if kept.state != "waiting" and (lost or gap):
                kept.state, again = "waiting", True
        self.witness = told["head"]
        return again

    def _drops(self, told: dict[str, Any]) -> None:
        """Let go of what a verified backup holds, and remember for whose sake."""
        if told["witness"] != "known" or self.missing_there:
            return
        gone = [k for k, e in self.entries.items() if e.state != "waiting" and
                e.seq <= told["backed_up_to"]]  # fmt: skip
        for key in gone:
            del self.entries[key]
        for sha256 in [s for s in self.photos if told["photos"].get(s) == "backed_up"]:
            del self.photos[sha256]
            gone.append(sha256)
        if gone:
            self.dropped = told["backed_up_head"]

    def _number(self) -> int:
        self.next += 1
        return self.next - 1


@dataclass
class Site:
    """The office's machine: a house that is served, its backups, copies of its folder."""

    root: Path
    copy: Path | None = None
    now: datetime = START

    def __post_init__(self) -> None:
        self.folder = self.root / "house"
        config = Config(self.folder, clock=lambda: self.now, secret=b"s" * 32, testing=True)
        self.app = create_app(config)
        self.held: HouseAtHand = self.app.extensions[KEY]

    def begins(self) -> None:
        """A house with its first entry, and nothing else: no backup, no copy."""
        self.held.close()
        for path in self.root.iterdir():
            shutil.rmtree(path)
        self.copy, self.now = None, START
        copied(self.folder).conn.close()

    @property
    def place(self) -> Path:
        """Where the backups lie."""
        return self.root / "backups"

    def wire(self) -> Wire:
        """A new browser, that is a new device."""
        return Wire(self.app.test_client())

    def backs_up(self) -> None:
        """Last night's backup, made while the house is served."""
        self.now += timedelta(hours=1)
        backup(self.folder, self.place, self.now)

    def restores(self) -> None:
        """The machine is lost; the latest backup takes its place."""
        self._is_lost()
        restore(newest(self.place), self.folder)

    def copies(self) -> None:
        """Somebody copies the data folder by hand."""
        self.held.close()
        self.copy = self.root / "copy"
        shutil.rmtree(self.copy, ignore_errors=True)
        shutil.copytree(self.folder, self.copy)

    def swaps(self) -> None:
        """... and serves the copy from now on."""
        assert self.copy is not None
        self._is_lost()
        shutil.copytree(self.copy, self.folder)

    def tablets_entries(self) -> list[tuple[str, str]]:
        """(id, body) of every accepted entry that a tablet made, in journal order."""
        conn = open_reader(self.folder)
        rows = conn.execute(
            "SELECT id, body FROM journal WHERE device != 'office' AND refused = '' ORDER BY seq"
        ).fetchall()
        conn.close()
        return rows

    def close(self) -> None:
        """Let go of the house."""
        self.held.close()

    def _is_lost(self) -> None:
        self.held.close()
        shutil.rmtree(self.folder)


def jpeg(number: int) -> bytes:
    """A small photo, another one for each number."""
    out = BytesIO()
    Image.new("RGB", (24, 16), (number * 37 % 256, number * 11 % 256, number % 256)).save(
        out, "JPEG", comment=str(number).encode()
    )
    return out.getvalue()


def quick(monkeypatch: Any) -> None:
    """Not waiting for the disk, and the library loaded once: for histories, not for durability."""
    monkeypatch.setattr("os.fsync", lambda _fd: None)
    monkeypatch.setattr(HouseAtHand, "library", lambda _self: library())
    monkeypatch.setattr("fieldlog.store.db.BUSY_SECONDS", 1.0)


def as_saved(tablet: Tablet) -> bytes:
    """The tablet's outbox as the file it saves as a last resort."""
    first = {"outbox": "fieldlog-outbox/1", "device": tablet.device, "job": tablet.job}
    parts = [json.dumps(first).encode() + b"\n"]
    for sha256, data in tablet.photos.items():
        about = json.dumps({"photo": sha256, "length": len(data)}).encode()
        parts += [about, b"\n", data, b"\n"]
    for kept in tablet.entries.values():
        parts += [json.dumps({"entry": kept.envelope, "judged": kept.judged}).encode(), b"\n"]
    return b"".join([*parts, b'{"end": "fieldlog-outbox/1"}\n'])
