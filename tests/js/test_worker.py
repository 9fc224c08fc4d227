"""Another build while a tablet walks: the old filling serves until the new one is whole.

The worker runs in Node with an office that goes away, restarts or cuts an answer at every one of
its requests. Pages and scripts say which build they are of; what is given never has two.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.js.asking import node_or_skip

HERE = Path(__file__).parent
WORKER = HERE.parent.parent / "static" / "worker"
PAGES = ["/", "/rooms", "/rooms/hall", "/crews/paint", "/tablet/no-signal", "/tablet/no-list"]
SCRIPTS = ["app", "send"]
REQUESTS = 1 + len(SCRIPTS) + 1 + len(PAGES) + 1
"""Of a filling: the list, scripts, a report's style, pages, and the list once more."""

Step = dict[str, Any]


def played(plays: list[list[Step]]) -> list[list[Any]]:
    """What each step of each play came to; every play begins with nothing."""
    source = "".join(part.read_text() for part in sorted(WORKER.glob("*.js")))
    found = subprocess.run(
        [node_or_skip(), "--input-type=module", "-e", (HERE / "worker.js").read_text()],
        input=json.dumps({"source": source, "plays": plays}),
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert found.returncode == 0, found.stderr[-3000:]
    answers: list[list[Any]] = json.loads(found.stdout)
    return answers


def office(build: str, head: int, **more: Any) -> Step:
    return {"office": {"build": build, "head": head, "pages": PAGES, "scripts": SCRIPTS, **more}}


AWAY: Step = {"office": None}
FILL: Step = {"says": {"ask": "fill", "now": True}}


def look(build: str) -> Step:
    """Every page, the scripts that pages of this build name, and the style that has no build."""
    return {
        "get": [*PAGES, *(f"/static/{build}/js/{s}.js" for s in SCRIPTS), "/static/css/report.css"]
    }


def whole(build: str) -> list[str]:
    return [f"{path} of {build}" for path in look(build)["get"]]


def filled_with_one() -> list[Step]:
    return [office("one", 1), FILL]


def broken() -> Iterator[tuple[str, Step]]:
    """The ways in which a filling of build two can end early."""
    for left in range(REQUESTS):
        yield f"away after {left}", office("two", 2, left=left)
        yield f"cut after {left}", office("two", 2, left=left, cut=True)
    for left in range(1, REQUESTS):
        restarted = office("three", 3)["office"] | {"left": -1}
        yield f"another build after {left}", office("two", 2, left=left, then=restarted)


def test_a_filling_that_ends_early_leaves_the_old_one_whole() -> None:
    ways = list(broken())
    plays = [
        [*filled_with_one(), start, FILL, AWAY, look("one"), {"kept": None}] for _, start in ways
    ]
    for (what, _), told in zip(ways, played(plays), strict=True):
        assert (what, told[3]) == (what, ["one"])
        assert (what, told[5]) == (what, whole("one"))
        assert (what, told[6]) == (what, 1)


def test_the_new_one_takes_its_place_at_once_and_whole() -> None:
    [told] = played([[
        *filled_with_one(), office("two", 2), FILL, AWAY, look("two"), {"kept": None},
        {"get": ["/static/one/js/app.js"]}, {"post": "/sync"}, {"post": "/rooms/hall/items/new"},
    ]])  # fmt: skip
    assert told[3] == ["two"]
    assert told[5] == whole("two")
    assert told[6:] == [1, ["nothing"], "left alone", "left alone"]


def test_a_full_tablet_keeps_the_old_filling() -> None:
    rooms = (0, 3, 7)
    start = [*filled_with_one(), office("two", 2)]
    plays = [[*start, {"room": room}, FILL, AWAY, look("one")] for room in rooms]
    for room, told in zip(rooms, played(plays), strict=True):
        assert (room, told[4], told[6]) == (room, ["one"], whole("one"))


def test_a_passed_tablet_gives_one_list_and_fills_nothing() -> None:
    lock = {"says": {"ask": "lock", "page": "/crews/paint", "take": ["/crews/paint"]}}
    [told] = played([[
        *filled_with_one(), lock, AWAY, {"get": ["/crews/paint", "/rooms", "/crews/paint?from=9"]},
        office("two", 2), FILL, AWAY, {"says": {"ask": "unlock"}}, look("one"),
    ]])  # fmt: skip
    assert told[4] == ["/crews/paint of one", "/crews/paint", "/crews/paint of one"]
    assert told[6] == []
    assert told[9] == whole("one")


def test_a_passed_tablet_whose_list_did_not_come_says_so_and_gives_nothing() -> None:
    lock = {"says": {"ask": "lock", "page": "/crews/paint"}}
    asked = {"get": ["/crews/paint", "/rooms", "/", "/crews/paint?from=9"]}
    [told] = played([[*filled_with_one(), lock, AWAY, asked]])
    assert told[4] == ["/tablet/no-list of one"] * 4


def test_a_photo_that_is_not_at_the_office_yet_is_asked_for_again() -> None:
    """What stands for it until it comes is not kept, and it does not end the filling."""
    here, waits, missing = "/photos/aa/320", "/photos/bb/320", "/photos/cc/320"
    before = {here: "here", waits: "waits", missing: "missing"}
    after = dict.fromkeys(before, "here")
    all_three = {"get": [here, waits, missing]}
    [told] = played([[
        office("one", 1, photos=before), FILL, {"get": [waits]}, AWAY, all_three,
        office("one", 2, photos=after), FILL, AWAY, all_three,
    ]])  # fmt: skip
    assert told[1] == ["one"]
    assert told[2] == ["a picture of a tablet"]
    assert told[4] == [f"{here} of one", "nothing", "nothing"]
    assert told[8] == [f"{path} of one" for path in (here, waits, missing)]


def test_a_line_that_drops_for_a_moment_does_not_end_a_filling() -> None:
    """One answer is cut in each way, and the office is there again for the next."""
    again = {"build": "one", "head": 1, "pages": PAGES, "scripts": SCRIPTS, "left": -1}
    ways = range(1, REQUESTS - 1)
    plays = [
        [office("one", 1, left=left, cut=True, then=again), FILL, AWAY, look("one")]
        for left in ways
    ]
    for left, told in zip(ways, played(plays), strict=True):
        assert (left, told[1], told[3]) == (left, ["one"], whole("one"))
