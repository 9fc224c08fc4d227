"""Structures are looked at by one thread: msgspec ends the process where two are the first."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

SERVED = """
import importlib, pkgutil, tempfile
from pathlib import Path
import fieldlog, msgspec
from fieldlog.app import create_app
from fieldlog.calc.shape import know_all, shapes
from fieldlog.config import Config
create_app(Config(Path(tempfile.mkdtemp())))
at_first = set(shapes(msgspec.Struct))
assert know_all() == len(at_first)
for found in pkgutil.walk_packages(fieldlog.__path__, "fieldlog."):
    if not found.name.endswith("__main__"):
        importlib.import_module(found.name)
print(len(at_first), *sorted({s.__module__ for s in set(shapes(msgspec.Struct)) - at_first}))
"""
COMMANDS = {"fieldlog.calc.judge_json", "fieldlog.store.backup", "fieldlog.demo.seed"}
"""Modules of commands alone, which have one thread."""
READ_BY_FOUR = """
import sys, threading
import msgspec
from fieldlog.calc.shape import Strict, know_all
sys.setswitchinterval(1e-6)
for n in range(300):
    names = {"__module__": "fieldlog.made"}
    part = msgspec.defstruct("Part", [("words", tuple[str, ...])], bases=(Strict,), namespace=names)
    whole = msgspec.defstruct("Whole", [("one", part)], bases=(Strict,), namespace=names)
    know_all()
    gate = threading.Barrier(4)
    def read():
        gate.wait()
        assert msgspec.convert({"one": {"words": ["a"]}}, whole).one.words == ("a",)
    threads = [threading.Thread(target=read) for _ in range(4)]
    for thread in threads: thread.start()
    for thread in threads: thread.join()
    del part, whole
print("alive")
"""


def ran(source: str) -> list[str]:
    found = subprocess.run(
        [sys.executable, "-c", source],
        capture_output=True, text=True, check=False, cwd=Path(__file__).parent.parent,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-2000:]
    return found.stdout.split()


def test_a_server_has_looked_at_every_structure_before_it_has_threads() -> None:
    count, *late = ran(SERVED)
    assert int(count) > 50
    assert set(late) <= COMMANDS


def test_four_threads_that_are_the_first_to_read() -> None:
    assert ran(READ_BY_FOUR) == ["alive"]
