"""Watching a plan being made: what it tells as it goes, and how it is asked to stop.

There is no clock in here: whoever asks for a plan decides, each time `stop` is called, whether
it has taken long enough.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from fieldlog.calc.floors_survey import Bools, Ints


@dataclass(frozen=True, eq=False, slots=True)
class Progress:
    """`done` of `of` patches are finished.

    `bound` is the least that the whole can cost as far as is known by now, `left` the same of
    what is not finished yet; both in the measure of the plan's `Effort`. `change` (rows,
    columns, nm) is what was found where `finished` is True: those stations pass by themselves.
    """

    done: int = 0
    of: int = 1
    bound: np.float64 = field(default_factory=np.float64)
    left: np.float64 = field(default_factory=np.float64)
    change: Ints | None = None
    finished: Bools | None = None


class Stopped(Exception):
    """A plan was stopped before it was finished. `progress` says how far it had come."""

    def __init__(self, progress: Progress) -> None:
        super().__init__(f"stopped at {progress.done} of {progress.of}")
        self.progress = progress


def _ignored(progress: Progress) -> None:  # noqa: ARG001
    return None


def _never() -> bool:
    return False


@dataclass(slots=True)
class Watch:
    """Calls `progress` after each patch, and `stop` between them to ask whether to end."""

    progress: Callable[[Progress], None] = _ignored
    stop: Callable[[], bool] = _never
    seen: Progress = field(default_factory=Progress)

    def tell(self, progress: Progress) -> None:
        """Say how far it is. Raises Stopped."""
        self.seen = progress
        self.progress(progress)
        self.breathe()

    def breathe(self) -> None:
        """Ask whether to go on. Raises Stopped."""
        if self.stop():
            raise Stopped(self.seen)
