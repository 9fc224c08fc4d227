"""An acknowledged entry is there: after kill -9, and after the disk was full."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from keeping import start

from fieldlog.store import db, folds, journal, reading

HERE = Path(__file__).resolve().parent

ENTERS_FOR_EVER = """
import sys
from pathlib import Path
from keeping import Kept
from fieldlog.store import db
kept = Kept(Path(sys.argv[1]), db.open_writer(sys.argv[1]))
kept.made = int(sys.argv[2])
while True:
    print(kept.item(words="x" * (kept.made % 3000 + 1)), flush=True)
"""

FILLS_THE_DISK = """
import resource, sys
from pathlib import Path
from keeping import Kept
from fieldlog.store import db
from fieldlog.store.durable import write_durably
kept = Kept(Path(sys.argv[1]), db.open_writer(sys.argv[1]))
print(kept.item(), flush=True)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), resource.RLIM_INFINITY))
full = 0
for _ in range(400):
    try:
        print(kept.item(words="x" * 3000), flush=True)
    except db.NotStored:
        full += 1
        assert not kept.conn.in_transaction
try:
    write_durably(Path(sys.argv[1]) / "photos" / "aa" / "a.jpg", bytes(3_000_000))
    sys.exit("the photo was written whole")
except OSError:
    pass
assert full, "the disk was never full"
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
print(kept.item(words="room again"), flush=True)
"""


def child(script: str, *arguments: object) -> subprocess.Popen[str]:
    """A Python process that can import the tests' helpers."""
    path = os.pathsep.join([str(HERE.parent), *sys.path])
    return subprocess.Popen(
        [sys.executable, "-c", script, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": path},
    )


def killed_after(folder: Path, lines: int, first: int) -> list[str]:
    """Ids acknowledged by a child that is killed after so many of them."""
    with child(ENTERS_FOR_EVER, folder, first) as process:
        assert process.stdout is not None
        acknowledged = [process.stdout.readline() for _ in range(lines)]
        process.send_signal(signal.SIGKILL)
        acknowledged += process.stdout.readlines()
        process.wait()
    return [line.strip() for line in acknowledged if line.endswith("\n")]


def assert_all_there(folder: Path, acknowledged: list[str]) -> None:
    """Every acknowledged id is stored once, the chain holds, the folds are right."""
    with closing(db.open_writer(folder)) as conn:
        ids = [i.id for i in reading.items(conn)]
        assert set(acknowledged) <= set(ids)
        assert len(ids) == len(set(ids))
        assert journal.verify(conn) == []
        live = folds.dump(conn)
        folds.rebuild(conn)
        assert folds.dump(conn) == live


def test_what_was_acknowledged_survives_kill_9(tmp_path: Path) -> None:
    kept = start(tmp_path / "house")
    kept.conn.close()
    acknowledged: list[str] = []
    for round_, lines in enumerate((1, 40, 90)):
        acknowledged += killed_after(kept.folder, lines, first=1 + 10_000 * round_)
    assert len(acknowledged) >= 131
    assert_all_there(kept.folder, acknowledged)


@pytest.mark.slow
def test_what_was_acknowledged_survives_many_kills(tmp_path: Path) -> None:
    kept = start(tmp_path / "house")
    kept.conn.close()
    acknowledged: list[str] = []
    for round_ in range(25):
        acknowledged += killed_after(kept.folder, 17 * (round_ % 7) + 1, first=1 + 10_000 * round_)
    assert_all_there(kept.folder, acknowledged)


def test_a_reader_opens_after_a_kill_before_any_writer(tmp_path: Path) -> None:
    kept = start(tmp_path / "house")
    kept.conn.close()
    acknowledged = killed_after(kept.folder, 5, first=1)
    with closing(db.open_reader(kept.folder)) as reader:
        assert set(acknowledged) <= {i.id for i in reading.items(reader)}
        assert journal.verify(reader) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files there")
@pytest.mark.parametrize("limit", [300_000, 700_000])
def test_a_full_disk_leaves_nothing_half_stored(tmp_path: Path, limit: int) -> None:
    kept = start(tmp_path / "house")
    kept.conn.close()
    with child(FILLS_THE_DISK, kept.folder, limit) as process:
        out, err = process.communicate()
    assert process.returncode == 0, err
    acknowledged = out.split()
    assert_all_there(kept.folder, acknowledged)
    with closing(db.open_reader(kept.folder)) as reader:
        assert {i.id for i in reading.items(reader)} == set(acknowledged)
        assert reading.items(reader)[-1].words == "room again"
    assert list((kept.folder / "photos" / "aa").iterdir()) == []
