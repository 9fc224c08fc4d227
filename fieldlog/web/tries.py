"""How often somebody without a role may guess: counted in memory, per address and in all.

Nothing here stands before the person at the machine.
"""

from __future__ import annotations

import threading
from collections import deque
from datetime import datetime, timedelta

EACH, ALL = 10, 200
"""Wrong tries within the window: from one address, and from everywhere."""
WINDOW = timedelta(minutes=10)


class Tries:
    """Wrong tries of the last ten minutes."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._wrong: deque[tuple[datetime, str]] = deque()

    def may(self, address: str, now: datetime) -> bool:
        """Whether this address may try."""
        with self._lock:
            while self._wrong and self._wrong[0][0] <= now - WINDOW:
                self._wrong.popleft()
            own = sum(1 for _, from_where in self._wrong if from_where == address)
            return own < EACH and len(self._wrong) < ALL

    def was_wrong(self, address: str, now: datetime) -> None:
        """Count a wrong try."""
        with self._lock:
            self._wrong.append((now, address))
