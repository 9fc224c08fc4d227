"""Plans that take a while: made in a thread of the server, watched, stopped, kept in memory.

A job is keyed by the check, the answers and everything else a plan hangs on, so the same
question asked twice is one job. Its plans stay here until one of them is kept as an entry;
nothing else of it is stored, and it does not survive the server. A job that nobody looks at for
UNWATCHED seconds stops by itself.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from flask import current_app

if TYPE_CHECKING:
    from fieldlog.calc.floors_plan import NotOffered, Plan, PlanKind, Site
    from fieldlog.calc.floors_plan_task import FloorTask
    from fieldlog.calc.floors_plan_watch import Progress

PATIENCE = 1.5
"""Seconds that a page waits for a job: an ordinary room is done long before."""
UNWATCHED = 60.0
MOST_KEPT, MOST_AT_ONCE = 24, 2
"""Jobs remembered, and made at the same time; the others wait their turn."""
_KEY = "fieldlog.floor_jobs"


@dataclass(eq=False)
class Job:
    """The plans of one floor on their way; `kinds` in the order they are made.

    `doing` is the kind that is being made, or "" before the first and after the last.
    """

    key: str
    task: FloorTask
    site: Site
    kinds: tuple[PlanKind, ...]
    began: float = field(default_factory=time.monotonic)
    seen: float = field(default_factory=time.monotonic)
    made: dict[str, Plan | NotOffered] = field(default_factory=dict)
    told: dict[str, Mapping[str, Any]] = field(default_factory=dict)
    doing: PlanKind | Literal[""] = ""
    progress: Progress | None = None
    stopped: bool = False
    ended: float = 0.0
    failed: BaseException | None = None
    _done: threading.Event = field(default_factory=threading.Event)

    @property
    def done(self) -> bool:
        """Whether nothing more will come."""
        return self._done.is_set()

    @property
    def seconds(self) -> int:
        """How long it has been at it, or was."""
        return int((self.ended or time.monotonic()) - self.began)

    def wait(self, seconds: float) -> None:
        """Until it is done, or so long. Raises what it failed by."""
        self.seen = time.monotonic()
        self._done.wait(seconds)
        if self.failed is not None:
            raise self.failed

    def get(self, kind: str, seconds: float) -> Plan | NotOffered | None:
        """The plan of that kind, waited for so long; None where it is not there by then."""
        until = time.monotonic() + seconds
        while kind in self.kinds and kind not in self.made and time.monotonic() < until:
            if self._done.wait(0.05):
                break
        return self.made.get(kind)

    def stop(self) -> None:
        """Ask it to end; it does within a fraction of a second."""
        self.stopped = True

    def must_stop(self) -> bool:
        """Asked to end, or nobody has looked for a while."""
        if time.monotonic() - self.seen > UNWATCHED:
            self.stopped = True
        return self.stopped

    def run(self, turns: threading.Semaphore) -> None:
        """Make the plans, one kind after the other; the thread's work."""
        try:
            with turns:
                self._make()
        except Exception as err:  # noqa: BLE001 - raised where the page waits for it
            self.failed = err
        finally:
            self.doing, self.ended = "", time.monotonic()
            self._done.set()

    def _make(self) -> None:
        from fieldlog.calc.floors_plan_maker import Planner
        from fieldlog.calc.floors_plan_watch import Watch

        planner = Planner(self.task, self.site, Watch(self._tell, self.must_stop))
        for kind in self.kinds:
            self.doing, self.progress = kind, None
            self.made[kind] = planner.offer(kind)

    def _tell(self, progress: Progress) -> None:
        self.progress = progress


class Jobs:
    """The jobs of one server, the newest last."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._turns = threading.Semaphore(MOST_AT_ONCE)
        self._jobs: dict[str, Job] = {}

    def find(self, key: str) -> Job | None:
        """The job of that key, and that somebody looks at it."""
        with self._lock:
            job = self._jobs.get(key)
        if job is not None:
            job.seen = time.monotonic()
        return job

    def start(self, key: str, make: Callable[[], Job]) -> Job:
        """The job of that key, started where there is none yet."""
        with self._lock:
            if key in self._jobs:
                return self._jobs[key]
            self._forget()
            job = self._jobs[key] = make()
        threading.Thread(target=job.run, args=(self._turns,), daemon=True).start()
        return job

    def drop(self, key: str) -> None:
        """Forget one that was stopped, so that it can be started anew."""
        with self._lock:
            job = self._jobs.pop(key, None)
        if job is not None:
            job.stop()

    def _forget(self) -> None:
        """The oldest go when there are too many; one that still runs is asked to end."""
        for key in list(self._jobs)[: max(len(self._jobs) - MOST_KEPT + 1, 0)]:
            self._jobs.pop(key).stop()


def jobs() -> Jobs:
    """The jobs of this server."""
    found: Jobs = current_app.extensions.setdefault(_KEY, Jobs())
    return found
