"""A lock file: one process writes to a house at a time."""

from __future__ import annotations

import os
import sys
from pathlib import Path


class HouseBusy(Exception):
    """Another process writes to this house; the message says which."""


class Lock:
    """An exclusive lock on a file, held until `release` or the end of the process.

    The operating system gives it back when the process dies, so a lock never goes stale. The
    file stays: removing it would let two processes lock two files of the same name.
    """

    def __init__(self, path: Path) -> None:
        """Take the lock. Raises HouseBusy."""
        self._descriptor: int | None = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _lock(self._descriptor)
        except OSError as err:
            holder = _holder(self._descriptor)
            os.close(self._descriptor)
            self._descriptor = None
            raise HouseBusy(
                f"Another fieldlog writes to this house{holder}. Stop it, or use its page."
            ) from err
        os.ftruncate(self._descriptor, 0)
        os.write(self._descriptor, b" %d\n" % os.getpid())

    def release(self) -> None:
        """Give the lock back; a second call does nothing."""
        if self._descriptor is not None:
            _unlock(self._descriptor)
            os.close(self._descriptor)
            self._descriptor = None


def _holder(descriptor: int) -> str:
    # On Windows the locked byte cannot be read by another process.
    try:
        number = os.pread(descriptor, 20, 0).strip() if hasattr(os, "pread") else b""
    except OSError:
        return ""
    return f" (process {number.decode()})" if number.isdigit() else ""


if sys.platform == "win32":
    import msvcrt

    def _lock(descriptor: int) -> None:
        os.lseek(descriptor, 0, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)

    def _unlock(descriptor: int) -> None:
        os.lseek(descriptor, 0, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(descriptor: int) -> None:
        # flock, not lockf: it holds between two openings in one process as well.
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_UN)
