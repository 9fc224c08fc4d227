"""Prints what a million points cost through the survey's page: `python tests/bench/floors_page.py`.

From the posted file to the map of the judged floor, each format in a process of its own, with
the most memory it took: reading and gridding (with the form that comes back), then judging,
storing and the result with its map. Asserts nothing. The wanted sum is under 5 s and 1 GB.
"""

from __future__ import annotations

import io
import re
import resource
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "web")]

from web_cast import HOUSE, Page  # noqa: E402

from fieldlog import intake  # noqa: E402
from fieldlog.app import create_app  # noqa: E402
from fieldlog.calc.house import parse_house  # noqa: E402
from fieldlog.calc.ids import new_id  # noqa: E402
from fieldlog.config import Config  # noqa: E402

COUNT = 1_000_000
SURVEY = "/rooms/boat-room/floor/survey"
WALLS = "/rooms/boat-room/outline"
FORMATS = ("csv", "xyz", "ply", "ascii.ply")


def scan(kind: str) -> bytes:
    """A scanned floor of 100 x 100 ft in inches, in that format."""
    random = np.random.default_rng(2)
    x, y = random.uniform(0, 1200, (2, COUNT))
    z = 0.2 * np.sin(x / 60) + random.normal(0, 0.04, COUNT)
    if kind == "ply":
        table = np.empty(COUNT, dtype=[(axis, "<f4") for axis in "xyz"])
        table["x"], table["y"], table["z"] = x, y, z
        return _header("binary_little_endian") + table.tobytes()
    separator = "," if kind == "csv" else " "
    rows = zip(x.tolist(), y.tolist(), z.tolist(), strict=True)
    text = "\n".join(f"{a:.3f}{separator}{b:.3f}{separator}{c:.4f}" for a, b, c in rows)
    return (_header("ascii") if kind == "ascii.ply" else b"") + text.encode()


def _header(order: str) -> bytes:
    axes = "".join(f"property float {axis}\n" for axis in "xyz")
    return f"ply\nformat {order} 1.0\nelement vertex {COUNT}\n{axes}end_header\n".encode()


def through_the_page(kind: str) -> None:
    """One format, from its bytes to the map."""
    data = scan(kind)
    now = datetime(2026, 3, 3, 14, tzinfo=UTC)
    with tempfile.TemporaryDirectory() as folder:
        intake.start_house(folder, parse_house(HOUSE), now, new_id(now, bytes(10)))
        app = create_app(Config(Path(folder), clock=lambda: now, secret=b"s" * 32, testing=True))
        client = app.test_client()

        def sent(path: str, **fields: Any) -> Page:
            return Page(client.post(path, data=fields, follow_redirects=True))

        client.get(WALLS)
        walls = Page(client.get(WALLS)).fields.to_dict()
        fields: dict[str, Any] = sent(WALLS, **walls).fields.to_dict()
        resting = most()
        fields |= {"do": "file", "file_unit": "in", "point_tool": "scanner-1mm"}
        began, working = time.perf_counter(), time.process_time()
        page = sent(SURVEY, **fields, points=(io.BytesIO(data), f"scan.{kind}"))
        read = time.perf_counter()
        filled = page.fields
        posting = time.perf_counter()
        result = Page(client.post(SURVEY, data=filled, follow_redirects=True))
        judged = time.perf_counter()
        said = re.search(r"[0-9]+ points[^.]*", page.text)
        print(
            f"{kind:>10} {len(data) / 1e6:>5.0f} MB {read - began:>9.2f} s "
            f"{judged - posting:>9.2f} s {read - began + judged - posting:>8.2f} s "
            f"{time.process_time() - working:>8.2f} s "
            f"{most():>7.0f} MB ({resting:.0f} before)  "
            f"{said[0] if said else page.text[:200]}, map: {'<svg' in result.html}"
        )


def most() -> float:
    """The most memory this process took, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    print(
        f"{'a file':>10} {'size':>8} {'read, grid':>11} {'judge, map':>11} {'in all':>10} "
        f"{'cpu':>10}"
    )
    for kind in FORMATS:
        subprocess.run([sys.executable, __file__, kind], check=True)


if __name__ == "__main__":
    through_the_page(sys.argv[1]) if sys.argv[1:] else main()
