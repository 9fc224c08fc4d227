"""The outbox of the tablet's own page, run in Node behind the face of `twin.Tablet`.

Its store is IndexedDB in memory (`memory_db.js`); what it asks of the office goes over the same
`Wire`, with the same faults.
"""

from __future__ import annotations

import base64
import hashlib
import json
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable
from datetime import timedelta
from pathlib import Path
from typing import Any

from keeping import PAT, START
from twin import OutOfReach, Wire, jpeg

from fieldlog.calc.entries import encode_body, subject_of
from fieldlog.calc.ids import new_id
from fieldlog.calc.shape import Strict
from tests.js.asking import node_or_skip

HERE = Path(__file__).parent
SCRIPTS = HERE.parent.parent / "static" / "js"
Answer = tuple[int, Any]
Office = Callable[[str, str, dict[str, Any]], Answer]


class Node:
    """One page's scripts, kept running from history to history."""

    def __init__(self) -> None:
        self.folder = tempfile.TemporaryDirectory(prefix="fieldlog-page-")
        at = Path(self.folder.name)
        shutil.copytree(SCRIPTS, at, dirs_exist_ok=True)
        for script in HERE.glob("*.js"):
            shutil.copy(script, at)
        (at / "package.json").write_text('{"type": "module"}')
        self.process = subprocess.Popen(
            [node_or_skip(), str(at / "page_tablet.js")],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1,
        )  # fmt: skip

    def asks(self, office: Office, **what: Any) -> Any:
        """One thing done by the page; what it fetches meanwhile is answered by the office."""
        told = self._told(what)
        while "done" not in told:
            asked = told["fetch"]
            try:
                status, body = office(asked["method"], asked["path"], asked)
                told = self._told({"status": status, "body": json.dumps(body)})
            except OutOfReach:
                told = self._told({"away": True})
        return told["done"]

    def ends(self) -> None:
        """The page is closed."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        assert self.process.wait(timeout=10) == 0
        assert self.process.stdout is not None
        self.process.stdout.close()
        self.folder.cleanup()

    def _told(self, what: dict[str, Any]) -> dict[str, Any]:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(what) + "\n")
        line = self.process.stdout.readline()
        assert line, "the page's scripts ended: see the error above"
        told: dict[str, Any] = json.loads(line)
        return told


class PageTablet:
    """A tablet as `twin.Tablet` is one, that is the page's own scripts."""

    def __init__(self, wire: Wire, node: Node) -> None:
        self.wire, self.node = wire, node
        self.clock_off = timedelta()
        self.ever: set[str] = set()
        self.ever_photos: set[str] = set()
        self.made = self.posts = 0
        self.job = ""
        self.fails: Callable[[dict[str, Any]], bool] = lambda _batch: False
        self._asks(do="empty")

    def greet(self) -> None:
        """Learn who this tablet is."""
        self.job = self._asks(do="greet")["job"]

    def enters(
        self, kind: str, body: Strict, *, subject: str = "", judged: dict[str, str] | None = None
    ) -> str:
        """Keep an entry."""
        self.made += 1
        entry_id = new_id(START, hashlib.sha256(f"{id(self)} {self.made}".encode()).digest()[:10])
        envelope = {
            "id": entry_id, "job": self.job, "offset_min": -360, "author": PAT, "type": kind,
            "claimed_ms": int((START + self.clock_off).timestamp() * 1000), "seen": "",
            "subject": subject or subject_of(entry_id, body), "body": encode_body(body),
        }  # fmt: skip
        self._asks(do="keep", made=[{"envelope": envelope, "judged": judged}], photos=[])
        self.ever.add(entry_id)
        return entry_id

    def keeps_photo(self, data: bytes) -> str:
        """Keep a photo as it was taken, and a small copy."""
        sha256 = hashlib.sha256(data).hexdigest()
        photo = {"sha256": sha256, "media": "image/jpeg", "size": len(data)}
        photo |= {"data": _base64(data), "small": _base64(jpeg(1))}
        self._asks(do="keep", made=[], photos=[photo])
        self.ever_photos.add(sha256)
        return sha256

    def sends(self, _order: Iterable[str] | None = None) -> dict[str, Any]:
        """Hand over all that waits: what the office said last, or OutOfReach is raised."""
        return self._sends(photos=False)

    def sends_photos(self) -> None:
        """Hand over photos as well, and hear which of them are backed up."""
        self._sends(photos=True)
        self._sends(photos=True)

    def is_looked_at(self, entry_id: str) -> None:
        """Its person has seen why it was refused."""
        self._asks(do="looked", id=entry_id)

    @property
    def entries(self) -> dict[str, Kept]:
        """What it keeps, by id."""
        return {one["id"]: Kept(one) for one in self._asks(do="state")["entries"]}

    @property
    def photos(self) -> list[str]:
        """Digests of the photos that it keeps."""
        return list(self._asks(do="state")["photos"])

    @property
    def missing_there(self) -> bool:
        """Whether the house lacks what this tablet let go of."""
        return bool(self._asks(do="state").get("lacking"))

    def _sends(self, photos: bool) -> dict[str, Any]:
        told: dict[str, Any] | None = self._asks(do="send", photos=photos)
        if told is None:
            raise OutOfReach
        return told

    def _asks(self, **what: Any) -> Any:
        return self.node.asks(self._office, **what)

    def _office(self, method: str, path: str, asked: dict[str, Any]) -> Answer:
        if method == "GET":
            return 200, self.wire.get(path)
        if method == "PUT":
            return 200, self.wire.put(path, base64.b64decode(asked["base64"]))
        self.posts += 1
        batch = json.loads(asked["text"])
        return (
            (500, {"reason": "fault"}) if self.fails(batch) else (200, self.wire.post(path, batch))
        )


class Kept:
    """An entry that the page keeps."""

    def __init__(self, record: dict[str, Any]) -> None:
        self.envelope: dict[str, Any] = record["envelope"]
        self.state: str = record["state"]
        self.answer: dict[str, Any] = record.get("answer") or {}


def _base64(data: bytes) -> str:
    return base64.b64encode(data).decode()
